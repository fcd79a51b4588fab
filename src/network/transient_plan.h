#pragma once
/// The plan of a transient: which unknown is which row, what enters it, and where every parameter goes.
#include <string>
#include <vector>

#include "network/dc.h"
#include "network/dynamics.h"
#include "network/elimination.h"
#include "network/transient_tape.h"

namespace voltsill::batch {

/// A conductance g with an offset current j between two nodes, or a capacitance: its entries (-1:
/// held end), slots and rows (-1: held).
struct Stamp {
    int id;  ///< device, or index into Dynamics::capacitors
    int aa, ab, ba, bb;
    int slot_a, slot_b, row_a, row_b;
};
/// A series inductance and its resistor: the branch current is an unknown.
struct InductorStamp {
    int id;  ///< index into Dynamics::inductors
    int slot_a, slot_b, row_a, row_b, row;
    int a_row, row_a_entry, b_row, row_b_entry, own, charge;  ///< entries of G, -1: none; own entry of C
};
/// Coefficients of an element: a device, or a side of a stage.
struct Written {
    int device = -1;
    StageId stage = -1;
    bool up = false, strong = false;
    int coefficient = 0, count = 0;
};
/// What a watch waits for.
struct WatchSite {
    int unit = -1, input = -1;  ///< or:
    int accelerator = -1;
    SwitchPoint point;
    ParamId vil = no_param, vih = no_param;  ///< stand in where the unit has no switch point
};
struct Arm {
    StageId stage{};
    bool up = false, strong = false;
};
/// A device evaluated lane by lane.
struct Other {
    DeviceId device{};
    int coefficient = 0, current = 0, conductance = 0;  ///< first of its places
    int slots[5] = {};
};

struct TransientPlan {
    std::string trouble;        ///< why nothing can be run; empty: all well
    std::vector<int> slot_of;   ///< by node
    std::vector<Node> node_of;  ///< by slot; -1: an inductor's current
    int unknowns = 0;
    std::vector<Branch> diodes;
    std::vector<TimedCurve> curves;
    std::vector<RoundBend> bends;
    std::vector<SharpBend> sharp_bends;
    std::vector<SquareLaw> fets;
    std::vector<Other> others;
    std::vector<Row> rows;
    std::vector<Cell> cells;
    std::vector<Signed> parts;
    std::vector<Assembly> assemblies;
    EliminationTape lu;
    std::vector<Watch> watches;
    std::vector<WatchSite> watch_sites;
    std::vector<Arm> arms;
    std::vector<std::vector<int>> arms_of_stage;
    std::vector<Stamp> linear, capacitors;
    std::vector<InductorStamp> inductors;
    std::vector<Written> written;
    std::vector<double> tolerance;
    int entries = 0, capacitances = 0, coefficients = 0, currents = 0, conductances = 0;

    TransientTape tape() const;
};

/// "" if these dynamics belong to this netlist and can be run; else why not.
std::string dynamics_refusal(const Netlist& netlist, const Dynamics& dynamics, const Partition& partition);
/// The device is the resistor of an inductor.
bool inductive(const Dynamics& dynamics, DeviceId device);

/// Node voltages and inductor currents in elimination order, then the held nodes.
struct Numbering {
    int unknowns = 0;
    std::vector<int> slot_of;              ///< by node
    std::vector<Node> node_of;             ///< by slot; -1: an inductor's current
    std::vector<int> branch_slot;          ///< by inductor
    std::vector<std::vector<int>> groups;  ///< slots that one device ties together
};
Numbering number_unknowns(const Netlist& netlist, const Dynamics& dynamics, const Partition& partition,
                          const State& start);

TransientPlan make_transient_plan(const Netlist& netlist, const Dynamics& dynamics,
                                  const Partition& partition, const State& start, double volts_tolerance,
                                  double amps_tolerance);

}  // namespace voltsill::batch
