#pragma once
/// What stands in where no sheet is asked or none says: every such number in one place.
#include "quantity/figure.h"

namespace voltsill::assumed {

inline const Provenance practice{Certainty::common_practice, "common practice, no source"};
inline const Provenance guess{Certainty::assumed, "assumed, no figure given"};

/// Printed VOH and VOL are for the weakest output. Typical ones carry about twice the current at
/// the same drop, the strongest about four times: used for what an output can do to others.
inline constexpr Span<double> drive_strength{1.0, 2.0, 4.0};

/// An output without drive rows: 0.4 V lost at this current (weakest).
inline constexpr Volts drive_drop{0.4};
inline constexpr Amps drive_current{2e-3};

/// A logic part counts as powered above this share of its lowest operating supply.
inline constexpr double powered_share = 0.6;

/// On-resistance of a pass-gate is printed for about this much overdrive.
inline constexpr double pass_gate_overdrive = 1.0;

/// Output resistance of an analogue source that gives none.
inline constexpr Span<double> analog_ohms{50.0, 500.0, 1000.0};

/// What holds a side of an auto-direction part that states nothing (SCES650E: 4 kΩ typical).
inline constexpr Span<double> keeper_ohms{2800.0, 4000.0, 5500.0};

/// What the parts of a rail draw that is off: without it picoamps would lift it all the way.
inline constexpr Ohms dead_rail_load{1e6};

/// Capacitance of a pin that gives none (common practice: 5 to 10 pF).
inline constexpr Farads pin_capacitance{10e-12};

}  // namespace voltsill::assumed
