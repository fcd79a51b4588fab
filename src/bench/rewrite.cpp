#include "bench/rewrite.h"

#include <algorithm>

#include "bench/bench_records.h"
#include "quantity/print.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

using Path = std::vector<std::string>;
using Edits = std::expected<std::vector<TextEdit>, Problem>;

std::string in_braces(const std::vector<NewEntry>& entries) {
    std::string text;
    for (const NewEntry& entry : entries)
        text += (text.empty() ? " " : ", ") + toml_key(entry.name) + " = " + entry.toml;
    return '{' + text + (text.empty() ? "}" : " }");
}

/// `toml` wrapped into the tables `path`, from the inside out.
std::string nested(Path path, std::string toml) {
    for (; !path.empty(); path.pop_back()) toml = in_braces({{path.back(), std::move(toml)}});
    return toml;
}

/// Parses, edits, and holds the result against the grammar again.
template <class Change>
Rewritten rewrite(const BenchText& text, const Change& change) {
    const ParsedText parsed = parse_toml(text.bytes, text.file);
    if (!parsed.problems.empty()) return std::unexpected(parsed.problems);
    Edits edits = change(parsed);
    if (!edits) return std::unexpected(Problems{std::move(edits.error())});
    std::string result = apply(*parsed.source, std::move(*edits));
    Problems problems = parse_toml(result, text.file).problems;
    if (!problems.empty()) return std::unexpected(std::move(problems));
    return result;
}

/// A rail or part in short form stands for its table with this key.
std::string_view short_key(const Path& path) {
    if (path.size() != 3) return {};
    if (path[0] == "rails") return "volts";
    return path[0] == "parts" ? "type" : "";
}

/// The way along a path as far as it exists.
struct Walk {
    const Value* table;            ///< last table reached
    const Entry* entry = nullptr;  ///< of the last step, if it is there
    std::size_t steps = 0;         ///< taken
};

std::expected<Walk, Problem> walk(const ParsedText& parsed, const Path& path) {
    Walk walk{&parsed.root};
    for (; walk.steps < path.size(); ++walk.steps) {
        const std::string& step = path[walk.steps];
        if (walk.table->is(ValueKind::array)) {
            const auto link = std::ranges::find(walk.table->items, step, written_link_name);
            if (link == walk.table->items.end()) {
                Problem problem = parsed.source->problem(walk.table->spot, "unknown-name",
                                                         "there is no link " + in_quotes(step));
                std::vector<std::string> names;
                for (const Value& item : walk.table->items) names.push_back(written_link_name(item));
                problem.nearest = nearest_name(step, names);
                return std::unexpected(std::move(problem));
            }
            walk.table = &*link;
            walk.entry = nullptr;
            continue;
        }
        const Entry* entry = walk.table->find(step);
        if (!entry) return walk;
        if (walk.steps + 1 == path.size()) {
            walk.entry = entry;
            continue;
        }
        const bool shorthand =
            entry->value.is(ValueKind::string) && walk.steps == 1 && !short_key(path).empty();
        if (shorthand) {
            walk.entry = entry;
            return walk;
        }
        if (!entry->value.is(ValueKind::table) && !entry->value.is(ValueKind::array))
            return std::unexpected(parsed.source->problem(
                entry->value.spot, "not-a-table", in_quotes(step) + " holds no further entries", "a table"));
        walk.table = &entry->value;
    }
    return walk;
}

bool is_written_value(const Value& value) {
    if (value.is(ValueKind::table)) return value.form == TableForm::braces;
    return !value.is(ValueKind::array) || value.items.empty() ||
           value.items.front().form != TableForm::element;
}

Edits set_at(const ParsedText& parsed, const Path& path, const std::string& toml) {
    const auto found = walk(parsed, path);
    if (!found) return std::unexpected(found.error());
    const Source& source = *parsed.source;
    if (found->entry && found->steps == path.size()) {
        if (is_written_value(found->entry->value)) return {{replace_value(found->entry->value, toml)}};
        return std::unexpected(source.problem(found->entry->value.spot, "not-a-value",
                                              in_quotes(path.back()) + " is a section, not one value"));
    }
    if (found->entry) {  // short form
        const std::string_view key = short_key(path);
        const Value& value = found->entry->value;
        if (path.back() == key) return {{replace_value(value, toml)}};
        return {{replace_value(value, in_braces({{std::string(key), std::string(source.at(value.spot))},
                                                 {path.back(), toml}}))}};
    }
    if (found->table->is(ValueKind::array) || found->steps == path.size())
        return std::unexpected(source.problem(found->table->spot, "not-a-value", "this is no single value"));
    const auto at = path.begin() + static_cast<std::ptrdiff_t>(found->steps);
    if (found->steps == 0 && path.size() > 1 && path.front() != "links")
        return {{add_section(source, parsed.root, Path(path.begin(), path.end() - 1), false,
                             {{path.back(), toml}})}};
    if (path.front() == "links" && found->steps == 0)
        return std::unexpected(source.problem({}, "unknown-name", "this bench has no links"));
    return {{append_entry(source, *found->table, {*at, nested(Path(at + 1, path.end()), toml)})}};
}

Edits remove_at(const ParsedText& parsed, const Path& path) {
    const auto found = walk(parsed, path);
    if (!found) return std::unexpected(found.error());
    if (path.size() == 2 && path.front() == "links" && found->steps == 2) {
        const Value& link = *found->table;
        return link.form == TableForm::element ? remove_section(*parsed.source, link)
                                               : remove_item(*parsed.source, link);
    }
    if (!found->entry || found->steps != path.size()) return std::vector<TextEdit>{};
    return remove_entry(*parsed.source, *found->table, *found->entry);
}

/// A new entry of a table of names, in the way the table is written.
Edits add_named(const ParsedText& parsed, const Path& table_path, const std::string& name,
                const std::vector<NewEntry>& entries) {
    Path path = table_path;
    path.push_back(name);
    const auto found = walk(parsed, path);
    if (!found) return std::unexpected(found.error());
    const Source& source = *parsed.source;
    if (found->entry)
        return std::unexpected(source.problem(found->entry->key, "duplicate-name",
                                              in_quotes(name) + " is there already", "another name"));
    if (found->steps < table_path.size() && found->table->form != TableForm::braces)
        return {{add_section(source, parsed.root, table_path, false, {{name, in_braces(entries)}})}};
    if (found->table->form == TableForm::implied)
        return {{add_section(source, parsed.root, path, false, entries)}};
    const auto at = path.begin() + static_cast<std::ptrdiff_t>(found->steps);
    return {
        {append_entry(source, *found->table, {*at, nested(Path(at + 1, path.end()), in_braces(entries))})}};
}

Edits add_to_links(const ParsedText& parsed, const std::vector<NewEntry>& entries) {
    const Entry* links = parsed.root.find("links");
    if (!links || !is_written_value(links->value))
        return {{add_section(*parsed.source, parsed.root, {"links"}, true, entries)}};
    const Value& list = links->value;
    if (!list.is(ValueKind::array))
        return std::unexpected(
            parsed.source->problem(list.spot, "not-a-table", "`links` is no list", "[[links]]"));
    if (list.items.empty()) return {{replace_value(list, '[' + in_braces(entries) + ']')}};
    const std::size_t end = list.items.back().spot.end;
    return {{TextEdit{end, end, ", " + in_braces(entries)}}};
}

std::vector<NewEntry> entries_of(const BenchPart& part) {
    std::vector<NewEntry> entries{{"type", toml_text(part.type_name)}};
    if (part.value) {
        const bool capacitor = part.type && part.type->kind == PartKind::capacitor;
        entries.push_back({"value", toml_text(capacitor ? print_exact(Farads{*part.value})
                                                        : print_exact(Ohms{*part.value}))});
    }
    std::string pulls;
    for (const std::string& pin : part.pulls_removed) pulls += (pulls.empty() ? "" : ", ") + toml_text(pin);
    if (!pulls.empty()) entries.push_back({"pulls_removed", '[' + pulls + ']'});
    if (!part.note.empty()) entries.push_back({"note", toml_text(part.note)});
    return entries;
}

bool says(const PartRecord& record, const BenchPart& part) {
    const auto value = [&]() -> std::optional<double> {
        if (!record.value) return std::nullopt;
        if (const auto ohms = parse<Ohms>(record.value->text)) return ohms->nominal.si();
        const auto farads = parse<Farads>(record.value->text);
        return farads ? std::optional(farads->nominal.si()) : std::nullopt;
    };
    return record.type && record.type->text == part.type_name && value() == part.value &&
           record.note == part.note &&
           std::ranges::equal(record.pulls_removed, part.pulls_removed, {}, &Text::text);
}

bool says(const std::vector<WireRecord>& records, const std::vector<Wire>& wires) {
    return std::ranges::equal(records, wires, [](const WireRecord& record, const Wire& wire) {
        return record.from.text == wire.from && record.to.text == wire.to;
    });
}

std::string wires_as_toml(const std::vector<Wire>& wires) {
    if (wires.empty()) return "[]";
    std::string text = "[\n";
    for (const Wire& wire : wires)
        text += "    [" + toml_text(wire.from) + ", " + toml_text(wire.to) + "],\n";
    return text + ']';
}

}  // namespace

std::string written_link_name(const Value& link) {
    const auto first = [&](std::string_view key) -> std::string {
        const Entry* entry = link.find(key);
        if (!entry) return {};
        const Value& value = entry->value;
        return value.is(ValueKind::array) ? (value.items.empty() ? "" : value.items.front().text)
                                          : value.text;
    };
    return link.find("name") ? first("name") : first("from") + " to " + first("to");
}

Rewritten set_value(const BenchText& text, const std::vector<std::string>& path, const std::string& toml) {
    return rewrite(text, [&](const ParsedText& parsed) { return set_at(parsed, path, toml); });
}

Rewritten remove_value(const BenchText& text, const std::vector<std::string>& path) {
    return rewrite(text, [&](const ParsedText& parsed) { return remove_at(parsed, path); });
}

Rewritten add_rail(const BenchText& text, const std::string& name, const std::vector<NewEntry>& entries) {
    return rewrite(text,
                   [&](const ParsedText& parsed) { return add_named(parsed, {"rails"}, name, entries); });
}

Rewritten add_part(const BenchText& text, const std::string& name, const std::vector<NewEntry>& entries) {
    return rewrite(text,
                   [&](const ParsedText& parsed) { return add_named(parsed, {"parts"}, name, entries); });
}

Rewritten add_link(const BenchText& text, const std::vector<NewEntry>& entries) {
    return rewrite(text, [&](const ParsedText& parsed) { return add_to_links(parsed, entries); });
}

Rewritten choose_interface(const BenchText& text, std::string_view link, const std::string& circuit) {
    const Path path{"links", std::string(link), "interface"};
    return circuit.empty() ? remove_value(text, path) : set_value(text, path, toml_text(circuit));
}

Rewritten set_wiring(const BenchText& text, const GivenWiring& wiring) {
    const ParsedText parsed = parse_toml(text.bytes, text.file);
    Reader reader(parsed);
    const WiringRecord old = read(bench_file_shape(), parsed.root, reader).wiring.value_or(WiringRecord{});
    Rewritten result = std::string(text.bytes);
    const auto step = [&](const auto& change) {
        if (result) result = change(BenchText{std::string_view(*result), text.file});
    };
    if (!parsed.root.find("wiring") || !says(old.wires, wiring.wires))
        step([&](const BenchText& now) {
            return set_value(now, {"wiring", "wires"}, wires_as_toml(wiring.wires));
        });
    for (const Named<PartRecord>& part : old.parts) {
        const auto kept = std::ranges::find(wiring.parts, part.name, &BenchPart::name);
        if (kept == wiring.parts.end() || !says(part.value, *kept))
            step([&](const BenchText& now) { return remove_value(now, {"wiring", "parts", part.name}); });
    }
    for (const BenchPart& part : wiring.parts) {
        const auto known = std::ranges::find(old.parts, part.name, &Named<PartRecord>::name);
        if (known != old.parts.end() && says(known->value, part)) continue;
        step([&](const BenchText& now) {
            return rewrite(now, [&](const ParsedText& again) {
                return add_named(again, {"wiring", "parts"}, part.name, entries_of(part));
            });
        });
    }
    return result;
}

}  // namespace voltsill
