#include "records/field_types.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "quantity/scan.h"

namespace voltsill {
namespace {

using Json = nlohmann::ordered_json;

std::string limits_in_words(const std::string& lowest, const std::string& highest, bool below, bool above) {
    if (below && above) return "from " + lowest + " to " + highest;
    return below ? "at least " + lowest : "at most " + highest;
}

std::string as_written(double number) { return Json(number).dump(); }

}  // namespace

std::string text_schema(std::string_view pattern) {
    Json schema = {{"type", "string"}};
    if (!pattern.empty()) schema["pattern"] = pattern;
    return schema.dump();
}

std::string number_schema(bool whole, double lowest, double highest) {
    Json schema = {{"type", whole ? "integer" : "number"}};
    if (std::isfinite(lowest)) schema["minimum"] = lowest;
    if (std::isfinite(highest)) schema["maximum"] = highest;
    return schema.dump();
}

std::string choice_schema(const std::vector<std::string>& names) { return Json{{"enum", names}}.dump(); }

std::string list_schema(const std::string& items) {
    return Json{{"type", "array"}, {"items", Json::parse(items)}}.dump();
}

std::string map_schema(const std::string& values) {
    return Json{{"type", "object"}, {"additionalProperties", Json::parse(values)}}.dump();
}

std::string either_schema(const std::vector<std::string>& schemas) {
    Json any = Json::array();
    for (const std::string& schema : schemas) any.push_back(Json::parse(schema));
    return Json{{"anyOf", any}}.dump();
}

std::string quantity_pattern(Dimension dimension) {
    // Letters beyond ASCII stand in alternatives, not in classes, for engines that match bytes.
    const std::string blank = "(?:[ \\t\\n\\r]|\u00A0|\u202F|\u2009)*", sign = "(?:[+-]|\u2212)?";
    const std::string decimal = sign + "(?:[0-9]+(?:\\.[0-9]+)?|\\.[0-9]+)(?:[eE]" + sign + "[0-9]+)?";
    const DimensionInfo& d = info(dimension);
    std::string unit = unit_expression(dimension);
    if (!d.bare_prefixes.empty()) unit = "(?:" + unit + '|' + prefix_expression() + ')';
    std::string value = decimal + blank + unit + (dimension == Dimension::ratio ? "?" : "");
    if (!d.code_letters.empty())
        value = "(?:" + value + '|' + sign + "[0-9]*(?:[" + std::string(d.code_letters) +
                "]|\u00B5|\u03BC)[0-9]+(?:" + blank + unit + ")?)";
    const std::string low = "(?:(?:" + value + '|' + decimal + ')' + blank + "\\.\\." + blank + "){0,2}";
    const std::string plus_minus = blank + "(?:±|\\+/-|\\+-)" + blank;
    const std::string percent = decimal + blank + "(?:%|ppm)";
    return '^' + blank + "(?:" + low + value + "|(?:" + value + ")" + plus_minus + "(?:" + value + '|' +
           percent + ")|" + decimal + plus_minus + value + ')' + blank + '$';
}

bool read_text(const Value& value, std::string_view noun, std::string& out, Reader& reader) {
    if (!value.is(ValueKind::string)) {
        reader.wrong_type(value, noun);
        return false;
    }
    out = value.text;
    return true;
}

bool read_flag(const Value& value, bool& out, Reader& reader) {
    if (!value.is(ValueKind::boolean)) {
        reader.wrong_type(value, "true or false");
        return false;
    }
    out = value.boolean;
    return true;
}

bool read_whole(const Value& value, std::int64_t lowest, std::int64_t highest, std::int64_t& out,
                Reader& reader) {
    if (!value.is(ValueKind::integer)) {
        reader.wrong_type(value, "a whole number");
        return false;
    }
    out = std::clamp(value.integer, lowest, highest);
    if (out == value.integer) return true;
    reader.error(value.spot, "out-of-range", std::to_string(value.integer) + " is out of range",
                 limits_in_words(std::to_string(lowest), std::to_string(highest), true, true));
    return false;
}

bool read_number(const Value& value, double lowest, double highest, double& out, Reader& reader) {
    if (!value.is(ValueKind::integer) && !value.is(ValueKind::real)) {
        reader.wrong_type(value, "a number");
        return false;
    }
    if (!std::isfinite(value.real)) {
        reader.error(value.spot, "out-of-range", "this is not a finite number", "a finite number");
        return false;
    }
    out = std::clamp(value.real, lowest, highest);
    if (out == value.real) return true;
    reader.error(value.spot, "out-of-range", as_written(value.real) + " is out of range",
                 limits_in_words(as_written(lowest), as_written(highest), std::isfinite(lowest),
                                 std::isfinite(highest)));
    return false;
}

std::optional<std::size_t> read_choice(const Value& value, const std::vector<std::string>& names,
                                       Reader& reader) {
    std::string word;
    if (!read_text(value, "one of a few words", word, reader)) return std::nullopt;
    const auto found = std::ranges::find(names, word);
    if (found != names.end()) return static_cast<std::size_t>(found - names.begin());
    reader.unknown_name(value.spot, "unknown-word",
                        in_quotes(word) + " is none of the words that can stand here", word, names);
    return std::nullopt;
}

Type<std::string> TypeOf<std::string>::get() {
    return {"text",
            [](const Value& value, std::string& out, Reader& reader) {
                return read_text(value, "text in quotes", out, reader);
            },
            [](SchemaSheet&) { return text_schema(); }};
}

Type<bool> TypeOf<bool>::get() {
    return {"true or false", &read_flag, [](SchemaSheet&) { return std::string(R"({"type":"boolean"})"); }};
}

Type<double> number(double lowest, double highest) {
    return {"a number",
            [=](const Value& value, double& out, Reader& reader) {
                return read_number(value, lowest, highest, out, reader);
            },
            [=](SchemaSheet&) { return number_schema(false, lowest, highest); }};
}

Type<double> ratio() {
    return from_text<double>("a ratio such as \"3 %\"", quantity_pattern(Dimension::ratio), &parse_ratio);
}

}  // namespace voltsill
