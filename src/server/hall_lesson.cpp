#include "server/hall_lesson.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

#include "documents/report_pieces.h"
#include "engine/json_pieces.h"
#include "quantity/hand_meter.h"
#include "quantity/parse.h"
#include "quantity/print.h"
#include "wiring/part_words.h"

namespace voltsill::server {
namespace {

constexpr double no_end = std::numeric_limits<double>::infinity();

const char* set_word(char set) {
    switch (set) {
        case '0':
            return "low";
        case '1':
            return "high";
        default:
            return "released";
    }
}

std::string amps_text(double lo, double hi) { return fmt::format("{} to {}", print(Amps{lo}), print(Amps{hi})); }

/// As the sheets state their windows (documents/sheets_ohms.h): joined is below 1 Ω, apart is over the lowest.
LessonCheck of_ohms(const OhmCheck& c, std::size_t number) {
    const bool joined = c.kind == OhmCheck::Kind::joined;
    const bool no_top = c.window.open() || c.kind == OhmCheck::Kind::rail || c.window.hi >= meter_open.si();
    return {.id = fmt::format("ohm-{}", number),
            .gate = 1,
            .kind = CheckKind::ohms,
            .what = c.kind == OhmCheck::Kind::part ? c.from : fmt::format("{} to {}", c.from, c.to),
            .lo = joined ? 0 : c.window.open() ? meter_open.si() : c.window.lo,
            .hi = joined ? 1 : no_top ? no_end : c.window.hi,
            .expected = window_words(c),
            .wrong = c.wrong,
            .ohm = static_cast<int>(number) - 1};
}

/// The highest voltage of the rail that a supply of a part hangs on; 0: none.
Volts highest_supply(const SheetsResult& made, const WiredPart& part, int supply) {
    for (std::size_t k = 0; k < part.net_of_pin.size(); ++k) {
        const Pin& pin = part.type->pins[k];
        if (pin.role != PinRole::supply || pin.supply != supply || part.net_of_pin[k] == unconnected) continue;
        if (const Rail* rail = made.bench->rail(made.sheets.wiring().nets[part.net_of_pin[k]].rail))
            return rail->volts.span.hi;
    }
    return {};
}

/// What stands the least on this net: by supplies of parts on a rail, by signal pins on any other.
void take_what_it_stands(const SheetsResult& made, NetId net, LessonCheck& check) {
    const bool of_supplies = !made.sheets.wiring().nets[net].rail.empty();
    for (const WiredPart& part : made.sheets.wiring().parts)
        for (std::size_t k = 0; k < part.net_of_pin.size(); ++k) {
            const Pin& pin = part.type->pins[k];
            if (part.net_of_pin[k] != net || of_supplies != (pin.role == PinRole::supply) || pin.supply < 0) continue;
            double most = no_end;
            if (of_supplies) most = part.type->supplies[pin.supply].max.si();
            else if (pin.max) most = pin.max->at(highest_supply(made, part, pin.supply)).si();
            if (most <= 0 || most >= check.stands) continue;
            check.stands = most;
            check.stands_at = pin_label(part, static_cast<int>(k));
        }
}

NetId net_named(const Wiring& wiring, const std::function<bool(const Net&)>& is) {
    const auto at = std::ranges::find_if(wiring.nets, is);
    return at == wiring.nets.end() ? unconnected : static_cast<NetId>(at - wiring.nets.begin());
}

std::string ordinal(int turn) {
    static constexpr const char* names[] = {"first", "second", "third", "fourth"};
    return turn <= 4 ? names[turn - 1] : fmt::format("as number {}", turn);
}

/// In the order in which they are switched on, each with the limit its supply is set to.
void power_checks(const SheetsResult& made, std::vector<LessonCheck>& out) {
    std::vector<std::pair<int, const Rail*>> rails;
    int place = 0;
    for (const PowerStep& step : made.sheets.order.steps) {
        ++place;
        for (const std::string& name : step.rails)
            if (const Rail* rail = made.bench->rail(name)) rails.emplace_back(place, rail);
    }
    for (const Rail& rail : made.bench->rails)  // of an order that could not be found
        if (std::ranges::find(rails, &rail, &std::pair<int, const Rail*>::second) == rails.end())
            rails.emplace_back(place + 1, &rail);
    for (const auto& [turn, known] : rails) {
        const Rail& rail = *known;
        const auto drawn = std::ranges::find(made.sheets.currents, rail.name, &RailCurrent::rail);
        const bool limited = drawn != made.sheets.currents.end() && drawn->source;
        const double lo = rail.volts.span.lo.si(), hi = rail.volts.span.hi.si();
        out.push_back({.id = "rail-" + rail.name, .gate = 2, .kind = CheckKind::volts,
                       .what = fmt::format("switched on {}: rail {} to ground{}", ordinal(turn), rail.name,
                                           limited ? fmt::format(", its supply limited to {}",
                                                                 print(Amps{limit_to_set(*drawn, rail)}))
                                                   : ""),
                       .lo = lo, .hi = hi,
                       .expected = meter_words(lo, hi),
                       .wrong = "Below: the supply is at its limit, off at once. Above: the supply is set wrong.",
                       .rail = rail.name});
        const NetId net = net_named(made.sheets.wiring(), [&](const Net& n) { return n.rail == rail.name; });
        if (net != unconnected) take_what_it_stands(made, net, out.back());
    }
    for (const RailCurrent& c : made.sheets.currents)
        if (c.source && c.hi > 1e-6)  // less does not show on a meter
            out.push_back({.id = "current-" + c.rail, .gate = 2, .kind = CheckKind::amps,
                           .what = "current out of " + c.rail + ", all rails up", .lo = c.lo, .hi = c.hi,
                           .expected = amps_text(c.lo, c.hi),
                           .wrong = "Below: a rail that does not reach its parts. Above: a short, a package the wrong "
                                    "way round, two outputs that fight.",
                           .rail = c.rail});
}

void level_checks(const SheetsResult& made, std::vector<LessonCheck>& out) {
    const std::vector<LinkReading>& levels = made.sheets.levels;
    std::vector<LessonCheck> function;
    for (std::size_t k = 0; k < levels.size(); ++k) {
        const LinkReading& r = levels[k];
        const StateReading& reading = r.reading;
        const bool floats = reading.level == 'Z';
        if (!r.receiver || r.set == 'A' || !std::isfinite(reading.lo) || !std::isfinite(reading.hi)) continue;
        const int index = static_cast<int>(k);
        out.push_back({.id = fmt::format("level-{}", k + 1), .gate = 3, .kind = CheckKind::volts,
                       .what = fmt::format("{} {}: read {}", r.driver, set_word(r.set), reading.point), .link = r.link,
                       .lo = reading.lo, .hi = reading.hi, .floats = floats,
                       .expected = floats ? "floats" : meter_words(reading.lo, reading.hi),
                       .reading = index});
        const NetId net = net_named(made.sheets.wiring(), [&](const Net& n) { return n.name == reading.net; });
        if (net != unconnected) take_what_it_stands(made, net, out.back());
        if (reading.level == '0' || reading.level == '1')
            function.push_back({.id = fmt::format("function-{}", k + 1), .gate = 4, .kind = CheckKind::level,
                                .what = fmt::format("the program sets {} {}: what {} shows", r.driver, set_word(r.set),
                                                    reading.point),
                                .link = r.link, .level = reading.level,
                                .expected = reading.level == '1' ? "high" : "low", .reading = index});
    }
    out.insert(out.end(), function.begin(), function.end());
}

std::string words_of(const Lesson& lesson, const BuildStep& step) {
    if (step.wire == 0) return step.text;
    const BuildWire& wire = lesson.wire(step.wire);
    return fmt::format("Wire {} from {} to {}{}", step.wire, wire.from, wire.to,
                       wire.colour.empty() ? "" : ", " + wire.colour);
}

std::string more_of(const Lesson& lesson, const BuildStep& step) {
    return step.wire == 0 ? step.more : lesson.wire(step.wire).reason;
}

std::vector<std::string> ends_of(const SheetsResult& made) {
    std::vector<std::string> out{"ground"};
    for (const Rail& rail : made.bench->rails) {
        if (!rail.from.empty()) continue;
        out.push_back(fmt::format("supply {} +", rail.name));
        out.push_back(fmt::format("supply {} 0 V", rail.name));
    }
    for (const WiredPart& part : made.sheets.wiring().parts)
        for (const Pin& pin : part.type->pins) out.push_back(part.name + "." + pin.name);
    return out;
}

Dimension dimension_of(CheckKind kind) {
    switch (kind) {
        case CheckKind::ohms:
            return Dimension::resistance;
        case CheckKind::amps:
            return Dimension::current;
        default:
            return Dimension::voltage;
    }
}

/// What a hand-held meter adds to its reading, leads and contacts included (common practice, no source).
double meter_error(CheckKind kind, double value) {
    if (!std::isfinite(value)) return 0;
    switch (kind) {
        case CheckKind::ohms:
            return 0.5 + 0.02 * std::abs(value);
        case CheckKind::amps:
            return 0.2e-3 + 0.02 * std::abs(value);
        default:
            return hand_meter::volts_floor.si() + hand_meter::volts_share * std::abs(value);
    }
}

std::string small_and_trimmed(const std::string& typed) {
    std::string out;
    for (const char c : typed) out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    out.erase(0, std::min(out.size(), out.find_first_not_of(" \t")));
    out.erase(out.find_last_not_of(" \t") + 1);
    return out;
}

bool one_of(const std::string& word, std::initializer_list<std::string_view> words) {
    return std::ranges::find(words, word) != words.end();
}

Entry level_entry(const LessonCheck& check, const std::string& word) {
    const bool high = one_of(word, {"1", "high", "on"}), low = one_of(word, {"0", "low", "off"});
    if (!high && !low) return {.trouble = "write high or low"};
    return {.value = high ? 1.0 : 0.0, .correct = (check.level == '1') == high};
}

/// A phone's keyboard may have a comma for the point.
std::string with_point(std::string text) {
    if (std::ranges::count(text, ',') == 1 && text.find('.') == std::string::npos) text[text.find(',')] = '.';
    return text;
}

}  // namespace

bool LessonCheck::is_exceeded_by(const std::optional<double>& value) const {
    return value && std::isfinite(stands) && *value > stands + meter_error(kind, *value);
}

const BuildWire& Lesson::wire(int number) const {
    return *std::ranges::find(sheets.sheets.wires, number, &BuildWire::number);
}

bool Lesson::is_wire(int step) const {
    for (const LessonPhase& phase : phases)
        for (const LessonStep& s : phase.steps)
            if (s.id == step) return s.wire != 0;
    return false;
}

const LessonCheck* Lesson::check(const std::string& id) const {
    const auto found = std::ranges::find(checks, id, &LessonCheck::id);
    return found == checks.end() ? nullptr : &*found;
}

std::expected<Lesson, std::string> make_lesson(SheetsResult sheets, std::string file) {
    if (!sheets.bench) {
        const Problems problems = all_problems(sheets);
        return std::unexpected(problems.empty() ? file + " could not be read"
                                                : fmt::format("{}: {}", file, problems[0].message));
    }
    Lesson out{.file = std::move(file), .sheets = std::move(sheets)};
    for (std::size_t k = 0; k < out.sheets.sheets.ohms.size(); ++k)
        out.checks.push_back(of_ohms(out.sheets.sheets.ohms[k], k + 1));
    power_checks(out.sheets, out.checks);
    level_checks(out.sheets, out.checks);
    out.ends = ends_of(out.sheets);
    for (const BuildPhase& phase : out.sheets.sheets.phases) {
        LessonPhase made{.title = phase.title, .about = phase.about, .link = phase.link, .check = phase.gate};
        for (const BuildStep& step : phase.steps)
            made.steps.push_back({out.steps++, words_of(out, step), more_of(out, step), step.wire});
        out.phases.push_back(std::move(made));
    }
    return out;
}

Entry judge_entry(const LessonCheck& check, const std::string& typed) {
    constexpr std::size_t longest = 40;  // bytes; what is written down is kept
    if (typed.size() > longest) return {.trouble = "write one number, as the meter shows it"};
    const std::string word = small_and_trimmed(typed);
    if (check.kind == CheckKind::level) return level_entry(check, word);
    if (one_of(word, {"drifts", "floats"}))
        return check.kind == CheckKind::volts ? Entry{.correct = check.floats}
                                              : Entry{.trouble = "write a number with its unit"};
    if (check.kind == CheckKind::ohms && one_of(word, {"open", "ol", "o.l", "0l", "∞"}))
        return {.correct = !std::isfinite(check.hi)};
    const Dimension dimension = dimension_of(check.kind);
    const std::string number = with_point(typed);
    auto span = parse_span(dimension, number);
    // Currents are read in mA as often as in A: there the unit has to be said.
    if (!span && span.error().code == "unit-missing" && check.kind != CheckKind::amps)
        span = parse_span(dimension, number + " " + unit_of(check.kind));
    if (!span) return {.trouble = span.error().message};
    if (span->lo != span->hi) return {.trouble = "write one number, as the meter shows it"};
    const double value = span->nominal;
    return {.value = value,
            .correct = check.floats || (value >= check.lo - meter_error(check.kind, check.lo) &&
                                        value <= check.hi + meter_error(check.kind, check.hi))};
}

const char* unit_of(CheckKind kind) {
    switch (kind) {
        case CheckKind::ohms:
            return "Ω";
        case CheckKind::volts:
            return "V";
        case CheckKind::amps:
            return "A";
        default:
            return "";
    }
}

const char* word_of(CheckKind kind) {
    switch (kind) {
        case CheckKind::ohms:
            return "ohms";
        case CheckKind::volts:
            return "volts";
        case CheckKind::amps:
            return "amps";
        default:
            return "level";
    }
}

const char* meter_error_words(CheckKind kind) {
    switch (kind) {  // as meter_error adds it
        case CheckKind::ohms:
            return "2 % + 0.5 Ω";
        case CheckKind::volts:
            return "1 % + 20 mV";
        case CheckKind::amps:
            return "2 % + 0.2 mA";
        default:
            return "";
    }
}

const char* gate_title(int gate) {
    constexpr const char* titles[] = {"Power off", "Limited power", "Static levels", "Function"};
    return titles[std::clamp(gate, 1, 4) - 1];
}

}  // namespace voltsill::server
