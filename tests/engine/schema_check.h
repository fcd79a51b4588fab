#pragma once
// The result schema, closed: members it does not describe are refused. valijson reads drafts up
// to 7; the schema keeps to words that mean the same there ("$defs" is reached by pointer).
#include <gtest/gtest.h>

#include <memory>
#include <nlohmann/json.hpp>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validation_results.hpp>
#include <valijson/validator.hpp>

#include "engine/engine.h"

namespace sample {

inline void close(nlohmann::json& schema) {
    if (!schema.is_structured()) return;
    if (schema.is_object() && schema.value("type", nlohmann::json()) == "object")
        schema["additionalProperties"] = false;
    for (auto& inner : schema) close(inner);
}

inline std::string complaint(const nlohmann::json& document) {
    static const auto schema = [] {
        nlohmann::json json = nlohmann::json::parse(voltsill::result_schema());
        close(json);
        auto out = std::make_unique<valijson::Schema>();
        valijson::SchemaParser(valijson::SchemaParser::kDraft7)
            .populateSchema(valijson::adapters::NlohmannJsonAdapter(json), *out);
        return out;
    }();
    valijson::Validator validator;
    valijson::ValidationResults results;
    if (validator.validate(*schema, valijson::adapters::NlohmannJsonAdapter(document), &results)) return "";
    std::string out = "not valid:";
    for (valijson::ValidationResults::Error error; results.popError(error);) {
        out += "\n  ";
        for (const std::string& step : error.context) out += step;
        out += ": " + error.description;
    }
    return out;
}

}  // namespace sample
