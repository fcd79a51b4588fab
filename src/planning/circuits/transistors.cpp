/// Single transistors: inverters, the pair that restores polarity, the two-way FET.
///
///     FET:  VGS(th) max + 0.3 V < VOH min                     0.3 V: well on (common practice)
///     NPN:  RB <= (VOH min - VBE max) / (IC / 10)             forced gain 10 (common practice)
///     two-way FET:  VGS(th) max < V low - 0.7 V               AN10441 rev 01, section 2
#include <fmt/format.h>

#include <algorithm>

#include "planning/circuit_kind.h"
#include "planning/circuits/transistor_choice.h"
#include "quantity/print.h"
#include "quantity/rise.h"

namespace voltsill {
namespace {

std::string unfit(const Crossing& c) {
    if (c.both_ways()) return "it works one way only";
    if (c.link->kind == LinkKind::analog) return "it passes levels, not voltages";
    if (c.receiver().facts->load) return "the receiver is a load: see the transistor that switches it";
    if (c.open_drain_driver()) return "the driver gives no high to switch it on";
    if (c.receiver().rail.empty()) return "the receiver has no rail for its pull-up";
    return {};
}

void fet_stage(const Bench& bench, Wiring& w, const TypePtr& fet, NetId in, NetId out,
               const std::string& rail, double ohms, const std::string& name) {
    add_discrete(w, fet, "Q", {{"G", in}, {"S", w.ground()}, {"D", out}}, "inverts " + name);
    add_pull_up(bench, w, ohms, rail, out, name);
}

std::string edge_words(const Crossing& c, double ohms) {
    return fmt::format("pull-up: {} rise", rise_arithmetic(ohms, c.load_capacitance()));
}

constexpr const char* upside_down = "The signal comes out upside down: turn it round in software.";

}  // namespace

static Proposal propose_npn_inverter(const Crossing& c) {
    if (const std::string why = unfit(c); !why.empty()) return {.refusal = why};
    const TypePtr npn = npn_for(*c.bench, c.receiver().volts.hi);
    if (!npn) return {.refusal = "no NPN transistor in the catalogue"};
    if (c.rate() > 200e3)
        return {.refusal = fmt::format(
                    "storage time limits it to about 200 kHz (common practice); the link runs at {}",
                    print(Hertz{c.rate()}))};
    const double pull = pull_up_for(c), collector = c.receiver().volts.hi.si() / pull;
    const double base = base_resistor(c, *npn, collector);
    const Bench& bench = *c.bench;
    const std::string rail = c.receiver().rail, name = c.link->name;
    Recipe r{
        .title = fmt::format("NPN inverter, base {}, collector {}", print(Ohms{base}), print(Ohms{pull})),
        .cautions = {upside_down},
        .inverts = true,
        .simplicity = 4};
    r.how_sized = fmt::format("IC = {} / {} = {}; base resistor for IC / 10, 10 kΩ at most; {}",
                              print(c.receiver().volts.hi), print(Ohms{pull}), print(Amps{collector}),
                              edge_words(c, pull));
    r.assemble = [&bench, npn, base, pull, rail, name](Wiring& w, NetId d, NetId rx) {
        const NetId b = w.add_net(name + " base");
        add_resistor(bench, w, base, d, b, "base resistor of " + name);
        add_discrete(w, npn, "Q", {{"B", b}, {"E", w.ground()}, {"C", rx}}, "inverts " + name);
        add_pull_up(bench, w, pull, rail, rx, name);
    };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind npn_inverter_circuit{
    .name = "npn-inverter",
    .title = "NPN inverter",
    .place = 60,
    .propose = propose_npn_inverter,
    .where = "inverting, up to 200 kHz",
    .sizing = "RB <= (VOH - VBE max) / (IC / 10), 1 kΩ .. 10 kΩ",
    .source = "forced gain 10, practice",
    .refused = "faster than 200 kHz",
};

static Proposal propose_fet_inverter(const Crossing& c) {
    if (const std::string why = unfit(c); !why.empty()) return {.refusal = why};
    const Volts drive = surely_high(c.driver());
    const TypePtr fet = fet_for(*c.bench, drive, c.receiver().volts.hi);
    if (!fet) return {.refusal = no_fet(drive)};
    const double pull = pull_up_for(c);
    const Bench& bench = *c.bench;
    const std::string rail = c.receiver().rail, name = c.link->name;
    Recipe r{.title = fmt::format("{} inverter, pull-up {}", fet->name, print(Ohms{pull})),
             .cautions = {upside_down},
             .inverts = true,
             .simplicity = 4};
    r.how_sized = fmt::format("{}; {}", gate_words(drive, *fet), edge_words(c, pull));
    r.assemble = [&bench, fet, pull, rail, name](Wiring& w, NetId d, NetId rx) {
        fet_stage(bench, w, fet, d, rx, rail, pull, name);
    };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind fet_inverter_circuit{
    .name = "fet-inverter",
    .title = "N-channel FET inverter",
    .place = 70,
    .propose = propose_fet_inverter,
    .where = "one way, inverting",
    .sizing = "VGS(th) max + 0.3 V < VOH",
    .source = "practice",
    .refused = "no such FET",
};

static Proposal propose_inverter_pair(const Crossing& c) {
    if (const std::string why = unfit(c); !why.empty()) return {.refusal = why};
    const Volts drive = std::min(surely_high(c.driver()), c.receiver().volts.lo);
    const TypePtr fet = fet_for(*c.bench, drive, c.receiver().volts.hi);
    if (!fet) return {.refusal = no_fet(drive)};
    const double pull = pull_up_for(c);
    const Bench& bench = *c.bench;
    const std::string rail = c.receiver().rail, name = c.link->name;
    Recipe r{.title = fmt::format("two {} inverters, pull-ups {}", fet->name, print(Ohms{pull})),
             .simplicity = 6};
    r.how_sized = fmt::format("{}; {}", gate_words(drive, *fet), edge_words(c, pull));
    r.assemble = [&bench, fet, pull, rail, name](Wiring& w, NetId d, NetId rx) {
        const NetId between = w.add_net(name + " inverted");
        fet_stage(bench, w, fet, d, between, rail, pull, name);
        fet_stage(bench, w, fet, between, rx, rail, pull, name);
    };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind inverter_pair_circuit{
    .name = "inverter-pair",
    .title = "two FET inverters",
    .place = 80,
    .propose = propose_inverter_pair,
    .where = "one way",
    .sizing = "as `fet-inverter`, for either",
    .source = "practice",
    .refused = "no such FET",
};

/// Gate at the lower rail, source at the low side, drain at the high side, a pull-up on each side.
static Proposal propose_two_way_fet(const Crossing& c) {
    if (c.link->kind == LinkKind::analog) return {.refusal = "it passes levels, not voltages"};
    if (c.receiver().facts->load) return {.refusal = "its high comes from a pull-up: it drives no load"};
    const Side &low = c.low_side(), &high = c.high_side();
    if (low.rail == high.rail || low.rail.empty() || high.rail.empty())
        return {.refusal = "both sides are on one rail"};
    const bool released = c.open_drain_driver();
    const double fastest = released ? 400e3 : 200e3;
    if (c.rate() > fastest)
        return {.refusal = fmt::format(
                    "{} lines go to about {} through it (common practice); the link runs at {}",
                    released ? "open-drain" : "push-pull", print(Hertz{fastest}), print(Hertz{c.rate()}))};
    const TypePtr fet = fet_for(*c.bench, low.volts.lo - Volts{0.7 - 0.3}, high.volts.hi);
    if (!fet)
        return {.refusal = fmt::format(
                    "no N-channel FET has a threshold surely below {} less 0.7 V of the body diode, {}",
                    print(low.volts.lo), print(low.volts.lo - Volts{0.7}))};
    const auto pulled = [&](const Side& wanted) {
        for (const auto* sides : {&c.from, &c.to})
            for (const Side& s : *sides)
                if (s.rail == wanted.rail && own_pull_up({s})) return true;
        return false;
    };
    const bool low_has = pulled(low), high_has = pulled(high);
    // Fast-mode edges want about 2.2 kΩ, slower ones 4.7 kΩ (common practice); the judge has the last word.
    const double ohms = c.rate() > 100e3 ? resistor_at_most(*c.bench, 2.2e3)
                        : c.both_ways()  ? resistor_at_most(*c.bench, 4.7e3)
                                         : pull_up_for(c);
    const Bench& bench = *c.bench;
    const std::string low_rail = low.rail, high_rail = high.rail, name = c.link->name;
    const bool driver_low = &low == &c.driver();
    const MosfetModel& m = std::get<MosfetModel>(fet->model);
    Recipe r{.title = fmt::format("two-way {}", fet->name), .rests_high = true, .simplicity = 4};
    r.title += low_has && high_has ? ", pull-ups as they are"
               : low_has || high_has
                   ? fmt::format(", pull-up {} to rail {}", print(Ohms{ohms}), low_has ? high_rail : low_rail)
                   : fmt::format(", pull-ups {}", print(Ohms{ohms}));
    r.how_sized = fmt::format("VGS = {} less 0.7 V of the body diode = {} against VGS(th) max {}",
                              print(low.volts.lo), print(low.volts.lo - Volts{0.7}), print(m.vth.span.hi));
    r.cautions = {
        "Source to the low side, drain to the high side, gate to the lower rail: exchanged, the body diode "
        "joins both rails."};
    if (low.volts.hi.si() < high.volts.lo.si())
        r.cautions.push_back(fmt::format("Rails {} and {} must be on together.", low_rail, high_rail));
    r.assemble = [&bench, fet, ohms, low_rail, high_rail, low_has, high_has, driver_low, name](
                     Wiring& w, NetId d, NetId rx) {
        const NetId low_net = driver_low ? d : rx, high_net = driver_low ? rx : d;
        add_discrete(w, fet, "Q", {{"G", w.rail(low_rail)}, {"S", low_net}, {"D", high_net}},
                     "joins both sides of " + name);
        if (!low_has) add_pull_up(bench, w, ohms, low_rail, low_net, name);
        if (!high_has) add_pull_up(bench, w, ohms, high_rail, high_net, name);
    };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind two_way_fet_circuit{
    .name = "two-way-fet",
    .title = "two-way N-channel FET",
    .place = 90,
    .propose = propose_two_way_fet,
    .where = "two rails, up to 400 kHz open-drain, 200 kHz push-pull",
    .sizing = "VGS(th) max < Vlow min - 0.7 V; pull-ups 4.7 kΩ, 2.2 kΩ above 100 kHz",
    .source = "AN10441 rev 01, section 2; pull-ups practice",
    .refused = "faster; no such FET",
};

}  // namespace voltsill
