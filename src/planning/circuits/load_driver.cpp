/// Transistors that switch a load towards ground: the load's own rail never meets the driver.
///
///     I load = (V rail max - V forward min) / R min
///     NPN:  RB <= (VOH min - VBE max) / IB, IB = I load / 10 + VBE max / 10 kΩ      (common practice)
///     FET:  VGS(th) max + 0.3 V < VOH min, 100 Ω before the gate, 4.7 kΩ to ground  (common practice)
///
/// Either carries I load. A coil gets a diode beside it, cathode at the plus         (common practice)
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

constexpr const char* sense = "A high at the driver switches the load on.";

Recipe by_fet(const Load& load, const TypePtr& fet) {
    const Bench& bench = load.bench;
    const double hold = resistor_at_most(bench, 4.7e3), gate = resistor_at_least(bench, 100);
    const bool held = load.c.link->safe_level.has_value();
    const std::string name = load.name;
    Recipe r{.title = fmt::format("{} sinks the load", fet->name),
             .cautions = {sense},
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

Recipe by_npn(const Load& load, const TypePtr& npn, const BaseDrive& drive, double off) {
    const Bench& bench = load.bench;
    const double base = drive.ohms;
    const std::string name = load.name;
    Recipe r{.title = fmt::format("{} sinks the load, base {}", npn->name, print(Ohms{base})),
             .cautions = {sense},
             .inverts = true,
             .simplicity = 3};
    r.how_sized =
        fmt::format("load {}; a tenth of it and what {} take are {} at {} of the driver: ({} - {}) / {} or less",
                    print(Amps{load.amps}), print(Ohms{off}), print(Amps{drive.base_amps}), print(drive.high),
                    print(drive.high), print(std::get<BjtModel>(npn->model).vbe.span.hi), print(Amps{drive.base_amps}));
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
    const Bench& bench = load.bench;
    const std::string rail = load.c.receiver().rail, name = load.name;
    const double hold = resistor_at_most(bench, 4.7e3);
    const bool held = load.c.link->safe_level.has_value();
    Recipe r{.title = fmt::format("{} sinks the load", type->name),
             .cautions = {sense, "Left on, a channel keeps about 1 V: too much for some 5 V relays."},
             .ic = type,
             .inverts = true,
             .simplicity = 3};
    r.how_sized = fmt::format("load {}", print(Amps{load.amps}));
    r.assemble = [&bench, type, rail, hold, held, name](Wiring& w, NetId d, NetId) {
        if (!held) add_resistor(bench, w, hold, d, w.ground(), "holds " + name + " off at reset");
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
    const Volts most = c.receiver().volts.hi;
    std::string against;
    const auto offer = [&](Recipe r) {
        const std::string why = add_flyback(c, r, load.amps);
        if (why.empty()) out.recipes.push_back(std::move(r));
        else against = why;
    };
    if (const TypePtr fet = fet_for(*c.bench, drive, most, Amps{load.amps}))
        offer(by_fet(load, fet));
    else
        against = fet_for(*c.bench, drive, most) ? fmt::format("no N-channel FET that opens from {} carries {}",
                                                               print(drive), print(Amps{load.amps}))
                                                 : no_fet(drive);
    if (const TypePtr npn = npn_for(*c.bench, most, Amps{load.amps})) {
        const double off = resistor_at_most(*c.bench, 10e3);
        const BaseDrive base = base_drive(c, *npn, load.amps, off);
        if (base.refusal.empty()) offer(by_npn(load, npn, base, off));
        else against = base.refusal;
    }
    if (const auto arrays = types_of(*c.bench, PartKind::logic, is_array); !arrays.empty())
        out.recipes.push_back(by_array(load, arrays.front()));
    if (out.recipes.empty()) out.refusal = against;
    return out;
}

extern const CircuitKind load_driver_circuit{
    .name = "load-driver",
    .title = "transistor that switches the load",
    .place = 200,
    .propose = propose_load_driver,
    .where = "load that hangs on a supply",
    .sizing =
        "I = (Vmax - Vf min) / R min; FET with 100 Ω and 4.7 kΩ, NPN with 10 kΩ and RB <= (VOH - VBE max) / (I / 10 + "
        "VBE max / "
        "10 kΩ), or a Darlington array; a diode beside a coil",
    .source = "practice",
    .refused = "load that hangs on ground",
};

}  // namespace voltsill
