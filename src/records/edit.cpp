#include "records/edit.h"

#include <fmt/format.h>

#include <algorithm>

namespace voltsill {
namespace {

bool is_blank(char c) { return c == ' ' || c == '\t'; }

std::string line_end_of(const Source& source) {
    const std::size_t first = source.text().find('\n');
    return first != std::string::npos && first > 0 && source.text()[first - 1] == '\r' ? "\r\n" : "\n";
}

std::size_t next_line(const Source& source, std::size_t at) {
    return source.line_begin(source.line_of(at) + 1);
}

std::string indent_at(const Source& source, std::size_t at) {
    const std::string_view line = source.line(source.line_of(at));
    return std::string(line.substr(0, std::min(line.find_first_not_of(" \t"), line.size())));
}

/// Lines of their own, to stand before byte `at`, which begins a line or ends the text.
TextEdit insert_lines(const Source& source, std::size_t at, std::string lines) {
    const std::string& text = source.text();
    const bool unfinished = at == text.size() && at > source.line_begin(1) && text[at - 1] != '\n';
    return {at, at, (unfinished ? line_end_of(source) : "") + std::move(lines)};
}

bool is_array_of_elements(const Value& value) {
    return value.is(ValueKind::array) && !value.items.empty() &&
           value.items.front().form == TableForm::element;
}

/// Made of headers, not of a key-value pair.
bool is_sections(const Value& value) {
    return value.form == TableForm::section || value.form == TableForm::implied ||
           is_array_of_elements(value);
}

/// End of the last pair that an entry is written as.
std::size_t end_of(const Value& value) {
    if (value.form != TableForm::dotted) return value.spot.end;
    std::size_t end = 0;
    for (const Entry& entry : value.entries) end = std::max(end, end_of(entry.value));
    return end;
}

/// The entry whose text comes last among those that are pairs.
const Entry* last_pair(const Value& table) {
    const Entry* last = nullptr;
    for (const Entry& entry : table.entries)
        if (!is_sections(entry.value) && (!last || end_of(entry.value) > end_of(last->value))) last = &entry;
    return last;
}

std::string pair_text(std::string_view prefix, const NewEntry& entry) {
    return fmt::format("{}{} = {}", prefix, toml_key(entry.name), entry.toml);
}

TextEdit into_braces(const Source& source, const Value& braces, const NewEntry& entry) {
    const std::size_t at = braces.spot.begin + 1;
    const bool spaced = is_blank(source.text()[at]);
    return {at, at, ' ' + pair_text("", entry) + (spaced ? "" : " ")};
}

/// Above the first header, with the comment lines directly above it left to the header.
TextEdit before_header(const Source& source, std::size_t header, const std::string& lines) {
    int line = source.line_of(header);
    const auto is_comment = [&](int number) {
        const std::string_view text = source.line(number);
        const std::size_t first = text.find_first_not_of(" \t");
        return first != std::string_view::npos && text[first] == '#';
    };
    while (line > 1 && is_comment(line - 1)) --line;
    return insert_lines(source, source.line_begin(line), lines + line_end_of(source));
}

/// The first header of the sections in a table; the end of the text if there is none.
std::size_t first_header(const Source& source, const Value& value) {
    const bool headed = value.form == TableForm::section || value.form == TableForm::element;
    std::size_t first = headed ? value.spot.begin : source.text().size();
    for (const Entry& entry : value.entries) first = std::min(first, first_header(source, entry.value));
    for (const Value& item : value.items) first = std::min(first, first_header(source, item));
    return first;
}

/// End of the last line that belongs to the sections an entry is made of.
std::size_t end_of_sections(const Value& value) {
    std::size_t end = value.body_end;
    for (const Entry& entry : value.entries) end = std::max(end, end_of_sections(entry.value));
    for (const Value& item : value.items) end = std::max(end, end_of_sections(item));
    return end;
}

/// The text of pairs an entry is written as: one, or several of a dotted table.
void collect_pairs(const Entry& entry, std::vector<std::pair<std::size_t, std::size_t>>& pairs) {
    if (entry.value.form != TableForm::dotted)
        pairs.emplace_back(entry.begin, entry.value.spot.end);
    else
        for (const Entry& inner : entry.value.entries) collect_pairs(inner, pairs);
}

/// A pair between braces goes with the comma after it; the last one with the comma before it.
std::vector<TextEdit> remove_between_commas(const Source& source,
                                            const std::vector<std::pair<std::size_t, std::size_t>>& pairs) {
    const std::string& text = source.text();
    const auto skip = [&](std::size_t at) {
        return std::min(text.find_first_not_of(" \t", at), text.size());
    };
    std::vector<TextEdit> runs;
    for (const auto& [begin, end] : pairs) {
        if (!runs.empty() && text[skip(runs.back().end)] == ',' && skip(skip(runs.back().end) + 1) == begin)
            runs.back().end = end;
        else
            runs.push_back({begin, end, ""});
    }
    for (TextEdit& run : runs) {
        const std::size_t after = skip(run.end);
        if (text[after] == ',') {
            run.end = skip(after + 1);
            continue;
        }
        const std::size_t before = text.find_last_not_of(" \t", run.begin - 1);
        if (text[before] == ',') run.begin = before;
    }
    return runs;
}

void remove_sections_of(const Source& source, const Value& value, std::vector<TextEdit>& edits) {
    if (value.form == TableForm::section || value.form == TableForm::element) {
        const std::size_t begin = source.line_begin(source.line_of(value.spot.begin));
        std::size_t end = next_line(source, value.body_end);
        const int before = source.line_of(begin) - 1;
        const bool gap_above =
            before < 1 || source.line(before).find_first_not_of(" \t") == std::string_view::npos;
        // Of the gaps above and below one is left.
        while (gap_above && end < source.text().size() &&
               source.line(source.line_of(end)).find_first_not_of(" \t") == std::string_view::npos)
            end = next_line(source, end);
        edits.push_back({begin, end, ""});
    }
    for (const Entry& entry : value.entries)
        if (is_sections(entry.value)) remove_sections_of(source, entry.value, edits);
    for (const Value& item : value.items) remove_sections_of(source, item, edits);
}

}  // namespace

std::string toml_text(std::string_view text) {
    static constexpr std::string_view special = "\b\t\n\f\r\"\\", letters = "btnfr\"\\";
    std::string result = "\"";
    for (const char c : text) {
        const std::size_t escape = special.find(c);
        if (escape != std::string_view::npos)
            result += {'\\', letters[escape]};
        else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F)
            result += fmt::format("\\u{:04X}", static_cast<unsigned>(c));
        else
            result += c;
    }
    return result + '"';
}

std::string toml_key(std::string_view name) {
    const bool bare = !name.empty() && std::ranges::all_of(name, [](char c) {
        return ('a' <= c && c <= 'z') || ('A' <= c && c <= 'Z') || ('0' <= c && c <= '9') || c == '_' ||
               c == '-';
    });
    return bare ? std::string(name) : toml_text(name);
}

TextEdit replace_value(const Value& value, std::string toml) {
    return {value.spot.begin, value.spot.end, std::move(toml)};
}

TextEdit insert_after(const Source& source, const Value& table, const Entry& after, const NewEntry& entry) {
    if (is_sections(after.value)) return append_entry(source, table, entry);
    const std::string pair = pair_text(source.slice(after.begin, after.key.begin), entry);
    const std::size_t end = end_of(after.value);
    if (table.in_braces) return {end, end, ", " + pair};
    return insert_lines(source, next_line(source, end),
                        indent_at(source, after.begin) + pair + line_end_of(source));
}

TextEdit append_entry(const Source& source, const Value& table, const NewEntry& entry) {
    if (const Entry* last = last_pair(table)) return insert_after(source, table, *last, entry);
    if (table.form == TableForm::braces) return into_braces(source, table, entry);
    const std::string line = pair_text("", entry) + line_end_of(source);
    if (table.form == TableForm::section || table.form == TableForm::element)
        return insert_lines(source, next_line(source, table.body_end),
                            indent_at(source, table.spot.begin) + line);
    if (table.entries.empty())
        return insert_lines(source, source.text().size(), line);  // a file without entries
    const Entry& first = table.entries.front();
    if (table.form == TableForm::root) return before_header(source, first_header(source, table), line);
    std::string_view name = source.slice(first.begin, first.key.begin);
    name = name.substr(0, name.find_last_of('.'));
    return before_header(source, first.begin, fmt::format("[{}]{}{}", name, line_end_of(source), line));
}

TextEdit add_section(const Source& source, const Value& root, const std::vector<std::string>& path,
                     bool element, const std::vector<NewEntry>& entries) {
    const std::string line_end = line_end_of(source);
    std::string header;
    for (const std::string& name : path) header += (header.empty() ? "" : ".") + toml_key(name);
    std::string lines = (element ? "[[" + header + "]]" : '[' + header + ']') + line_end;
    for (const NewEntry& entry : entries) lines += pair_text("", entry) + line_end;

    std::size_t at = source.text().size();
    if (const Entry* sibling = root.find(path.front()); sibling && is_sections(sibling->value))
        at = next_line(source, end_of_sections(sibling->value));
    const bool gap_above = at <= source.line_begin(1) || source.text().substr(0, at).ends_with("\n\n") ||
                           source.text().substr(0, at).ends_with("\n\r\n");
    return insert_lines(source, at, (gap_above ? "" : line_end) + lines);
}

std::vector<TextEdit> remove_section(const Source& source, const Value& section) {
    std::vector<TextEdit> edits;
    remove_sections_of(source, section, edits);
    return edits;
}

std::vector<TextEdit> remove_entry(const Source& source, const Value& table, const Entry& entry) {
    if (is_sections(entry.value)) return remove_section(source, entry.value);
    std::vector<std::pair<std::size_t, std::size_t>> pairs;
    collect_pairs(entry, pairs);
    std::ranges::sort(pairs);
    if (table.in_braces) return remove_between_commas(source, pairs);
    std::vector<TextEdit> edits;
    for (const auto& [begin, end] : pairs)
        edits.push_back({source.line_begin(source.line_of(begin)), next_line(source, end), ""});
    return edits;
}

std::vector<TextEdit> remove_item(const Source& source, const Value& item) {
    return remove_between_commas(source, {{item.spot.begin, item.spot.end}});
}

std::string apply(const Source& source, std::vector<TextEdit> edits) {
    std::ranges::stable_sort(edits, {}, &TextEdit::begin);
    std::string result;
    std::size_t at = 0;
    for (const TextEdit& edit : edits) {
        result += source.slice(at, std::max(at, edit.begin));
        result += edit.text;
        at = std::max(at, edit.end);
    }
    return result + std::string(source.slice(at, source.text().size()));
}

}  // namespace voltsill
