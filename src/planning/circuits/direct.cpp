/// Nothing between: one wire. And one wire with a resistor that limits what a mistake can do.
#include <fmt/format.h>

#include "planning/circuit_kind.h"
#include "quantity/print.h"

namespace voltsill {

static Proposal propose_direct(const Crossing&) {
    Recipe r{.title = "joined directly"};
    r.assemble = [](Wiring& w, NetId driver, NetId receiver) { w.merge(driver, receiver); };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind direct_circuit{
    .name = "direct",
    .title = "one wire",
    .place = 10,
    .propose = propose_direct,
    .where = "always",
    .sizing = "none",
    .source = "",
    .refused = "what the judge finds",
};

/// R >= (Vdriver max - Vrail min - Vf) / I allowed: only where the receiver's sheet permits injection.
static Proposal propose_series_resistor(const Crossing& c) {
    if (c.link->kind == LinkKind::analog) return {.refusal = "clamping spoils an analogue reading"};
    const Pin& pin = *c.receiver().facts;
    const double excess = (c.driver().volts.hi - c.receiver().volts.lo).si() - pin.clamp_forward.span.lo.si();
    double ohms = 1e3;
    std::string sized = "1 kΩ: 5 mA at most between two 5 V outputs by mistake (common practice)";
    if (excess > 0.1) {
        if (!pin.injection_allowed.known() || pin.injection_allowed.span.hi.si() <= 0)
            return {.refusal = fmt::format(
                        "{} permits no injected current, and {} above its rail would have to go somewhere",
                        c.receiver().label(), print(Volts{excess}))};
        const double allowed = std::min(pin.injection_allowed.span.hi.si(), 0.5e-3);
        ohms = resistor_at_least(*c.bench, excess / allowed);
        sized = fmt::format("R >= {} / {} = {}, taken {}", print(Volts{excess}), print(Amps{allowed}),
                            print(Ohms{excess / allowed}), print(Ohms{ohms}));
    }
    const Bench& bench = *c.bench;
    const std::string name = c.link->name;
    Recipe r{
        .title = fmt::format("series resistor {}", print(Ohms{ohms})), .how_sized = sized, .simplicity = 1};
    r.assemble = [&bench, ohms, name](Wiring& w, NetId d, NetId rx) {
        add_resistor(bench, w, ohms, d, rx, "series resistor of " + name);
    };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind series_resistor_circuit{
    .name = "series-resistor",
    .title = "series resistor",
    .place = 20,
    .propose = propose_series_resistor,
    .where = "one way; injection permitted where the driver exceeds the receiver's rail",
    .sizing =
        "R >= (Vdriver max - Vrail min - Vf min) / I, I = permitted injection, 0.5 mA at most; "
        "else 1 kΩ against mistakes",
    .source = "Ohm; 0.5 mA practice",
    .refused = "no injection permitted",
};

/// A part that also works from the other rail needs no shifting: said, never done by itself.
static Proposal propose_change_of_supply(const Crossing& c) {
    Proposal out;
    for (const Side* side : {&c.driver(), &c.receiver()}) {
        const Side& other = side == &c.driver() ? c.receiver() : c.driver();
        const PartType& type = *side->bench_part->type;
        if (side->bench_part->as_is || side->facts->supply < 0 || type.supplies.size() != 1 ||
            other.rail.empty() || other.rail == side->rail || type.supplies[0].provides)
            continue;
        if (!type.supplies[0].range.contains(other.volts)) continue;
        Recipe r{.title = fmt::format("run {} from rail {}", side->bench_part->name, other.rail),
                 .moved_part = side->bench_part->name,
                 .moved_rail = other.rail,
                 .suggestion_only = true};
        r.how_sized = fmt::format("{} works from {}; rail {} is {}", type.name, print(type.supplies[0].range),
                                  other.rail, print(other.volts));
        r.assemble = [](Wiring& w, NetId d, NetId rx) { w.merge(d, rx); };
        out.recipes.push_back(std::move(r));
    }
    if (out.recipes.empty()) out.refusal = "neither part is made for the other's rail";
    return out;
}

extern const CircuitKind change_of_supply_circuit{
    .name = "change-of-supply",
    .title = "change of supply",
    .place = 210,
    .propose = propose_change_of_supply,
    .where = "a part that also works from the other rail",
    .sizing = "supply range",
    .source = "data sheets",
    .refused = "suggested, never chosen by itself",
};

}  // namespace voltsill
