#include "captures/logic_meter.h"

namespace voltsill {

LogicMeter::LogicMeter(double seconds_per_tick, double glitch_limit)
    : seconds_per_tick_(seconds_per_tick), pulses_(glitch_limit / seconds_per_tick) {}

/// What came last at `next_tick_` holds from then on.
void LogicMeter::settle() {
    if (next_tick_ == INT64_MIN) return;
    if (!begun_) {
        begun_ = true;
        base_ = since_ = next_tick_;
        now_ = next_;
        return;
    }
    if (next_ == now_) return;
    ticks_[static_cast<std::size_t>(now_)] += static_cast<double>(next_tick_ - since_);
    since_ = next_tick_;
    ++changes_;
    const bool was = now_ <= Bit::one, is = next_ <= Bit::one;
    if (was && is)
        pulses_.edge(static_cast<double>(next_tick_ - base_), next_ == Bit::one);
    else if (was)
        ++unknown_spells_;
    if (!is) pulses_.gap();
    now_ = next_;
}

void LogicMeter::until(std::int64_t tick) {
    settle();
    if (!begun_ || tick <= since_) return;
    ticks_[static_cast<std::size_t>(now_)] += static_cast<double>(tick - since_);
    since_ = tick;
}

void LogicMeter::gap() {
    settle();
    pulses_.gap();
    begun_ = false;
    next_tick_ = INT64_MIN;
}

LogicMeasures LogicMeter::measures() const {
    LogicMeasures out{.changes = changes_,
                      .unknown_spells = unknown_spells_,
                      .pulses = pulses_.measures(seconds_per_tick_)};
    for (std::size_t k = 0; k < 4; ++k) out.seconds[k] = ticks_[k] * seconds_per_tick_;
    return out;
}

}  // namespace voltsill
