#include "captures/logic_meter.h"

namespace voltsill {

LogicMeter::LogicMeter(double seconds_per_tick, double glitch_limit)
    : seconds_per_tick_(seconds_per_tick), pulses_(glitch_limit / seconds_per_tick) {}

/// What came last at `next_tick` holds from then on.
[[gnu::always_inline]] inline void LogicMeter::settle(State& s, PulseTally::Loop& pulses) {
    if (s.next_tick == INT64_MIN) return;
    if (!s.begun) {
        s.begun = true;
        s.base = s.since = s.next_tick;
        s.now = s.next;
        return;
    }
    if (s.next == s.now) return;
    s.ticks[static_cast<std::size_t>(s.now)] += static_cast<double>(s.next_tick - s.since);
    s.since = s.next_tick;
    ++s.changes;
    const bool was = s.now <= Bit::one, is = s.next <= Bit::one;
    if (was && is)
        pulses.edge(static_cast<double>(s.next_tick - s.base), s.next == Bit::one);
    else if (was)
        ++s.unknown_spells;
    if (!is) pulses.gap();
    s.now = s.next;
}

void LogicMeter::settle() {
    PulseTally::Loop pulses(pulses_);
    settle(state_, pulses);
}

/// The state stands in locals while the loop runs.
void LogicMeter::add(std::span<const BitChange> changes) {
    State s = state_;
    {
        PulseTally::Loop pulses(pulses_);
        for (const BitChange& c : changes) {
            if (c.tick() != s.next_tick) {
                settle(s, pulses);
                s.next_tick = c.tick();
            }
            s.next = c.bit();
        }
    }
    state_ = s;
}

void LogicMeter::until(std::int64_t tick) {
    settle();
    if (!state_.begun || tick <= state_.since) return;
    state_.ticks[static_cast<std::size_t>(state_.now)] += static_cast<double>(tick - state_.since);
    state_.since = tick;
}

void LogicMeter::gap() {
    settle();
    pulses_.gap();
    state_.begun = false;
    state_.next_tick = INT64_MIN;
}

LogicMeasures LogicMeter::measures() const {
    LogicMeasures out{.changes = state_.changes,
                      .unknown_spells = state_.unknown_spells,
                      .pulses = pulses_.measures(seconds_per_tick_)};
    for (std::size_t k = 0; k < 4; ++k) out.seconds[k] = state_.ticks[k] * seconds_per_tick_;
    return out;
}

}  // namespace voltsill
