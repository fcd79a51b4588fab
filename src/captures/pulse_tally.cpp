#include "captures/pulse_tally.h"

#include <bit>
#include <cmath>

namespace voltsill {
namespace {

constexpr std::uint64_t fewest_pulses = 8;  ///< for a median worth comparing with

}  // namespace

/// Exponent and the first three bits of the fraction of a double (IEEE 754), counted from 2^-64.
int PulseTally::bin_of(double width) {
    constexpr std::int64_t first = std::int64_t{1023 - octaves / 2} * bins_an_octave;
    const auto top = static_cast<std::int64_t>(std::bit_cast<std::uint64_t>(width) >> 49);
    return static_cast<int>(std::clamp<std::int64_t>(top - first, 0, octaves * bins_an_octave - 1));
}

double PulseTally::lower_edge(int bin) {
    return std::ldexp(1 + static_cast<double>(bin % bins_an_octave) / bins_an_octave,
                      bin / bins_an_octave - octaves / 2);
}

void PulseTally::edge(double time, bool rising) {
    ++(rising ? rising_ : falling_);
    if (has_last_) {
        const double width = time - last_;
        (rising ? low_ : high_).add(width);
        if (width < glitch_limit_) ++glitches_;
        if (width_histogram_.empty()) width_histogram_.resize(octaves * bins_an_octave);
        ++width_histogram_[static_cast<std::size_t>(bin_of(width))];
    }
    if (rising) {
        if (has_rise_ && has_fall_) {
            period_.add(time - rise_);
            high_in_periods_ += fall_ - rise_;
        }
        rise_ = time;
        has_rise_ = true;
        has_fall_ = false;
    } else {
        fall_ = time;
        has_fall_ = true;
    }
    last_ = time;
    has_last_ = true;
}

PulseMeasures PulseTally::measures(double unit) const {
    PulseMeasures out{.rising = rising_,
                      .falling = falling_,
                      .period = period_.scaled(unit),
                      .high = high_.scaled(unit),
                      .low = low_.scaled(unit)};
    if (period_.sum > 0) {
        out.frequency = static_cast<double>(period_.count) / (period_.sum * unit);
        out.duty = high_in_periods_ / period_.sum;
    }
    out.glitch_limit_given = glitch_limit_ > 0;
    const std::uint64_t pulses = high_.count + low_.count;
    if (out.glitch_limit_given) {
        out.glitch_limit = glitch_limit_ * unit;
        out.glitches = glitches_;
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
