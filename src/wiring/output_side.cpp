#include "wiring/output_side.h"

#include <algorithm>
#include <cmath>

#include "parts/ibis_curves.h"
#include "wiring/assumed.h"

namespace voltsill {
namespace {

using Points = std::vector<DrivePoint>;

/// V lost at a current: between the points, the last line goes on.
Volts lost_at(const Points& points, Amps current) {
    std::size_t k = 1;
    while (k + 1 < points.size() && points[k].current < current) ++k;
    const DrivePoint &a = points[k - 1], &b = points[k];
    return a.drop + (b.drop - a.drop) * ((current - a.current) / (b.current - a.current));
}

/// What the rows print, from (0, 0) on; without rows what is assumed.
Points losses(const Pin& pin, bool high_side, Volts supply) {
    Points points{{}};
    if (const auto curve = drive_curve(pin, high_side, supply))
        for (const DrivePoint& point : curve->points)
            if (point.current > points.back().current) points.push_back(point);
    if (points.size() == 1) points.push_back({assumed::drive_current, assumed::drive_drop});
    return points;
}

/// The weakest output over the tolerance of its rail: at each current what is lost at the end that loses more. Of a
/// high it is the lowest supply: a VOH min for a whole range of supplies ("2.4 V at 3.0..3.6 V") is kept at each of
/// them, and more supply never weakens an output (parts/drive_curve.cpp).
Points most_lost(const Pin& pin, bool high_side, const Span<Volts>& supply) {
    const Points at_lo = losses(pin, high_side, supply.lo);
    if (high_side || supply.lo == supply.hi) return at_lo;
    const Points at_hi = losses(pin, high_side, supply.hi);
    std::vector<Amps> currents;
    for (const Points* side : {&at_lo, &at_hi})
        for (const DrivePoint& p : *side) currents.push_back(p.current);
    std::ranges::sort(currents);
    const auto [doubled, end] = std::ranges::unique(currents);
    currents.erase(doubled, end);
    Points out;
    for (const Amps i : currents) out.push_back({i, std::max(lost_at(at_lo, i), lost_at(at_hi, i))});
    return out;
}

/// Current over the voltage lost across one side of an output: through the printed points, less what is lost even
/// without load.
Table drive_table(const Points& points, Volts without_load = {}) {
    Table out{{0.0}, {0.0}};
    for (const DrivePoint& point : points) {
        const double volts = std::max((point.drop - without_load).si(), without_load > Volts{} ? 1e-3 : 0.0);
        if (volts <= out.volts.back() + 1e-9 || point.current.si() <= out.amps.back()) continue;
        out.volts.push_back(volts);
        out.amps.push_back(point.current.si());
    }
    if (out.volts.size() == 1) {
        out.volts.push_back(assumed::drive_drop.si());
        out.amps.push_back(assumed::drive_current.si());
    }
    return out;
}

/// A printed VOL max or VOH min bounds the drop from above only: a row for 0.2 V at 100 uA beside one for 0.4 V
/// at 2 mA says what the maker tests, not that the first 0.2 V are lost at next to no current. A transistor that
/// conducts fully is a resistance near its rail, so the strongest output runs straight from nothing to the row
/// with the most current a volt, and on from there through the rest. Empty: that is the table itself.
Table straight_to_best_row(const Table& printed) {
    std::size_t best = 1;
    for (std::size_t k = 2; k < printed.volts.size(); ++k)
        if (printed.amps[k] * printed.volts[best] > printed.amps[best] * printed.volts[k]) best = k;
    if (best == 1) return {};
    Table out{{0.0}, {0.0}};
    out.volts.insert(out.volts.end(), printed.volts.begin() + static_cast<std::ptrdiff_t>(best), printed.volts.end());
    out.amps.insert(out.amps.end(), printed.amps.begin() + static_cast<std::ptrdiff_t>(best), printed.amps.end());
    if (best + 1 == printed.volts.size()) {  // the last segment of the table goes on beyond its end
        const double slope =
            (printed.amps[best] - printed.amps[best - 1]) / (printed.volts[best] - printed.volts[best - 1]);
        out.volts.push_back(printed.volts[best] + 1.0);
        out.amps.push_back(printed.amps[best] + slope);
    }
    return out;
}

/// To what rounding of a level less its supply leaves.
bool alike(const Table& a, const Table& b) {
    const auto close = [](double x, double y) { return std::abs(x - y) < 1e-9; };
    return std::ranges::equal(a.volts, b.volts, close) && std::ranges::equal(a.amps, b.amps, close);
}

/// The strongest output over the tolerance of its rail; empty: it has the shape of the weakest.
Table strongest(const Pin& pin, bool high_side, const Span<Volts>& supply, Volts without_load, const Table& weakest) {
    Table best;
    for (const Volts v : {supply.lo, supply.hi}) {
        Table table = drive_table(losses(pin, high_side, v), without_load);
        if (Table straight = straight_to_best_row(table); !straight.volts.empty()) table = std::move(straight);
        const bool stronger = best.volts.empty() || table.amps[1] * best.volts[1] > best.amps[1] * table.volts[1];
        if (stronger) best = std::move(table);
    }
    return alike(best, weakest) ? Table{} : best;
}

/// Of the rows that make the table above: the weakest of them.
Provenance drive_origin(const Pin& pin, bool high_side, const Span<Volts>& supply) {
    if (!high_side && pin.static_low) return pin.static_low_origin;
    std::optional<Provenance> origin;
    for (const Volts v : {supply.lo, supply.hi})
        if (const auto curve = drive_curve(pin, high_side, v))
            origin = origin ? weakest(*origin, curve->origin) : curve->origin;
    return origin.value_or(assumed::guess);
}

ParamId strength_of(Lowering& l, std::string name, const Provenance& printed) {
    const ParamId p = l.figure(std::move(name), assumed::drive_strength, printed);
    l.circuit.netlist.parameters[p].hi_origin = &assumed::strong_drive;
    return p;
}

/// The typical one of a maker's curves, and as its strength how the currents of the other corners lie about it at half
/// the supply; nothing when there is none for this side.
std::optional<OutputSide> side_by_curves(Lowering& l, const Pin& pin, bool high_side, const std::string& name) {
    if (!pin.curves) return std::nullopt;
    const auto which = high_side ? &OutputCorner::pull_up : &OutputCorner::pull_down;
    const OutputCorner& typical = pin.curves->typical;
    const IvCurve& curve = typical.*which;
    const double at = 0.5 * typical.supply.si(), amps = amps_at(curve, at);
    if (curve.volts.size() < 2 || !(amps > 0.0)) return std::nullopt;
    Span<double> strength{1.0, 1.0, 1.0};
    for (const OutputCorner* corner : {&pin.curves->slow, &pin.curves->fast})
        if (const double other = amps_at(corner->*which, at) / amps; other > 0.0)
            strength = {std::min(strength.lo, other), 1.0, std::max(strength.hi, other)};
    return OutputSide{l.constant_table(curve.volts, curve.amps), l.figure(name, strength, pin.curves->origin)};
}

int add_table(Lowering& l, Table table, bool one_way) {
    if (one_way) table.volts.insert(table.volts.begin(), -10.0), table.amps.insert(table.amps.begin(), -1e-8);
    return l.constant_table(std::move(table.volts), std::move(table.amps));
}

}  // namespace

OutputSide output_side(Lowering& l, const Pin& pin, bool high_side, const Span<Volts>& supply,
                       const std::string& name) {
    if (const auto side = side_by_curves(l, pin, high_side, name)) return *side;
    const ParamId strength = strength_of(l, name, drive_origin(pin, high_side, supply));
    if (!high_side && pin.static_low) {
        const double low = pin.static_low->at(supply.nominal).si();
        return {l.constant_table({0.0, low, low + 0.05}, {0.0, 1e-6, 10e-3}), strength};
    }
    const bool lifted = !high_side && pin.low_above_ground;
    const Volts without_load = lifted ? pin.low_above_ground->hi : Volts{};
    const Table printed = drive_table(most_lost(pin, high_side, supply), without_load),
                strong = strongest(pin, high_side, supply, without_load, printed);
    OutputSide side{add_table(l, printed, lifted), strength};
    if (!strong.volts.empty()) side.strong_table = add_table(l, strong, lifted);
    return side;
}

}  // namespace voltsill
