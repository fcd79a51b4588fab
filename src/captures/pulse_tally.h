#pragma once
/// What a row of edges says: periods, duty, pulse widths, glitches, in constant memory.
///
/// Terms after IEEE Std 181-2011 (from memory): a pulse is the time between two neighbouring edges at
/// the 50 % instants, the period from one rising edge to the next, the duty factor the share of the
/// period that is high. Times are in whatever unit the caller counts; `width_histogram` has eight
/// bins an octave, so that a pulse much shorter than the common one can be told afterwards.
#include <algorithm>
#include <bit>
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

    class Loop;

    void edge(double time, bool rising);
    /// What comes next does not join on to what was.
    void gap() { state_.gap(); }
    /// `unit`: seconds in one unit of time.
    PulseMeasures measures(double unit) const;

  private:
    static constexpr int bins_an_octave = 8, octaves = 128;
    static int bin_of(double width);
    static double lower_edge(int bin);

    struct State {
        std::uint64_t rising = 0, falling = 0, glitches = 0;
        bool has_last = false, has_rise = false, has_fall = false;
        double last = 0, rise = 0, fall = 0, high_in_periods = 0;
        Tally period, high, low;

        void gap() { has_last = has_rise = has_fall = false; }
    };

    double glitch_limit_;
    State state_;
    std::vector<std::uint64_t> width_histogram_;
};

/// Edges of a loop: the state stands by itself meanwhile, so that it can be kept in registers.
class PulseTally::Loop {
  public:
    explicit Loop(PulseTally& tally) : tally_(tally), limit_(tally.glitch_limit_), s_(tally.state_) {
        tally.width_histogram_.resize(octaves * bins_an_octave);
        histogram_ = tally.width_histogram_.data();
    }
    ~Loop() { tally_.state_ = s_; }
    Loop(const Loop&) = delete;
    Loop& operator=(const Loop&) = delete;

    void edge(double time, bool rising);
    void gap() { s_.gap(); }

  private:
    PulseTally& tally_;
    const double limit_;
    std::uint64_t* histogram_;
    State s_;
};

/// Exponent and the first three bits of the fraction of a double (IEEE 754), counted from 2^-64.
inline int PulseTally::bin_of(double width) {
    constexpr std::int64_t first = std::int64_t{1023 - octaves / 2} * bins_an_octave;
    const auto top = static_cast<std::int64_t>(std::bit_cast<std::uint64_t>(width) >> 49);
    return static_cast<int>(std::clamp<std::int64_t>(top - first, 0, octaves * bins_an_octave - 1));
}

[[gnu::always_inline]] inline void PulseTally::Loop::edge(double time, bool rising) {
    ++(rising ? s_.rising : s_.falling);
    if (s_.has_last) {
        const double width = time - s_.last;
        (rising ? s_.low : s_.high).add(width);
        s_.glitches += width < limit_;
        ++histogram_[static_cast<std::size_t>(bin_of(width))];
    }
    if (rising) {
        if (s_.has_rise && s_.has_fall) {
            s_.period.add(time - s_.rise);
            s_.high_in_periods += s_.fall - s_.rise;
        }
        s_.rise = time;
        s_.has_rise = true;
        s_.has_fall = false;
    } else {
        s_.fall = time;
        s_.has_fall = true;
    }
    s_.last = time;
    s_.has_last = true;
}

}  // namespace voltsill
