#include "captures/pulse_tally.h"

#include <cmath>

namespace voltsill {
namespace {

constexpr std::uint64_t fewest_pulses = 8;  ///< for a median worth comparing with

}  // namespace

double PulseTally::lower_edge(int bin) {
    return std::ldexp(1 + static_cast<double>(bin % bins_an_octave) / bins_an_octave,
                      bin / bins_an_octave - octaves / 2);
}

void PulseTally::edge(double time, bool rising) { Loop(*this).edge(time, rising); }

PulseMeasures PulseTally::measures(double unit) const {
    PulseMeasures out{.rising = state_.rising,
                      .falling = state_.falling,
                      .period = state_.period.scaled(unit),
                      .high = state_.high.scaled(unit),
                      .low = state_.low.scaled(unit)};
    if (state_.period.sum > 0) {
        out.frequency = static_cast<double>(state_.period.count) / (state_.period.sum * unit);
        out.duty = state_.high_in_periods / state_.period.sum;
    }
    out.glitch_limit_given = glitch_limit_ > 0;
    const std::uint64_t pulses = state_.high.count + state_.low.count;
    if (out.glitch_limit_given) {
        out.glitch_limit = glitch_limit_ * unit;
        out.glitches = state_.glitches;
    } else if (pulses >= fewest_pulses) {
        std::uint64_t below = 0;
        int median = 0;
        while ((below += width_histogram_[static_cast<std::size_t>(median)]) * 2 < pulses) ++median;
        const int limit = std::max(0, median - 3 * bins_an_octave);  // three octaves: an eighth
        out.glitch_limit = lower_edge(limit) * unit;
        for (int k = 0; k < limit; ++k) out.glitches += width_histogram_[static_cast<std::size_t>(k)];
    }
    return out;
}

}  // namespace voltsill
