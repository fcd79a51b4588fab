#pragma once
/// The part of a timed circuit that a signal can move, as a network of its own.
///
/// Rails that are up hold their nodes; what hangs between them falls into blocks (dc.h). From the
/// driver's block the signal spreads through logic units and edge accelerators that read it; units
/// it meets bring the blocks of all their inputs, and those the units that drive them.
#include <span>
#include <vector>

#include "network/dc.h"
#include "wiring/timed.h"

namespace voltsill {

struct Scope {
    Netlist net;
    Dynamics dynamics;
    std::vector<Node> local_of_node;        ///< by node of the circuit; -1: not here
    std::vector<StageId> local_of_stage;    ///< by stage of the circuit; -1: not here
    std::vector<StageId> stage_of;          ///< by local stage
    std::vector<DeviceId> local_of_device;  ///< by device of the circuit; -1: not here
    std::vector<int> units_of;              ///< by local unit: unit of the circuit
    std::vector<ParamId> varying;           ///< parameters with lo < hi

    bool has(Node node) const { return node >= 0 && local_of_node[node] >= 0; }
};

/// `partition`: of the circuit's netlist with all rails up.
Scope scope_of(const TimedCircuit& timed, const Partition& partition, std::span<const Node> seeds);

}  // namespace voltsill
