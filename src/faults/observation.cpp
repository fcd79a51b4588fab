#include "faults/observation.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>

namespace voltsill {
namespace {

struct MeansWords {
    std::string_view key, word;
};
constexpr std::array<MeansWords, 5> words_of_means{{{"eye", "a look"},
                                                    {"ohmmeter", "ohmmeter, power off"},
                                                    {"voltmeter", "voltmeter"},
                                                    {"scope", "scope"},
                                                    {"behaviour", "what it does"}}};
constexpr std::array<MeansWords, 7> words_of_behaviour{{{"link-works", "works"},
                                                        {"works-when-touched", "works when touched"},
                                                        {"analyser-clean", "looks clean on an analyser but fails"},
                                                        {"works-alone", "works alone, fails while others talk"},
                                                        {"slow-only", "fine slowly, garbage fast"},
                                                        {"nothing-works", "nothing works"},
                                                        {"runs-hot", "gets hot"}}};

std::string told_words(const Told& told) {
    return fmt::format("{}.{} {}", told.part, told.pin, told.high ? "high" : "low");
}

}  // namespace

bool can_be_told(const Pin& pin) {
    switch (pin.role) {
        case PinRole::push_pull:
        case PinRole::three_state:
        case PinRole::open_drain:
        case PinRole::open_source:
        case PinRole::io:
        case PinRole::open_drain_io:
            return true;
        default:
            return false;
    }
}

std::string_view to_word(Means means) { return words_of_means[static_cast<std::size_t>(means)].word; }
std::string_view to_key(Means means) { return words_of_means[static_cast<std::size_t>(means)].key; }
std::optional<Means> means_of(std::string_view key) {
    for (std::size_t k = 0; k < words_of_means.size(); ++k)
        if (words_of_means[k].key == key) return static_cast<Means>(k);
    return std::nullopt;
}
std::string_view to_word(Behaviour behaviour) {
    return words_of_behaviour[static_cast<std::size_t>(behaviour)].word;
}
std::string_view to_key(Behaviour behaviour) {
    return words_of_behaviour[static_cast<std::size_t>(behaviour)].key;
}
std::optional<Behaviour> behaviour_of(std::string_view key) {
    for (std::size_t k = 0; k < words_of_behaviour.size(); ++k)
        if (words_of_behaviour[k].key == key) return static_cast<Behaviour>(k);
    return std::nullopt;
}
bool is_of_link(Behaviour behaviour) {
    return behaviour != Behaviour::nothing_works && behaviour != Behaviour::runs_hot;
}

std::string words(const BenchState& state) {
    if (!state.powered) return "power off";
    std::vector<std::string> said;
    if (!state.down.empty()) said.push_back(fmt::format("{} off", fmt::join(state.down, " and ")));
    for (const Told& told : state.told) said.push_back(told_words(told));
    if (said.empty()) return "power on, nothing told";
    return fmt::format("{}", fmt::join(said, ", "));
}

Questions::Questions(const Bench& bench, const PlacedWiring& build) : bench_(bench), build_(build) {
    find_points();
    find_posts();
    find_states();
    find_wires_along();
    find_wires_around();
}

void Questions::know(std::span<const Fault> faults) {
    for (const Fault& fault : faults)
        for (const Sight& seen : fault.sights) {
            KnownSight known{seen.wire, seen.wire < 0 ? fault.part : -1, seen.text};
            if (sight_number_.try_emplace({known.wire, known.part, known.text}, std::ssize(sights_)).second)
                sights_.push_back(std::move(known));
        }
}

int Questions::sight(int wire, int part, std::string_view text) const {
    const auto at = sight_number_.find({wire, part, std::string(text)});
    return at == sight_number_.end() ? -1 : at->second;
}

bool Questions::sees(const Question& look, int wire, int part) const {
    if (look.means != Means::eye) return false;
    if (wire < 0) return part == look.part;
    return look.around ? std::ranges::find(wires_in(look), wire) != wires_in(look).end() : wire == look.wire;
}

std::string Questions::sight_words(const Question& look, int sight) const {
    const KnownSight& seen = sights_[sight];
    if (!look.around) return seen.text;
    return (seen.wire >= 0 ? fmt::format("wire {} ", seen.wire) : build_.wiring.parts[seen.part].name + ' ') +
           seen.text;
}

int Questions::point_of_pin(int part, int pin) const {
    const bool is_one = part >= 0 && part < std::ssize(point_of_pin_) && pin >= 0 &&
                        pin < std::ssize(point_of_pin_[part]);
    return is_one ? point_of_pin_[part][pin] : -1;
}

int Questions::point(std::string_view label) const {
    for (std::size_t p = 0; p < points_.size(); ++p)
        if (points_[p].label == label || (points_[p].kind == ProbePoint::Kind::rail && points_[p].rail == label))
            return static_cast<int>(p);
    const auto dot = label.rfind('.');
    if (dot == std::string_view::npos) return -1;
    const int part = build_.wiring.part(label.substr(0, dot));
    if (part < 0) return -1;
    const WiredPart& wired = build_.wiring.parts[part];
    const std::string_view pin = label.substr(dot + 1);
    if (wired.package && !pin.empty() && std::ranges::all_of(pin, [](char c) { return c >= '0' && c <= '9'; })) {
        const std::size_t number = pin.size() > 4 ? 0 : static_cast<std::size_t>(std::stoi(std::string(pin)));
        if (number >= 1 && number <= wired.package->pin_of_number.size())
            return point_of_pin(part, wired.package->pin_of_number[number - 1]);
    }
    return point_of_pin(part, wired.type->pin_index(pin));
}

int Questions::state(BenchState state) {
    std::vector<std::string> parts{state.powered ? "on" : "off"};
    std::ranges::sort(state.down);
    for (const std::string& rail : state.down) parts.push_back("down " + rail);
    std::vector<std::string> told;
    for (const Told& t : state.told) told.push_back(told_words(t));
    std::ranges::sort(told);
    parts.insert(parts.end(), told.begin(), told.end());
    const auto [at, fresh] = state_number_.try_emplace(fmt::format("{}", fmt::join(parts, "\n")),
                                                       static_cast<int>(states_.size()));
    if (fresh) states_.push_back(std::move(state));
    return at->second;
}

int Questions::numbered(const Question& q) {
    const std::string key =
        fmt::format("{} {} {} {} {} {} {} {} {} {} {}", static_cast<int>(q.means), q.state, q.point, q.against,
                    static_cast<int>(q.behaviour), static_cast<int>(q.sight), q.link, q.wire, q.part, q.around,
                    q.alone);
    const auto [at, fresh] = number_of_.try_emplace(key, static_cast<int>(questions_.size()));
    if (fresh) questions_.push_back(q);
    return at->second;
}

int Questions::volts(int point, int state) {
    return numbered({.means = Means::voltmeter, .state = state, .point = point});
}
int Questions::supply_alone(int point) {
    return numbered({.means = Means::voltmeter, .state = power_off, .point = point, .alone = true});
}
int Questions::ohms(int a, int b) {
    return numbered({.means = Means::ohmmeter, .state = power_off, .point = std::min(a, b), .against = std::max(a, b)});
}
int Questions::look_at_wire(int wire_number) { return numbered({.means = Means::eye, .wire = wire_number}); }
int Questions::look_at_part(int part) { return numbered({.means = Means::eye, .part = part}); }
int Questions::look_around(int part) { return numbered({.means = Means::eye, .part = part, .around = true}); }
int Questions::look_along(int point) { return numbered({.means = Means::eye, .point = point, .around = true}); }
int Questions::behaviour(Behaviour what, int link_or_part) {
    Question q{.means = Means::behaviour, .state = at_rest, .behaviour = what};
    (is_of_link(what) ? q.link : q.part) = what == Behaviour::nothing_works ? -1 : link_or_part;
    return numbered(q);
}
int Questions::ripple(int part) {
    return numbered({.means = Means::scope, .state = at_rest, .sight = ScopeSight::ripple, .part = part});
}
int Questions::rise_time(int link, int point) {
    return numbered(
        {.means = Means::scope, .state = at_rest, .point = point, .sight = ScopeSight::rise_time, .link = link});
}

namespace {

std::string place_words(const ProbePoint& point) {
    if (point.place.empty()) return point.label;
    return point.kind == ProbePoint::Kind::rail ? fmt::format("{}, at {}", point.label, point.place)
                                                : fmt::format("{} ({})", point.label, point.place);
}

}  // namespace

std::string Questions::words(int question) const {
    const Question& q = questions_[question];
    const Wiring& wiring = build_.wiring;
    switch (q.means) {
        case Means::eye:
            if (q.around && q.part < 0) return fmt::format("wires of {} as planned", points_[q.point].label);
            if (q.around) return fmt::format("{} and its wires as planned", wiring.parts[q.part].name);
            return q.wire >= 0 ? fmt::format("wire {} as planned", q.wire)
                               : fmt::format("{} as planned", wiring.parts[q.part].name);
        case Means::ohmmeter:
            return fmt::format("ohms from {} to {}", points_[q.point].label, points_[q.against].label);
        case Means::voltmeter:
            if (q.alone) return fmt::format("volts of supply {} alone", points_[q.point].rail);
            return fmt::format("volts at {}, {}", points_[q.point].label, voltsill::words(states_[q.state]));
        case Means::scope:
            return q.sight == ScopeSight::ripple
                       ? fmt::format("dips at the supply of {}", wiring.parts[q.part].name)
                       : fmt::format("rise time at {} while {} runs", points_[q.point].label,
                                     bench_.links[q.link].name);
        case Means::behaviour:
            if (q.behaviour == Behaviour::nothing_works) return "nothing works";
            return fmt::format("{} {}", q.link >= 0 ? bench_.links[q.link].name : wiring.parts[q.part].name,
                               to_word(q.behaviour));
    }
    return {};
}

std::string Questions::how(int question) const {
    const Question& q = questions_[question];
    const Wiring& wiring = build_.wiring;
    switch (q.means) {
        case Means::eye:
            return how_to_look(q);
        case Means::ohmmeter: {
            const ProbePoint &from = points_[q.point], &to = points_[q.against];
            return fmt::format(
                "Switch everything off{}. Measure the resistance from {} to {}, on the metal of the leads.",
                from.is_post() || to.is_post() ? ", the supply at its plug too, and leave its leads in place" : "",
                place_words(from), place_words(to));
        }
        case Means::voltmeter: {
            if (q.alone)
                return fmt::format(
                    "Pull both wires of supply {} out of the board, so that nothing is joined to it. Switch "
                    "it on and measure between its plus and its 0 V. Switch it off again.",
                    points_[q.point].rail);
            const BenchState& state = states_[q.state];
            std::string first = "Switch all supplies on";
            if (!state.down.empty()) first += fmt::format(", but leave {} off", fmt::join(state.down, " and "));
            for (std::size_t k = 0; k < state.told.size(); ++k)
                first += fmt::format("{}{}", k ? " and " : ", hold ", told_words(state.told[k]));
            return fmt::format("{}. Black lead on ground, red lead on {}.", first, place_words(points_[q.point]));
        }
        case Means::scope:
            return q.sight == ScopeSight::ripple
                       ? fmt::format("Scope with a short ground spring at the supply pin of {}, while its outputs "
                                     "switch: does the supply dip by more than a tenth?", wiring.parts[q.part].name)
                       : fmt::format("Let {} run. Scope at {}: time of a rising edge from 10 to 90 %.",
                                     bench_.links[q.link].name, place_words(points_[q.point]));
        case Means::behaviour:
            return fmt::format("Try it: is it so that {}?", words(question));
    }
    return {};
}

}  // namespace voltsill
