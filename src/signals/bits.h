#pragma once
/// Measures on a wave that carries known bits: how late each edge is, for how long each bit can
/// be read, how much of a bit time an edge leaves.
///
/// Bit k of the pattern is driven from `start + k T` to `start + (k + 1) T`. An edge belongs to a
/// bit that differs from the one before it. Edges of the driver and of a point go together by their
/// bit, not by their order, so that a lost edge costs one figure and not all.
#include <string>
#include <vector>

#include "signals/measure.h"

namespace voltsill {

struct Pattern {
    std::string bits;       ///< '0' and '1' as driven
    double bit_time = 0;    ///< T, s, > 0
    double start = 0;       ///< s
    bool inverted = false;  ///< the point shows the opposite

    bool high(std::size_t k) const { return (bits[k] == '1') != inverted; }
    double begin(std::size_t k) const { return start + static_cast<double>(k) * bit_time; }
    /// First bit after k that differs, or the number of bits.
    std::size_t run_end(std::size_t k) const;
};

struct EdgeDelay {
    std::size_t bit = 0;  ///< index into the pattern
    bool rising = false;  ///< at the driver
    double seconds = 0;   ///< may be negative: a point with a lower half swing may be passed first
};
/// From the driver's edge to the point's, each where it first passes half its swing within the
/// run of equal bits (the point: up to the next edge of its direction). `pattern` is that of the
/// point: its `inverted` tells which way the point goes.
std::vector<EdgeDelay> edge_delays(WaveView driver, const SwingLevels& driver_levels, WaveView point,
                                   const SwingLevels& levels, const Pattern& pattern);
Measurement slowest_delay(const std::vector<EdgeDelay>& delays, bool rising);
/// Largest difference between a rising and a falling delay.
Measurement pulse_width_distortion(const std::vector<EdgeDelay>& delays);
/// Latest less earliest of several points, at the edge of the same bit where it is worst.
Measurement skew(const std::vector<std::vector<EdgeDelay>>& points);

/// Shortest time for which a one (`high`) is at or above `level`, a zero at or below it, in its
/// own bit. `late` moves the bits by what the way takes.
Measurement shortest_time(WaveView wave, const Pattern& pattern, bool high, double level, double late = 0);

/// Bit time less the time from the driver's edge until the point is past its threshold and stays
/// there to the end of the run of equal bits; the least of all edges. Negative: later than a bit.
Measurement setup_left(WaveView driver, const SwingLevels& driver_levels, WaveView point, double vil,
                       double vih, const Pattern& pattern);

/// Slowest settling after an edge of the pattern to within `band` of `target`.
Measurement slowest_settling(WaveView wave, const Pattern& pattern, const SwingLevels& target, double band);

}  // namespace voltsill
