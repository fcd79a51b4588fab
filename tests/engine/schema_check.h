#pragma once
/// The result schema, closed: members it does not describe are refused.
#include <nlohmann/json.hpp>

#include "engine/engine.h"
#include "support/schema_check.h"

namespace sample {

inline std::string complaint(const nlohmann::json& document) {
    static const voltsill::test::SchemaCheck schema(voltsill::result_schema(), true);
    return schema.complaint(document);
}

}  // namespace sample
