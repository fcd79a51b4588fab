#pragma once
/// Waves in closed form, as tables and as samples.
#include <fmt/format.h>

#include <cmath>
#include <functional>
#include <random>
#include <string>

#include "captures/voltage_meter.h"

namespace waves {

using Wave = std::function<double(double)>;

/// A trapezoid that rises at 0, `ramp` from one level to the other, high for `duty` of the period at
/// 50 %.
inline Wave trapezoid(double low, double high, double period, double ramp, double duty = 0.5) {
    return [=](double t) {
        const double x = t - period * std::floor(t / period), down = duty * period;
        if (x < ramp) return low + (high - low) * x / ramp;
        if (x < down) return high;
        if (x < down + ramp) return high + (low - high) * (x - down) / ramp;
        return low;
    };
}

/// A square wave behind R and C, settled at each change: period >> RC.
inline Wave rc(double low, double high, double period, double tau) {
    return [=](double t) {
        const double x = t - period * std::floor(t / period), half = period / 2;
        return x < half ? high + (low - high) * std::exp(-x / tau)
                        : low + (high - low) * std::exp(-(x - half) / tau);
    };
}

inline std::string table(const Wave& wave, double from, double to, double step, const char* separator = ",",
                         bool comma = false, double scale = 1, const std::string& head = "Time{0}CH1\n") {
    std::string out = fmt::format(fmt::runtime(head), separator);
    for (int k = 0; from + k * step < to; ++k) {
        std::string row =
            fmt::format("{:.9f}{}{:.6f}\n", from + k * step, separator, scale * wave(from + k * step));
        if (comma) std::replace(row.begin(), row.end(), '.', ',');
        out += row;
    }
    return out;
}

inline voltsill::VoltageMeasures measured(const Wave& wave, double from, double to, double step,
                                          const voltsill::VoltageOptions& options = {}) {
    voltsill::VoltageMeter meter(options);
    for (int k = 0; from + k * step < to; ++k) {
        const double t = from + k * step, v = wave(t);
        meter.add({&t, 1}, {&v, 1});
    }
    meter.finish();
    return meter.measures();
}

}  // namespace waves
