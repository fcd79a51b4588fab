/// A new name for a rail, a part or a link, wherever the file says the old one.
#include <algorithm>

#include "bench/bench_records.h"
#include "bench/rewrite.h"
#include "quantity/scan.h"
#include "records/statements.h"

namespace voltsill {
namespace {

using Names = std::vector<std::string>;

/// A pattern of steps from the root: "*" stands for any one name or any item of a list.
using Steps = std::vector<std::string_view>;

bool fits(const Steps& pattern, const Names& path) {
    return std::ranges::equal(pattern, path, [](std::string_view wanted, const std::string& step) {
        return wanted == "*" || wanted == step;
    });
}

/// How a text names the thing: alone, as "rail NAME", or as "NAME.PIN".
enum class Mention { alone, after_rail, before_point };
struct Where {
    Steps at;
    Mention how;
};

const std::vector<Where>& mentions(NamedThing kind) {
    static const std::vector<Where> rails{{{"parts", "*", "supply"}, Mention::alone},
                                          {{"parts", "*", "supplies", "*"}, Mention::alone},
                                          {{"wiring", "wires", "*", "*"}, Mention::after_rail}};
    static const std::vector<Where> parts{{{"links", "*", "from"}, Mention::before_point},
                                          {{"links", "*", "from", "*"}, Mention::before_point},
                                          {{"links", "*", "to"}, Mention::before_point},
                                          {{"links", "*", "to", "*"}, Mention::before_point},
                                          {{"rails", "*", "from"}, Mention::before_point},
                                          {{"wiring", "wires", "*", "*"}, Mention::before_point}};
    static const std::vector<Where> links{{{"links", "*", "name"}, Mention::alone}};
    return kind == NamedThing::rail ? rails : kind == NamedThing::part ? parts : links;
}

/// Tables whose keys are the names.
const std::vector<Steps>& homes(NamedThing kind) {
    static const std::vector<Steps> rails{{"rails"}}, parts{{"parts"}, {"wiring", "parts"}}, links;
    return kind == NamedThing::rail ? rails : kind == NamedThing::part ? parts : links;
}

std::optional<std::string> renamed(Mention how, const std::string& text, const std::string& from,
                                   const std::string& to) {
    switch (how) {
        case Mention::alone:
            if (text == from) return to;
            break;
        case Mention::after_rail:
            if (text == "rail " + from) return "rail " + to;
            break;
        case Mention::before_point:
            if (text.starts_with(from + '.')) return to + text.substr(from.size());
            break;
    }
    return std::nullopt;
}

class Renaming {
  public:
    Renaming(const ParsedText& parsed, NamedThing kind, const std::string& from, const std::string& to)
        : parsed_(parsed), kind_(kind), from_(from), to_(to) {}

    std::vector<TextEdit> run() {
        Names path;
        values(parsed_.root, path);
        keys();
        return std::move(edits_);
    }

  private:
    void values(const Value& value, Names& path) {
        if (value.is(ValueKind::string))
            for (const Where& where : mentions(kind_))
                if (fits(where.at, path))
                    if (const auto text = renamed(where.how, value.text, from_, to_))
                        edits_.push_back(replace_value(value, toml_text(*text)));
        const auto below = [&](const std::string& step, const Value& inner) {
            path.push_back(step);
            values(inner, path);
            path.pop_back();
        };
        for (const Entry& entry : value.entries) below(entry.name, entry.value);
        for (const Value& item : value.items) below("", item);
    }

    /// A name may stand in several headers and dotted keys, of which the tree keeps the first.
    void keys() {
        const Source& source = *parsed_.source;
        Names section;
        for (const Statement& statement :
             scan_statements(source, source.text(), deepest_nesting, most_values).statements) {
            if (statement.is_header()) {
                section.clear();
                key(statement.key, section);
            } else {
                pair(statement.key, statement.value, section);
            }
        }
    }

    void pair(const KeyPath& key_path, const WrittenValue& value, Names path) {
        key(key_path, path);
        for (const WrittenPair& inner : value.pairs) pair(inner.key, inner.value, path);
    }

    void key(const KeyPath& key_path, Names& path) {
        for (const KeyPart& part : key_path) {
            const bool home = std::ranges::any_of(homes(kind_), [&](const Steps& at) { return fits(at, path); });
            if (home && part.name == from_) edits_.push_back({part.spot.begin, part.spot.end, toml_key(to_)});
            path.push_back(part.name);
        }
    }

    const ParsedText& parsed_;
    NamedThing kind_;
    const std::string &from_, &to_;
    std::vector<TextEdit> edits_;
};

Names names_of(const ParsedText& parsed, NamedThing kind) {
    Names names;
    if (kind == NamedThing::link) {
        const Entry* links = parsed.root.find("links");
        if (links)
            for (const Value& link : links->value.items) names.push_back(written_link_name(link));
        return names;
    }
    for (const Steps& steps : homes(kind)) {
        const Value* table = &parsed.root;
        for (const std::string_view step : steps) {
            const Entry* entry = table ? table->find(step) : nullptr;
            table = entry ? &entry->value : nullptr;
        }
        if (table)
            for (const Entry& entry : table->entries) names.push_back(entry.name);
    }
    return names;
}

}  // namespace

Rewritten rename(const BenchText& text, NamedThing kind, const std::string& from, const std::string& to) {
    const ParsedText parsed = parse_toml(text.bytes, text.file);
    if (!parsed.problems.empty()) return std::unexpected(parsed.problems);
    const Names names = names_of(parsed, kind);
    const auto refused = [&](const char* code, const std::string& message, std::string nearest) {
        return std::unexpected(Problems{
            {.code = code, .place = {.file = text.file}, .message = message, .nearest = std::move(nearest)}});
    };
    if (std::ranges::find(names, from) == names.end())
        return refused("unknown-name", "there is no " + in_quotes(from), nearest_name(from, names));
    if (from == to) return std::string(text.bytes);
    if (std::ranges::find(names, to) != names.end())
        return refused("duplicate-name", in_quotes(to) + " is there already", {});
    // A link without a name of its own is called after its pins.
    std::vector<TextEdit> edits = Renaming(parsed, kind, from, to).run();
    if (edits.empty()) return set_value(text, {"links", from, "name"}, toml_text(to));
    return apply(*parsed.source, std::move(edits));
}

}  // namespace voltsill
