/// Circuits whose high comes from a resistor at the receiver's rail.
#include <fmt/format.h>

#include <algorithm>

#include "planning/circuits/circuits.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

std::string sized(const Crossing& c, double ohms) {
    return fmt::format("2.2 * {} * {} = {} rise", print(Ohms{ohms}), print(Farads{c.load_capacitance()}),
                       print(Seconds{2.2 * ohms * c.load_capacitance()}));
}

/// Pull-ups on the driver's own pin that could be taken off a module.
std::vector<std::string> removable_pulls(const Crossing& c) {
    std::vector<std::string> pulls;
    for (const Side& s : c.from)
        for (const Pull& p : s.facts->pulls)
            if (p.up && p.removable) pulls.push_back(s.label());
    return pulls;
}

}  // namespace

/// Open-drain output, pull-up moved to the receiver's rail; the module's own pull-up taken off.
Proposal propose_pull_up(const Crossing& c) {
    if (!c.open_drain_driver()) return {.refusal = "the driver pushes high itself: a pull-up changes nothing"};
    if (c.both_ways() && c.driver().rail != c.receiver().rail) {
        // Both ends on one net at the lower rail: possible when the higher part reads that level.
        if (removable_pulls(c).empty() && !c.driver().facts->pulls.empty()) return {.refusal = "its own pull-up cannot be taken off"};
    }
    const double ohms = pull_up_for(c);
    const Bench& bench = *c.bench;
    const std::string rail = c.low_side().rail.empty() ? c.receiver().rail : c.low_side().rail, name = c.link->name;
    std::vector<std::string> pulls = removable_pulls(c);
    const bool own = std::ranges::any_of(c.driver().facts->pulls, [](const Pull& p) { return p.up; });
    if (own && pulls.empty()) return {.refusal = fmt::format("the pull-up inside {} goes to its own rail and cannot be taken off", c.driver().label())};
    Recipe r{.title = fmt::format("pull-up {} to rail {}", print(Ohms{ohms}), rail), .how_sized = sized(c, ohms), .parts = 1,
             .price = 0.1, .needs = {"resistor"}, .simplicity = 1};
    if (!pulls.empty()) {
        r.title += ", module's pull-up taken off";
        r.cautions.push_back(fmt::format("Take the pull-up at {} off the module first; left on, it lifts the line to rail {}.", pulls.front(), c.driver().rail));
        r.simplicity += 2;
    }
    r.pulls_removed = pulls;
    r.assemble = [&bench, ohms, rail, name](Wiring& w, NetId d, NetId rx) {
        w.merge(d, rx);
        add_resistor(bench, w, ohms, w.rail(rail), d, "pull-up of " + name);
    };
    return {.recipes = {std::move(r)}};
}

/// Low passes through the diode, high is blocked: cathode at the driver.
Proposal propose_blocking_diode(const Crossing& c) {
    if (c.both_ways()) return {.refusal = "a diode works one way only"};
    if (c.link->kind == LinkKind::analog) return {.refusal = "it passes levels, not voltages"};
    if (!c.down()) return {.refusal = "it lowers a high; here the receiver's rail is not below the driver's"};
    const auto diodes = types_of(*c.bench, PartKind::diode, [](const PartType& t) {
        const auto* d = std::get_if<DiodeModel>(&t.model);
        return d && !d->led && d->forward.span.hi.si() < 0.5;
    });
    if (diodes.empty()) return {.refusal = "no Schottky diode in the catalogue"};
    const double ohms = pull_up_for(c);
    const Bench& bench = *c.bench;
    const auto type = diodes.front();
    const std::string rail = c.receiver().rail, name = c.link->name;
    Recipe r{.title = fmt::format("{} and pull-up {} to rail {}", type->name, print(Ohms{ohms}), rail), .how_sized = sized(c, ohms),
             .cautions = {"A hot Schottky diode leaks: keep the pull-up at 10 kΩ or less."}, .parts = 2, .price = 0.3,
             .needs = {"resistor", type->name}, .simplicity = 3};
    r.assemble = [&bench, type, ohms, rail, name](Wiring& w, NetId d, NetId rx) {
        add_discrete(w, type, "D", {{"A", rx}, {"K", d}}, "blocks the high of " + name);
        add_resistor(bench, w, ohms, w.rail(rail), rx, "pull-up of " + name);
    };
    return {.recipes = {std::move(r)}};
}

}  // namespace voltsill
