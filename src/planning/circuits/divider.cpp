/// Resistor divider.
///
///     lower / (upper + lower) <= V limit / V driver max        the receiver must stand it
///     lower / (upper + lower) >= V needed / V driver min       and still read it
///     Rth = upper || lower <= share of a bit / (2.2 C)         edges
#include <fmt/format.h>

#include <cmath>

#include "planning/circuits/circuits.h"
#include "quantity/divider.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// Highest voltage the receiver may see: full scale, recommended range or absolute maximum.
Volts ceiling(const Crossing& c) {
    const Side& r = c.receiver();
    const Pin& pin = *r.facts;
    Volts top = r.volts.lo;
    if (pin.range_max) top = pin.range_max->at(r.volts.lo);
    if (c.link->kind == LinkKind::analog && pin.full_scale) top = std::min(top, pin.full_scale->at(r.volts.lo));
    return top;
}

Volts driver_high(const Crossing& c) {
    const Side& d = c.driver();
    return d.facts->analog_range ? d.facts->analog_range->hi : d.volts.hi;
}

}  // namespace

Proposal propose_divider(const Crossing& c) {
    if (c.both_ways()) return {.refusal = "a divider works one way only: the low side could not pull the high side down"};
    if (c.open_drain_driver()) return {.refusal = "an open-drain output has no high to divide"};
    const Volts high = driver_high(c), top = ceiling(c);
    if (high <= top) return {.refusal = fmt::format("nothing to divide: {} does not exceed {}", print(high), print(top))};
    // Tolerances of both resistors move the ratio by less than their sum: keep 5 % off the top.
    const double wished = top / high * 0.95;
    const bool analog = c.link->kind == LinkKind::analog;
    const double edge = c.rate() > 0 ? 0.1 / c.rate() : 1e-6;
    double source = std::min(10e3, edge / (2.2 * c.load_capacitance()));
    if (analog && c.receiver().facts->source_ohms_max.known()) source = std::min(source, c.receiver().facts->source_ohms_max.span.lo.si());
    const ResistorStock stock = resistor_stock(*c.bench);
    const auto pairs = best_ratio(*find_series(fmt::format("E{}", stock.series)),
                                  {.ratio = wished, .source_lo = Ohms{std::max(330.0, 0.4 * source)}, .source_hi = Ohms{std::max(1000.0, source)},
                                   .part_lo = stock.span.lo, .part_hi = stock.span.hi, .count = 12});
    for (const DividerPair& pair : pairs) {
        if (pair.ratio > top / high * 0.99) continue;
        const Bench& bench = *c.bench;
        const std::string name = c.link->name;
        const double up = pair.upper.si(), low = pair.lower.si();
        Recipe r{.title = fmt::format("divider {} over {}", print(pair.upper), print(pair.lower)), .parts = 2, .price = 0.2,
                 .needs = {"resistor"}, .simplicity = 2};
        r.how_sized = fmt::format("ratio {:.3f} <= {} / {} = {:.3f}; source resistance {} for a load of {}", pair.ratio, print(top), print(high),
                                  top / high, print(pair.source), print(Farads{c.load_capacitance()}));
        r.assemble = [&bench, up, low, name](Wiring& w, NetId d, NetId rx) {
            add_resistor(bench, w, up, d, rx, "upper resistor of " + name);
            add_resistor(bench, w, low, rx, w.ground(), "lower resistor of " + name);
        };
        return {.recipes = {std::move(r)}};
    }
    return {.refusal = fmt::format("no pair of E{} gives {:.3f} with a source of {} or less", stock.series, wished, print(Ohms{source}))};
}

}  // namespace voltsill
