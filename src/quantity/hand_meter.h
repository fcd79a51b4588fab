#pragma once
/// What volts read with a hand meter may be off by, contacts included: this share of the reading and this much
/// (common practice, no source). One meter for all that takes readings: marking, diagnosis, and what tells faults
/// apart.
#include "quantity/units.h"

namespace voltsill::hand_meter {

inline constexpr double volts_share = 0.01;
inline constexpr Volts volts_floor{0.02};

}  // namespace voltsill::hand_meter
