/// Transistors that switch a load towards ground: the load's own rail never meets the driver.
///
///     I load = (V rail max - V forward min) / R min
///     NPN:  RB <= (VOH min - VBE max) / (I load / 10), 10 kΩ from base to emitter   (common practice)
///     FET:  VGS(th) max + 0.3 V < VOH min, 100 Ω before the gate, 4.7 kΩ to ground  (common practice)
#include <fmt/format.h>

#include <algorithm>

#include "planning/circuit_kind.h"
#include "planning/circuits/transistor_choice.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

struct Load {
    const Bench& bench;
    const Crossing& c;
    std::string name;
    double amps;
};

constexpr const char* turned = "The sense turns round: a high at the driver switches the load on.";

Recipe by_fet(const Load& load, const TypePtr& fet) {
    const Bench& bench = load.bench;
    const double hold = resistor_at_most(bench, 4.7e3), gate = resistor_at_least(bench, 100);
    const bool held = load.c.link->safe_level.has_value();
    const std::string name = load.name;
    Recipe r{.title = fmt::format("{} sinks the load", fet->name),
             .cautions = {turned},
             .inverts = true,
             .simplicity = 3};
    r.how_sized =
        fmt::format("{}; load {}", gate_words(surely_high(load.c.driver()), *fet), print(Amps{load.amps}));
    r.assemble = [&bench, fet, gate, hold, held, name](Wiring& w, NetId d, NetId rx) {
        const NetId g = w.add_net(name + " gate");
        add_resistor(bench, w, gate, d, g, "gate resistor of " + name);
        if (!held) add_resistor(bench, w, hold, d, w.ground(), "holds " + name + " off at reset");
        add_discrete(w, fet, "Q", {{"G", g}, {"S", w.ground()}, {"D", rx}}, "sinks the load of " + name);
    };
    return r;
}

Recipe by_npn(const Load& load, const TypePtr& npn) {
    const Bench& bench = load.bench;
    const double base = base_resistor(load.c, *npn, load.amps), off = resistor_at_most(bench, 10e3);
    const std::string name = load.name;
    Recipe r{.title = fmt::format("{} sinks the load, base {}", npn->name, print(Ohms{base})),
             .cautions = {turned},
             .inverts = true,
             .simplicity = 3};
    r.how_sized =
        fmt::format("load {}; base resistor for a tenth of it, 10 kΩ at most", print(Amps{load.amps}));
    r.assemble = [&bench, npn, base, off, name](Wiring& w, NetId d, NetId rx) {
        const NetId b = w.add_net(name + " base");
        add_resistor(bench, w, base, d, b, "base resistor of " + name);
        add_resistor(bench, w, off, b, w.ground(), "keeps " + name + " off while nothing drives");
        add_discrete(w, npn, "Q", {{"B", b}, {"E", w.ground()}, {"C", rx}}, "sinks the load of " + name);
    };
    return r;
}

/// A channel of a Darlington array; its common cathode goes to the rail of the load.
Recipe by_array(const Load& load, const TypePtr& type) {
    const std::string rail = load.c.receiver().rail;
    Recipe r{.title = fmt::format("{} sinks the load", type->name),
             .cautions = {turned, "Left on, a channel keeps about 1 V: too much for some 5 V relays."},
             .ic = type,
             .inverts = true,
             .simplicity = 3};
    r.how_sized = fmt::format("load {}", print(Amps{load.amps}));
    r.assemble = [type, rail](Wiring& w, NetId, NetId) {
        for (WiredPart& part : w.parts)
            if (part.type == type)
                if (const int com = type->pin_index("COM"); com >= 0) part.net_of_pin[com] = w.rail(rail);
    };
    return r;
}

bool is_array(const PartType& t) {
    return t.supplies.empty() && !t.channels.empty() && t.channels[0].logic == ChannelLogic::inverter &&
           t.pins[t.channels[0].output].role == PinRole::open_drain;
}

}  // namespace

static Proposal propose_load_driver(const Crossing& c) {
    if (!c.receiver().facts->load) return {.refusal = "the receiver is no load"};
    const LoadInput& input = *c.receiver().facts->load;
    if (!input.to_supply)
        return {.refusal = "the load hangs on ground, and these drivers sink: see the transistor that feeds it"};
    if (c.open_drain_driver())
        return {.refusal = "the driver gives no high to switch it on; it sinks the load itself"};
    const Load load{*c.bench, c, c.link->name,
                    (c.receiver().volts.hi - input.forward.span.lo).si() / input.ohms.span.lo.si()};
    const Volts drive = surely_high(c.driver());
    Proposal out;
    if (const TypePtr fet = fet_for(*c.bench, drive, c.receiver().volts.hi))
        out.recipes.push_back(by_fet(load, fet));
    if (const TypePtr npn = npn_for(*c.bench, c.receiver().volts.hi))
        out.recipes.push_back(by_npn(load, npn));
    if (const auto arrays = types_of(*c.bench, PartKind::logic, is_array); !arrays.empty())
        out.recipes.push_back(by_array(load, arrays.front()));
    if (out.recipes.empty()) out.refusal = no_fet(drive);
    return out;
}

extern const CircuitKind load_driver_circuit{
    .name = "load-driver",
    .title = "transistor that switches the load",
    .place = 200,
    .propose = propose_load_driver,
    .where = "load that hangs on a supply",
    .sizing = "I = (Vmax - Vf min) / R min; FET with 100 Ω and 4.7 kΩ, NPN with RB as above and 10 kΩ, or a Darlington array",
    .source = "practice",
    .refused = "load that hangs on ground",
};

}  // namespace voltsill
