#include "faults/reading_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "quantity/parse.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

constexpr std::array<Behaviour, 7> all_behaviours{Behaviour::link_works,    Behaviour::works_when_touched,
                                              Behaviour::analyser_clean, Behaviour::works_alone,
                                              Behaviour::slow_only,     Behaviour::nothing_works,
                                              Behaviour::runs_hot};

struct BehaviourName {
    std::string_view text;
    SaidBehaviour said;
};

/// Longest first, so that "looks clean on an analyser but fails" is not "fails".
const std::vector<BehaviourName>& behaviour_names() {
    static const auto names = [] {
        std::vector<BehaviourName> out{{"does not work", {Behaviour::link_works, true}},
                                       {"fails", {Behaviour::link_works, true}}};
        for (const Behaviour b : all_behaviours) {
            out.push_back({to_word(b), {b}});
            out.push_back({to_key(b), {b}});
        }
        std::ranges::stable_sort(out, std::ranges::greater{}, [](const BehaviourName& n) { return n.text.size(); });
        return out;
    }();
    return names;
}

/// Before and behind a separator, without blanks; `behind` is empty where there is none.
constexpr std::string_view around_word = "around ", along_word = "wires of ", supply_word = "supply ";

struct Halves {
    std::string_view before, behind;
};
Halves halves(std::string_view text, std::size_t at, std::size_t length) {
    if (at == std::string_view::npos) return {without_blanks(text), {}};
    return {without_blanks(text.substr(0, at)), without_blanks(text.substr(at + length))};
}

/// One line on its way to a reading; offsets of its troubles count from the beginning of the line.
class LineReading {
  public:
    LineReading(Questions& questions, const ReadingNames& names, std::string_view line)
        : questions_(questions), names_(names), line_(line) {}

    Looked<Reading> read() {
        const std::string_view all = without_blanks(line_);
        const auto [left, right] = halves(all, all.find('='), 1);
        if (auto said = said_of(left, right)) return *said;
        for (const std::string_view word : {"not as planned", "as planned"})
            if (right.empty() && left.ends_with(word))
                return answered(ask_look(questions_, names_, without_blanks(left.substr(0, left.size() - word.size()))),
                                left, left.substr(left.size() - word.size()));
        if (right.empty())
            if (auto seen = seen_of(left)) return *seen;
        if (right.empty())
            return no_reading("no-answer", "this line says no reading",
                              "a reading such as \"U1.13 = 0.02 V when D4 high\"", offset_in(line_, all),
                              all.size());
        const auto [answer, when] = halves(right, right.rfind(" when "), 6);
        return asked(left, answer, when);
    }

  private:
    template <class T>
    Looked<T> here(Looked<T> looked, std::string_view piece) const {
        if (looked) return looked;
        return std::unexpected(shifted(looked.error(), offset_in(line_, piece)));
    }

    Looked<Reading> answered(Looked<int> question, std::string_view asked_of, std::string_view answer) const {
        if (!question) return std::unexpected(shifted(question.error(), offset_in(line_, asked_of)));
        return here(parse_answer(questions_, *question, answer), answer);
    }

    /// What the bench did: "tank echo works when touched", "U1 gets hot = no".
    std::optional<Looked<Reading>> said_of(std::string_view left, std::string_view right) {
        const auto found = std::ranges::find_if(behaviour_names(), [&](const BehaviourName& n) {
            if (!left.ends_with(n.text)) return false;
            const std::string_view who = left.substr(0, left.size() - n.text.size());
            return n.said.what == Behaviour::nothing_works ? without_blanks(who).empty() : who.ends_with(' ');
        });
        if (found == behaviour_names().end()) return std::nullopt;
        const std::string_view who = without_blanks(left.substr(0, left.size() - found->text.size()));
        int of = -1;
        if (found->said.what != Behaviour::nothing_works) {
            const auto looked = here(is_of_link(found->said.what) ? names_.link(who) : names_.part(who), who);
            if (!looked) return std::unexpected(looked.error());
            of = *looked;
        }
        const int question = questions_.behaviour(found->said.what, of);
        auto reading = right.empty() ? Looked<Reading>(Reading{.question = question, .kind = Reading::Kind::yes})
                                     : answered(question, left, right);
        if (reading && found->said.fails)
            reading->kind = reading->kind == Reading::Kind::yes ? Reading::Kind::no : Reading::Kind::yes;
        return reading;
    }

    /// What a look showed, without the sign between: "wire 26 missing", "U2 turned", "wire 26 in 19t". Behind a wire
    /// there is always such an answer; behind a name only where it is one, since links have names as well.
    std::optional<Looked<Reading>> seen_of(std::string_view left) {
        const bool wire = left.starts_with("wire ");
        const std::size_t named = wire                            ? left.find_first_not_of(' ', 5)
                                  : left.starts_with(around_word) ? around_word.size()
                                                                  : 0;
        const std::size_t gap = named == std::string_view::npos ? named : left.find(' ', named);
        if (gap == std::string_view::npos) return std::nullopt;
        const auto [who, answer] = halves(left, gap, 1);
        if (!wire && (named >= who.size() || !names_.is_part(without_blanks(who.substr(named))))) return std::nullopt;
        auto seen = answered(ask_look(questions_, names_, who), who, answer);
        if (!wire && !seen) return std::nullopt;
        return seen;
    }

    Looked<Reading> asked(std::string_view what, std::string_view answer, std::string_view when) {
        const auto after = [&](std::string_view word) { return without_blanks(what.substr(word.size())); };
        const bool says_look =
            what.starts_with("wire ") || what.starts_with(around_word) || what.starts_with(along_word);
        if (says_look || (names_.is_part(what) && (!is_measured(answer) || !names_.point(what))))
            return answered(ask_look(questions_, names_, what), what, answer);
        if (constexpr std::string_view dips = "dips at "; what.starts_with(dips)) {
            const auto part = here(names_.part(after(dips)), after(dips));
            if (!part) return std::unexpected(part.error());
            return answered(questions_.ripple(*part), what, answer);
        }
        if (constexpr std::string_view rise = "rise time at "; what.starts_with(rise)) {
            const auto [at, link] = halves(after(rise), after(rise).find(" of "), 4);
            return answered(ask_rise_time(questions_, names_, at, link), at, answer);
        }
        if (const auto to = what.find(" to "); to != std::string_view::npos) return ohms(what, to, answer, when);
        BenchState state;
        if (!when.empty()) {
            const auto said = here(names_.state(when), when);
            if (!said) return std::unexpected(said.error());
            state = *said;
        }
        return answered(ask_volts(questions_, names_, what, state), what, answer);
    }

    Looked<Reading> ohms(std::string_view what, std::size_t to, std::string_view answer, std::string_view when) {
        const auto [from, against] = halves(what, to, 4);
        const auto a = here(names_.point(from), from), b = here(names_.point(against), against);
        if (!a || !b) return std::unexpected(a ? b.error() : a.error());
        if (*a == *b)
            return no_reading("same-point", "both leads are on one point", "two points",
                              offset_in(line_, against), against.size());
        const auto state = when.empty() ? BenchState{.powered = false} : names_.state(when).value_or(BenchState{});
        if (state.powered)
            return no_reading("power-on", "resistance is measured with everything off", "no \"when\"",
                              offset_in(line_, when), when.size());
        return answered(questions_.ohms(*a, *b), what, answer);
    }

    static bool is_measured(std::string_view answer) {
        return parse<Volts>(answer).has_value() || parse<Ohms>(answer).has_value();
    }

    Questions& questions_;
    const ReadingNames& names_;
    std::string_view line_;
};

}  // namespace

bool is_time(std::string_view text) { return parse<Seconds>(text).has_value(); }

Looked<SaidBehaviour> behaviour_words(std::string_view text) {
    std::vector<std::string> words;
    for (const BehaviourName& n : behaviour_names()) {
        if (n.text == text) return n.said;
        words.emplace_back(n.text);
    }
    std::string expected;
    for (const Behaviour b : all_behaviours)
        expected += fmt::format("{}\"{}\"", expected.empty() ? "" : ", ", to_word(b));
    return no_reading("unknown-behaviour", in_quotes(text) + " is nothing a bench is known to do", expected, 0,
                      text.size(), nearest_name(text, words));
}

Looked<int> ask_volts(Questions& questions, const ReadingNames& names, std::string_view at,
                      const BenchState& state) {
    if (at.starts_with(supply_word)) {
        const std::string_view who = without_blanks(at.substr(supply_word.size()));
        const auto rail = names.supply(who);
        return rail ? Looked<int>(questions.supply_alone(*rail))
                    : Looked<int>(std::unexpected(shifted(rail.error(), offset_in(at, who))));
    }
    auto point = names.point(at);
    if (!point) return point;
    if (const ProbePoint& post = questions.points()[*point]; post.is_post())
        return no_reading("post-without-volts", fmt::format("no volts are asked at {}", in_quotes(post.label)),
                          fmt::format("\"supply {}\", with nothing joined to it, or ohms along its lead", post.rail), 0,
                          at.size(), "supply " + post.rail);
    if (!state.powered)
        return no_reading("power-off", "with everything off there are no volts to read",
                          "ohms between two points, or a state with power", 0, at.size());
    return questions.volts(*point, questions.state(state));
}

Looked<int> ask_rise_time(Questions& questions, const ReadingNames& names, std::string_view at,
                          std::string_view link) {
    const auto point = names.point(at);
    if (!point) return point;
    if (!link.empty()) {
        const auto of = names.link(link);
        return of ? Looked<int>(questions.rise_time(*of, *point))
                  : Looked<int>(std::unexpected(shifted(of.error(), offset_in(at, link))));
    }
    const ProbePoint& probe = questions.points()[*point];
    const auto& links = questions.bench().links;
    for (std::size_t l = 0; l < links.size(); ++l)
        for (const PinRef& end : links[l].to)
            if (const int part = questions.build().wiring.part(end.part);
                part >= 0 && part == probe.part &&
                questions.build().wiring.parts[part].type->pin_index(end.pin) == probe.pin)
                return questions.rise_time(static_cast<int>(l), *point);
    return no_reading("no-link", fmt::format("no link ends at {}: say which one runs", probe.label),
                      "the link, such as \"of tank echo\"", 0, at.size());
}

Looked<int> ask_look(Questions& questions, const ReadingNames& names, std::string_view what) {
    if (what.starts_with(around_word)) {
        const std::string_view who = without_blanks(what.substr(around_word.size()));
        const auto part = names.part(who);
        return part ? Looked<int>(questions.look_around(*part))
                    : Looked<int>(std::unexpected(shifted(part.error(), offset_in(what, who))));
    }
    if (what.starts_with(along_word)) {
        const std::string_view who = without_blanks(what.substr(along_word.size()));
        const auto rail = names.rail(who);
        return rail ? Looked<int>(questions.look_along(*rail))
                    : Looked<int>(std::unexpected(shifted(rail.error(), offset_in(what, who))));
    }
    if (names.is_part(what)) return questions.look_at_part(*names.part(what));
    if (!what.starts_with("wire ")) return names.part(what);
    const auto wire = names.wire(what);
    return wire ? Looked<int>(questions.look_at_wire(*wire)) : wire;
}

Looked<Reading> read_line(Questions& questions, const ReadingNames& names, std::string_view text) {
    return LineReading(questions, names, text).read();
}

}  // namespace voltsill
