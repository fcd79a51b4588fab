#pragma once
/// What a part is: its supplies, pins, channels and packages, in the words of a data sheet.
///
/// A `PartType` is resolved: families, functions, pin traits and archetypes of the catalogue
/// have been merged, every figure carries its source. Absolute maximum ratings and recommended
/// operating ranges are kept apart. Levels may follow the pin's own supply ("0.7 supply"),
/// after the way JESD8C.01, JESD8-5A, JESD8-7A and family data sheets print them.
#include <map>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "quantity/figure.h"
#include "records/problem.h"

namespace voltsill {

/// ratio * V(supply) + offset, in volts against the part's ground.
struct Level {
    double ratio = 0.0;
    Volts offset{};
    constexpr Volts at(Volts supply) const { return supply * ratio + offset; }
    bool operator==(const Level&) const = default;
};

/// Input thresholds printed for a supply range (a single supply voltage: lo == hi). Between
/// rows the limits are interpolated linearly (common practice); outside all rows the nearest
/// row is used and the certainty drops to `assumed`.
struct ThresholdRow {
    Span<Volts> supply;
    Level low;                                   ///< VIL max; Schmitt: VT- min
    Level high;                                  ///< VIH min; Schmitt: VT+ max
    std::optional<Span<Volts>> rising, falling;  ///< Schmitt bands VT+ and VT-
    Provenance origin;
};

/// Fastest-edge requirement at an input: time per volt, or total time of an edge.
struct TransitionRow {
    Span<Volts> supply;
    std::optional<SecondsPerVolt> per_volt;
    std::optional<Seconds> total;
    Provenance origin;
};

/// Rows and rails are decimal numbers turned to binary: 3.3 V + 10 % is not exactly 3.63 V.
constexpr Volts supply_rounding{1e-9};
constexpr bool covers(const Span<Volts>& rows, Volts supply) {
    return rows.lo - supply_rounding <= supply && supply <= rows.hi + supply_rounding;
}

/// VOH min (side high) or VOL max (side low) at a load current (magnitude).
struct DriveRow {
    Span<Volts> supply;
    Amps at;
    Level level;
    Provenance origin;
};

/// Pull inside the part, from the pin to its supply or ground.
struct Pull {
    bool up = true;
    Figure<Ohms> ohms;
    bool removable = false;  ///< a module's resistor that can be unsoldered, or a pull set by software
    bool at_reset = false;   ///< only active until software changes it
};

/// A load between the pin and the part's supply (or ground): LED of an optocoupler with its
/// resistor, as on relay modules, or a fan, a heater, a coil. On when more than `on_above` flows, surely off
/// below `off_below`.
struct LoadInput {
    bool to_supply = true;  ///< on while the pin is low
    Figure<Volts> forward;  ///< sum of the diode drops in series; unknown or 0 V: a resistance alone
    Figure<Ohms> ohms;
    Figure<Amps> on_above, off_below;
    std::string consequence;  ///< what moves when it is on: "relay pulls in", for sentences
    bool inductive = false;   ///< a coil: its current goes on when it is switched off
    bool has_drop() const { return forward.known() && forward.span.hi > Volts{}; }
};

/// Current over voltage, SI: volts strictly rise, amps never fall; both empty: no such side.
struct IvCurve {
    std::vector<double> volts, amps;
    bool operator==(const IvCurve&) const = default;
};

/// How far the pull-up and the pull-down conduct (0: off, 1: on) during an edge: points evenly
/// spaced over 0..duration (seconds), at least two, `up` and `down` equally many. The last point
/// holds afterwards.
struct SwitchingCurve {
    double duration = 0;
    std::vector<double> up, down;
    bool operator==(const SwitchingCurve&) const = default;
};

/// An output at one corner. `pull_up`: amps from the supply into the net over V(supply) - V(pin).
/// `pull_down`: amps from the net to ground over V(pin). The clamps conduct whatever the output
/// does: `supply_clamp` over V(pin) - V(supply), `ground_clamp` over V(pin); amps from the net into
/// the pin, negative when the clamp lifts the pin.
struct OutputCorner {
    Volts supply{};
    IvCurve pull_up, pull_down, supply_clamp, ground_clamp;
    std::optional<SwitchingCurve> rising, falling;
    bool operator==(const OutputCorner&) const = default;
};

/// Measured or simulated curves of an output. A part without corners repeats the typical one.
struct OutputCurves {
    OutputCorner slow, typical, fast;
    Provenance origin;
    bool operator==(const OutputCurves&) const = default;
};

enum class PinRole {
    supply,
    ground,
    input,
    push_pull,
    three_state,
    open_drain,
    open_source,
    io,             ///< push-pull or input, by software (controller pin)
    open_drain_io,  ///< open-drain output and input (I2C, 1-wire)
    analog_input,
    analog_output,
    load,
    passive,
    no_connect,
};
std::string_view to_word(PinRole role);

struct Pin {
    std::string name;
    PinRole role = PinRole::passive;
    int supply = -1;  ///< index into PartType::supplies the pin's levels follow; -1: none
    std::string note;

    // Ratings. `max` and `min` absolute; evaluated at supply 0 V for the unpowered part unless
    // `max_unpowered` says otherwise. `range_*` is the recommended operating range.
    std::optional<Level> min, max, max_unpowered;
    std::optional<Level> range_min, range_max;
    Provenance limits_origin;  ///< of all but the operating range
    Provenance range_origin;

    // As an input
    std::vector<ThresholdRow> thresholds;
    bool schmitt = false;
    std::vector<TransitionRow> transition;
    Figure<Farads> capacitance;
    Figure<Amps> leakage;                ///< either way; of an output: while it lets go
    Figure<Amps> input_low, input_high;  ///< of a bipolar input: IIL out of the pin while low, IIH into it while high
    std::vector<Pull> pulls;

    // Protection: diodes from the pin to its supply and from ground to the pin
    bool clamp_to_supply = false, clamp_to_ground = false;
    Figure<Volts> clamp_forward;     ///< at 1 mA
    Figure<Amps> clamp_max;          ///< absolute maximum injection (magnitude)
    Figure<Amps> injection_allowed;  ///< permitted in operation; unknown: none stated
    std::string flyback;  ///< pin that a diode inside leads to from here: the common cathode of a driver array

    // As an output
    std::vector<DriveRow> high, low;
    Figure<Amps> drive_max;            ///< absolute maximum output current (magnitude)
    std::optional<Seconds> delay_max;  ///< propagation delay to this output, slowest printed
    Provenance delay_origin;
    Figure<Seconds> rise_time, fall_time;  ///< 10 to 90 % of an edge of this output, nothing connected
    std::optional<OutputCurves> curves;    ///< where known, in place of `high` and `low` for edges
    std::optional<Span<Volts>>
        high_below_supply;  ///< a high stays below the supply by this even without load (bipolar TTL)
    Provenance high_below_origin;
    std::optional<Span<Volts>>
        low_above_ground;  ///< a low stays above ground by this even without load (a Darlington)
    Provenance low_above_origin;
    std::optional<Level>
        static_low;  ///< output low that is held at a fixed level (buffered-offset repeaters)
    Provenance static_low_origin;

    // Analogue
    std::optional<Span<Volts>> analog_range;  ///< of an analogue output, volts it can take
    std::optional<Level> full_scale;          ///< of an ADC input
    Figure<Ohms> output_ohms;                 ///< of an analogue output
    Figure<Ohms> source_ohms_max;             ///< an ADC input wants its source below this

    std::optional<LoadInput> load;
    bool must_be_tied = false;  ///< input that must not be left open even when its channel is unused
    std::string
        reset_state;  ///< "" or "high", "low", "pull-up", "pull-down": of an io pin until software runs
};

struct SupplyPort {
    std::string name;      ///< VCC, VCCA ...
    Span<Volts> range;     ///< recommended operating
    Volts max{}, min{};    ///< absolute maximum
    Provenance max_origin;
    Figure<Amps> current;  ///< drawn, excluding loads
    bool needs_decoupling = true;
    std::optional<Span<Volts>> provides;  ///< the part makes this rail itself (regulator output)
    Figure<Amps> provides_limit;
    std::string needs_at_most;  ///< name of another supply this one may not exceed (VCCA <= VCCB)
    Provenance origin;          ///< of the record, and with it of the range and of what is provided
};

enum class ChannelLogic {
    buffer,
    inverter,
    and_,
    nand,
    or_,
    nor,
    xor_,
    transceiver,      ///< a <-> b by direction
    pass_gate,        ///< FET between a and b, gate biased from supply `a` side
    auto_push_pull,   ///< edge-sensed both ways, weak keeper both sides
    auto_open_drain,  ///< pass-gate with own pull-ups and edge accelerators
    repeater,         ///< buffered open-drain both ways
};

/// One path through a part: pins by index.
struct Channel {
    ChannelLogic logic{};
    std::vector<int> inputs;        ///< or the a side
    int output = -1;                ///< or the b side
    std::vector<int> enables;       ///< all must be active
    std::vector<bool> enable_high;  ///< active level of each
    int direction = -1;             ///< high: a -> b
    std::string name;               ///< "1", "A1-B1"
};

struct Package {
    std::string name;                ///< "DIP-20"
    std::vector<int> pin_of_number;  ///< number-1 -> index into PartType::pins; -1: no connection
    bool fits_board = true;          ///< pushes into a solderless board without an adapter
};

// Parameters of discrete parts. Values given in the bench or chosen by the planner.
struct ResistorModel {
    std::optional<Span<Ohms>> ohms;
    double tolerance = 0.05;
    Watts power_max{0.25};
};
struct CapacitorModel {
    std::optional<Farads> farads;
};
struct DiodeModel {
    Figure<Volts> forward;
    Amps at{1e-3};
    Figure<Amps> current_max;
    Volts reverse_max{};
    bool led = false;
};
struct BjtModel {
    bool pnp = false;
    Figure<double> beta;
    Figure<Volts> vbe;
    Figure<Amps> current_max;
    Volts vce_max{};
};
struct MosfetModel {
    bool p_channel = false;
    Figure<Volts> vth;
    Figure<Ohms> rds;
    Volts rds_at{};
    Figure<Volts> body_forward;
    Figure<Amps> current_max;
    Volts vds_max{}, vgs_max{};
    Figure<Farads> gate_capacitance;
};
struct OptoModel {
    Figure<Volts> forward;
    Figure<double> ctr;
    Figure<Amps> led_max;
    Seconds turn_off{};
    Volts vce_max{};
};
struct AmplifierModel {
    Figure<Volts> headroom_top, headroom_bottom;
    bool open_collector = false; /* comparator */
};
struct PassGateModel {
    Figure<Volts> vth;
    Figure<Ohms> on;
    Figure<Ohms> pull_a, pull_b;
};
struct KeeperModel {
    Figure<Ohms> ohms;
};  ///< auto push-pull: what holds each side
using Model = std::variant<std::monostate, ResistorModel, CapacitorModel, DiodeModel, BjtModel, MosfetModel,
                           OptoModel, AmplifierModel, PassGateModel, KeeperModel>;

enum class PartKind {
    module,
    logic,
    resistor,
    capacitor,
    diode,
    bjt,
    mosfet,
    opto,
    comparator,
    op_amp,
    translator
};
std::string_view to_word(PartKind kind);

struct PartType {
    std::string name;  ///< "HCT 541", "resistor", "n-mosfet small signal"
    std::string title;
    std::string family, function;  ///< empty unless logic
    PartKind kind = PartKind::module;
    std::vector<SupplyPort> supplies;
    std::vector<Pin> pins;
    std::vector<Channel> channels;
    std::vector<Package> packages;
    Model model;
    Provenance origin;
    std::string note;
    Hertz rate_max{};                 ///< highest useful data rate on a solderless board, 0: not stated
    Figure<Amps> supply_current_max;  ///< absolute maximum through supply or ground pins
    double price = 1.0;               ///< relative price class, common practice, no source
    bool invented = false;            ///< figures made up for an example

    int pin_index(std::string_view pin) const;  ///< -1: none; "/OE" is also found as "OE"
    int supply_index(std::string_view supply) const;
    int ground_pin() const;  ///< first pin with role ground; -1: none
};

/// VIL and VIH of a pin at a supply voltage. `exact` false: outside the printed rows.
struct Thresholds {
    Level low, high;
    Provenance origin;
    bool exact = true;
};
std::optional<Thresholds> thresholds_at(const Pin& pin, Volts supply);

/// The same over a rail's tolerance: levels that follow the supply as the printed rows do, and are
/// at no supply within the span kinder than these.
std::optional<Thresholds> thresholds_over(const Pin& pin, const Span<Volts>& supply);

/// Edge limit at a supply voltage and swing, as ns/V; nullopt: none stated.
struct EdgeLimit {
    SecondsPerVolt per_volt;
    Provenance origin;
};
std::optional<EdgeLimit> edge_limit_at(const Pin& pin, Volts supply);

/// Voltage lost across an output stage (supply - VOH, or VOL) as a curve over current at a
/// supply voltage: rows interpolated; the first point is (0, 0).
struct DrivePoint {
    Amps current;
    Volts drop;
};
struct DriveCurve {
    std::vector<DrivePoint> points;
    Provenance origin;
    bool exact = true;
};
std::optional<DriveCurve> drive_curve(const Pin& pin, bool high_side, Volts supply);

}  // namespace voltsill
