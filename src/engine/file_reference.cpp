#include "engine/file_reference.h"

#include <fmt/format.h>

#include <algorithm>

#include "engine/json_pieces.h"

namespace voltsill {
namespace {

constexpr std::string_view definitions = "#/$defs/";

std::string anchor_of(std::string name) {
    for (char& c : name)
        if (c >= 'A' && c <= 'Z')
            c = static_cast<char>(c - 'A' + 'a');
        else if (!(c >= 'a' && c <= 'z') && !(c >= '0' && c <= '9'))
            c = '-';
    return name;
}

void append(doc::Text& text, const doc::Text& more) { text.insert(text.end(), more.begin(), more.end()); }

/// What may stand behind a key: "text or list of text", "by name: table rail".
doc::Text value_words(const Json& value) {
    if (value.contains("$ref")) {
        const std::string name = value["$ref"].get<std::string>().substr(definitions.size());
        return {"table ", doc::leading_to(name, anchor_of(name))};
    }
    if (value.contains("anyOf") || value.contains("enum")) {
        doc::Text text;
        for (const Json& one : value.contains("enum") ? value["enum"] : value["anyOf"]) {
            if (!text.empty()) text.push_back(" or ");
            if (value.contains("enum"))
                text.push_back(doc::code(one.dump()));
            else
                append(text, value_words(one));
        }
        return text;
    }
    const std::string type = value.value("type", "");
    if (type == "array") {
        doc::Text text = {"list of "};
        append(text, value_words(value["items"]));
        return text;
    }
    if (type == "object" && value.contains("additionalProperties") &&
        value["additionalProperties"].is_object()) {
        doc::Text text = {"by name: "};
        append(text, value_words(value["additionalProperties"]));
        return text;
    }
    if (type == "boolean") return {doc::code("true"), " or ", doc::code("false")};
    if (type != "integer" && type != "number") return {"text"};
    std::string words = type == "integer" ? "whole number" : "number";
    if (value.contains("minimum") && value.contains("maximum"))
        words += fmt::format(", {} to {}", value["minimum"].get<double>(), value["maximum"].get<double>());
    return {words};
}

doc::Block table_of(const Json& record) {
    doc::Table table{.columns = {{"key"}, {"needed"}, {"meaning"}, {"value"}, {"example"}}};
    const Json needed = record.value("required", Json::array());
    for (const auto& [key, value] : record["properties"].items()) {
        const bool must = std::ranges::find(needed, Json(key)) != needed.end();
        doc::Text example;
        if (value.contains("examples")) example.push_back(doc::code(value["examples"].front().dump()));
        table.rows.push_back({{doc::code(key)},
                              {must ? "yes" : ""},
                              {value.value("description", "")},
                              value_words(value),
                              example});
    }
    return table;
}

void section(doc::Document& document, const std::string& name, const Json& record) {
    document.blocks.push_back(doc::heading(2, {name}, anchor_of(name)));
    document.blocks.push_back(doc::paragraph({record.value("description", "") + "."}));
    if (record.contains("properties")) document.blocks.push_back(table_of(record));
}

}  // namespace

doc::Document file_reference(std::string_view schema) {
    const Json file = Json::parse(schema);
    const std::string title = file.value("title", "file");
    doc::Document document{.title = fmt::format("Keys of a {}", title)};
    document.blocks.push_back(
        doc::paragraph({"Every key that is read, and no other: this page is made by the reader. "
                        "Values are TOML; quantities are text with a unit."}));
    section(document, title, file);
    if (file.contains("$defs"))
        for (const auto& [name, record] : file["$defs"].items()) section(document, name, record);
    return document;
}

}  // namespace voltsill
