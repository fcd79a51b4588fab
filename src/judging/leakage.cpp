#include <algorithm>

#include "judging/inspection.h"

namespace voltsill {
namespace {

/// Below this a line that nothing drives rests at ground, and leakage lifts it (V).
constexpr double at_ground = 0.1;

bool released(const Levels& levels) {
    return std::ranges::all_of(levels, [](Logic l) { return l == Logic::Z; });
}

}  // namespace

std::vector<double> at_highest_resistors(const Island& island, std::vector<double> values) {
    for (const Device& d : island.net.devices)
        if (d.kind == DeviceKind::resistor) values[d.params[0]] = island.net.parameters[d.params[0]].hi;
    return values;
}

Leak leakage_at(const Inspection& in, const Island& island, const Levels& levels, std::span<const double> values,
                std::span<const double> volts, Node node) {
    if (!released(levels) || island.partition.held(node)) return {};
    Leak leak;
    for (int s : island.pins) {
        const PinSite& site = in.circuit.pins[s];
        const Figure<Amps>& own = in.pin(site).leakage;
        if (island.local(site.node) != node || !own.known()) continue;
        leak.origin = leak.amps == 0 ? own.origin : weakest(leak.origin, own.origin);
        leak.amps += own.span.hi.si();
    }
    if (leak.amps <= 0) return {};
    leak.ohms =
        resistance_at(island, levels, at_highest_resistors(island, {values.begin(), values.end()}), volts, node);
    if (leak.ohms >= open_ohms) return {};
    leak.volts = leak.amps * leak.ohms;
    return leak;
}

Range with_leakage(Inspection& in, const Island& island, const Levels& levels, Range range, Node node) {
    if (!range.solved || !released(levels)) return range;
    const bool low = range.nominal < at_ground;
    const std::vector<double>& corner = low ? range.at_hi : range.at_lo;
    std::vector<double> volts;
    if (!solve(island, levels, corner, volts, in.effort)) return range;
    const double leak = leakage_at(in, island, levels, corner, volts, node).volts;
    if (low)
        range.hi += leak;
    else
        range.lo = std::max(range.lo - leak, 0.0);
    return range;
}

}  // namespace voltsill
