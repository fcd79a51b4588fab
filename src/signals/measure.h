#pragma once
/// What can be measured on a wave: state levels, edges, delays, time on either side of a
/// threshold, settling.
///
/// Terms after IEEE Std 181-2011 (from memory): a wave with two states has a low and a high state
/// level; an edge runs from 10 to 90 % of the way between them; the instant of an edge is where it
/// passes half of it. State levels come from a histogram of the voltages over time, each level the
/// mode of its half (the histogram method of the standard).
///
/// Between two points the voltage lies on the straight line, so that an instant where it meets a
/// level is exact for the wave as it stands. Equal times are a step. A point that is not finite
/// takes away the lines on both sides of it. Nothing throws: what cannot be measured says why.
///
///     const auto levels = state_levels(wave);                       // 0.02 V and 3.28 V
///     const auto rise = transition_time(wave, *levels, Direction::rising);
///     if (!rise) say(rise.error());                                 // "no edge rises from 10 to 90 %"
#include <expected>
#include <span>
#include <string>
#include <vector>

#include "signals/wave.h"

namespace voltsill {

/// A number, or why there is none.
using Measurement = std::expected<double, std::string>;

/// A wave that lies elsewhere. `volts` may as well be amperes.
struct WaveView {
    std::span<const double> seconds, volts;

    WaveView(std::span<const double> t, std::span<const double> v)
        : seconds(t.first(std::min(t.size(), v.size()))), volts(v.first(seconds.size())) {}
    WaveView(const Wave& wave) : WaveView(wave.seconds, wave.volts) {}
    std::size_t size() const { return seconds.size(); }
};

struct SwingLevels {
    double low = 0, high = 0;  ///< V

    double at(double share) const { return low + share * (high - low); }
};
enum class Direction { rising, falling };

/// The wave at a time, after a step at that very time; beyond its ends the first or last point.
/// NaN where there is no line.
double value_at(WaveView wave, double seconds);
Measurement highest(WaveView wave);
Measurement lowest(WaveView wave);
/// Both in one go over a part of the time; empty spans and spans without a line have none.
std::expected<SwingLevels, std::string> extremes(WaveView wave, double from, double to);

/// Histogram method of IEEE 181: `bins` from the lowest to the highest voltage, each filled with
/// the time spent in it; a level is the mean of the voltages in the fullest bin of its half.
std::expected<SwingLevels, std::string> state_levels(WaveView wave, int bins = 256);

struct LevelCrossing {
    double seconds = 0;
    Direction direction{};
};
/// Where the wave passes `level`. With `hysteresis` it counts only once the wave was half of it
/// below and then half of it above, or the other way round; the instant is the last one at `level`.
std::vector<LevelCrossing> crossings(WaveView wave, double level, double hysteresis = 0);

/// A passage from one level to the other: left the first at `begin`, met the second at `end`.
struct Edge {
    double begin = 0, end = 0;  ///< s
    Direction direction{};
};
/// Every complete passage between `low` and `high`, low < high.
std::vector<Edge> edges(WaveView wave, double low, double high);

/// Slowest passage between two shares of the swing.
Measurement transition_time(WaveView wave, const SwingLevels& levels, Direction direction, double from = 0.1,
                            double to = 0.9);
/// Slowest passage of either direction between VIL and VIH, s/V.
Measurement edge_rate(WaveView wave, double vil, double vih);

/// Above the high level and below the low one, V, never negative.
Measurement overshoot(WaveView wave, const SwingLevels& levels);
Measurement undershoot(WaveView wave, const SwingLevels& levels);

/// How long after `from` the wave has come to stay between `low` and `high` (either may be infinite),
/// up to `to`.
Measurement time_to_stay(WaveView wave, double from, double to, double low, double high);
/// How long after `from` the wave is within `band` of `target` for good, up to `to`.
Measurement settling_time(WaveView wave, double from, double to, double target, double band);

/// Mean of a product of two waves, such as volts and amperes, over the time that both cover.
Measurement average_product(WaveView a, WaveView b);

}  // namespace voltsill
