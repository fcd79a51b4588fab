#pragma once
/// What a network does in time, beside what it is at rest (netlist.h): charge, flux, and how long
/// outputs and logic take.
///
///     C dv/dt = f(t, v),   stage current = k_up(t) I_up(vs - v) - k_down(t) I_down(v - vg)
///
/// The strengths k of a stage's two sides go between 0 and 1 along straight ramps, or along
/// curves taken from measured waveforms (IBIS 7.2, section 6, [Rising Waveform], from memory).
/// Everything refers to nodes, stages and units of one netlist, and its figures to its parameters.
#include <string>
#include <vector>

#include "network/netlist.h"

namespace voltsill {

struct Capacitor {
    std::string name;
    Node a{}, b{};
    ParamId farads = no_param;
};

/// A resistor of the netlist that has an inductance in series: at rest it is just the resistor.
struct Inductor {
    DeviceId resistor{};
    ParamId henries = no_param;
};

/// Strengths of a stage along an edge, at equal distances in time from the moment it is told to
/// switch; between the points a smooth curve. The last point is where the edge ends.
struct StrengthCurve {
    std::vector<double> up, down;  ///< as many, at least two
};

/// How the stage of the same index switches. no_param: at once.
struct Switching {
    ParamId rise = no_param, fall = no_param;  ///< s, of the whole ramp or curve
    int rise_curve = -1, fall_curve = -1;      ///< index into Dynamics::curves; -1: straight
};

/// When an input changes what it reads, in volts over its unit's ground. A threshold of CMOS is
/// one voltage, of a Schmitt input two.
struct SwitchPoint {
    ParamId rises = no_param, falls = no_param;
};

/// Delays of the unit of the same index, from an input's crossing to the start of its output's edge.
struct UnitTiming {
    std::vector<SwitchPoint> inputs;                                   ///< as the unit's
    ParamId to_high = no_param, to_low = no_param, to_off = no_param;  ///< s; no_param: 0
};

/// An edge accelerator: an input that crosses its switch point lets a stage drive for a while.
struct Accelerator {
    std::string name;
    Node pin{}, ground{};
    SwitchPoint point;
    StageId stage{};
    bool on_rise = true;                         ///< drives high after a rise; false: low after a fall
    ParamId delay = no_param, lasts = no_param;  ///< s
};

struct Dynamics {
    std::vector<Capacitor> capacitors;
    std::vector<Inductor> inductors;
    std::vector<StrengthCurve> curves;
    std::vector<Switching> stages;  ///< shorter than the netlist's: the rest switch at once
    std::vector<UnitTiming>
        units;  ///< by unit; shorter: the rest have no delay, thresholds between VIL and VIH
    std::vector<Accelerator> accelerators;
};

}  // namespace voltsill
