#pragma once
/// Steps of lowering, one file each; used by circuit.cpp only.
#include "wiring/circuit.h"

namespace voltsill {

/// What the steps share while a wiring becomes a circuit.
struct Lowering {
    const Bench& bench;
    const Wiring& wiring;
    Circuit circuit;

    /// Node of a pin; an open pin gets a node of its own on first use.
    Node node(int part, int pin);
    Node node(int part, std::string_view pin);
    Node supply_node(int part, int supply);
    Node ground_node_of(int part);
    Span<Volts> supply_volts(int part, int supply) const;  ///< of the rail it is on; 0 if on none
    const Rail* rail_feeding(NetId net) const;             ///< its own, or behind a small resistor
    std::string name(int part, int pin) const;             ///< "gauge.ECHO"
    ParamId figure(std::string name, Span<double> span, const Provenance& origin);
    int constant_table(std::vector<double> volts, std::vector<double> amps);
};

void lower_pin(Lowering& lowering, int part, int pin);  ///< clamps, pulls, loads, output stages
void lower_model(Lowering& lowering, int part);         ///< discrete parts
void lower_channels(Lowering& lowering, int part);      ///< logic units, pass-gates, keepers

}  // namespace voltsill
