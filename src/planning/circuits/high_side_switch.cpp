/// A transistor at the load's own rail, and one in front of it that a lower rail can switch: for loads that
/// hang on ground.
///
///     I load = (V rail max - V forward min) / R min
///     PNP:    RB <= (V rail min - VBE max - 0.2 V) / (I load / 10 + VBE max / 10 kΩ), 10 kΩ from base to
///     emitter NPN:    RB <= (VOH min - VBE max) / (V rail max / RB of the PNP / 10 + VBE max / 10 kΩ),
///     likewise P-FET:  k = 10 kΩ / (10 kΩ + R), k V rail max <= 0.8 VGS max, k V rail min > VGS(th) max +
///     0.3 V edge:   ln 9 10 kΩ C gate <= 0.1 bit
///
/// Common practice, no source: forced gain 10, 0.2 V of a saturated transistor, a gate well on 0.3 V over its
/// threshold, a fifth of VGS kept, 20 kHz at most where 10 kΩ take a transistor out of saturation.
#include <fmt/format.h>

#include <algorithm>

#include "planning/circuits/transistor_choice.h"
#include "quantity/print.h"
#include "quantity/rise.h"

namespace voltsill {
namespace {

constexpr double hold_ohms = 10e3;        ///< base to emitter, gate to source
constexpr double fastest_bipolar = 20e3;  ///< Hz

double base_for(const Bench& bench, Volts over, const PartType& transistor, double collector_amps) {
    const double held = std::get<BjtModel>(transistor.model).vbe.span.hi.si() / hold_ohms;
    return resistor_at_most(bench, std::clamp(over.si() / (collector_amps / 10 + held), 100.0, 10e3));
}

Recipe by_bipolar_pair(const Crossing& c, const TypePtr& pnp, const TypePtr& npn, double amps) {
    const Bench& bench = *c.bench;
    const Span<Volts> volts = c.receiver().volts;
    const Volts vbe = std::get<BjtModel>(pnp->model).vbe.span.hi, over = volts.lo - vbe - Volts{0.2};
    const double upper = base_for(bench, over, *pnp, amps), between = volts.hi.si() / upper;
    const double lower =
        base_for(bench, surely_high(c.driver()) - std::get<BjtModel>(npn->model).vbe.span.hi, *npn, between);
    const double hold = resistor_at_least(bench, hold_ohms);
    const std::string rail = c.receiver().rail, name = c.link->name;
    Recipe r{.title = fmt::format("{} from rail {} to the load, {} in front, bases {} and {}", pnp->name,
                                  rail, npn->name, print(Ohms{upper}), print(Ohms{lower})),
             .cautions = {"Emitter of the PNP to the rail, collector to the load."},
             .simplicity = 5};
    r.how_sized = fmt::format(
        "load {}; the upper base gets a tenth of it over {} - {} - 200 mV = {}: {}, 10 kΩ at most; that takes "
        "up to {}, of which the lower base gets a tenth: {}",
        print(Amps{amps}), print(volts.lo), print(vbe), print(over), print(Ohms{upper}), print(Amps{between}),
        print(Ohms{lower}));
    r.assemble = [&bench, pnp, npn, upper, lower, hold, rail, name](Wiring& w, NetId d, NetId rx) {
        const NetId first = w.add_net(name + " base"), collector = w.add_net(name + " collector"),
                    second = w.add_net(name + " upper base");
        add_resistor(bench, w, lower, d, first, "base resistor of " + name);
        add_resistor(bench, w, hold, first, w.ground(), "keeps " + name + " off while nothing drives");
        add_discrete(w, npn, "Q", {{"B", first}, {"E", w.ground()}, {"C", collector}},
                     "switches the transistor at rail " + rail);
        add_resistor(bench, w, upper, second, collector, "upper base resistor of " + name);
        add_resistor(bench, w, hold, w.rail(rail), second, "keeps the transistor at rail " + rail + " off");
        add_discrete(w, pnp, "Q", {{"B", second}, {"E", w.rail(rail)}, {"C", rx}},
                     "feeds the load of " + name);
    };
    return r;
}

/// Ohms between gate and lower transistor, so that the gate gets no more than it stands; 0: none needed.
double gate_series(const Bench& bench, const MosfetModel& fet, Volts rail) {
    const double share = 0.8 * fet.vgs_max / rail;
    return share >= 1 ? 0 : resistor_at_least(bench, hold_ohms * (1 / share - 1));
}

/// What the gate then gets of its rail.
double gate_share(const Bench& bench, const MosfetModel& fet, Volts rail) {
    return hold_ohms / (hold_ohms + gate_series(bench, fet, rail));
}

Recipe by_fet_pair(const Crossing& c, const TypePtr& upper, const TypePtr& lower, double amps) {
    const Bench& bench = *c.bench;
    const MosfetModel& m = std::get<MosfetModel>(upper->model);
    const Span<Volts> volts = c.receiver().volts;
    const double series = gate_series(bench, m, volts.hi), share = gate_share(bench, m, volts.hi);
    const double hold = resistor_at_least(bench, hold_ohms), off = resistor_at_most(bench, 4.7e3);
    const bool held = c.link->safe_level.has_value();
    const std::string rail = c.receiver().rail, name = c.link->name;
    Recipe r{.title = fmt::format("{} from rail {} to the load, {} in front", upper->name, rail, lower->name),
             .cautions = {"Source of the P-FET to the rail, drain to the load: exchanged, its body diode "
                          "keeps the load on."},
             .simplicity = series > 0 ? 6.0 : 5.0};
    r.how_sized = fmt::format(
        "load {}; {}; upper gate {} of {} = {}..{}, against VGS(th) max {} and {} that it stands",
        print(Amps{amps}), gate_words(surely_high(c.driver()), *lower), print_percent(share), print(volts),
        print(volts.lo * share), print(volts.hi * share), print(m.vth.span.hi), print(m.vgs_max));
    r.assemble = [&bench, upper, lower, series, hold, off, held, rail, name](Wiring& w, NetId d, NetId rx) {
        const NetId gate = w.add_net(name + " upper gate"),
                    drain = series > 0 ? w.add_net(name + " drain") : gate;
        if (!held) add_resistor(bench, w, off, d, w.ground(), "holds " + name + " off at reset");
        add_discrete(w, lower, "Q", {{"G", d}, {"S", w.ground()}, {"D", drain}},
                     "switches the transistor at rail " + rail);
        if (series > 0)
            add_resistor(bench, w, series, gate, drain,
                         "keeps the upper gate of " + name + " within its maximum");
        add_resistor(bench, w, hold, w.rail(rail), gate, "keeps the transistor at rail " + rail + " off");
        add_discrete(w, upper, "Q", {{"G", gate}, {"S", w.rail(rail)}, {"D", rx}},
                     "feeds the load of " + name);
    };
    return r;
}

TypePtr pnp_for(const Crossing& c) {
    const auto types = types_of(*c.bench, PartKind::bjt, [&](const PartType& t) {
        const BjtModel& m = std::get<BjtModel>(t.model);
        return m.pnp && m.vce_max > c.receiver().volts.hi;
    });
    return types.empty() || c.rate() > fastest_bipolar ? nullptr : types.front();
}

TypePtr p_fet_for(const Crossing& c) {
    const Span<Volts> volts = c.receiver().volts;
    const auto types = types_of(*c.bench, PartKind::mosfet, [&](const PartType& t) {
        const MosfetModel& m = std::get<MosfetModel>(t.model);
        const double edge = rise_factor * hold_ohms * m.gate_capacitance.span.hi.si();
        return m.p_channel && m.vds_max > volts.hi && c.rate() * edge <= 0.1 &&
               volts.lo * gate_share(*c.bench, m, volts.hi) > m.vth.span.hi + Volts{0.3};
    });
    return types.empty() ? nullptr : types.front();
}

}  // namespace

static Proposal propose_high_side_switch(const Crossing& c) {
    if (!c.receiver().facts->load) return {.refusal = "the receiver is no load"};
    const LoadInput& input = *c.receiver().facts->load;
    if (input.to_supply)
        return {.refusal = "the load hangs on a supply: a transistor that sinks it does with less"};
    if (c.open_drain_driver()) return {.refusal = "the driver gives no high to switch it on"};
    if (c.receiver().rail.empty()) return {.refusal = "the load's part is on no rail that could feed it"};
    const Volts most = c.receiver().volts.hi, drive = surely_high(c.driver());
    const double amps = (most - input.forward.span.lo).si() / input.ohms.span.lo.si();
    Proposal out;
    const auto offer = [&](Recipe r) {
        out.refusal = add_flyback(c, r, amps);
        if (out.refusal.empty()) out.recipes.push_back(std::move(r));
    };
    if (const TypePtr pnp = pnp_for(c), npn = npn_for(*c.bench, most); pnp && npn)
        offer(by_bipolar_pair(c, pnp, npn, amps));
    if (const TypePtr upper = p_fet_for(c), lower = fet_for(*c.bench, drive, most); upper && lower)
        offer(by_fet_pair(c, upper, lower, amps));
    if (out.recipes.empty() && out.refusal.empty())
        out.refusal =
            c.rate() > fastest_bipolar
                ? fmt::format(
                      "10 kΩ take the transistors out of conduction up to {} or less (common "
                      "practice); the link runs at {}",
                      print(Hertz{fastest_bipolar}), print(Hertz{c.rate()}))
                : fmt::format("no pair of transistors in the catalogue switches {} from a high of {}",
                              print(most), print(drive));
    return out;
}

extern const CircuitKind high_side_switch_circuit{
    .name = "high-side-switch",
    .title = "transistor that feeds the load from its rail",
    .place = 205,
    .propose = propose_high_side_switch,
    .where = "load that hangs on ground",
    .sizing =
        "I as above; PNP and NPN: RB <= V / (I / 10 + VBE max / 10 kΩ), V = Vrail min - VBE max - 0.2 V "
        "above and "
        "VOH - VBE max below, 10 kΩ to the emitter; P-FET and N-FET: gate by 10 kΩ and a resistor, 0.8 VGS "
        "max at "
        "most, VGS(th) max + 0.3 V at least",
    .source = "practice",
    .refused = "load that hangs on a supply; above 20 kHz, P-FET 0.1 bit of 2.2 x 10 kΩ x gate capacitance",
};

}  // namespace voltsill
