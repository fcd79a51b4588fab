/// Cuts a circuit into its islands.
#include <algorithm>
#include <functional>

#include "judging/island.h"
#include "network/excerpt.h"
#include "wiring/assumed.h"

namespace voltsill {
namespace {

/// Block `b`, its pins and the rails they are measured against; `stand_in` adds what a rail without
/// a source is here.
Island cut_out(const Circuit& circuit, const Partition::Block& block, std::vector<int> pins,
               const std::vector<bool>& source_on, Renumbering& nodes, Renumbering& params,
               const std::function<void(Island&, int rail, Node)>& stand_in) {
    Island island;
    island.pins = std::move(pins);
    Excerpt copy(circuit.netlist, island.net, nodes, params);
    const auto take_device = [&](DeviceId d) {
        copy.device(d);
        island.device_of.push_back(d);
    };
    for (Node n : block.nodes) copy.node(n);
    for (DeviceId d : block.devices) {
        const Device& device = circuit.netlist.devices[d];
        if (device.kind != DeviceKind::source || source_on[device.index]) take_device(d);
    }
    for (StageId s : block.stages) {
        copy.stage(s);
        island.stage_of.push_back(s);
    }
    for (int s : island.pins)
        for (Node n : {circuit.pins[s].supply, circuit.pins[s].ground})
            if (n >= 0) copy.node(n);
    for (size_t r = 0; r < circuit.rails.size(); ++r) {
        const RailSite& rail = circuit.rails[r];
        if (!copy.has(rail.node)) continue;
        if (source_on[circuit.netlist.devices[rail.source].index])
            take_device(rail.source);
        else if (stand_in)
            stand_in(island, static_cast<int>(r), copy.node(rail.node));
    }
    island.node_of = {ground_node};
    island.node_of.insert(island.node_of.end(), nodes.met.begin(), nodes.met.end());
    for (size_t n = 1; n < island.node_of.size(); ++n)
        island.local_of_node.emplace_back(island.node_of[n], static_cast<Node>(n));
    std::ranges::sort(island.local_of_node);
    island.nominal = island.net.nominal_values();
    island.varying = varying_parameters(island.net);
    island.partition = Partition(island.net, {});
    nodes.forget();
    params.forget();
    return island;
}

std::vector<std::vector<int>> pins_by_block(const Circuit& circuit, const Partition& partition) {
    std::vector<std::vector<int>> pins(partition.blocks().size());
    for (size_t s = 0; s < circuit.pins.size(); ++s)
        if (const Node n = circuit.pins[s].node; n > 0 && partition.block_of(n) >= 0)
            pins[partition.block_of(n)].push_back(static_cast<int>(s));
    return pins;
}

}  // namespace

std::vector<Island> islands_of(const Circuit& circuit, const Partition& partition,
                               const std::vector<bool>& source_on) {
    Renumbering nodes(circuit.netlist.node_names.size()), params(circuit.netlist.parameters.size());
    std::vector<std::vector<int>> pins = pins_by_block(circuit, partition);
    std::vector<Island> islands;
    for (size_t b = 0; b < partition.blocks().size(); ++b)
        islands.push_back(
            cut_out(circuit, partition.blocks()[b], std::move(pins[b]), source_on, nodes, params, {}));
    return islands;
}

std::vector<Island> branches_of(const Circuit& circuit, const std::vector<bool>& source_on,
                                const std::function<bool(Node)>& wanted, double lifted_volts) {
    std::vector<bool> rails_on = source_on;
    for (const RailSite& rail : circuit.rails) rails_on[circuit.netlist.devices[rail.source].index] = true;
    const Partition partition(circuit.netlist, rails_on);
    Renumbering nodes(circuit.netlist.node_names.size()), params(circuit.netlist.parameters.size());
    const auto loaded = [&](Island& island, int rail, Node node) {
        const ParamId ohms = island.net.add_constant(assumed::dead_rail_load.si());
        island.net.resistor("rest of the bench", node, ground_node, ohms);
        island.device_of.push_back(-1);
        island.stand_ins.push_back({rail, ohms, false});
    };
    const auto lifted = [&](Island& island, int rail, Node node) {
        const ParamId volts = island.net.add_constant(lifted_volts);
        island.net.source("rest of the bench", node, ground_node, volts);
        island.device_of.push_back(-1);
        island.stand_ins.push_back({rail, volts, true});
    };
    const std::vector<std::vector<int>> pins = pins_by_block(circuit, partition);
    std::vector<Island> branches;
    for (size_t b = 0; b < partition.blocks().size(); ++b) {
        const Partition::Block& block = partition.blocks()[b];
        if (!wanted(block.nodes.front())) continue;
        branches.push_back(cut_out(circuit, block, pins[b], source_on, nodes, params, loaded));
        if (!branches.back().stand_ins.empty())
            branches.push_back(cut_out(circuit, block, pins[b], source_on, nodes, params, lifted));
    }
    return branches;
}

void Island::set_stand_in(const StandIn& stand_in, double value) {
    Parameter& p = net.parameters[stand_in.param];
    p.lo = p.nominal = p.hi = nominal[stand_in.param] = value;
}

}  // namespace voltsill
