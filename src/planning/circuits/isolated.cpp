/// Optocoupler, comparator and follower.
#include <fmt/format.h>

#include <algorithm>

#include "planning/circuits/divider.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

std::vector<std::shared_ptr<const PartType>> amplifiers_on(const Bench& bench, PartKind kind, Span<Volts> rail) {
    return types_of(bench, kind, [&](const PartType& t) {
        return t.supplies.size() == 1 && t.supplies[0].range.contains(rail) && !t.channels.empty();
    });
}

}  // namespace

/// LED current I = (V high - Vf) / R; the collector sinks Vrail / Rc < CTR min I.
static Proposal propose_opto(const Crossing& c) {
    if (c.both_ways()) return {.refusal = "it works one way only"};
    if (c.link->kind == LinkKind::analog) return {.refusal = "its current ratio is no precision"};
    if (c.open_drain_driver()) return {.refusal = "the driver gives no high to light its LED"};
    if (c.receiver().facts->load)
        return {.refusal = "its collector sinks a few milliamperes at best: no load"};
    if (c.receiver().rail.empty()) return {.refusal = "the receiver has no rail for the collector resistor"};
    const auto optos = types_of(*c.bench, PartKind::opto);
    if (optos.empty()) return {.refusal = "no optocoupler in the catalogue"};
    const auto type = optos.front();
    const OptoModel& m = std::get<OptoModel>(type->model);
    // A bit should last ten times the turn-off time (common practice).
    if (m.turn_off.si() > 0 && c.rate() * m.turn_off.si() > 0.1)
        return {.refusal =
                    fmt::format("{} needs {} to turn off; a bit at {} lasts {}", type->name,
                                print(m.turn_off), print(Hertz{c.rate()}), print(Seconds{1 / c.rate()}))};
    const double spare = 0.95 * surely_high(c.driver()).si() - m.forward.span.hi.si();
    if (spare < 0.3)
        return {.refusal = fmt::format("a high of {} leaves nothing over an LED drop of {}",
                                       print(surely_high(c.driver())), print(m.forward.span.hi))};
    const double led = resistor_at_most(*c.bench, spare / 5e-3), current = spare / led;
    const double collector = resistor_at_least(
        *c.bench, std::max(1e3, 2 * c.receiver().volts.hi.si() / (m.ctr.span.lo * current)));
    const Bench& bench = *c.bench;
    const std::string rail = c.receiver().rail, name = c.link->name;
    Recipe r{.title = fmt::format("{}, LED resistor {}, collector {}", type->name, print(Ohms{led}),
                                  print(Ohms{collector})),
             .simplicity = 6};
    r.how_sized = fmt::format("LED {} / {} = {}; CTR min {} gives twice what {} needs", print(Volts{spare}),
                              print(Ohms{led}), print(Amps{current}), print_percent(m.ctr.span.lo),
                              print(Ohms{collector}));
    r.inverts = r.rests_high = true;
    r.cautions = {"The signal comes out upside down: turn it round in software.",
                  "It isolates only when both sides keep grounds and supplies of their own."};
    r.assemble = [&bench, type, led, collector, rail, name](Wiring& w, NetId d, NetId rx) {
        const NetId anode = w.add_net(name + " LED");
        add_resistor(bench, w, led, d, anode, "LED resistor of " + name);
        add_discrete(w, type, "OK", {{"A", anode}, {"K", w.ground()}, {"C", rx}, {"E", w.ground()}},
                     "isolates " + name);
        add_pull_up(bench, w, collector, rail, rx, name);
    };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind opto_circuit{
    .name = "opto",
    .title = "optocoupler",
    .place = 170,
    .propose = propose_opto,
    .where = "inverting",
    .sizing = "RLED <= (0.95 VOH - Vf max) / 5 mA; RC >= 2 Vrail / (CTR min ILED)",
    .source = "practice",
    .refused = "a bit shorter than ten times its turn-off",
};

/// Threshold by a divider from the part's rail, half the driver's swing; output pulled to the receiver's
/// rail.
static Proposal propose_comparator(const Crossing& c) {
    if (c.both_ways()) return {.refusal = "it works one way only"};
    if (c.link->kind == LinkKind::analog)
        return {.refusal = "it has one threshold: it cannot pass an analogue voltage"};
    if (c.rate() > 100e3)
        return {.refusal = fmt::format("open-collector comparators of this class reach about 100 kHz (common "
                                       "practice); the link runs at {}",
                                       print(Hertz{c.rate()}))};
    const Side& on = c.high_side();
    if (c.receiver().rail.empty() || on.rail.empty())
        return {.refusal = "it needs a rail on each side: for its threshold and for its pull-up"};
    const auto types = amplifiers_on(*c.bench, PartKind::comparator, on.volts);
    if (types.empty()) return {.refusal = fmt::format("no comparator made for {}", print(on.volts))};
    const auto type = types.front();
    const double threshold = c.driver().volts.lo.si() * 0.45, top = on.volts.nominal.si();
    const double lower = resistor_at_most(*c.bench, 10e3),
                 upper = resistor_at_most(*c.bench, lower * (top / threshold - 1));
    const double pull = pull_up_for(c);
    const Bench& bench = *c.bench;
    const std::string rail = c.receiver().rail, on_rail = on.rail, name = c.link->name;
    Recipe r{.title = fmt::format("{} on rail {}, threshold {}", type->name, on.rail,
                                  print(Volts{top * lower / (lower + upper)})),
             .ic = type,
             .ic_rails = {{type->supplies[0].name, on.rail}},
             .simplicity = 7};
    r.how_sized = fmt::format("{} over {} from {} sets {}", print(Ohms{upper}), print(Ohms{lower}),
                              print(on.volts.nominal), print(Volts{top * lower / (lower + upper)}));
    r.cautions = {"Without hysteresis a slow edge makes it chatter."};
    r.assemble = [&bench, type, upper, lower, pull, rail, on_rail, name](Wiring& w, NetId, NetId rx) {
        add_pull_up(bench, w, pull, rail, rx, name);
        const NetId reference = w.add_net(name + " threshold");
        add_resistor(bench, w, upper, w.rail(on_rail), reference, "threshold of " + name);
        add_resistor(bench, w, lower, reference, w.ground(), "threshold of " + name);
        for (WiredPart& part : w.parts)  // the channel whose output is this receiver compares with it
            if (part.type == type)
                for (const Channel& channel : type->channels)
                    if (part.net_of_pin[channel.output] == rx) part.net_of_pin[channel.inputs[1]] = reference;
    };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind comparator_circuit{
    .name = "comparator",
    .title = "comparator",
    .place = 180,
    .propose = propose_comparator,
    .where = "one way, up to 100 kHz",
    .sizing = "threshold 0.45 of the driver's rail by a divider",
    .source = "practice",
    .refused = "faster",
};

/// Divide, then buffer with an op amp on the receiver's rail, so that the converter sees a low resistance.
static Proposal propose_follower(const Crossing& c) {
    if (c.link->kind != LinkKind::analog) return {.refusal = "for analogue links"};
    Proposal divided = propose_divider(c);
    if (divided.recipes.empty()) return {.refusal = divided.refusal};
    const auto types = amplifiers_on(*c.bench, PartKind::op_amp, c.receiver().volts);
    if (types.empty()) return {.refusal = fmt::format("no op amp made for {}", print(c.receiver().volts))};
    // What is divided ends near full scale: of all that fit the rail, the output that comes nearest to it.
    const auto type = *std::ranges::min_element(types, {}, [](const auto& t) {
        return std::get<AmplifierModel>(t->model).headroom_top.span.hi;
    });
    Recipe r = divided.recipes.front();
    r.title += fmt::format(" and follower {}", type->name);
    r.ic = type;
    r.ic_rails = {{type->supplies[0].name, c.receiver().rail}};
    r.simplicity = 5;
    const Assemble divide = r.assemble;
    r.assemble = [divide, type](Wiring& w, NetId d, NetId rx) {
        const NetId tap = w.add_net("divided");
        divide(w, d, tap);
        for (WiredPart& part : w.parts)
            if (part.type == type)
                for (const Channel& channel : type->channels)
                    if (part.net_of_pin[channel.output] == rx) {
                        part.net_of_pin[channel.inputs[0]] = tap;
                        part.net_of_pin[channel.inputs[1]] = rx;
                    }
    };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind follower_circuit{
    .name = "follower",
    .title = "divider and follower",
    .place = 190,
    .propose = propose_follower,
    .where = "analogue",
    .sizing = "divider, then the op amp on the receiver's rail whose output comes nearest to it",
    .source = "elementary",
    .refused = "nothing to divide",
};

}  // namespace voltsill
