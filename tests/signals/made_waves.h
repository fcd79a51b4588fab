#pragma once
/// Waves with closed forms, sampled finely.
#include <cmath>
#include <functional>
#include <numbers>

#include "signals/bits.h"

namespace voltsill {

inline Wave sampled(const std::function<double(double)>& volts, double end, int points, double begin = 0) {
    Wave wave;
    for (int k = 0; k <= points; ++k) {
        const double t = std::lerp(begin, end, k / static_cast<double>(points));
        wave.seconds.push_back(t);
        wave.volts.push_back(volts(t));
    }
    return wave;
}

/// Bits with straight edges of `ramp` seconds that begin `late` after each bit.
inline Wave trapezoids(const Pattern& p, const SwingLevels& levels, double ramp, double late = 0) {
    const auto level = [&](std::size_t k) { return p.high(k) ? levels.high : levels.low; };
    Wave wave{{p.start}, {level(0)}};
    for (std::size_t k = 1; k < p.bits.size(); ++k) {
        if (p.bits[k] == p.bits[k - 1]) continue;
        wave.seconds.insert(wave.seconds.end(), {p.begin(k) + late, p.begin(k) + late + ramp});
        wave.volts.insert(wave.volts.end(), {level(k - 1), level(k)});
    }
    wave.seconds.push_back(p.begin(p.bits.size()));
    wave.volts.push_back(level(p.bits.size() - 1));
    return wave;
}

inline Wave shifted(Wave wave, double seconds) {
    for (double& t : wave.seconds) t += seconds;
    return wave;
}
inline Wave scaled(Wave wave, double factor, double offset) {
    for (double& v : wave.volts) v = v * factor + offset;
    return wave;
}

}  // namespace voltsill
