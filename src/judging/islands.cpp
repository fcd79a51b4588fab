/// Cuts a circuit into its islands.
#include <algorithm>
#include <functional>

#include "judging/island.h"
#include "wiring/assumed.h"

namespace voltsill {
namespace {

/// Local numbers of the nodes and parameters met so far; one scratch for all islands of a circuit.
struct Numbering {
    std::vector<int> local, met;
    explicit Numbering(size_t size) : local(size, -1) {}
    void note(int global, int here) {
        local[global] = here;
        met.push_back(global);
    }
    void forget() {
        for (int global : met) local[global] = -1;
        met.clear();
    }
};

/// Copies a block of the circuit's netlist, renumbering nodes and parameters as they are met.
struct Extraction {
    const Circuit& circuit;
    Numbering &nodes, &params;
    Island& island;

    Node node(Node n) {
        if (n == ground_node) return ground_node;
        if (nodes.local[n] < 0) {
            island.node_of.push_back(n);
            nodes.note(n, island.net.add_node(circuit.netlist.node_names[n]));
        }
        return nodes.local[n];
    }
    ParamId param(ParamId p) {
        if (p == no_param) return no_param;
        if (params.local[p] < 0) {
            const Parameter& q = circuit.netlist.parameters[p];
            params.note(p, island.net.add_parameter(q.name, q.lo, q.nominal, q.hi, q.origin));
        }
        return params.local[p];
    }
    int table(int t) { return t < 0 ? -1 : island.net.add_table(circuit.netlist.tables[t]); }

    void device(DeviceId d) {
        Device copy = circuit.netlist.devices[d];
        for (Node& n : copy.nodes) n = node(n);
        for (ParamId& p : copy.params) p = param(p);
        copy.table = table(copy.table);
        island.net.add(std::move(copy));
        island.device_of.push_back(d);
    }
    void stage(StageId s) {
        Stage copy = circuit.netlist.stages[s];
        for (Node* n : {&copy.pin, &copy.supply, &copy.ground}) *n = node(*n);
        copy.up_table = table(copy.up_table);
        copy.down_table = table(copy.down_table);
        copy.up_strength = param(copy.up_strength);
        copy.down_strength = param(copy.down_strength);
        island.net.add_stage(std::move(copy));
        island.stage_of.push_back(s);
    }
    bool has(Node n) const { return nodes.local[n] >= 0; }
};

/// Block `b`, its pins and the rails they are measured against; `stand_in` adds what a rail without
/// a source is here.
Island cut_out(const Circuit& circuit, const Partition::Block& block, std::vector<int> pins,
               const std::vector<bool>& source_on, Numbering& nodes, Numbering& params,
               const std::function<void(Island&, int rail, Node)>& stand_in) {
    Island island;
    island.pins = std::move(pins);
    island.node_of = {ground_node};
    Extraction copy{circuit, nodes, params, island};
    for (Node n : block.nodes) copy.node(n);
    for (DeviceId d : block.devices) {
        const Device& device = circuit.netlist.devices[d];
        if (device.kind != DeviceKind::source || source_on[device.index]) copy.device(d);
    }
    for (StageId s : block.stages) copy.stage(s);
    for (int s : island.pins)
        for (Node n : {circuit.pins[s].supply, circuit.pins[s].ground})
            if (n >= 0) copy.node(n);
    for (size_t r = 0; r < circuit.rails.size(); ++r) {
        const RailSite& rail = circuit.rails[r];
        if (!copy.has(rail.node)) continue;
        if (source_on[circuit.netlist.devices[rail.source].index])
            copy.device(rail.source);
        else if (stand_in)
            stand_in(island, static_cast<int>(r), copy.node(rail.node));
    }
    for (size_t n = 1; n < island.node_of.size(); ++n)
        island.local_of_node.emplace_back(island.node_of[n], static_cast<Node>(n));
    std::ranges::sort(island.local_of_node);
    island.nominal = island.net.nominal_values();
    for (size_t p = 0; p < island.net.parameters.size(); ++p)
        if (island.net.parameters[p].lo < island.net.parameters[p].hi)
            island.varying.push_back(static_cast<ParamId>(p));
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
    Numbering nodes(circuit.netlist.node_names.size()), params(circuit.netlist.parameters.size());
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
    Numbering nodes(circuit.netlist.node_names.size()), params(circuit.netlist.parameters.size());
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
