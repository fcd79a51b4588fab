/// State levels by the histogram method: each bin holds the time spent at its voltages and their
/// sum over that time.
#include <algorithm>
#include <cmath>

#include "signals/segments.h"

namespace voltsill {
namespace {

struct Histogram {
    double lo, width;
    std::vector<double> time, moment;

    Histogram(const SwingLevels& range, int bins)
        : lo(range.low),
          width((range.high - range.low) / bins),
          time(static_cast<std::size_t>(bins)),
          moment(time.size()) {}

    std::size_t bin(double v) const {
        return static_cast<std::size_t>(
            std::clamp(std::floor((v - lo) / width), 0.0, static_cast<double>(time.size()) - 1));
    }
    void put(std::size_t k, double seconds, double volts) {
        time[k] += seconds;
        moment[k] += seconds * volts;
    }
    /// A line spends the same time in every volt it passes.
    void add(const Segment& s) {
        const double a = std::min(s.v0, s.v1), b = std::max(s.v0, s.v1), duration = s.t1 - s.t0;
        const std::size_t first = bin(a), last = bin(b);
        if (first == last) return put(first, duration, (a + b) / 2);
        for (std::size_t k = first; k <= last; ++k) {
            const double from = k == first ? a : lo + static_cast<double>(k) * width;
            const double to = k == last ? b : lo + static_cast<double>(k + 1) * width;
            put(k, duration * (to - from) / (b - a), (from + to) / 2);
        }
    }
    double mode(std::size_t begin, std::size_t end) const {
        const auto fullest = std::max_element(time.begin() + static_cast<std::ptrdiff_t>(begin),
                                              time.begin() + static_cast<std::ptrdiff_t>(end));
        const auto k = static_cast<std::size_t>(fullest - time.begin());
        return time[k] > 0 ? moment[k] / time[k] : lo + (static_cast<double>(k) + 0.5) * width;
    }
};

}  // namespace

std::expected<SwingLevels, std::string> state_levels(WaveView wave, int bins) {
    if (wave.size() < 2) return std::unexpected("the wave has no duration");
    const auto range = extremes(wave, wave.seconds.front(), wave.seconds.back());
    if (!range) return range;
    bins = std::max(4, bins);
    if (!(range->high - range->low > 1e-12 * std::max(1.0, std::abs(range->high))))
        return std::unexpected("the wave stays at one voltage");
    Histogram histogram(*range, bins);
    for_each_segment(wave, [&](const Segment& s) { histogram.add(s); });
    if (std::ranges::none_of(histogram.time, [](double t) { return t > 0; }))
        return std::unexpected("the wave has no duration");
    const auto all = static_cast<std::size_t>(bins), half = all / 2;
    return SwingLevels{histogram.mode(0, half), histogram.mode(half, all)};
}

}  // namespace voltsill
