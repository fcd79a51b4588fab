#pragma once
/// Volts as a meter with two places behind the point shows them.
#include <fmt/format.h>

#include <cmath>
#include <string>

namespace voltsill {

/// What rounds to nothing has no sign: a meter that shows -0.00 V tells nobody anything.
inline double unsigned_zero(double volts, double step = 0.01) { return std::abs(volts) < step / 2 ? 0.0 : volts; }
inline std::string hundredths(double volts) { return fmt::format("{:.2f}", unsigned_zero(volts)); }

}  // namespace voltsill
