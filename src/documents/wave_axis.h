#pragma once
/// What the drawings of a wave chart share: axes, ticks of time, and the chart in words.
#include <string>
#include <utility>
#include <vector>

#include "documents/document.h"
#include "documents/level_axis.h"

namespace voltsill::doc {

struct TimeAxis {
    double begin = 0, end = 1;  ///< s
    double share(double seconds) const { return (seconds - begin) / (end - begin); }
};
TimeAxis time_axis(const WaveChart& chart);
/// Holds every finite voltage and 0 V, thresholds and supplies, and limits that a wave comes near.
Axis voltage_axis(const WaveChart& chart, int steps);
/// Whether a mark has a place on the axis.
bool shown(const WaveMark& mark, const Axis& axis);

/// Time and word of at most `most` ticks; one prefix for all, the last one with the unit.
std::vector<std::pair<double, std::string>> time_ticks(const TimeAxis& axis, int most);

/// "VIH 2 V"
std::string mark_words(const WaveMark& mark);
/// "nominal 0.02..5.01 V, over all samples -0.1..5.2 V; VIL 0.8 V, VIH 2 V"
std::string in_words(const WaveRow& row);

/// What the lines are, in the order nominal, worst, median and range; empty: there is none.
struct WaveKey {
    std::string nominal, worst, median, range;
};
WaveKey key_of(const WaveChart& chart);

/// Lowest and highest voltages, then every passage of half the swing.
std::vector<Table> tables_of(const WaveChart& chart);

}  // namespace voltsill::doc
