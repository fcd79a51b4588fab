/// States as people write them: "controller.D4 high, usb off".
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "faults/reading_names.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

constexpr std::array<std::string_view, 5> state_verbs{"high", "low", "off", "on", "up"};
constexpr std::array<std::string_view, 3> off_words{"power off", "everything off", "all off"};
constexpr std::array<std::string_view, 6> rest_words{"",           "power on", "at rest", "power on, nothing told",
                                                     "nothing told", "all rails up"};

bool between_words(char c) { return c == ' ' || c == ','; }
bool ends_word(std::string_view text, std::size_t at) { return at >= text.size() || between_words(text[at]); }

/// Blanks, commas and the word "and".
std::size_t skip_between(std::string_view text, std::size_t at) {
    for (;;) {
        while (at < text.size() && between_words(text[at])) ++at;
        if (!text.substr(at).starts_with("and ")) return at;
        at += 4;
    }
}

std::string_view verb_at(std::string_view text, std::size_t at) {
    for (const std::string_view verb : state_verbs)
        if (text.substr(at).starts_with(verb) && ends_word(text, at + verb.size())) return verb;
    return {};
}

/// A name, and then a word that is none of those that may follow it.
std::unexpected<ReadingTrouble> no_verb(std::string_view text, std::size_t at, std::size_t shift) {
    std::size_t end = at;
    while (!ends_word(text, end)) ++end;
    const std::string_view word = text.substr(at, end - at);
    return no_reading("no-level", in_quotes(word) + " is nothing a pin, link or rail can be",
                      "\"high\" or \"low\" of a pin or link, \"off\" of a rail", shift + at, word.size(),
                      nearest_name(word, {state_verbs.begin(), state_verbs.end()}));
}

}  // namespace

const ReadingNames::StateName* ReadingNames::longest_at(std::string_view text, std::size_t at) const {
    const std::string_view rest = text.substr(at);
    const auto found = std::ranges::find_if(state_names_, [&](const StateName& n) {
        return !n.name.empty() && rest.starts_with(n.name) && ends_word(rest, n.name.size());
    });
    return found == state_names_.end() ? nullptr : &*found;
}

ReadingTrouble ReadingNames::unknown_at(std::string_view text, std::size_t at) const {
    std::size_t end = std::min(text.find(',', at), text.size());
    for (std::size_t k = at; k < end; ++k)
        if (text[k] == ' ' && !verb_at(text, k + 1).empty()) end = k;
    const std::string_view name = without_blanks(text.substr(at, end - at));
    std::vector<std::string> names;
    for (const StateName& n : state_names_) names.push_back(n.name);
    return no_reading("unknown-name", "there is no pin, rail or link " + in_quotes(name),
                      "states such as \"gauge.ECHO high\", \"usb off\" or \"power off\"", at, name.size(),
                      nearest_name(name, names))
        .error();
}

void ReadingNames::take_down(int rail, BenchState& state) const {
    const std::vector<Rail>& rails = questions_.bench().rails;
    const auto group = [](const Rail& r) { return r.switch_group.empty() ? r.name : r.switch_group; };
    for (const Rail& r : rails)
        if (group(r) == group(rails[rail]) && std::ranges::find(state.down, r.name) == state.down.end())
            state.down.push_back(r.name);
}

Looked<bool> ReadingNames::tell(std::string_view name, const StateName& found, bool high,
                                BenchState& state) const {
    const WiredPart& part = questions_.build().wiring.parts[found.part];
    if (found.pin < 0) return no_reading("not-a-driver", in_quotes(name) + " is driven by nothing");
    const Pin& pin = part.type->pins[found.pin];
    const std::string full = part.name + "." + pin.name;
    const auto has = [&](const std::vector<PinRef>& ends) {
        return std::ranges::any_of(ends, [&](const PinRef& r) { return r.part == part.name && r.pin == pin.name; });
    };
    const auto& links = questions_.bench().links;
    const bool drives = std::ranges::any_of(links, [&](const Link& l) {
        return has(l.from) || (l.kind != LinkKind::logic && has(l.to));
    });
    const auto read = std::ranges::find_if(links, [&](const Link& l) { return has(l.to) && !l.from.empty(); });
    if (!drives && read != links.end())
        return no_reading("not-a-driver", fmt::format("{} reads \"{}\"; say what its driver does", full, read->name),
                          "the driver of the link", 0, name.size(),
                          read->from.front().part + "." + read->from.front().pin);
    if (part.added || !can_be_told(pin))
        return no_reading("not-a-driver", full + " cannot be told a level: it follows others",
                          "the driver of a link", 0, name.size());
    const auto told =
        std::ranges::find_if(state.told, [&](const Told& t) { return t.part == part.name && t.pin == pin.name; });
    if (told != state.told.end() && told->high != high)
        return no_reading("contradiction", full + " is said to be high and low", "one of them", 0, name.size());
    if (told == state.told.end()) state.told.push_back({part.name, pin.name, high});
    return true;
}

Looked<bool> ReadingNames::apply(std::string_view text, const Said& said, std::string_view verb,
                                 BenchState& state) const {
    const std::string_view name = text.substr(said.at, said.length);
    const bool of_rail = verb != "high" && verb != "low";
    const auto found = std::ranges::find_if(
        state_names_, [&](const StateName& n) { return n.name == name && (n.rail >= 0) == of_rail; });
    if (found == state_names_.end())
        return no_reading("wrong-level",
                          fmt::format("{} is no word for {}", in_quotes(verb), in_quotes(name)),
                          of_rail ? "\"high\" or \"low\" of a pin or link" : "\"off\" or \"on\" of a rail",
                          said.at, said.length);
    if (of_rail) {
        if (verb == "off") take_down(found->rail, state);
        return true;
    }
    auto told = tell(name, *found, verb == "high", state);
    if (!told) return std::unexpected(shifted(told.error(), said.at));
    return true;
}

Looked<BenchState> ReadingNames::state(std::string_view given) const {
    const std::string_view text = without_blanks(given);
    BenchState state;
    if (std::ranges::find(rest_words, text) != rest_words.end()) return state;
    if (std::ranges::find(off_words, text) != off_words.end()) return BenchState{.powered = false};
    const std::size_t shift = offset_in(given, text);
    std::vector<Said> waiting;
    for (std::size_t at = skip_between(text, 0); at < text.size(); at = skip_between(text, at)) {
        const StateName* name = longest_at(text, at);
        if (!name && !waiting.empty()) return no_verb(text, at, shift);
        if (!name) return std::unexpected(shifted(unknown_at(text, at), shift));
        waiting.push_back({at, name->name.size()});
        at = skip_between(text, at + name->name.size());
        const std::string_view verb = at < text.size() ? verb_at(text, at) : std::string_view{};
        if (verb.empty()) continue;
        at += verb.size();
        for (const Said& said : waiting)
            if (auto done = apply(text, said, verb, state); !done)
                return std::unexpected(shifted(done.error(), shift));
        waiting.clear();
    }
    if (!waiting.empty())
        return no_reading("no-level",
                          "what of " + in_quotes(text.substr(waiting.front().at, waiting.front().length)) + '?',
                          "\"high\" or \"low\" of a pin or link, \"off\" of a rail", shift + waiting.front().at,
                          waiting.front().length);
    return state;
}

}  // namespace voltsill
