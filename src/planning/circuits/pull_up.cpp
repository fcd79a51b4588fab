/// Circuits whose high comes from a resistor at the receiver's rail.
#include <fmt/format.h>

#include <algorithm>

#include "planning/circuit_kind.h"
#include "quantity/print.h"
#include "quantity/rise.h"

namespace voltsill {
namespace {

std::string sized(const Crossing& c, double ohms) {
    return rise_arithmetic(ohms, c.load_capacitance()) + " rise";
}

/// Pins with a pull-up to another rail than `rail`: those that can be taken off, and the first that cannot.
struct ForeignPulls {
    std::vector<std::string> removable;
    std::string fixed;
};
ForeignPulls foreign_pulls(const Crossing& c, const std::string& rail) {
    ForeignPulls found;
    for (const auto* sides : {&c.from, &c.to})
        for (const Side& s : *sides)
            for (const Pull& p : s.facts->pulls) {
                if (!pulls_up(s, p) || s.rail == rail) continue;
                if (p.removable && !s.bench_part->as_is)
                    found.removable.push_back(s.label());
                else if (found.fixed.empty())
                    found.fixed = s.label();
            }
    return found;
}

}  // namespace

/// All on one net, pulled up to the lower of both rails; pull-ups to other rails taken off. The sink
/// current and the level are for the judge: R >= (V - VOL) / IOL and R <= t / (ln 9 C) leave 1 kΩ to 10 kΩ.
static Proposal propose_pull_up(const Crossing& c) {
    if (!c.open_drain_driver())
        return {.refusal = "the driver pushes high itself: a pull-up changes nothing"};
    if (c.receiver().facts->load) return {.refusal = "the load pulls the line up itself"};
    const std::string rail = c.low_side().rail.empty() ? c.receiver().rail : c.low_side().rail;
    const ForeignPulls pulls = foreign_pulls(c, rail);
    if (!pulls.fixed.empty())
        return {.refusal = fmt::format("the pull-up inside {} goes to its own rail and may not be taken off",
                                       pulls.fixed)};
    const bool there =
        std::ranges::any_of(c.from, [&](const Side& s) { return s.rail == rail && own_pull_up({s}); }) ||
        std::ranges::any_of(c.to, [&](const Side& s) { return s.rail == rail && own_pull_up({s}); });
    if (there && pulls.removable.empty())
        return {.refusal = "the line has its pull-up already: one wire does it"};
    const double ohms = pull_up_for(c);
    const Bench& bench = *c.bench;
    const std::string name = c.link->name;
    Recipe r{.title = there ? fmt::format("the pull-up on rail {} as it is", rail)
                            : fmt::format("pull-up {} to rail {}", print(Ohms{ohms}), rail),
             .how_sized = there ? "" : sized(c, ohms),
             .rests_high = true,
             .simplicity = 1};
    if (!pulls.removable.empty()) {
        std::string named;
        for (const std::string& pin : pulls.removable) named += (named.empty() ? "" : ", ") + pin;
        r.title += fmt::format(", the module's at {} taken off", named);
        r.cautions.push_back(
            fmt::format("Take the pull-up at {} off the module before anything is joined.", named));
        r.simplicity += 2;
    }
    r.pulls_removed = pulls.removable;
    r.assemble = [&bench, ohms, there, rail, name](Wiring& w, NetId d, NetId rx) {
        w.merge(d, rx);
        if (!there) add_pull_up(bench, w, ohms, rail, d, name);
    };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind pull_up_circuit{
    .name = "pull-up",
    .title = "pull-up at the receiver's rail",
    .place = 50,
    .propose = propose_pull_up,
    .where = "open-drain driver",
    .sizing = "R = t / (2.2 C), t = 0.2 bit (1 µs without a rate), within 1 kΩ .. 10 kΩ; other rails' pull-ups off",
    .source = "practice",
    .refused = "a pull-up that cannot be taken off",
};

/// Low passes through the diode, high is blocked: cathode at the driver.
static Proposal propose_blocking_diode(const Crossing& c) {
    if (c.both_ways()) return {.refusal = "a diode works one way only"};
    if (c.link->kind == LinkKind::analog) return {.refusal = "it passes levels, not voltages"};
    if (!c.down()) return {.refusal = "it lowers a high; here the receiver's rail is not below the driver's"};
    const auto diodes = types_of(*c.bench, PartKind::diode, [](const PartType& t) {
        const DiodeModel& d = std::get<DiodeModel>(t.model);
        return !d.led && d.forward.span.hi.si() < 0.5;
    });
    if (diodes.empty()) return {.refusal = "no Schottky diode in the catalogue"};
    const double ohms = pull_up_for(c);
    const Bench& bench = *c.bench;
    const auto type = diodes.front();
    const std::string rail = c.receiver().rail, name = c.link->name;
    Recipe r{.title = fmt::format("{} and pull-up {} to rail {}", type->name, print(Ohms{ohms}), rail),
             .how_sized = sized(c, ohms),
             .cautions = {"A hot Schottky diode leaks: keep the pull-up at 10 kΩ or less."},
             .rests_high = true,
             .simplicity = 3};
    r.how_sized += fmt::format("; low = VOL + {} of the diode",
                               print(std::get<DiodeModel>(type->model).forward.span.hi));
    r.assemble = [&bench, type, ohms, rail, name](Wiring& w, NetId d, NetId rx) {
        add_discrete(w, type, "D", {{"A", rx}, {"K", d}}, "blocks the high of " + name);
        add_pull_up(bench, w, ohms, rail, rx, name);
    };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind blocking_diode_circuit{
    .name = "blocking-diode",
    .title = "Schottky diode and pull-up",
    .place = 40,
    .propose = propose_blocking_diode,
    .where = "one way, downwards",
    .sizing = "low = VOL + Vf max; pull-up as below",
    .source = "elementary",
    .refused = "receiver not below the driver",
};

}  // namespace voltsill
