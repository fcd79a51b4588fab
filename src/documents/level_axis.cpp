#include "documents/level_axis.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

namespace voltsill::doc {
namespace {

std::string number_words(double volts) {
    if (std::abs(volts) < 0.0005) return "0";
    const double shown = std::abs(volts) < 1 ? std::round(volts * 1000) / 1000 : volts;
    return fmt::format("{:.3g}", shown);
}

std::string range_words(double lo, double hi) {
    const std::string a = number_words(lo), b = number_words(hi);
    return a == b ? a + " V" : a + ".." + b + " V";
}

}  // namespace

double round_step(double range, int most) {
    const double raw = range / most, decade = std::pow(10.0, std::floor(std::log10(raw)));
    for (const double m : {1.0, 2.0, 5.0})
        if (m * decade >= raw * (1 - 1e-9)) return m * decade;
    return 10 * decade;
}

std::vector<double> multiples(double step, double lo, double hi) {
    std::vector<double> out;
    const int first = static_cast<int>(std::ceil(lo / step - 1e-6));
    const int last = static_cast<int>(std::floor(hi / step + 1e-6));
    for (int k = first; k <= last; ++k) out.push_back(k * step);
    return out;
}

Axis axis_over(double lo, double hi, int steps) {
    if (hi - lo < 1e-3) hi = lo + 1;
    const double step = round_step(hi - lo, steps);
    Axis axis{.step = step};
    // A quarter of a step beyond the last number keeps its mark clear of the frame.
    axis.lo = lo < 0 ? std::floor(lo / step - 0.25) * step : 0;
    axis.hi = std::ceil(hi / step + 0.25) * step;
    return axis;
}

Axis axis_of(const LevelChart& chart) {
    double lo = 0, hi = 0;
    const auto hold = [&](const std::optional<double>& v) {
        if (!v || !std::isfinite(*v)) return;
        lo = std::min(lo, *v);
        hi = std::max(hi, *v);
    };
    for (const ChartRow& row : chart.rows) {
        for (const ChartBand& band : row.bands)
            if (!band.floats) hold(band.lo), hold(band.nominal), hold(band.hi);
        for (const auto& v : {row.low_threshold, row.high_threshold, row.supply}) hold(v);
    }
    const double all_else = hi;
    for (const ChartRow& row : chart.rows)
        if (all_else <= 0 || row.limit_max <= 2 * all_else) hold(row.limit_max);
    return axis_over(lo, hi);
}

std::vector<double> ticks(const Axis& axis) { return multiples(axis.step, axis.lo, axis.hi); }

std::vector<ZoneSpan> zones(const ChartRow& row, const Axis& axis) {
    const double bottom = std::clamp(row.limit_min.value_or(axis.lo), axis.lo, axis.hi);
    const double top = std::clamp(row.limit_max.value_or(axis.hi), bottom, axis.hi);
    std::vector<ZoneSpan> out;
    const auto add = [&](Zone zone, double lo, double hi) {
        lo = std::clamp(lo, axis.lo, axis.hi);
        hi = std::clamp(hi, axis.lo, axis.hi);
        if (hi > lo) out.push_back({zone, lo, hi});
    };
    add(Zone::beyond, axis.lo, bottom);
    if (row.low_threshold && row.high_threshold) {
        const double low = std::clamp(*row.low_threshold, bottom, top);
        const double high = std::clamp(*row.high_threshold, low, top);
        add(Zone::low, bottom, low);
        add(Zone::undefined, low, high);
        add(Zone::high, high, top);
    }
    add(Zone::beyond, top, axis.hi);
    return out;
}

bool is_read(const std::vector<ZoneSpan>& spans) {
    return std::ranges::any_of(spans, [](const ZoneSpan& s) { return s.zone != Zone::beyond; });
}

std::string volts_words(double volts) { return number_words(volts) + " V"; }

std::string band_words(const ChartBand& band) { return band.floats ? "floats" : range_words(band.lo, band.hi); }

std::string level_words(const ChartBand& band) {
    return fmt::format("{} {}", band.any ? "any level" : band.high ? "high" : "low", band_words(band));
}

std::string in_words(const ChartRow& row) {
    std::vector<std::string> parts;
    std::string bands;
    for (const ChartBand& band : row.bands) bands += (bands.empty() ? "" : ", ") + level_words(band);
    if (!bands.empty()) parts.push_back(bands);
    if (row.low_threshold && row.high_threshold)
        parts.push_back(fmt::format("reads low up to {}, high from {}", volts_words(*row.low_threshold),
                                    volts_words(*row.high_threshold)));
    if (row.limit_min && row.limit_max)
        parts.push_back("stands " + range_words(*row.limit_min, *row.limit_max));
    else if (row.limit_max)
        parts.push_back("stands up to " + volts_words(*row.limit_max));
    if (row.supply) parts.push_back("supply " + volts_words(*row.supply));
    return fmt::format("{}", fmt::join(parts, "; "));
}

}  // namespace voltsill::doc
