#pragma once
/// A JSON Schema and an independent validator. It reads drafts up to 7; our schemas keep to words that mean
/// the same in 2020-12 ("$defs" is reached by pointer). Compiled once, because the validator is slow to read.
#include <memory>
#include <nlohmann/json_fwd.hpp>
#include <string>

#include "records/tree.h"

namespace voltsill::test {

/// A document of TOML as the JSON that a schema is held against.
nlohmann::json as_json(const Value& value);

class SchemaCheck {
  public:
    /// `closed`: members that the schema does not describe are refused.
    explicit SchemaCheck(const std::string& schema, bool closed = false);
    ~SchemaCheck();
    /// The value of "$schema".
    const std::string& dialect() const { return dialect_; }
    /// "" for a document that the schema accepts.
    std::string complaint(const nlohmann::json& document) const;
    bool accepts(const nlohmann::json& document) const { return complaint(document).empty(); }

  private:
    struct Parsed;
    std::unique_ptr<Parsed> parsed_;
    std::string dialect_;
};

}  // namespace voltsill::test
