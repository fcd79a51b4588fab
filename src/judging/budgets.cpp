/// Budgets: what each rail has to deliver, and what a regulator turns into heat on the way.
///
///     P = (V fed max - V made min) * I made          of a linear regulator, which takes what it gives
#include <fmt/format.h>

#include <algorithm>
#include <functional>

#include "judging/inspection.h"
#include "judging/power_order.h"
#include "judging/rail_currents.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// What a small regulator without a heat sink gets rid of (common practice, no source): 60 K above the room at
/// 60 K/W of a TO-220 in still air.
constexpr double bearable_heat = 1.0;

/// What a rail is asked for, part by part and link by link. Rails that a part makes from it count here too: a linear
/// regulator takes what it gives.
struct Asked {
    std::vector<std::pair<double, std::string>> draws;
    std::string silent;

    void add(const Inspection& in, const Rail& rail, size_t makers) {
        for (const SupplyDraw& draw : supply_draws(in.wiring, in.wiring.rail(rail.name)))
            if (draw.current.known())
                draws.emplace_back(draw.current.span.hi.si(), draw.part);
            else
                silent += (silent.empty() ? "" : ", ") + draw.part;
        if (const auto network = in.network_draws.find(rail.name); network != in.network_draws.end())
            draws.insert(draws.end(), network->second.begin(), network->second.end());
        const auto site = std::ranges::find(in.circuit.rails, rail.name, &RailSite::name);
        if (site != in.circuit.rails.end())
            if (const double held = held_share(in.circuit, in.scenes[0], *site).hi; held > 0)
                draws.emplace_back(held, "resistors");
        if (makers == 0) return;
        for (const Rail& made : in.bench.rails)
            if (feeder_of(in.bench, made) == &rail && in.wiring.rail(made.name) >= 0) add(in, made, makers - 1);
    }
    double sum() const {
        double amps = 0;
        for (const auto& draw : draws) amps += draw.first;
        return amps;
    }
    /// "600 mA strip + 50 mA lamp = 650 mA", the largest first.
    std::string words() const {
        constexpr size_t most = 6;
        std::vector<std::pair<double, std::string>> sorted = draws;
        std::erase_if(sorted, [](const auto& draw) { return draw.first <= 0; });
        std::ranges::stable_sort(sorted, std::greater<>{}, &std::pair<double, std::string>::first);
        if (sorted.size() == 1) return print(Amps{sum()}) + " " + sorted.front().second;
        std::string text;
        double rest = 0;
        for (size_t k = 0; k < sorted.size(); ++k)
            if (k < most)
                text += (k ? " + " : "") + print(Amps{sorted[k].first}) + " " + sorted[k].second;
            else
                rest += sorted[k].first;
        if (rest > 0) text += fmt::format(" + {} of {} more", print(Amps{rest}), sorted.size() - most);
        return text + " = " + print(Amps{sum()});
    }
};

void rail_budget(Inspection& in, const Rail& rail, const Asked& asked) {
    const double drawn = asked.sum();
    if (!rail.limit || drawn <= 0) return;
    const double limit = rail.limit->si();
    Finding f{.code = "rail-budget",
              .verdict = drawn > limit         ? Verdict::unreadable
                         : drawn > 0.8 * limit ? Verdict::thin
                                               : Verdict::safe,
              .dimension = Dimension::current};
    f.net = "rail " + rail.name;
    f.state = "all rails up";
    f.value = Evidence{drawn,
                       {Certainty::assumed, "sum of what the parts state and the network takes"},
                       "current drawn from rail " + rail.name};
    f.limit = Evidence{
        limit, {Certainty::guaranteed, "limit stated in the bench file"}, "what its source delivers"};
    f.margin = limit - drawn;
    f.arithmetic =
        fmt::format("{}, of {}{}", asked.words(), print(Amps{limit}),
                    asked.silent.empty() ? "" : fmt::format(" (not counted, no figure: {})", asked.silent));
    f.sentence = drawn > limit ? fmt::format("Rail {} is asked for {}, but delivers {}.", rail.name,
                                             print(Amps{drawn}), print(Amps{limit}))
                               : fmt::format("Rail {} is asked for {} of {}.", rail.name, print(Amps{drawn}),
                                             print(Amps{limit}));
    if (f.verdict != Verdict::safe)
        f.advice = "Give the heavy loads a supply of their own, with the grounds joined.";
    in.add(std::move(f));
}

/// Heat of the part that makes a rail.
void regulator_heat(Inspection& in, const Rail& made, const Asked& asked) {
    const Rail* fed = feeder_of(in.bench, made);
    const double amps = asked.sum();
    if (!fed || amps <= 0) return;
    const Volts most = fed->volts.span.hi, least = made.volts.span.lo;
    const double watts = (most - least).si() * amps;
    const std::string maker = made.from.substr(0, made.from.find('.'));
    Finding f{.code = "regulator-heat",
              .verdict = watts > bearable_heat ? Verdict::thin : Verdict::safe,
              .part = maker,
              .dimension = Dimension::power};
    f.net = "rail " + made.name;
    f.state = "all rails up";
    f.value = Evidence{
        watts, {Certainty::assumed, "a linear regulator takes what it gives"}, "heat of what makes rail " + made.name};
    f.limit = Evidence{bearable_heat,
                       {Certainty::common_practice, "common practice, no source"},
                       "a small regulator without a heat sink"};
    f.margin = bearable_heat - watts;
    f.corner = fmt::format("{} {}, {} {}", fed->name, say(most), made.name, say(least));
    f.arithmetic = fmt::format("({} - {}) * {} = {}", say(most), say(least), print(Amps{amps}), print(Watts{watts}));
    f.sentence = fmt::format("{} turns {} into heat when rail {} gives {}.", maker, print(Watts{watts}), made.name,
                             print(Amps{amps}));
    if (f.verdict != Verdict::safe)
        f.advice =
            "Do not touch it; give it a heat sink by its sheet, feed it less voltage, or take a converter that "
            "switches.";
    in.add(std::move(f));
}

}  // namespace

void check_budgets(Inspection& in) {
    for (const RailSite& site : in.circuit.rails) {
        const Rail& rail = *in.bench.rail(site.name);
        Asked asked;
        asked.add(in, rail, in.bench.rails.size());
        rail_budget(in, rail, asked);
        regulator_heat(in, rail, asked);
    }
}

}  // namespace voltsill
