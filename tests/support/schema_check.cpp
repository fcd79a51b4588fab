#include "support/schema_check.h"

#include <nlohmann/json.hpp>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validation_results.hpp>
#include <valijson/validator.hpp>

namespace voltsill::test {
namespace {

using Json = nlohmann::json;

void close(Json& schema) {
    if (!schema.is_structured()) return;
    if (schema.is_object() && schema.value("type", Json()) == "object" && !schema.contains("additionalProperties"))
        schema["additionalProperties"] = false;
    for (Json& inner : schema) close(inner);
}

}  // namespace

Json as_json(const Value& value) {
    switch (value.kind) {
        case ValueKind::table: {
            Json object = Json::object();
            for (const Entry& entry : value.entries) object[entry.name] = as_json(entry.value);
            return object;
        }
        case ValueKind::array: {
            Json array = Json::array();
            for (const Value& item : value.items) array.push_back(as_json(item));
            return array;
        }
        case ValueKind::integer:
            return value.integer;
        case ValueKind::real:
            return value.real;
        case ValueKind::boolean:
            return value.boolean;
        default:
            return value.text;
    }
}

struct SchemaCheck::Parsed {
    valijson::Schema schema;
};

SchemaCheck::SchemaCheck(const std::string& schema, bool closed) : parsed_(std::make_unique<Parsed>()) {
    Json json = Json::parse(schema);
    dialect_ = json.value("$schema", "");
    json.erase("$schema");
    if (closed) close(json);
    valijson::SchemaParser(valijson::SchemaParser::kDraft7)
        .populateSchema(valijson::adapters::NlohmannJsonAdapter(json), parsed_->schema);
}
SchemaCheck::~SchemaCheck() = default;

std::string SchemaCheck::complaint(const Json& document) const {
    valijson::Validator validator;
    valijson::ValidationResults results;
    if (validator.validate(parsed_->schema, valijson::adapters::NlohmannJsonAdapter(document), &results)) return "";
    std::string out = "not valid:";
    for (valijson::ValidationResults::Error error; results.popError(error);) {
        out += "\n  ";
        for (const std::string& step : error.context) out += step;
        out += ": " + error.description;
    }
    return out;
}

}  // namespace voltsill::test
