#pragma once
/// How long an edge takes on its way: of each net by its own resistance and charge, and what has to move first
/// (a gate, a base, the LED of an optocoupler) before an output can.
///
///     10..90 % of an RC edge = 2.197 R C
///     while the drain of a FET moves by dV its gate stands still, and what drives the gate carries the charge
///     Cgd dV through R at the volts between it and that level:  R Cgd dV / |V - Vth|
///
/// Each is an upper bound of what it stands for: an output turns within the edge of its gate. Together they
/// say when a link is worth running over time.
#include "judging/inspection.h"

namespace voltsill {

struct LineCharge {
    double farads = 0;
    std::string parts;  ///< "15 pF wires, 10 pF controller.SDA": what it is the sum of
    void add(double more, const std::string& of);
};
/// Pins on the net and its wire: each island node is one net here (a FET that is off parts nets).
LineCharge charge_at(const Inspection& inspection, const Island& island, Node local);

/// Within the swing, at half and at 70 % of the way: an output that has to move a line drives with its
/// strength, not with the resistance it shows near its rail, nor with that of a diode that conducts at
/// the end; a two-way FET has left the line to its pull-up by then. `open_ohms`: nothing moves it.
double edge_resistance(Inspection& inspection, const Island& island, const Hop& hop, Node node,
                       std::span<const double> values);

/// A part between an output and a pin whose control has to move before what it switches does.
struct WayStep {
    int part = -1, pin = -1;  ///< the pin that it switches
    double edge = 0;          ///< s, until its control has moved
    double wait = 0;          ///< s, until it lets go after that
    std::string arithmetic;
};
/// Those that the signal meets on the net's island before this pin.
std::vector<WayStep> steps_before(Inspection& inspection, const Scene& scene, const Trace& trace, const Hop& hop);

/// What a trace adds for parts it does not show, s: all that touch the islands of the signal.
double hidden_on_way(const Inspection& inspection, const Scene& scene, const Trace& trace);

}  // namespace voltsill
