#pragma once
/// What many samples of one thing have in common: yields, quantiles, envelopes of waves, and which
/// parameter moves a measure. The same input in the same order gives the same bits.
///
/// Yield: Wilson's score interval (link_trace.h),
///     (p + z^2 / 2n  +-  z sqrt(p (1 - p) / n + z^2 / 4n^2)) / (1 + z^2 / n).
/// Quantile: straight line between order statistics at h = (n - 1) p, type 7 of R. J. Hyndman and
/// Y. Fan (The American Statistician 50, 1996, pp. 361-365, from memory).
/// Influence: C. Spearman's rank correlation (Amer. J. Psychology 15, 1904, pp. 72-101, from
/// memory), ties with their mean rank, squared: it holds for any monotone relation.
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "signals/link_trace.h"
#include "signals/measure.h"

namespace voltsill {

struct Interval {
    double lo = 0, hi = 1;
};
/// `kept` of `counted`; 0..1 when nothing was counted. `z` 1.959964 is 95 % on both sides.
Interval wilson(int kept, int counted, double z = 1.959963984540054);

/// `share` 0..1. Numbers that are not finite do not count; nothing when none is left.
std::optional<double> quantile(std::vector<double> values, double share);

struct Spread {
    double lo = 0, median = 0, hi = 0;
    int counted = 0;
};
std::optional<Spread> spread_of(std::span<const double> values);

/// Mean rank of each value, from 1.
std::vector<double> ranks(std::span<const double> values);
/// Rank correlation, -1..1; nothing for fewer than three pairs or when one side never changes.
/// Pairs with a number that is not finite do not count.
std::optional<double> rank_correlation(std::span<const double> a, std::span<const double> b);

/// What each parameter explains of a measure. `parameters[k]` are the values of `names[k]`, one a sample;
/// both must outlive the table.
class RankTable {
  public:
    RankTable(std::span<const std::string> names, std::span<const std::vector<double>> parameters);
    /// Strongest first. Those that chance alone explains as well are left out: rho^2 (n - 1) <= z^2 at 5 %
    /// over the number of figures (Bonferroni).
    std::vector<Influence> influences(std::span<const double> measure) const;

  private:
    std::span<const std::string> names_;
    std::span<const std::vector<double>> parameters_;
    std::vector<std::vector<double>> ranks_;
};

/// At most `most` times (8 or more) from first to last: evenly spaced ones, points of the wave where
/// it moves, and some shortly before and after.
std::vector<double> common_times(WaveView wave, std::size_t most = 400);

/// Collects waves one at a time. Lowest and highest hold every wave between the common times too: what
/// a wave does between two of them counts for both. The median is that of the voltages at each
/// common time, over every wave as long as there are at most `kept`; beyond that over every second,
/// fourth ... in the order of adding. Memory: common times x kept numbers.
class EnvelopeOf {
  public:
    explicit EnvelopeOf(std::vector<double> seconds, std::size_t kept = 1024);
    /// A wave without points, or with one that is not finite, is passed over.
    void add(WaveView wave);
    int counted() const { return counted_; }
    /// Nothing before the first wave.
    std::optional<Envelope> envelope() const;

  private:
    void thin_out();

    std::vector<double> seconds_, lo_, hi_;
    std::vector<std::vector<float>> kept_;  ///< a row a wave
    std::size_t most_, stride_ = 1;
    int counted_ = 0;
};

}  // namespace voltsill
