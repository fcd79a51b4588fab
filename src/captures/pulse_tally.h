#pragma once
/// What a row of edges says: periods, duty, pulse widths, glitches, in constant memory.
///
/// Terms after IEEE Std 181-2011 (from memory): a pulse is the time between two neighbouring edges at
/// the 50 % instants, the period from one rising edge to the next, the duty factor the share of the
/// period that is high. Times are in whatever unit the caller counts; `width_histogram` has eight
/// bins an octave, so that a pulse much shorter than the common one can be told afterwards.
#include <algorithm>
#include <cstdint>
#include <limits>
#include <optional>
#include <vector>

namespace voltsill {

/// Of values that came one by one.
struct Tally {
    std::uint64_t count = 0;
    double lo = std::numeric_limits<double>::infinity(), hi = -std::numeric_limits<double>::infinity(),
           sum = 0;

    void add(double value) {
        ++count;
        lo = std::min(lo, value);
        hi = std::max(hi, value);
        sum += value;
    }
    double mean() const { return count ? sum / static_cast<double>(count) : 0; }
    Tally scaled(double factor) const {
        return count ? Tally{count, lo * factor, hi * factor, sum * factor} : *this;
    }
};

struct PulseMeasures {
    std::uint64_t rising = 0, falling = 0;  ///< edges
    Tally period, high, low;                ///< s; of complete periods and pulses
    std::optional<double> frequency;        ///< Hz: complete periods over the time they take
    std::optional<double> duty;             ///< over all complete periods
    std::uint64_t glitches = 0;             ///< pulses shorter than `glitch_limit`
    std::optional<double> glitch_limit;     ///< s; none: not asked for, and too few pulses to compare
    bool glitch_limit_given = false;
};

class PulseTally {
  public:
    /// `glitch_limit` in the unit of time; 0: an eighth of the median pulse width.
    explicit PulseTally(double glitch_limit = 0) : glitch_limit_(glitch_limit) {}

    void edge(double time, bool rising);
    /// What comes next does not join on to what was.
    void gap() { has_last_ = has_rise_ = has_fall_ = false; }
    /// `unit`: seconds in one unit of time.
    PulseMeasures measures(double unit) const;

  private:
    static constexpr int bins_an_octave = 8, octaves = 128;
    static int bin_of(double width);
    static double lower_edge(int bin);

    double glitch_limit_;
    std::uint64_t rising_ = 0, falling_ = 0, glitches_ = 0;
    bool has_last_ = false, has_rise_ = false, has_fall_ = false;
    double last_ = 0, rise_ = 0, fall_ = 0, high_in_periods_ = 0;
    Tally period_, high_, low_;
    std::vector<std::uint64_t> width_histogram_;
};

}  // namespace voltsill
