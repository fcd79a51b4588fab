#include "captures/level_histogram.h"

#include <algorithm>
#include <cmath>

namespace voltsill {
namespace {

/// A constant voltage has a range as well.
double width_of(double lo, double hi) {
    return std::max({(hi - lo) * 1.0625, std::max(std::abs(lo), std::abs(hi)) * 1e-6, 1e-9});
}

}  // namespace

LevelHistogram::LevelHistogram(double lo, double hi)
    : bins_(bins * ways, Bin{0, 0}),
      base_(0.5 * (lo + hi) - 0.5 * width_of(lo, hi)),
      per_volt_(bins / width_of(lo, hi)) {}

void LevelHistogram::make_room(double volts) {
    while (true) {
        const double at = (volts - base_) * per_volt_;
        if (at >= 0 && at < bins) return;
        std::vector<Bin> joined(bins * ways, Bin{0, 0});
        const std::size_t shift =
            at < 0 ? bins / 2 : 0;  // old bins move to the upper or stay in the lower half
        for (std::size_t k = 0; k < bins * ways; ++k)
            joined[(shift + k / ways / 2) * ways + k % ways] += bins_[k];
        if (at < 0) base_ -= bins / per_volt_;
        per_volt_ /= 2;
        bins_ = std::move(joined);
    }
}

std::optional<StateLevels> LevelHistogram::levels(double lowest, double highest) const {
    const double width = (highest - lowest) / coarse_bins;
    Bin coarse[coarse_bins] = {};
    double total = 0;
    for (const Bin& bin : bins_) {
        if (!(bin[0] > 0)) continue;
        const double mean = bin[1] / bin[0];
        const int at = width > 0 ? static_cast<int>((mean - lowest) / width) : 0;
        coarse[std::clamp(at, 0, coarse_bins - 1)] += bin;
        total += bin[0];
    }
    if (!(total > 0)) return std::nullopt;
    const auto mode = [&](int from, int to) -> std::optional<double> {
        int best = from;
        for (int k = from; k < to; ++k)
            if (coarse[k][0] > coarse[best][0]) best = k;
        return coarse[best][0] > 0 ? std::optional(coarse[best][1] / coarse[best][0]) : std::nullopt;
    };
    const auto low = mode(0, coarse_bins / 2), high = mode(coarse_bins / 2, coarse_bins);
    return StateLevels{low.value_or(high.value_or(lowest)), high.value_or(low.value_or(highest))};
}

}  // namespace voltsill
