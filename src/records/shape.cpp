#include "records/shape.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "quantity/scan.h"

namespace voltsill {
namespace {

using Json = nlohmann::ordered_json;

std::vector<std::string> keys_of(const std::vector<ShapeBase::Field>& fields) {
    std::vector<std::string> keys;
    for (const ShapeBase::Field& field : fields) keys.push_back(field.key);
    return keys;
}

/// The example of a field as JSON, if it is one of the TOML values that are JSON too.
std::optional<Json> as_json(const std::string& example) {
    Json value = Json::parse(example, nullptr, false);
    if (value.is_discarded()) return std::nullopt;
    return value;
}

}  // namespace

bool ShapeBase::read_into(void* record, const Value& value, Reader& reader) const {
    if (place_) place_(record) = reader.place(value.spot);
    if (!value.is(ValueKind::table)) {
        reader.wrong_type(value, "a table (" + name_ + ")");
        return false;
    }
    bool good = true;
    for (const Entry& entry : value.entries) {
        if (places_) places_(record).all.push_back({entry.name, entry.key, entry.value.spot});
        const auto field = std::ranges::find(fields_, entry.name, &Field::key);
        if (field != fields_.end()) {
            good = field->read(entry.value, record, reader) && good;
            continue;
        }
        reader.unknown_name(entry.key, "unknown-key", in_quotes(entry.name) + " is not a key of a " + name_,
                            entry.name, keys_of(fields_));
        good = false;
    }
    for (const Field& field : fields_) {
        if (!field.required || value.find(field.key)) continue;
        good = false;
        if (value.damaged) continue;
        reader.error(value.spot, "missing-key",
                     "this " + name_ + " has no \"" + field.key + "\": " + field.about,
                     field.key + " = " + field.example);
    }
    if (after_) after_(value, record, reader);
    return good;
}

std::string ShapeBase::schema(SchemaSheet& sheet) const {
    Json result = {{"title", name_}, {"description", about_}, {"type", "object"}};
    result["properties"] = Json::object();
    Json required = Json::array();
    for (const Field& field : fields_) {
        Json property = Json::parse(field.schema(sheet));
        property["description"] = field.about;
        if (const auto example = as_json(field.example)) property["examples"] = Json::array({*example});
        result["properties"][field.key] = std::move(property);
        if (field.required) required.push_back(field.key);
    }
    if (!required.empty()) result["required"] = std::move(required);
    result["additionalProperties"] = false;
    return result.dump();
}

std::string SchemaSheet::refer(const std::string& name, const std::function<std::string()>& build) {
    const auto known = [&](const auto& definition) { return definition.first == name; };
    if (std::ranges::none_of(definitions_, known)) {
        // Entered before it is built: a shape may hold itself.
        definitions_.emplace_back(name, std::string());
        std::string text = build();
        std::ranges::find_if(definitions_, known)->second = std::move(text);
    }
    return Json{{"$ref", "#/$defs/" + name}}.dump();
}

std::string json_schema(const ShapeBase& shape) {
    SchemaSheet sheet;
    Json result = {{"$schema", "https://json-schema.org/draft/2020-12/schema"}};
    result.update(Json::parse(shape.schema(sheet)));
    for (const auto& [name, text] : sheet.definitions()) result["$defs"][name] = Json::parse(text);
    return result.dump(2);
}

}  // namespace voltsill
