/// Resistor divider.
///
///     k = lower / (upper + lower)
///     k nominal V driver nominal <= recommended maximum of the receiver at its nominal rail
///     k max V driver max         <= absolute maximum (converter: full scale) at the lowest rail
///     k min VOH min - VIH max    as near the wanted margin as the series allows
///     Rth = upper || lower <= t / (ln 9 C)    t: a tenth of a bit, or the edge the input demands
///
/// k max and k min with the resistors' tolerance. Elementary circuit theory; the window of Rth is
/// common practice: 6.8 kΩ at most, so that pins, hands and probes matter little.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>

#include "planning/circuits/divider.h"
#include "quantity/print.h"
#include "quantity/rise.h"

namespace voltsill {
namespace {

struct Window {
    bool analog = false;
    Volts high_lo, high_nominal, high_hi;  ///< what the driver gives when high
    Volts recommended, ceiling;            ///< of the receiver, at its nominal and lowest rail
    Volts needed;                          ///< VIH at the highest rail; converter: 0 V
    double source_lo = 0, source_hi = 0;   ///< ohms
    double wanted = 0;                     ///< margin, V
};

/// Slowest edge, 10 to 90 %, that the receiver and the bit time allow.
double edge_allowed(const Crossing& c, Volts swing) {
    double edge = c.rate() > 0 ? 0.1 / c.rate() : 1e-3;
    for (const Side& s : c.to)
        if (const auto limit = edge_limit_at(*s.facts, s.volts.nominal); limit && !s.facts->schmitt)
            edge = std::min(edge, limit->per_volt.si() * 0.8 * swing.si());
    return edge;
}

Window window_of(const Crossing& c) {
    const Side &d = c.driver(), &r = c.receiver();
    const Pin& pin = *r.facts;
    Window w{.analog = c.link->kind == LinkKind::analog};
    w.high_nominal = d.volts.nominal;
    w.high_hi = d.volts.hi;
    w.high_lo = c.open_drain_driver() ? d.volts.lo : surely_high(d);
    if (d.facts->analog_range) w.high_lo = w.high_nominal = w.high_hi = d.facts->analog_range->hi;
    w.recommended = pin.range_max ? pin.range_max->at(r.volts.nominal) : r.volts.nominal;
    w.ceiling = pin.max ? pin.max->at(r.volts.lo) : r.volts.lo;
    if (w.analog && pin.full_scale) w.ceiling = std::min(w.ceiling, pin.full_scale->at(r.volts.lo));
    if (!w.analog) {
        const auto limits = thresholds_at(pin, r.volts.hi);
        w.needed = limits ? limits->high.at(r.volts.hi) : r.volts.hi * 0.7;
    }
    w.wanted = c.bench->wishes.margin.si();
    w.source_hi = std::min(6.8e3, edge_allowed(c, w.recommended) / (rise_factor * c.load_capacitance()));
    if (w.analog && pin.source_ohms_max.known())
        w.source_hi = std::min(w.source_hi, pin.source_ohms_max.span.lo.si());
    w.source_lo = std::min(330.0, 0.2 * w.source_hi);
    return w;
}

/// 0 for a value of E6, 1 for E12, 2 for finer: the coarser the series, the likelier in a drawer.
int rarity(double ohms) {
    const auto in = [&](Series s) { return std::abs(*nearest(s, ohms) / ohms - 1) < 1e-6; };
    return in(Series::E6) ? 0 : in(Series::E12) ? 1 : 2;
}

struct Pair {
    double upper = 0, lower = 0;
    double ratio = 0, ratio_lo = 0, ratio_hi = 0;
    double source() const { return upper * lower / (upper + lower); }
};

Pair pair_of(Span<double> upper, double lower, double tolerance) {
    const auto ratio = [](double up, double low) { return low / (up + low); };
    return {upper.nominal, lower, ratio(upper.nominal, lower), ratio(upper.hi, lower * (1 - tolerance)),
            ratio(upper.lo, lower * (1 + tolerance))};
}

bool allowed(const Pair& p, const Window& w) {
    return p.ratio * w.high_nominal.si() <= w.recommended.si() + 1e-9 &&
           p.ratio_hi * w.high_hi.si() <= w.ceiling.si() + 1e-9;
}

/// Smaller is better: what lacks to the wanted margin (converter: what its range loses), then values
/// of coarse series, then a source in the middle of its window.
auto rank(const Pair& p, const Window& w) {
    const double spare = p.ratio_lo * w.high_lo.si() - w.needed.si();
    const double lack =
        w.analog ? w.ceiling.si() - p.ratio_hi * w.high_hi.si() : std::max(0.0, w.wanted - spare);
    const double off_centre = std::abs(std::log(p.source() / std::sqrt(w.source_lo * w.source_hi)));
    return std::tuple(std::llround(lack / (w.analog ? 0.1 : 0.02)), rarity(p.upper) + rarity(p.lower),
                      off_centre, p.upper);
}

std::optional<Pair> best_pair(const Crossing& c, const Window& w) {
    const ResistorStock stock = resistor_stock(*c.bench);
    const std::vector<double> parts = values(stock.series, std::max(stock.span.lo.si(), w.source_lo),
                                             std::min(stock.span.hi.si(), 30 * w.source_hi));
    std::optional<std::pair<decltype(rank(Pair{}, w)), Pair>> best;
    for (const double lower : parts)
        for (const double upper : parts) {
            const Pair p = pair_of({upper * (1 - stock.tolerance), upper, upper * (1 + stock.tolerance)},
                                   lower, stock.tolerance);
            if (p.source() < w.source_lo || p.source() > w.source_hi * (1 + preferred_slack) ||
                !allowed(p, w))
                continue;
            if (auto ranked = rank(p, w); !best || ranked < best->first) best = {ranked, p};
        }
    return best ? std::optional(best->second) : std::nullopt;
}

std::string sized(const Crossing& c, const Window& w, const Pair& p) {
    const double most = p.ratio_hi * w.high_hi.si(), least = p.ratio_lo * w.high_lo.si();
    std::string text = fmt::format("ratio {:.3f}: {} of {} nominal; at most {}, allowed {}", p.ratio,
                                   print(Volts{p.ratio * w.high_nominal.si()}), print(w.high_nominal),
                                   print(Volts{most}), print(w.ceiling));
    if (!w.analog) text += fmt::format("; at least {}, needed {}", print(Volts{least}), print(w.needed));
    return text + fmt::format("; {} rise", rise_arithmetic(p.source(), c.load_capacitance()));
}

/// An open-drain output with a pull-up of its own: that resistor is the upper one.
Proposal under_own_pull_up(const Crossing& c, const Pull& pull) {
    Window w = window_of(c);
    w.source_lo = 0;
    const ResistorStock stock = resistor_stock(*c.bench);
    const Span<double> upper{pull.ohms.span.lo.si(), pull.ohms.span.nominal.si(), pull.ohms.span.hi.si()};
    std::optional<Pair> best;
    for (const double lower : values(stock.series, std::max(stock.span.lo.si(), 0.1 * upper.nominal),
                                     std::min(stock.span.hi.si(), 100 * upper.nominal))) {
        const Pair p = pair_of(upper, lower, stock.tolerance);
        if (allowed(p, w) && (!best || p.ratio > best->ratio)) best = p;
    }
    if (!best)
        return {.refusal = fmt::format("no resistor of the series under its {} keeps {} below {}",
                                       print(Ohms{upper.nominal}), print(w.high_hi), print(w.ceiling))};
    const Bench& bench = *c.bench;
    const std::string name = c.link->name;
    const double low = best->lower;
    Recipe r{.title = fmt::format("{} to ground under the {} pull-up at {}", print(Ohms{low}),
                                  print(Ohms{upper.nominal}), c.driver().label()),
             .simplicity = 1};
    r.how_sized = sized(c, w, *best);
    r.cautions = {
        fmt::format("The pull-up at {} must stay on: it is the upper half of this divider. Measure it, power "
                    "off, before relying on it.",
                    c.driver().label())};
    r.assemble = [&bench, low, name](Wiring& wiring, NetId d, NetId rx) {
        wiring.merge(d, rx);
        add_resistor(bench, wiring, low, d, wiring.ground(), "lower resistor of " + name);
    };
    return {.recipes = {std::move(r)}};
}

}  // namespace

Proposal propose_divider(const Crossing& c) {
    if (c.both_ways())
        return {.refusal = "a divider works one way only: the low side could not pull the high side down"};
    if (c.receiver().facts->load)
        return {.refusal = "it feeds an input; a load needs more current than a divider passes"};
    const Window w = window_of(c);
    const Volts bearable = std::min(w.ceiling, std::max(w.recommended, c.receiver().volts.lo));
    if (w.high_hi <= bearable)
        return {.refusal = fmt::format("nothing to divide: {} does not exceed {}", print(w.high_hi),
                                       print(bearable))};
    if (c.open_drain_driver()) {
        if (const Pull* pull = own_pull_up(c.from)) return under_own_pull_up(c, *pull);
        return {.refusal = "an open-drain output without a pull-up has no high to divide"};
    }
    if (w.source_hi < 150)
        return {.refusal =
                    fmt::format("its edges into {} would need a source of {}: more than {} from the driver",
                                print(Farads{c.load_capacitance()}), print(Ohms{w.source_hi}),
                                print(Amps{w.high_hi.si() / (4 * w.source_hi)}))};
    const auto best = best_pair(c, w);
    if (!best)
        return {.refusal = fmt::format("no pair of {} brings {} to {} or less with a source of {} or less",
                                       name_of(resistor_stock(*c.bench).series), print(w.high_hi),
                                       print(w.ceiling), print(Ohms{w.source_hi}))};
    const Bench& bench = *c.bench;
    const std::string name = c.link->name;
    const double up = best->upper, low = best->lower;
    Recipe r{.title = fmt::format("divider {} over {}", print(Ohms{up}), print(Ohms{low})),
             .how_sized = sized(c, w, *best),
             .simplicity = 2};
    r.assemble = [&bench, up, low, name](Wiring& wiring, NetId d, NetId rx) {
        add_resistor(bench, wiring, up, d, rx, "upper resistor of " + name);
        add_resistor(bench, wiring, low, rx, wiring.ground(), "lower resistor of " + name);
    };
    return {.recipes = {std::move(r)}};
}

extern const CircuitKind divider_circuit{
    .name = "divider",
    .title = "resistor divider",
    .place = 30,
    .propose = propose_divider,
    .where = "one way, push-pull driver; open-drain driver with a pull-up of its own, which then is the upper resistor",
    .sizing =
        "k = lower / (upper + lower); k nom Vnom <= recommended maximum; "
        "k max Vmax <= absolute maximum (converter: full scale); best k min VOH - VIH max; "
        "Rth <= t / (2.2 C), 6.8 kΩ at most; t = 0.1 bit or the edge the input demands; "
        "under a pull-up the largest lower one that the receiver stands",
    .source = "elementary; 2.2 = ln 9; 0.1 and 6.8 kΩ practice",
    .refused = "nothing to divide; no pair or resistor of the series; source too stiff",
};

}  // namespace voltsill
