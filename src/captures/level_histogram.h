#pragma once
/// Histogram of a voltage over time, in bounded memory, and the two state levels in it.
///
/// IEEE Std 181-2011, clause 5.2 (algorithms for the state levels; clause from memory), histogram
/// method: the range from lowest to highest is cut into bins, and the mode of either half is a state
/// level. Here the bins hold time rather than samples, so that uneven sampling does not count twice,
/// and a level is the mean of the voltages in the fullest bin (as in signals/measure.h).
///
/// 4,096 fine bins lie over the range met so far; when a value falls outside, the range doubles and
/// bins join in pairs. At the end they are cut anew into `coarse_bins` between lowest and highest.
#include <optional>
#include <vector>

namespace voltsill {

struct StateLevels {
    double low = 0, high = 0;  ///< V
    double amplitude() const { return high - low; }
};

class LevelHistogram {
  public:
    static constexpr int bins = 4096, coarse_bins = 256;
    static constexpr double most_volts = 1e9;  ///< beyond: the caller keeps it out

    /// The range to begin with; lo <= hi.
    LevelHistogram(double lo, double hi);

    void add(double volts, double weight) {
        double at = (volts - base_) * per_volt_;
        if (!(at >= 0 && at < bins)) [[unlikely]] {
            make_room(volts);
            at = (volts - base_) * per_volt_;
        }
        next_ = (next_ + 1) % ways;
        bins_[static_cast<std::size_t>(static_cast<int>(at)) * ways + next_] += Bin{weight, weight * volts};
    }

    /// Between the lowest and the highest value met. None when nothing has weight.
    std::optional<StateLevels> levels(double lowest, double highest) const;

  private:
    typedef double Bin __attribute__((vector_size(16)));  ///< weight, weight x volts

    void make_room(double volts);

    /// A bin is the sum of several that take turns, so that one addition need not wait for the last.
    static constexpr std::size_t ways = 4;

    std::vector<Bin> bins_;
    std::size_t next_ = 0;
    double base_, per_volt_;
};

}  // namespace voltsill
