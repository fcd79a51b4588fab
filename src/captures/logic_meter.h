#pragma once
/// What is measured on one channel of 0, 1, x and z: edges, pulses, time in each state.
///
/// An edge is a change between 0 and 1; one with x or z on the way has no instant, so that pulses on
/// either side of it are not measured. Of several changes at one tick the last counts.
#include <array>
#include <cstdint>
#include <span>

#include "captures/pulse_tally.h"
#include "captures/samples.h"

namespace voltsill {

struct LogicMeasures {
    std::uint64_t changes = 0;
    std::array<double, 4> seconds{};   ///< by Bit: 0, 1, x, z
    std::uint64_t unknown_spells = 0;  ///< times it became x or z after it was 0 or 1
    PulseMeasures pulses;
};

class LogicMeter {
  public:
    /// `glitch_limit` in seconds; 0: an eighth of the median pulse width.
    LogicMeter(double seconds_per_tick, double glitch_limit);

    /// Ticks never fall.
    void add(std::span<const BitChange> changes);
    void until(std::int64_t tick);
    /// Time goes back: the state is kept, the next change begins a new count.
    void gap();
    LogicMeasures measures() const;

  private:
    struct State {
        bool begun = false;
        Bit now = Bit::x, next = Bit::x;
        std::int64_t since = 0, next_tick = INT64_MIN, base = 0;
        std::array<double, 4> ticks{};
        std::uint64_t changes = 0, unknown_spells = 0;
    };
    static void settle(State& s, PulseTally::Loop& pulses);
    void settle();

    double seconds_per_tick_;
    State state_;
    PulseTally pulses_;
};

}  // namespace voltsill
