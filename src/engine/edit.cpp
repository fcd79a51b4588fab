#include "engine/edit.h"

#include <fmt/format.h>

#include <algorithm>

#include "bench/rewrite.h"
#include "engine/engine.h"
#include "engine/json_pieces.h"

namespace voltsill {
namespace {

Problem bad_edit(std::string message, std::string expected = {}) {
    return {.code = "bad-edit", .message = std::move(message), .expected = std::move(expected)};
}

/// What an edit asks for; whatever is missing or of the wrong kind is told once the edit is read.
class Asked {
  public:
    explicit Asked(const Json& edit) : edit_(edit) {}

    std::string text(const char* key) {
        const Json* value = find(key);
        if (value && value->is_string()) return value->get<std::string>();
        want(key, "text");
        return {};
    }
    /// Null or absent: empty.
    std::string text_or_null(const char* key) {
        const Json* value = find(key);
        return !value || value->is_null() ? std::string() : text(key);
    }
    std::vector<std::string> path() {
        std::vector<std::string> out;
        const Json* value = find("path");
        bool good = value && value->is_array() && !value->empty();
        if (good)
            for (const Json& step : *value) {
                good &= step.is_string();
                if (good) out.push_back(step.get<std::string>());
            }
        if (!good) want("path", "a list of names");
        return out;
    }
    std::string value() {
        const Json* value = find("value");
        if (value && !value->is_null()) return toml(*value);
        want("value", "text, a number, true, false, a list or a table");
        return {};
    }
    std::vector<NewEntry> entries() {
        std::vector<NewEntry> out;
        const Json* value = find("entries");
        if (!value || !value->is_object())
            want("entries", "a table");
        else
            for (const auto& [name, entry] : value->items()) out.push_back({name, toml(entry)});
        return out;
    }
    NamedThing kind() {
        const std::string word = text("kind");
        if (word == "rail") return NamedThing::rail;
        if (word == "part") return NamedThing::part;
        if (word != "link") want("kind", "\"rail\", \"part\" or \"link\"");
        return NamedThing::link;
    }
    const Problems& missing() const { return missing_; }

  private:
    const Json* find(const char* key) const {
        const auto at = edit_.find(key);
        return at == edit_.end() ? nullptr : &*at;
    }
    void want(const char* key, const char* what) {
        missing_.push_back(bad_edit(fmt::format("this edit needs \"{}\"", key), what));
    }
    std::string toml(const Json& value, int depth = 0) {
        if (depth > deepest_nesting) {
            missing_.push_back(bad_edit("this value is nested too deep"));
            return {};
        }
        if (value.is_string()) return toml_text(value.get<std::string>());
        if (value.is_array()) {
            std::string items;
            for (const Json& item : value) items += (items.empty() ? "" : ", ") + toml(item, depth + 1);
            return '[' + items + ']';
        }
        if (value.is_object()) {
            std::string pairs;
            for (const auto& [key, item] : value.items())
                pairs += (pairs.empty() ? " " : ", ") + toml_key(key) + " = " + toml(item, depth + 1);
            return '{' + pairs + (pairs.empty() ? "}" : " }");
        }
        if (value.is_null()) missing_.push_back(bad_edit("TOML has no value for null"));
        return value.dump();
    }

    const Json& edit_;
    Problems missing_;
};

/// The text an edit works on.
struct Desk {
    BenchText text;
    const Includer& include;
};

Rewritten take_plan(const Desk& desk) {
    PlanResult planned = make_plan(desk.text.bytes, desk.text.file, desk.include);
    if (!planned.bench) return std::unexpected(std::move(planned.problems));
    return wired_bench(desk.text.bytes, desk.text.file, planned.plan.wiring);
}

/// Reads all it needs first; nothing is changed when something is missing.
template <class Change>
Rewritten when_complete(const Asked& asked, const Change& change) {
    if (!asked.missing().empty()) return std::unexpected(asked.missing());
    return change();
}

template <auto add>
Rewritten add_named_thing(const Desk& desk, Asked& asked) {
    const std::string name = asked.text("name");
    const auto entries = asked.entries();
    return when_complete(asked, [&] { return add(desk.text, name, entries); });
}

struct Verb {
    const char* word;
    Rewritten (*make)(const Desk& desk, Asked& asked);
};

const Verb verbs[] = {
    {"set",
     [](const Desk& desk, Asked& asked) {
         const auto path = asked.path();
         const std::string value = asked.value();
         return when_complete(asked, [&] { return set_value(desk.text, path, value); });
     }},
    {"remove",
     [](const Desk& desk, Asked& asked) {
         const auto path = asked.path();
         return when_complete(asked, [&] { return remove_value(desk.text, path); });
     }},
    {"add-rail", add_named_thing<add_rail>},
    {"add-part", add_named_thing<add_part>},
    {"add-link",
     [](const Desk& desk, Asked& asked) {
         const auto entries = asked.entries();
         return when_complete(asked, [&] { return add_link(desk.text, entries); });
     }},
    {"choose",
     [](const Desk& desk, Asked& asked) {
         const std::string link = asked.text("link"), circuit = asked.text_or_null("circuit");
         return when_complete(asked, [&] { return choose_interface(desk.text, link, circuit); });
     }},
    {"rename",
     [](const Desk& desk, Asked& asked) {
         const NamedThing kind = asked.kind();
         const std::string from = asked.text("from"), to = asked.text("to");
         return when_complete(asked, [&] { return rename(desk.text, kind, from, to); });
     }},
    {"take-plan", [](const Desk& desk, Asked&) { return take_plan(desk); }},
    {"drop-wiring", [](const Desk& desk, Asked&) { return remove_value(desk.text, {"wiring"}); }},
};

Rewritten make_edit(const Desk& desk, const Json& edit) {
    std::vector<std::string> words;
    std::string listed;
    for (const Verb& verb : verbs) {
        words.emplace_back(verb.word);
        listed += (listed.empty() ? "one of " : ", ") + words.back();
    }
    Asked asked(edit);
    const std::string word = edit.is_object() ? asked.text("do") : "";
    const auto verb = std::ranges::find(verbs, word, &Verb::word);
    if (verb != std::end(verbs)) return verb->make(desk, asked);
    Problem problem = bad_edit(fmt::format("there is no edit \"{}\"", word), listed);
    problem.nearest = nearest_name(word, words);
    return std::unexpected(Problems{std::move(problem)});
}

}  // namespace

EditResult edit_bench(std::string_view bytes, const std::string& file, const Includer& include,
                      std::string_view edits_json) {
    const Json edits = Json::parse(edits_json, nullptr, false);
    if (!edits.is_array()) return {.problems = {bad_edit("these are no edits", "a list of edits as JSON")}};
    std::string text(bytes);
    for (const Json& edit : edits) {
        Rewritten next = make_edit({{text, file}, include}, edit);
        if (!next) return {.problems = std::move(next.error())};
        text = std::move(*next);
    }
    return {.text = std::move(text)};
}

std::string to_json(const EditResult& result) {
    Json out = document_head("voltsill-edit-1", result.text.has_value(), result.problems);
    out["text"] = result.text ? Json(*result.text) : Json(nullptr);
    return written(out);
}

}  // namespace voltsill
