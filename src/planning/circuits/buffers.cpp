/// Logic parts as interface: a buffer on the lower rail whose inputs stand more, one on the higher
/// rail whose thresholds are low enough, or a part with two supplies.
#include <fmt/format.h>

#include <algorithm>

#include "planning/circuit_kind.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

using TypePtr = std::shared_ptr<const PartType>;

bool passes_signals(const PartType& t) {
    return !t.channels.empty() && std::ranges::all_of(t.channels, [](const Channel& c) {
        return c.logic == ChannelLogic::buffer || c.logic == ChannelLogic::transceiver;
    });
}

/// Buffers and transceivers made for a rail, stocked and cheap ones first. Whether levels fit is
/// for the judge.
std::vector<TypePtr> buffers_on(const Crossing& c, const Side& rail) {
    auto found = types_of(*c.bench, PartKind::logic, [&](const PartType& t) {
        return t.supplies.size() == 1 && passes_signals(t) && t.supplies[0].range.lo <= rail.volts.lo &&
               rail.volts.hi <= t.supplies[0].range.hi;
    });
    // What fits a solderless board without an adapter comes first.
    std::ranges::stable_partition(found, [](const TypePtr& t) {
        return std::ranges::any_of(t->packages, [](const Package& p) { return p.fits_board; });
    });
    return found;
}

Recipe recipe_for(const Crossing& c, const TypePtr& type, const Side& on) {
    Recipe r{.title = fmt::format("{} on rail {}", type->name, on.rail), .ic = type, .simplicity = 2};
    r.ic_rails = {{type->supplies[0].name, on.rail}};
    if (c.rate() >= 500e3)
        r.cautions.push_back(
            "Put 33 to 330 Ω in series at its output when the wire is longer than 10 cm (common practice).");
    r.how_sized = fmt::format("{} works from {}; rail {} is {}", type->name, print(type->supplies[0].range),
                              on.rail, print(on.volts));
    const Channel& channel = type->channels.front();
    if (channel.direction >= 0) r.simplicity += 0.2;  // one strap more
    if (type->pins[channel.output].role == PinRole::open_drain) {
        const Bench& bench = *c.bench;
        const double ohms = pull_up_for(c);
        const std::string rail = c.receiver().rail, name = c.link->name;
        r.title += fmt::format(", pull-up {} to rail {}", print(Ohms{ohms}), rail);
        if (!c.receiver().facts->load)
            r.assemble = [&bench, ohms, rail, name](Wiring& w, NetId, NetId rx) {
                add_pull_up(bench, w, ohms, rail, rx, name);
            };
    }
    return r;
}

/// An open-drain driver needs a pull-up in front of a buffer.
void add_front_pull(const Crossing& c, Recipe& r) {
    if (!c.open_drain_driver() || own_pull_up(c.from)) return;
    const Bench& bench = *c.bench;
    const double ohms = resistor_at_most(bench, 4.7e3);
    const std::string rail = r.ic_rails.front().second, name = c.link->name;
    const Assemble rest = r.assemble;
    r.assemble = [&bench, ohms, rail, name, rest](Wiring& w, NetId d, NetId rx) {
        add_pull_up(bench, w, ohms, rail, d, name);
        if (rest) rest(w, d, rx);
    };
    r.title += fmt::format(", {} before it to rail {}", print(Ohms{ohms}), rail);
}

Proposal buffers(const Crossing& c, const Side& on, const char* where) {
    if (c.both_ways()) return {.refusal = "a buffer works one way only"};
    if (c.link->kind == LinkKind::analog)
        return {.refusal = "a gate has one threshold: it cannot pass an analogue voltage"};
    if (on.rail.empty()) return {.refusal = fmt::format("the {} side has no rail of its own", where)};
    Proposal out;
    for (const TypePtr& type : buffers_on(c, on)) {
        if (c.bench->has_stock && !in_stock(*c.bench, type->name)) continue;
        out.recipes.push_back(recipe_for(c, type, on));
        add_front_pull(c, out.recipes.back());
        if (!c.bench->has_stock && out.recipes.size() == 24) break;
    }
    if (out.recipes.empty())
        out.refusal = fmt::format("no buffer{} is made for rail {} ({})",
                                  c.bench->has_stock ? " in stock" : "", on.rail, print(on.volts));
    return out;
}

}  // namespace

static Proposal propose_low_rail_buffer(const Crossing& c) { return buffers(c, c.low_side(), "lower"); }

static Proposal propose_high_rail_buffer(const Crossing& c) {
    if (c.low_side().rail == c.high_side().rail)
        return {.refusal = "both sides are on one rail: see the buffer above"};
    return buffers(c, c.high_side(), "higher");
}

extern const CircuitKind high_rail_buffer_circuit{
    .name = "high-rail-buffer",
    .title = "TTL-threshold buffer on the higher rail",
    .place = 110,
    .propose = propose_high_rail_buffer,
    .where = "one way",
    .sizing = "supply range holds the rail",
    .source = "data sheets",
    .refused = "no part for the rail",
};

extern const CircuitKind low_rail_buffer_circuit{
    .name = "low-rail-buffer",
    .title = "tolerant buffer on the lower rail",
    .place = 100,
    .propose = propose_low_rail_buffer,
    .where = "one way",
    .sizing = "supply range holds the rail",
    .source = "data sheets",
    .refused = "no part for the rail",
};

static Proposal propose_dual_supply(const Crossing& c) {
    if (c.link->kind == LinkKind::open_drain)
        return {.refusal = "its outputs push high: they would fight an open-drain bus"};
    if (c.link->kind == LinkKind::two_way)
        return {.refusal =
                    "its direction is strapped here; a link that turns round needs its direction driven by "
                    "software"};
    if (c.link->kind == LinkKind::analog) return {.refusal = "it passes levels, not voltages"};
    const Side &from = c.driver(), &to = c.receiver();
    if (from.rail.empty() || to.rail.empty() || from.rail == to.rail)
        return {.refusal = "it needs a rail on each side"};
    Proposal out;
    for (const TypePtr& type : types_of(*c.bench, PartKind::logic, [](const PartType& t) {
             return t.supplies.size() == 2 && passes_signals(t);
         })) {
        if (c.bench->has_stock && !in_stock(*c.bench, type->name)) continue;
        // Side A carries the control levels: put it on the receiver's side when only that fits.
        for (const bool b_to_a : {false, true}) {
            const Side &a = b_to_a ? to : from, &b = b_to_a ? from : to;
            const auto fits = [](const SupplyPort& port, const Side& s) {
                return port.range.lo <= s.volts.lo && s.volts.hi <= port.range.hi;
            };
            if (!fits(type->supplies[0], a) || !fits(type->supplies[1], b)) continue;
            Recipe r{.title = fmt::format("{}, A on rail {}, B on rail {}", type->name, a.rail, b.rail),
                     .ic = type,
                     .b_to_a = b_to_a,
                     .simplicity = 3};
            r.ic_rails = {{type->supplies[0].name, a.rail}, {type->supplies[1].name, b.rail}};
            r.how_sized = fmt::format("both supplies within {} and {}; direction strapped {}",
                                      print(type->supplies[0].range), print(type->supplies[1].range),
                                      b_to_a ? "B to A" : "A to B");
            add_front_pull(c, r);
            out.recipes.push_back(std::move(r));
            break;
        }
    }
    if (out.recipes.empty())
        out.refusal = fmt::format("no dual-supply part{} takes {} and {}",
                                  c.bench->has_stock ? " in stock" : "", print(from.volts), print(to.volts));
    return out;
}

extern const CircuitKind dual_supply_circuit{
    .name = "dual-supply",
    .title = "dual-supply translator with direction",
    .place = 120,
    .propose = propose_dual_supply,
    .where = "one way, two rails",
    .sizing = "both supply ranges; direction strapped to side A's rail or ground",
    .source = "data sheets",
    .refused = "two-way without direction",
};

}  // namespace voltsill
