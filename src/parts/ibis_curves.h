#pragma once
/// Arithmetic on curves of current over voltage.
#include <vector>

#include "parts/model.h"

namespace voltsill {

/// Linear between the points; the first and last segments go on beyond the ends. 0 for an empty curve.
double amps_at(const IvCurve& curve, double volts);

/// Linear between the points, constant beyond the ends. `x` strictly rises, both equally many, not empty.
double held_between(const std::vector<double>& x, const std::vector<double>& y, double at);

/// Replaces the values by the nearest (least squares) that never fall; returns the largest change.
/// Pool-adjacent-violators: M. Ayer and others, Annals of Mathematical Statistics 26 (4), 1955, 641-647
/// (from memory). Linear time; a rising sequence stays as it is, to the last bit.
double make_rising(std::vector<double>& values);

/// At most `points` (two or more) points of the curve, chosen one after the other where the straight
/// line between those already chosen is farthest off in proportion to the current there. `error`:
/// largest difference left, in amps. Monotone if the curve is.
IvCurve thinned(const IvCurve& curve, std::size_t points, double& error);

}  // namespace voltsill
