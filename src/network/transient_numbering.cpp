#include <fmt/format.h>

#include <algorithm>

#include "network/block_equations.h"
#include "network/transient_plan.h"

namespace voltsill::batch {

std::string dynamics_refusal(const Netlist& net, const Dynamics& dynamics, const Partition& partition) {
    if (!partition.trouble().empty()) return partition.trouble();
    for (const Partition::Block& block : partition.blocks())
        if (block.branches > 0)
            return fmt::format("an ideal source lies between nodes that nothing holds, at {}",
                               net.node_names[block.nodes.front()]);
    const auto node = [&](Node n) { return n >= 0 && n < static_cast<Node>(net.node_names.size()); };
    const auto param = [&](ParamId p) { return p >= 0 && p < static_cast<ParamId>(net.parameters.size()); };
    for (const Capacitor& c : dynamics.capacitors)
        if (!node(c.a) || !node(c.b) || !param(c.farads)) return c.name + ": no such node or parameter";
    for (const Inductor& l : dynamics.inductors)
        if (l.resistor < 0 || l.resistor >= static_cast<DeviceId>(net.devices.size()) ||
            net.devices[l.resistor].kind != DeviceKind::resistor || !param(l.henries))
            return "an inductance without its resistor";
    for (const StrengthCurve& c : dynamics.curves)
        if (c.up.size() < 2 || c.up.size() != c.down.size()) return "a switching curve needs two points";
    for (const Switching& s : dynamics.stages)
        for (int curve : {s.rise_curve, s.fall_curve})
            if (curve >= static_cast<int>(dynamics.curves.size())) return "no such switching curve";
    for (const Accelerator& a : dynamics.accelerators)
        if (!node(a.pin) || !node(a.ground) || !param(a.lasts) || a.stage < 0 ||
            a.stage >= static_cast<StageId>(net.stages.size()))
            return a.name + ": no such node, stage or parameter";
    return {};
}

bool inductive(const Dynamics& dynamics, DeviceId id) {
    return std::ranges::find(dynamics.inductors, id, &Inductor::resistor) != dynamics.inductors.end();
}

Numbering number_unknowns(const Netlist& net, const Dynamics& dynamics, const Partition& partition,
                          const State& start) {
    Numbering out;
    const int nodes = static_cast<int>(net.node_names.size());
    std::vector<int> number(nodes, -1);
    std::vector<Node> node_of;
    for (Node n = 0; n < nodes; ++n) {
        if (partition.held(n)) continue;
        number[n] = static_cast<int>(node_of.size());
        node_of.push_back(n);
    }
    const int free_nodes = static_cast<int>(node_of.size());
    const int unknowns = free_nodes + static_cast<int>(dynamics.inductors.size());
    const auto tie = [&](std::initializer_list<Node> ends, int branch = -1) {
        std::vector<int> group;
        for (Node n : ends)
            if (number[n] >= 0) group.push_back(number[n]);
        if (branch >= 0) group.push_back(branch);
        out.groups.push_back(std::move(group));
    };
    for (DeviceId id = 0; id < static_cast<DeviceId>(net.devices.size()); ++id) {
        const Device& d = net.devices[id];
        if (!source_on(start, d) || ideal_source(d) || inductive(dynamics, id)) continue;
        std::vector<int> group;
        for (int k = 0; k < shape_of(d.kind).terminals; ++k)
            if (number[d.nodes[k]] >= 0) group.push_back(number[d.nodes[k]]);
        out.groups.push_back(std::move(group));
    }
    for (const Stage& s : net.stages) {
        tie({s.supply, s.pin});
        tie({s.pin, s.ground});
    }
    for (const Capacitor& c : dynamics.capacitors) tie({c.a, c.b});
    for (std::size_t k = 0; k < dynamics.inductors.size(); ++k) {
        const Device& d = net.devices[dynamics.inductors[k].resistor];
        tie({d.nodes[0]}, free_nodes + static_cast<int>(k));
        tie({d.nodes[1]}, free_nodes + static_cast<int>(k));
    }
    const std::vector<int> order = elimination_order(unknowns, out.groups);
    std::vector<int> place(unknowns);
    out.unknowns = unknowns;
    out.slot_of.assign(nodes, -1);
    out.branch_slot.resize(dynamics.inductors.size());
    for (int slot = 0; slot < unknowns; ++slot) {
        const int k = order[slot];
        place[k] = slot;
        if (k < free_nodes) {
            out.node_of.push_back(node_of[k]);
            out.slot_of[node_of[k]] = slot;
        } else {
            out.node_of.push_back(-1);
            out.branch_slot[k - free_nodes] = slot;
        }
    }
    for (Node n = 0; n < nodes; ++n)
        if (partition.held(n)) {
            out.slot_of[n] = static_cast<int>(out.node_of.size());
            out.node_of.push_back(n);
        }
    for (auto& group : out.groups)
        for (int& k : group) k = place[k];
    return out;
}

}  // namespace voltsill::batch
