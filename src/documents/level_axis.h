#pragma once
/// What the drawings of a level chart share: the voltage axis, the zones a reader divides it
/// into, and the chart in words.
///
///     limit_min        VIL max       VIH min             limit_max
///         |----- low -----|-- undefined --|----- high ------|  beyond: not for this pin
///
/// Names of the limits after JESD8C.01; the zones follow from their definition.
#include <vector>

#include "documents/document.h"

namespace voltsill::doc {

struct Axis {
    double lo = 0, hi = 1;  ///< V
    double step = 1;        ///< between ticks, 1, 2 or 5 times a power of ten
    double share(double volts) const { return (volts - lo) / (hi - lo); }
};
/// Smallest 1, 2 or 5 times a power of ten that covers `range` (above 0) in at most `most` steps.
double round_step(double range, int most);
/// Multiples of `step` from `lo` to `hi`, both included to within rounding.
std::vector<double> multiples(double step, double lo, double hi);

/// Holds both numbers, with at most `steps` steps; ends on ticks.
Axis axis_over(double lo, double hi, int steps = 8);
/// Holds every number of the chart and 0 V, with at most eight steps; an absolute maximum of more than
/// twice all else is left out, for it would squeeze what the chart is about.
Axis axis_of(const LevelChart& chart);
std::vector<double> ticks(const Axis& axis);

enum class Zone { low, undefined, high, beyond };
struct ZoneSpan {
    Zone zone;
    double lo, hi;  ///< V
};
/// From left to right over the axis. Nothing between limits when no threshold is known.
std::vector<ZoneSpan> zones(const ChartRow& row, const Axis& axis);
/// Is there a level among them? Else they only say what the point stands.
bool is_read(const std::vector<ZoneSpan>& spans);

/// "low 0..0.4 V, high 2.4..5.25 V; reads low up to 0.8 V, high from 2 V; stands -0.5..3.6 V; supply 3.3 V"
std::string in_words(const ChartRow& row);
/// "0..0.4 V", or "5 V" when both ends print alike.
std::string band_words(const ChartBand& band);
/// The same with its level: "high 2.4..5.25 V", "any level 0..4.5 V".
std::string level_words(const ChartBand& band);
/// Voltage for a level chart: three significant digits, never prefixed: "0.05 V".
std::string volts_words(double volts);

}  // namespace voltsill::doc
