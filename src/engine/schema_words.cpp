#include "engine/schema_words.h"

namespace voltsill::schema_words {
namespace {

Json described(Json schema, const char* about) {
    if (*about) schema["description"] = about;
    return schema;
}

}  // namespace

Fields joined(Fields first, const Fields& second) {
    first.insert(first.end(), second.begin(), second.end());
    return first;
}

Json object(const char* about, const Fields& fields) {
    Json properties = Json::object(), required = Json::array();
    for (const Field& field : fields) {
        properties[field.name] = field.schema;
        if (field.required) required.push_back(field.name);
    }
    Json out = described({{"type", "object"}}, about);
    out["properties"] = std::move(properties);
    if (!required.empty()) out["required"] = std::move(required);
    return out;
}

Json document(const char* format, const char* about, const Fields& fields) {
    Json out = object(
        about, {{"format", {{"const", format}}}, {"accepted", truth()}, {"problems", list(ref("problem"))}});
    Json needed = Json::array();
    for (const Field& field : fields) {
        needed.push_back(field.name);
        out["properties"][field.name] = field.schema;
    }
    if (needed.empty()) return out;
    const Json accepted = {{"properties", {{"accepted", {{"const", true}}}}},
                           {"required", std::move(needed)}};
    out["anyOf"] = {{{"properties", {{"accepted", {{"const", false}}}}}}, accepted};
    return out;
}

Json list(Json items, const char* about) {
    Json out = described({{"type", "array"}}, about);
    out["items"] = std::move(items);
    return out;
}

Json text(const char* about) { return described({{"type", "string"}}, about); }
Json truth(const char* about) { return described({{"type", "boolean"}}, about); }
Json number(const char* about) { return described({{"type", Json::array({"number", "null"})}}, about); }
Json whole(int lowest) { return {{"type", "integer"}, {"minimum", lowest}}; }
Json whole_or_null() { return {{"type", Json::array({"integer", "null"})}}; }
Json name_or_null() { return {{"type", Json::array({"string", "null"})}}; }

Json one_of(std::initializer_list<const char*> words) {
    Json list = Json::array();
    for (const char* word : words) list.push_back(word);
    Json out = {{"type", "string"}};
    out["enum"] = std::move(list);
    return out;
}

Json ref(const std::string& piece) { return {{"$ref", "#/$defs/" + piece}}; }
Json nullable(const std::string& piece) { return or_null(ref(piece)); }

Json or_null(Json schema) {
    Json choices = Json::array();
    choices.push_back(std::move(schema));
    choices.push_back({{"type", "null"}});
    Json out = Json::object();
    out["anyOf"] = std::move(choices);
    return out;
}

}  // namespace voltsill::schema_words
