/// Limits of a pin at a supply voltage between or beside the printed rows; the rules stand in model.h.
#include <algorithm>
#include <optional>
#include <span>
#include <vector>

#include "parts/model.h"
#include "parts/stretched.h"

namespace voltsill {
namespace {

template <class Row>
const Row* nearest_below(std::span<const Row> rows, Volts supply) {
    const Row* best = nullptr;
    for (const Row& row : rows)
        if (row.supply.hi <= supply && (!best || row.supply.hi > best->supply.hi)) best = &row;
    return best;
}

template <class Row>
const Row* nearest_above(std::span<const Row> rows, Volts supply) {
    const Row* best = nullptr;
    for (const Row& row : rows)
        if (row.supply.lo >= supply && (!best || row.supply.lo < best->supply.lo)) best = &row;
    return best;
}

/// 0 at the end of the row below, 1 at the begin of the row above.
double share(const Span<Volts>& below, const Span<Volts>& above, Volts supply) {
    return above.lo > below.hi ? (supply - below.hi) / (above.lo - below.hi) : 0.0;
}

Level mixed(const Level& a, Volts at_a, const Level& b, Volts at_b, double t) {
    return {0.0, a.at(at_a) * (1.0 - t) + b.at(at_b) * t};
}

Provenance no_better_than_assumed(Provenance origin) {
    origin.certainty = std::max(origin.certainty, Certainty::assumed);
    return origin;
}

SecondsPerVolt per_volt(const TransitionRow& row, Volts supply) {
    // A total time is printed for an edge across the whole supply.
    return row.per_volt ? *row.per_volt : SecondsPerVolt(row.total->si() / supply.si());
}

}  // namespace

std::optional<Thresholds> thresholds_at(const Pin& pin, Volts supply) {
    const std::span<const ThresholdRow> rows(pin.thresholds);
    if (rows.empty()) return std::nullopt;
    std::optional<Thresholds> found;
    for (const ThresholdRow& row : rows) {
        if (!covers(row.supply, supply)) continue;
        if (!found) {
            found = Thresholds{row.low, row.high, row.origin, true};
            continue;
        }
        // Two rows meet at this supply: the stricter limits hold.
        if (row.low.at(supply) < found->low.at(supply)) found->low = row.low;
        if (row.high.at(supply) > found->high.at(supply)) found->high = row.high;
        found->origin = weakest(found->origin, row.origin);
    }
    if (found) return found;
    const ThresholdRow *below = nearest_below(rows, supply), *above = nearest_above(rows, supply);
    if (below && above) {
        const double t = share(below->supply, above->supply, supply);
        const Volts v0 = below->supply.hi, v1 = above->supply.lo;
        return Thresholds{mixed(below->low, v0, above->low, v1, t),
                          mixed(below->high, v0, above->high, v1, t), weakest(below->origin, above->origin),
                          true};
    }
    const ThresholdRow& row = below ? *below : *above;
    return Thresholds{row.low, row.high, no_better_than_assumed(row.origin), false};
}

std::optional<Stretch> threshold_stretch(const Pin& pin, const Span<Volts>& supply) {
    const std::span<const ThresholdRow> rows(pin.thresholds);
    if (rows.empty() || supply.lo <= Volts{}) return std::nullopt;
    std::optional<Stretch> worst;
    for (const Volts v : {supply.lo, supply.hi}) {
        const auto limits = thresholds_at(pin, v);
        if (limits->exact) continue;
        const ThresholdRow *below = nearest_below(rows, v), *above = nearest_above(rows, v);
        const Span<Volts>& row = below ? below->supply : above->supply;
        const double factor = below ? v / row.hi : row.lo / v;
        if (!worst || factor > worst->factor) worst = Stretch{row, factor};
    }
    return worst;
}

namespace {

/// The line through both ends, moved so that the value in the middle is not on its kind side.
Level along(const Span<Volts>& supply, Volts at_lo, Volts at_nominal, Volts at_hi, bool high) {
    const double ratio = (at_hi - at_lo) / (supply.hi - supply.lo);
    const Volts offset = at_lo - supply.lo * ratio, middle = supply.nominal * ratio + offset;
    const Volts short_by = high ? std::max(Volts{}, at_nominal - middle) : std::min(Volts{}, at_nominal - middle);
    return {ratio, offset + short_by};
}

}  // namespace

std::optional<Thresholds> thresholds_over(const Pin& pin, const Span<Volts>& supply) {
    auto nominal = thresholds_at(pin, supply.nominal);
    if (!nominal || supply.hi - supply.lo <= supply_rounding) return nominal;
    const auto lo = thresholds_at(pin, supply.lo), hi = thresholds_at(pin, supply.hi);
    nominal->low = along(supply, lo->low.at(supply.lo), nominal->low.at(supply.nominal), hi->low.at(supply.hi), false);
    nominal->high =
        along(supply, lo->high.at(supply.lo), nominal->high.at(supply.nominal), hi->high.at(supply.hi), true);
    nominal->origin = weakest(nominal->origin, weakest(lo->origin, hi->origin));
    nominal->exact = nominal->exact && lo->exact && hi->exact;
    return nominal;
}

std::optional<EdgeLimit> edge_limit_at(const Pin& pin, Volts supply) {
    const std::span<const TransitionRow> rows(pin.transition);
    if (rows.empty() || supply.si() <= 0.0) return std::nullopt;
    std::optional<EdgeLimit> found;
    for (const TransitionRow& row : rows)
        if (covers(row.supply, supply) && (!found || per_volt(row, supply) < found->per_volt))
            found = EdgeLimit{per_volt(row, supply), row.origin};
    if (found) return found;
    const TransitionRow *below = nearest_below(rows, supply), *above = nearest_above(rows, supply);
    if (below && above) {
        const double t = share(below->supply, above->supply, supply);
        return EdgeLimit{
            per_volt(*below, below->supply.hi) * (1.0 - t) + per_volt(*above, above->supply.lo) * t,
            weakest(below->origin, above->origin)};
    }
    const TransitionRow& row = below ? *below : *above;
    const Volts end = below ? row.supply.hi : row.supply.lo;
    return EdgeLimit{per_volt(row, end), no_better_than_assumed(row.origin)};
}

}  // namespace voltsill
