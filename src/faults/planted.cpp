#include "faults/planted.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <random>
#include <set>

#include "faults/harm.h"
#include "judging/power_off.h"
#include "quantity/print.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

constexpr int most_to_find_it = 10;  ///< a fault that needs more is no exercise
constexpr std::size_t easy_readings = 2, fair_readings = 4;

Grade grade_of(std::size_t readings) {
    return readings <= easy_readings ? Grade::easy : readings <= fair_readings ? Grade::fair : Grade::hard;
}

/// What a meter shows that reads the prediction exactly.
Reading reading_of(int question, const Prediction& p) {
    Reading out{.question = question, .value = p.nominal};
    if (p.kind == Prediction::Kind::chance)
        out.kind = p.yes >= 0.5 ? Reading::Kind::yes : Reading::Kind::no;
    else if (p.kind == Prediction::Kind::ohms && p.lo >= meter_open.si())
        out.kind = Reading::Kind::open;
    else if (p.kind == Prediction::Kind::volts && p.floats)
        out.kind = Reading::Kind::drifts;
    return out;
}

/// What somebody sees before any reading: the links that do not work.
std::vector<Reading> seen_at_first(Dictionary& dictionary, int hypothesis) {
    std::vector<Reading> out;
    const int links = static_cast<int>(dictionary.questions().bench().links.size());
    for (int link = 0; link < links; ++link) {
        const int question = dictionary.questions().behaviour(Behaviour::link_works, link);
        const Prediction p = dictionary.predict(question, hypothesis);
        if (p.known && p.kind == Prediction::Kind::chance && p.yes < 0.5)
            out.push_back({.question = question, .kind = Reading::Kind::no});
    }
    return out;
}

/// Readings until the fault or one that no meter tells from it is found; nothing where it is not.
std::optional<std::vector<PlantedStep>> way_to(Dictionary& dictionary, int hypothesis) {
    DiagnosisOptions options;
    std::erase(options.means, Means::eye);  // what is planted is not seen
    std::vector<Reading> readings = seen_at_first(dictionary, hypothesis);
    std::vector<PlantedStep> steps;
    const auto& alike = dictionary.alike();
    while (static_cast<int>(steps.size()) < most_to_find_it) {
        const Diagnosis diagnosis = diagnose(dictionary, readings, options);
        if (diagnosis.found && !diagnosis.suspects.empty() && !steps.empty()) {
            const auto& group = diagnosis.suspects.front().hypotheses;
            const bool right = std::ranges::any_of(group, [&](int h) { return alike[h] == alike[hypothesis]; });
            if (right) return steps;
            return std::nullopt;
        }
        if (diagnosis.next.empty()) return std::nullopt;
        const int question = diagnosis.next.front().question;
        const Prediction p = dictionary.predict(question, hypothesis);
        if (!p.known) return std::nullopt;
        readings.push_back(reading_of(question, p));
        steps.push_back({dictionary.questions().words(question), words(p), words(dictionary.predict(question, 0))});
    }
    return std::nullopt;
}

/// Faults in an order by chance, those of different kinds and parts before a second of one.
std::vector<int> mixed(const std::vector<Fault>& faults, std::vector<int> candidates, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    for (std::size_t k = candidates.size(); k > 1; --k) std::swap(candidates[k - 1], candidates[random() % k]);
    std::map<std::pair<FaultKind, int>, int> met;
    std::map<int, int> turn;  // by fault: how many of its kind came before
    for (const int f : candidates) turn[f] = met[{faults[f].kind, faults[f].part}]++;
    std::ranges::stable_sort(candidates, {}, [&](int f) { return turn[f]; });
    return candidates;
}

std::string sentence_of(const PlantedSet& set, int seats) {
    if (set.faults.empty())
        return "No fault of this build can be planted unseen, harms nothing and can be found with a meter.";
    std::map<Grade, int> counted;
    for (const PlantedFault& fault : set.faults) ++counted[fault.grade];
    std::string grades;
    for (const auto& [grade, count] : counted)
        grades += fmt::format("{}{} {}", grades.empty() ? "" : ", ", count, to_word(grade));
    return fmt::format("{} different fault{} for {} seat{}: {}.", set.faults.size(), set.faults.size() == 1 ? "" : "s",
                       seats, seats == 1 ? "" : "s", grades);
}

}  // namespace

std::string_view to_word(Grade grade) {
    return grade == Grade::easy ? "easy" : grade == Grade::fair ? "fair" : "hard";
}

std::string how_to_plant(const Wiring& wiring, const Fault& fault) {
    const std::string part = fault.part < 0 ? "" : wiring.parts[fault.part].name;
    switch (fault.kind) {
        case FaultKind::wrong_value:
            return fmt::format("put a {} in place of {}'s {}, bands downwards", fault.variant, part,
                               print(Ohms{*wiring.parts[fault.part].value}));
        case FaultKind::near_namesake:
            return fmt::format("put a {} in as {}, with the same paper label on it as on all chips", fault.variant,
                               part);
        case FaultKind::pin_open:
        case FaultKind::control_open:
            return fmt::format("bend {} under the body of {} so that it looks put in",
                               pin_label(wiring.parts[fault.part], fault.pin), part);
        case FaultKind::contact_resistance:
            if (fault.wires.empty()) return {};
            return fault.variant == "open"
                       ? fmt::format("replace wire {} by one that is broken inside its sleeve", fault.wires.front())
                       : fmt::format("replace wire {} by one with {} under its sleeve", fault.wires.front(),
                                     print(Ohms{fault.value}));
        case FaultKind::output_dead:
            return wiring.parts[fault.part].type->kind == PartKind::module
                       ? std::string{}
                       : fmt::format("put in as {} one whose output {} is known to be dead", part,
                                     wiring.parts[fault.part].type->pins[fault.pin].name);
        default:
            return {};
    }
}

PlantedSet planted_faults(Dictionary& dictionary, const PlantedOptions& options) {
    const Bench& bench = dictionary.questions().bench();
    const PlacedWiring& build = dictionary.questions().build();
    const std::vector<Fault>& faults = dictionary.faults();
    std::vector<int> candidates;
    for (std::size_t f = 0; f < faults.size(); ++f)
        if (!how_to_plant(build.wiring, faults[f]).empty()) candidates.push_back(static_cast<int>(f));
    candidates = mixed(faults, std::move(candidates), options.seed);

    const FaultJudge judge(bench, build);
    std::set<int> groups{dictionary.alike()[0]};  // what no meter tells from the good build
    PlantedSet set;
    int looked_at = 0;
    for (const int f : candidates) {
        if (static_cast<int>(set.faults.size()) >= options.seats) break;
        if (options.progress && !options.progress(looked_at++, static_cast<int>(candidates.size()))) break;
        const int hypothesis = f + 1;  // 0 is the build as planned
        if (groups.contains(dictionary.alike()[hypothesis])) continue;
        const FaultHarm harm = judge.harm_of(faults[f]);
        if (harm.may_harm() || harm.verdict != Verdict::unreadable) continue;
        auto steps = way_to(dictionary, hypothesis);
        if (!steps) continue;
        const Grade grade = grade_of(steps->size());
        if (!options.grades.empty() && std::ranges::find(options.grades, grade) == options.grades.end()) continue;
        groups.insert(dictionary.alike()[hypothesis]);
        set.faults.push_back({.fault = faults[f],
                              .hypothesis = hypothesis,
                              .plant = how_to_plant(build.wiring, faults[f]),
                              .symptom = harm.sentence,
                              .remedy = faults[f].remedy,
                              .steps = std::move(*steps),
                              .grade = grade});
    }
    std::ranges::stable_sort(set.faults, {}, [](const PlantedFault& p) { return p.steps.size(); });
    std::mt19937_64 random(options.seed);
    std::vector<int> order(set.faults.size());
    for (std::size_t k = 0; k < order.size(); ++k) order[k] = static_cast<int>(k);
    for (std::size_t k = order.size(); k > 1; --k) std::swap(order[k - 1], order[random() % k]);
    for (int seat = 0; seat < options.seats && !order.empty(); ++seat)
        set.of_seat.push_back(order[static_cast<std::size_t>(seat) % order.size()]);
    set.sentence = sentence_of(set, options.seats);
    return set;
}

}  // namespace voltsill
