#pragma once
/// The network: what a wiring is electrically. Shape here, values apart.
///
/// A netlist holds nodes, devices and output stages; every number in it is a reference to a
/// parameter with lo, nominal and hi. Solvers take the shape once and any number of value
/// vectors (one double per parameter, SI), so worst-case corners, random samples and faults
/// share one shape. Node 0 is ground (0 V).
///
/// Sign convention: the current of a two-terminal device is positive when it flows from its
/// first node through the device to its second.
#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "quantity/figure.h"

namespace voltsill {

using Node = int;
using ParamId = int;
using DeviceId = int;
using StageId = int;
inline constexpr Node ground_node = 0;
inline constexpr ParamId no_param = -1;

/// Logic level of a stage or of what an input reads. `X`: neither guaranteed 0 nor 1.
/// `Z`: not driven (a stage that is off).
enum class Logic : unsigned char { zero, one, X, Z };
char to_char(Logic level);  // '0' '1' 'X' 'Z'

struct Parameter {
    std::string name;  ///< "R1", "gauge.ECHO drive" ...: used in reports
    double lo = 0, nominal = 0, hi = 0;
    Provenance origin;
    /// Of an end that comes from elsewhere than the rest; null: it does not. What is pointed at is never
    /// destroyed.
    const Provenance *lo_origin = nullptr, *hi_origin = nullptr;
};

/// Nodes and parameters each device kind takes, in order.
enum class DeviceKind : unsigned char {
    resistor,   ///< a, b; ohms. i = (va - vb) / R
    source,     ///< plus, minus; volts, series ohms (no_param: ideal). Listed in State::source_on
    current,    ///< from, to; amps
    diode,      ///< anode, cathode; forward volts at `i_ref`, i_ref (A), emission n*VT (V).
                ///< i = i_ref (exp(v/nVT) - 1) / (exp(vf/nVT) - 1), linear above 0.5 A
    mosfet,     ///< drain, gate, source; |Vth| (V), K (A/V^2). Square law i = K/2 vov^2,
                ///< symmetric in drain and source; `reversed_polarity` makes it p-channel.
                ///< The body diode is a device of its own.
    bjt,        ///< collector, base, emitter; beta, vbe (V) at 1 mA, reverse beta.
                ///< Ebers-Moll, transport form; `reversed_polarity` makes it PNP
    table,      ///< a, b; volt scale (no_param: 1), amp scale (no_param: 1). i = A * T((va-vb)/S)
    opto,       ///< anode, cathode, collector, emitter; LED vf at i_ref, i_ref, CTR (1 = 100 %)
                ///< ic = CTR * i_led * tanh(vce / 0.1 V) for vce >= 0
    amplifier,  ///< out, plus, minus, supply+, supply-; headroom top (V), headroom bottom (V), gain,
                ///< output ohms. Output clipped smoothly between supply- + bottom and supply+ - top
    switch_,    ///< a, b; on ohms, off ohms. Listed in State::switch_on
};

struct Device {
    DeviceKind kind{};
    std::array<Node, 5> nodes{};
    std::array<ParamId, 4> params{no_param, no_param, no_param, no_param};
    int table = -1;                  ///< index into Netlist::tables, for `table`
    bool reversed_polarity = false;  ///< p-channel, PNP
    int index = -1;                  ///< position among the sources (or switches) of the netlist
    std::string name;
};

/// A monotone (never falling) piecewise linear curve of amps over volts. The first and last
/// segments go on beyond the ends. At least two points; volts strictly rise.
struct Table {
    std::vector<double> volts, amps;
};

/// The output stage of a driver: a pull-up to `supply` and a pull-down to `ground`, each a
/// table of current over the voltage across it. Level one: pull-up conducts (none for
/// open-drain); zero: pull-down conducts (none for open-source); Z and X: neither.
struct Stage {
    std::string name;
    Node pin{}, supply{}, ground{};
    int up_table = -1, down_table = -1;  ///< -1: this side never drives
    ParamId up_strength = no_param;      ///< multiplies the pull-up current; no_param: 1
    ParamId down_strength = no_param;
    /// Shape of the side at its strongest, where it is another; -1: the same at every strength. From a
    /// strength of 1 to `strongest` the current goes in a straight line from table to strongest * strong table.
    int up_strong_table = -1, down_strong_table = -1;
    double strongest = 1.0;
};

/// What a logic input compares: v(pin) - v(ground) against these, in volts. Between them it
/// reads X (a Schmitt input holds what it read before).
struct LogicInput {
    Node pin{};
    ParamId vil = no_param, vih = no_param;
    bool schmitt = false;
};

/// A function from input levels to stage levels, evaluated by the fixed point in `settle`.
struct LogicUnit {
    std::string name;
    std::vector<LogicInput> inputs;
    std::vector<StageId> outputs;
    /// Table over {0,1} inputs: row r (bit i of r = input i) gives the level of each output,
    /// `rows[r * outputs.size() + k]`. X or Z at an input gives, per output, the common level
    /// of all rows it could be, else X.
    std::vector<Logic> rows;
    Node supply{}, ground{};
    ParamId min_supply = no_param;  ///< below this the unit is unpowered: all outputs Z
};

struct Netlist {
    std::vector<std::string> node_names{"0"};
    std::vector<Parameter> parameters;
    std::vector<Table> tables;
    std::vector<Device> devices;
    std::vector<Stage> stages;
    std::vector<LogicUnit> units;
    int sources = 0, switches = 0;

    Node add_node(std::string name);
    ParamId add_parameter(std::string name, double lo, double nominal, double hi, Provenance origin = {});
    ParamId add_constant(double value);
    int add_table(Table table);
    DeviceId add(Device device);  ///< gives sources and switches their index
    StageId add_stage(Stage stage);

    DeviceId resistor(std::string name, Node a, Node b, ParamId ohms);
    DeviceId source(std::string name, Node plus, Node minus, ParamId volts, ParamId ohms = no_param);
    DeviceId diode(std::string name, Node anode, Node cathode,
                   ParamId forward_volts);  ///< at 1 mA, n VT 35 mV
    DeviceId mosfet(std::string name, Node d, Node g, Node s, ParamId vth, ParamId k, bool p_channel = false);

    std::vector<double> nominal_values() const;
};

/// What is given when solving: levels of the stages, which sources are on (a source that is
/// off is an open circuit), which switches are closed. Empty vectors: all Z / all on / all open.
struct State {
    std::vector<Logic> levels;
    std::vector<bool> source_on;
    std::vector<bool> switch_on;
};

}  // namespace voltsill
