#pragma once
/// What stands in where no sheet is asked or none says: every such number in one place.
#include "quantity/figure.h"

namespace voltsill::assumed {

inline const Provenance practice{Certainty::common_practice, "common practice, no source"};
inline const Provenance guess{Certainty::assumed, "assumed, no figure given"};

/// Printed VOH and VOL are for the weakest output. Typical ones carry about twice the current at
/// the same drop, the strongest about four times (common practice, no source): used for what an output can do
/// to others.
inline constexpr Span<double> drive_strength{1.0, 2.0, 4.0};
inline const Provenance strong_drive{
    Certainty::common_practice, "common practice: outputs up to four times as strong as the weakest printed"};
/// A bipolar high is printed as a least level only: how near to the supply it comes is not.
inline const Provenance least_drop{Certainty::assumed, "assumed: least drop of a bipolar high"};

/// An output without drive rows: 0.4 V lost at this current. Assumed: the current at which 3.3 V logic
/// standards print 0.4 V (JESD8C.01, from memory), which the weakest outputs of modules reach.
inline constexpr Volts drive_drop{0.4};
inline constexpr Amps drive_current{2e-3};

/// A logic part counts as powered above this share of its lowest operating supply. Assumed: no sheet says
/// where a part stops; CMOS goes on well below its lowest printed supply.
inline constexpr double powered_share = 0.6;

/// On-resistance of a pass-gate is printed for about this much overdrive. Assumed: sheets print it for a gate
/// that stands one volt above threshold and channel, or more, so that the true one is no larger.
inline constexpr double pass_gate_overdrive = 1.0;

/// Output resistance of an analogue source that gives none. Assumed: from a buffered output to a sensor's
/// bare potentiometer of some kiloohms near an end.
inline constexpr Span<double> analog_ohms{50.0, 500.0, 1000.0};

/// What holds a side of an auto-direction part that states nothing (SCES650E: 4 kΩ typical; its spread is
/// assumed, 30 to 40 % as diffused resistors have).
inline constexpr Span<double> keeper_ohms{2800.0, 4000.0, 5500.0};

/// A supply pin behind no more than this is on its rail: a filter, a bad contact (common practice).
inline constexpr Ohms supply_ohms{100.0};

/// What the parts of a rail draw that is off: without it picoamps would lift it all the way. Assumed, and
/// little: a real load lifts less, so that back-powering is not flattered.
inline constexpr Ohms dead_rail_load{1e6};

/// What a pin pulls by until software runs that states a pull without its ohms (common practice: internal pulls of
/// 20 to 50 kΩ).
inline constexpr Span<Ohms> reset_pull{Ohms{20e3}, Ohms{35e3}, Ohms{50e3}};

/// Flyback diode of a driver array that states none, at 1 mA (common practice: a silicon diode).
inline constexpr Span<double> flyback_drop{0.5, 0.65, 0.9};

/// Capacitance of a pin that gives none (common practice: 5 to 10 pF; 4 pF for the smallest packages), and
/// its range over time.
inline constexpr Farads pin_capacitance{10e-12};
inline constexpr Span<double> pin_farads{4e-12, 7e-12, 10e-12};

/// How far the wires of a net stray from what the bench says of them: length, neighbours, rows (assumed:
/// half, as no two boards are wired alike).
inline constexpr double wire_spread = 0.5;
/// How far a probe strays from what the bench says of it (common practice: a tenth), and a capacitor without
/// a tolerance from its value (IEC 60063: E6, 20 %).
inline constexpr double probe_spread = 0.1, capacitor_spread = 0.2;
/// Resistance of a jumper with its two contacts (common practice: 10 to 50 mΩ a contact when new, more when
/// worn).
inline constexpr Span<double> jumper_ohms{0.05, 0.1, 0.3};
/// Capacitance of a wire of a metre over its inductance: 50 pF on 1 uH (common practice).
inline constexpr double farads_per_henry = 50e-12 / 1e-6;

/// Loss of a wire at high frequency, as a resistance across each section's inductance, in multiples of the
/// line's impedance (assumed): what lies beyond the sections' own cut-off dies away within a few periods.
inline constexpr double wire_loss = 5.0;

/// 10 to 90 % edges of outputs that state none: of a logic part a share of its slowest delay (common
/// practice: about half), of others what controllers and modules do (assumed).
inline constexpr Span<double> edge_share_of_delay{0.15, 0.4, 0.8};
inline constexpr Span<double> edge_seconds{1.5e-9, 6e-9, 20e-9};
/// Delay of a channel: its slowest printed one, typically half of it and a quarter at the fastest (common
/// practice); or none stated (assumed: from fast to slow families at 3.3 V and 5 V).
inline constexpr Span<double> delay_share{0.25, 0.5, 1.0};
inline constexpr Span<double> delay_seconds{2e-9, 10e-9, 30e-9};

/// Turn-off of a small saturated transistor without a speed-up capacitor (common practice: 0.2 to 1 us).
inline constexpr Seconds storage_time{1e-6};

/// Edge accelerators of auto-direction parts: how strong and how long (SCES650E, section 9, gives the
/// principle and about 10 to 30 ns; from memory).
inline constexpr Span<double> accelerator_ohms{30.0, 50.0, 90.0};
inline constexpr Span<double> accelerator_seconds{10e-9, 18e-9, 30e-9};
/// Where on its supply an accelerator sees an edge (SCES650E: between VIL and VIH, 0.35 and 0.65 of it), and
/// how fast it takes hold and lets go (assumed: a few gate delays, as is the next).
inline constexpr Span<double> accelerator_threshold_share{0.35, 0.5, 0.65};
inline constexpr Span<double> accelerator_edge{1e-9, 2e-9, 4e-9};
/// From the threshold an accelerator sees to the start of its drive.
inline constexpr Span<double> accelerator_delay{1e-9, 3e-9, 6e-9};

}  // namespace voltsill::assumed
