#pragma once
/// A wiring in time: its circuit, and the charge, edges and delays of what is in it.
///
/// Capacitances of pins, wires, probes and capacitors; a jumper to a receiver as LC sections where
/// the edges are fast enough to see it; edges and delays of outputs; switch points of inputs; edge
/// accelerators of auto-direction parts. What no sheet says is assumed (assumed.h) and marked so.
#include "network/dynamics.h"
#include "wiring/circuit.h"

namespace voltsill {

/// What no device of the network shows: the turn-off of an optocoupler, of a saturated transistor. Where it
/// is a time it is added to what a level needs.
struct LeftOut {
    int part = -1;
    double seconds = 0;
    std::string sentence;
};

/// How long such a part goes on after it was told to turn off, s; 0: it does not.
double hidden_turn_off(const PartType& type);

struct TimedCircuit {
    Circuit circuit;  ///< as `lower` makes it, with what only time needs added to its netlist
    Dynamics dynamics;
    std::vector<LeftOut> left_out;
};

/// `wiring` must outlive the result. The stages added behind those of `circuit.stages` are
/// accelerators: off at rest.
TimedCircuit lower_timed(const Bench& bench, const Wiring& wiring);

}  // namespace voltsill
