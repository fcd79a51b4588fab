#pragma once
/// The edge of a capacitance behind a resistance.
///
///     v(t) = V (1 - exp(-t / RC)),  so from 10 % to 90 % of V:  t = RC ln(0.9 / 0.1) = 2.197 RC     exact
#include <string>

namespace voltsill {

inline constexpr double rise_factor = 2.1972245773362196;  ///< ln 9

inline constexpr double rise_30_70 = 0.8472978603872037;    ///< ln 7/3: 30 % to 70 %

/// Seconds from 10 % to 90 %.
constexpr double rise_time(double ohms, double farads) { return rise_factor * ohms * farads; }
/// "2.197 * 4.7 kΩ * 25 pF = 258 ns": with as many digits as a reader needs to come to the same.
std::string rise_arithmetic(double ohms, double farads);

}  // namespace voltsill
