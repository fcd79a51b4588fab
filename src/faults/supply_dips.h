#pragma once
/// Whether the supply of a part dips by more than a tenth when something switches: what makes it reset.
///
///     dip / V = I * R / V > 0.1,  R: of the bad contacts in its supply and its ground,
///                                 I: the most that all parts behind them draw
///
/// Without its decoupling capacitor it dips on every edge, which no steady level shows; a supply that is low is one
/// at its limit as often as one that is set wrong (common practice, no source).
#include <functional>

#include "faults/fault_readings.h"

namespace voltsill {

/// Chance that a scope shows dips. `moves`: whether the fault moves a pin (`PlannedBuild::pin`).
double chance_of_dips(const PlannedBuild& planned, const Fault& fault, int part,
                      const std::function<bool(int pin)>& moves);

}  // namespace voltsill
