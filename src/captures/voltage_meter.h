#pragma once
/// Everything that is measured on one channel of voltages, in one go and constant memory.
///
/// The voltage axis is cut at 10, 50 and 90 % of the swing, at VIL and VIH of the receiver and at its
/// absolute maximum ratings. Between two samples the voltage lies on the straight line, so that each
/// instant at which it passes a cut is exact for the samples as they stand. As long as it stays between
/// the same two cuts there is nothing to do but to fill the histogram.
///
/// Rise and fall time (10..90 %, 90..10 %), pulses at 50 % with hysteresis down to 10 and up to 90 %, and
/// runts (passes 50 %, comes back without 90 %) after IEEE Std 181-2011 (from memory).
///
/// State levels have to be known before edges can be measured, and are known only at the end. The
/// first `learned_samples` are kept, give levels, and are then measured; what follows is measured
/// against those. At the end the histogram of all samples gives the state levels; if these lie more
/// than 2 % of the swing away, `levels_moved` is set, and a second go with `given_levels` is exact.
#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "captures/level_histogram.h"
#include "captures/pulse_tally.h"

namespace voltsill {

/// Of the pin that a channel is held against, V.
struct PinLimits {
    std::optional<double> vil, vih;              ///< VIL max, VIH min
    std::optional<double> limit_min, limit_max;  ///< absolute maximum ratings
};

/// Stays in a range of voltages.
struct Stay {
    std::uint64_t count = 0;
    double seconds = 0, longest = 0;
    std::uint64_t returned = 0;  ///< left it on the side on which it came in
};

struct VoltageOptions {
    double scale = 1;  ///< volts at the probe's tip for one volt of the file: 10 for a 10:1 probe
    PinLimits limits;
    double glitch_limit = 0;  ///< s; 0: an eighth of the median pulse width
    std::optional<StateLevels> given_levels;
};

struct VoltageMeasures {
    std::uint64_t samples = 0, missing = 0;
    double seconds = 0;  ///< covered by lines between samples
    double lowest = 0, highest = 0;
    std::optional<StateLevels> levels;  ///< none without two samples
    bool two_states = false;            ///< else the signal stays at one level: no edges are measured
    bool levels_moved = false;
    bool only_0_and_1 = true;              ///< every value: may be a logic channel
    double overshoot = 0, undershoot = 0;  ///< above the high, below the low level, V
    Tally rise, fall;                      ///< s
    std::uint64_t runts = 0;
    PulseMeasures pulses;
    Stay between;               ///< VIL and VIH
    Stay above_vih, below_vil;  ///< read for sure
    Stay over, under;           ///< beyond the absolute maximum ratings
};

class VoltageMeter {
  public:
    static constexpr std::size_t learned_samples = 65536;
    /// Less than this is no swing of a logic signal (common practice, no source), V.
    static constexpr double least_swing = 0.1;

    explicit VoltageMeter(const VoltageOptions& options);

    /// Times never fall.
    void add(std::span<const double> seconds, std::span<const double> values);
    /// The line is cut: nothing between the last sample and the next.
    void gap();
    void finish();
    VoltageMeasures measures() const;

  private:
    enum CutKind : std::uint8_t { low_10, mid_50, high_90, at_vil, at_vih, at_min, at_max };
    struct Cut {
        double volts;
        CutKind kind;
    };

    void learn();
    void set_cuts(const std::optional<StateLevels>& levels);
    void measure(std::span<const double> seconds, std::span<const double> values);
    void enter(double t, double v);
    void leave();
    void move(double t, double v);
    void pass(const Cut& cut, double t, bool up);
    void pass_state(CutKind kind, double t, bool up);
    void pass_limit(CutKind kind, double t, bool up);
    void begin_stay(int which, double t, int side);
    void end_stay(int which, double t, int side);
    void find_interval(double v);

    VoltageOptions options_;
    std::vector<double> learned_t_, learned_v_;
    bool learning_ = true;

    std::optional<LevelHistogram> histogram_;
    std::optional<StateLevels> used_levels_;
    std::vector<Cut> cuts_;
    std::size_t interval_ = 0;         ///< cuts below the voltage now
    double floor_ = 0, ceiling_ = 0;   ///< of the interval
    bool inside_ = false;              ///< there is a last sample
    double t_ = 0, v_ = 0, half_ = 0;  ///< last sample, and half the time before it
    double base_ = 0;                  ///< time that edges count from

    enum class State { unknown, low, high } state_ = State::unknown;
    double at_10_ = 0, at_50_ = 0, at_90_ = 0;
    bool left_10_ = false, left_90_ = false, past_mid_ = false;

    struct OpenStay {
        bool open = false;
        double since = 0;
        int side = 0;  ///< -1 came from below, 1 from above, 0 was there
    };
    std::array<OpenStay, 5> open_{};
    std::array<Stay, 5> stays_{};

    VoltageMeasures out_;
    PulseTally pulses_;
};

}  // namespace voltsill
