#pragma once
/// Thresholds beyond the supplies they are printed for.
#include <optional>

#include "parts/model.h"

namespace voltsill {

/// How far a supply is outside all rows of a pin, and which row its limits are then taken from.
struct Stretch {
    Span<Volts> row;
    double factor = 1;  ///< supply over the end of the row, or the end over the supply: above 1
};
std::optional<Stretch> threshold_stretch(const Pin& pin, const Span<Volts>& supply);

/// Up to here a row still says something of the supply beside it (no source: as far as supplies are printed
/// around a nominal and somewhat more). Beyond it the thresholds are not known.
inline constexpr double most_stretch = 1.25;

}  // namespace voltsill
