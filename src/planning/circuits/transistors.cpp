/// Single transistors: inverters, the pair that restores polarity, the two-way FET.
///
///     FET:  VGS(th) max + 0.3 V < VOH min                     0.3 V: well on (common practice)
///     NPN:  RB <= (VOH min - VBE max) / (IC / 10)             forced gain 10 (common practice)
///     two-way FET:  VGS(th) max < V low - 0.7 V               AN10441 rev 01, section 2
///     its pull-ups: Rp min = (VDD - VOL) / IOL, Rp max = tr / (0.8473 Cb)     UM10204 rev 7, section 7.1; the FET
///                   joins both sides, so that one sink takes the currents of both
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <tuple>

#include "judging/bus_modes.h"
#include "planning/circuit_kind.h"
#include "planning/circuits/transistor_choice.h"
#include "quantity/print.h"
#include "quantity/rise.h"
#include "wiring/assumed.h"

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

/// What a sink may be asked to take and an edge may last, as shares of what is allowed.
struct Shares {
    double sink, rise;
};
constexpr Shares safe_shares{0.9, 0.8}, all_of_it{1.0, 1.0};  ///< up to the first the judge calls it safe
/// Least VOL at which a bus prints its IOL (UM10204 rev 7, table 10).
constexpr double bus_vol = 0.4;

/// Pull-ups on both sides of a FET that joins them: no less than one sink takes together with those that are
/// there, no more than charges the slower side in time.
struct PullWindow {
    double least = 0, most = 0, ohms = 0;  ///< and the value chosen, outside where the stock has none within
    std::string words;
    bool fits() const { return least <= ohms && ohms <= most; }
};
PullWindow pull_window(const Crossing& c, const BusMode& mode, const Shares& shares, bool low_has, bool high_has,
                       double usual) {
    const double weak = 1 - resistor_stock(*c.bench).tolerance, strong = 2 - weak;
    double there = 0, farads = 0;  // amps of pull-ups that are there
    std::array<double, 2> charge{};
    const Side* ends[] = {&c.low_side(), &c.high_side()};
    for (const auto* sides : {&c.from, &c.to})
        for (const Side& s : *sides) {
            const bool high = s.rail == ends[1]->rail;
            charge[high] +=
                s.facts->capacitance.known() ? s.facts->capacitance.span.hi.si() : assumed::pin_capacitance.si();
            for (const Pull& p : s.facts->pulls)
                if (pulls_up(s, p)) there += (s.volts.hi.si() - bus_vol) / p.ohms.span.lo.si();
        }
    double volts = 0;
    std::string swings;
    for (const auto& [end, has, of] : {std::tuple{ends[0], low_has, charge[0]}, {ends[1], high_has, charge[1]}}) {
        if (has) continue;
        volts += end->volts.hi.si() - bus_vol;
        swings += fmt::format("{}{} - {}", swings.empty() ? "" : " + ", print(end->volts.hi), print(Volts{bus_vol}));
        farads = std::max(farads, c.bench->wishes.wire_capacitance.si() + of + assumed::pin_capacitance.si());
    }
    const double left = shares.sink * mode.sink - there, rise = shares.rise * mode.rise_max;
    if (left <= 0 || farads == 0) return {};
    PullWindow w{.least = volts / left / weak, .most = rise / (rise_30_70 * farads) / strong};
    const std::string taken = there > 0 ? fmt::format(" - {} that pull already", print(Amps{there})) : "";
    w.words = fmt::format(
        "pull-ups from ({}) / ({} * {}{}) / {:.2f} = {} to {} * {} / (0.8473 * {} * {:.2f}) = {}", swings, shares.sink,
        print(Amps{mode.sink}), taken, weak, print(Ohms{w.least}), shares.rise, print(Seconds{mode.rise_max}),
        print(Farads{farads}), strong, print(Ohms{w.most}));
    w.ohms = resistor_at_most(*c.bench, usual);
    if (w.ohms > w.most) w.ohms = resistor_at_most(*c.bench, w.most);
    if (w.ohms < w.least) w.ohms = resistor_at_least(*c.bench, w.least);
    return w;
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
    const BusMode* mode = bus_mode(*c.link);
    const double usual = c.rate() > 100e3 ? 2.2e3 : 4.7e3;
    PullWindow window;
    if (mode) window = pull_window(c, *mode, safe_shares, low_has, high_has, usual);
    if (mode && !window.fits()) window = pull_window(c, *mode, all_of_it, low_has, high_has, usual);
    const double ohms = window.ohms > 0                     ? window.ohms
                        : c.rate() > 100e3 || c.both_ways() ? resistor_at_most(*c.bench, usual)
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
    if (!window.words.empty()) r.how_sized += "; " + window.words;
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
    .sizing =
        "VGS(th) max < Vlow min - 0.7 V; pull-ups 4.7 kΩ, 2.2 kΩ above 100 kHz; of a bus within (VDD - VOL) / IOL of "
        "both sides together and tr / (0.8473 Cb)",
    .source = "AN10441 rev 01, section 2; UM10204 rev 7, section 7.1; else practice",
    .refused = "faster; no such FET",
};

}  // namespace voltsill
