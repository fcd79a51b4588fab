#pragma once
/// Steps of putting a circuit in time, one file each; used by timed.cpp only.
#include "wiring/timed.h"

namespace voltsill {

/// What the steps share while a circuit gets its charge, edges and delays.
struct Timing {
    const Bench& bench;
    const Wiring& wiring;
    TimedCircuit out;

    Netlist& net() { return out.circuit.netlist; }
    const Pin& pin(const PinSite& site) const { return out.circuit.pin(site); }
    ParamId parameter(std::string name, const Span<double>& span, const Provenance& origin);
    void capacitor(const std::string& name, Node a, Node b, const Span<double>& farads,
                   const Provenance& origin);
    double volts_of(Node supply) const;                 ///< of the rail there, nominal, V; 0: none
    const PinSite* site_at(int part, Node node) const;  ///< nullptr: no pin of the part is there
};
Span<double> scaled(const Span<double>& span, double by);

void add_charge(Timing& timing);        ///< wires, pins, capacitors, gates of FETs
void add_edges(Timing& timing);         ///< of every output stage
void add_delays(Timing& timing);        ///< of every logic unit, and where its inputs switch
void add_accelerators(Timing& timing);  ///< of auto-direction parts
void add_jumpers(Timing& timing);       ///< to receivers, where edges are fast; probes

}  // namespace voltsill
