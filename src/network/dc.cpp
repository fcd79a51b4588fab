#include "network/dc.h"

#include <algorithm>
#include <limits>

#include "network/block_equations.h"

namespace voltsill {
namespace {

/// Sink of the stamps: net current that leaves a set of nodes.
struct NodeSum {
    std::vector<bool> in;
    double amps = 0.0;
    void flow(Node from, Node to, double i) {
        if (in[from]) amps += i;
        if (in[to]) amps -= i;
    }
    void slope(Node, Node, Node, Node, double) {}
};

/// Net current out of a set of nodes through everything but ideal sources.
double leaving(const Netlist& netlist, std::span<const double> values, const State& state,
               std::span<const double> volts, std::vector<bool> in) {
    NodeSum sum{.in = std::move(in)};
    for (const Device& d : netlist.devices) {
        if (ideal_source(d) || !source_on(state, d)) continue;
        const int terminals = shape_of(d.kind).terminals;
        if (std::none_of(d.nodes.begin(), d.nodes.begin() + terminals, [&](Node n) { return sum.in[n]; }))
            continue;
        stamp_device(netlist, d, coefficients_at(d, values, state), volts, sum);
    }
    for (StageId s = 0; s < static_cast<StageId>(netlist.stages.size()); ++s)
        stamp_stage(netlist, netlist.stages[s], level_of(state, s), values, volts, sum);
    return sum.amps;
}

/// Ideal sources form trees: without this one, its tree falls in two, and the part that does
/// not hold ground must lose through the source what enters it elsewhere.
double ideal_source_current(const Netlist& netlist, std::span<const double> values, const State& state,
                            std::span<const double> volts, DeviceId device) {
    for (const int end : {0, 1}) {
        std::vector<bool> part(netlist.node_names.size());
        part[netlist.devices[device].nodes[end]] = true;
        for (bool grew = true; grew;) {
            grew = false;
            for (DeviceId id = 0; id < static_cast<DeviceId>(netlist.devices.size()); ++id) {
                const Device& d = netlist.devices[id];
                if (id == device || !ideal_source(d) || !source_on(state, d)) continue;
                if (part[d.nodes[0]] == part[d.nodes[1]]) continue;
                part[d.nodes[0]] = part[d.nodes[1]] = grew = true;
            }
        }
        if (part[ground_node]) continue;
        const double out = leaving(netlist, values, state, volts, std::move(part));
        return end == 0 ? -out : out;
    }
    return std::numeric_limits<double>::quiet_NaN();  // a ring of ideal sources: no answer
}

}  // namespace

std::string network_refusal(const Netlist& netlist, const Partition& partition,
                            std::span<const double> values) {
    if (!partition.trouble().empty()) return partition.trouble();
    if (values.size() < netlist.parameters.size()) return "not every parameter has a value";
    for (const Device& d : netlist.devices)
        if (auto why = value_refusal(netlist, d, values); !why.empty()) return why;
    for (const Stage& stage : netlist.stages)
        if (auto why = value_refusal(netlist, stage, values); !why.empty()) return why;
    return {};
}

DcSolution solve_dc(const Netlist& netlist, std::span<const double> values, const State& state,
                    const DcOptions& options) {
    const Partition partition(netlist, state.source_on);
    return solve_dc(netlist, partition, values, state, options);
}

DcSolution solve_dc(const Netlist& netlist, const Partition& partition, std::span<const double> values,
                    const State& state, const DcOptions& options) {
    DcSolution solution;
    solution.volts.assign(netlist.node_names.size(), 0.0);
    for (StageId s = 0; s < static_cast<StageId>(netlist.stages.size()); ++s)
        solution.levels.push_back(level_of(state, s));
    solution.trouble = network_refusal(netlist, partition, values);
    if (!solution.trouble.empty()) {
        solution.status = DcStatus::not_converged;
        return solution;
    }
    partition.fill_held(netlist, values, solution.volts);
    for (int b = 0; b < static_cast<int>(partition.blocks().size()); ++b) {
        std::string trouble;
        const DcStatus status = solve_block(netlist, partition, b, values, state, solution.volts, options,
                                            &trouble, &solution.iterations);
        if (status == DcStatus::converged) continue;
        solution.status = status;
        if (solution.trouble.empty()) solution.trouble = trouble;
    }
    return solution;
}

double device_current(const Netlist& netlist, std::span<const double> values, const State& state,
                      std::span<const double> volts, DeviceId device, int terminal) {
    const Device& d = netlist.devices[device];
    if (!source_on(state, d)) return 0.0;
    if (ideal_source(d)) return ideal_source_current(netlist, values, state, volts, device);
    NodeSum sum{.in = std::vector<bool>(netlist.node_names.size())};
    sum.in[d.nodes[terminal]] = true;
    const Coefficients<double> c = coefficients_at(d, values, state);
    if (two_terminal(d.kind))
        return two_terminal_current(netlist, d, c, volts[d.nodes[0]] - volts[d.nodes[1]]);
    stamp_device(netlist, d, c, volts, sum);
    return sum.amps;
}

double stage_current(const Netlist& netlist, std::span<const double> values, Logic level,
                     std::span<const double> volts, StageId stage) {
    const Stage& s = netlist.stages[stage];
    const StageArm arm = conducting_arm(s, level);
    if (arm.table < 0) return 0.0;
    const double amps = arm_current(netlist, arm, shares_of(arm, values), volts[arm.from] - volts[arm.to]);
    return arm.to == s.pin ? amps : -amps;
}

double held_current(const Netlist& netlist, const Partition& partition, std::span<const double> values,
                    const State& state, std::span<const double> volts, Node node) {
    if (!partition.trouble().empty() || !partition.held(node)) return 0.0;
    std::vector<bool> only(netlist.node_names.size());
    only[node] = true;
    return leaving(netlist, values, state, volts, std::move(only));
}

}  // namespace voltsill
