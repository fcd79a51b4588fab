/// Linear solves at a solution: sensitivities by the adjoint network (S. W. Director, R. A. Rohrer,
/// IEEE Trans. Circuit Theory CT-16, 1969, pp. 318-323, from memory) and source resistances.
///
/// With F(v, p) = 0 and S = w^T v:  J^T lambda = w,  dS/dp = -lambda^T dF/dp. Held nodes move with
/// their sources: their own weight, less lambda^T dF/dv_held, goes down the chain of ties.
#include <limits>

#include "network/newton.h"

namespace voltsill {
namespace {

/// Sink of the stamps: lambda^T dF/dv for held nodes.
struct HeldWeights {
    const Partition& partition;
    std::span<const double> lambda;  // by node, 0 at held nodes
    std::span<double> weights;       // by node
    void flow(Node, Node, double) {}
    void slope(Node from, Node to, Node plus, Node minus, double siemens) {
        const double pull = (lambda[from] - lambda[to]) * siemens;
        if (partition.held(plus)) weights[plus] -= pull;
        if (partition.held(minus)) weights[minus] += pull;
    }
    void branch(int, Node, Node, double) {}
};

/// lambda^T dF/dp of one parameter of one device, everything else kept.
double device_slope(const Netlist& netlist, const Device& d, std::span<const double> values,
                    const State& state, std::span<const double> volts, std::span<const double> lambda,
                    int which) {
    std::array<Dual<1>, 4> p;
    for (int k = 0; k < 4; ++k) p[k] = Dual<1>(d.params[k] == no_param ? 1.0 : values[d.params[k]]);
    p[which].d[0] = 1.0;
    const auto c = coefficients(d, p, switch_closed(state, d), Continuation{}.gain_limit);
    const DeviceShape& shape = shape_of(d.kind);
    const double sign = d.reversed_polarity ? -1.0 : 1.0;
    Dual<1> u[3], flow[3];
    for (int k = 0; k < shape.controls; ++k)
        u[k] = Dual<1>(sign * (volts[d.nodes[shape.control[k][0]]] - volts[d.nodes[shape.control[k][1]]]));
    if (shape.terminals == 2) {
        u[0] = Dual<1>(volts[d.nodes[0]] - volts[d.nodes[1]]);
        flow[0] = two_terminal_current(netlist, d, c, u[0]);
    } else {
        many_terminal_flows(d, c, u, flow);
    }
    double sum = 0.0;
    for (int j = 0; j < shape.flows; ++j)
        sum += (lambda[d.nodes[shape.flow[j][0]]] - lambda[d.nodes[shape.flow[j][1]]]) * flow[j].d[0] *
               (shape.terminals == 2 ? 1.0 : sign);
    return sum;
}

}  // namespace

std::vector<double> sensitivities(const Netlist& netlist, const Partition& partition,
                                  std::span<const double> values, const State& state,
                                  std::span<const double> volts, std::span<const double> weights) {
    std::vector<double> gradient(netlist.parameters.size(), 0.0);
    std::vector<double> held(weights.begin(), weights.end());
    std::vector<double> lambda(netlist.node_names.size(), 0.0);
    for (int b = 0; b < static_cast<int>(partition.blocks().size()); ++b) {
        const Partition::Block& block = partition.blocks()[b];
        const bool weighed =
            std::any_of(block.nodes.begin(), block.nodes.end(), [&](Node n) { return weights[n] != 0.0; });
        if (!weighed || !block_refusal(netlist, partition, b, values, volts).empty()) continue;
        const auto c = block_coefficients(netlist, block, values, state);
        with_balance(partition, b, [&](auto& balance) {
            balance.assemble(netlist, values, state, c, volts, DcOptions{}.gmin);
            if (!balance.system().factorize()) return;
            auto right = balance.residual();
            right.setZero();
            for (int k = 0; k < balance.nodes(); ++k) right[k] = weights[block.nodes[k]];
            const auto adjoint = balance.system().solve_transposed(right);
            for (int k = 0; k < balance.nodes(); ++k) lambda[block.nodes[k]] = adjoint[k];
            int branch = balance.nodes();
            for (DeviceId id : block.devices)
                if (const Device& d = netlist.devices[id]; ideal_source(d))
                    gradient[d.params[0]] += adjoint[branch++];  // row: v(plus) - v(minus) - E = 0
        });
        HeldWeights sink{partition, lambda, held};
        stamp_block(netlist, block, values, state, c, volts, sink);
        for (DeviceId id : block.devices) {
            const Device& d = netlist.devices[id];
            for (int k = 0; k < 4 && !ideal_source(d); ++k)
                if (d.params[k] != no_param)
                    gradient[d.params[k]] -= device_slope(netlist, d, values, state, volts, lambda, k);
        }
        for (StageId id : block.stages) {
            const StageArm arm = conducting_arm(netlist.stages[id], level_of(state, id));
            if (arm.table < 0 || arm.strength == no_param) continue;
            const double unit =
                table_current(netlist.tables[arm.table], 1.0, volts[arm.from] - volts[arm.to], 1.0);
            gradient[arm.strength] -= (lambda[arm.from] - lambda[arm.to]) * unit;
        }
    }
    for (auto tie = partition.ties().rbegin(); tie != partition.ties().rend(); ++tie) {
        gradient[netlist.devices[tie->source].params[0]] += tie->plus ? held[tie->node] : -held[tie->node];
        held[tie->from] += held[tie->node];
    }
    return gradient;
}

namespace {

/// Resistances of the nodes `of` of one block, from the diagonal of the inverse of its Jacobian.
void block_resistances(const Netlist& netlist, const Partition& partition, int block,
                       std::span<const double> values, const State& state, std::span<const double> volts,
                       const DcOptions& options, std::span<const Node> of, std::span<double> ohms) {
    if (!block_refusal(netlist, partition, block, values, volts).empty()) return;
    const auto c = block_coefficients(netlist, partition.blocks()[block], values, state);
    with_balance(partition, block, [&](auto& balance) {
        balance.assemble(netlist, values, state, c, volts, options.gmin);
        if (!balance.system().factorize()) return;
        auto unit = balance.residual();
        for (const Node node : of) {
            unit.setZero();
            unit[partition.local_of(node)] = 1.0;
            ohms[node] = balance.system().solve(unit)[partition.local_of(node)];
        }
    });
}

std::vector<double> no_answers(const Netlist& netlist) {
    return std::vector<double>(netlist.node_names.size(), std::numeric_limits<double>::quiet_NaN());
}

}  // namespace

double thevenin_resistance(const Netlist& netlist, const Partition& partition, std::span<const double> values,
                           const State& state, std::span<const double> volts, Node node,
                           const DcOptions& options) {
    std::vector<double> ohms = no_answers(netlist);
    if (!partition.trouble().empty()) return ohms[node];
    if (partition.held(node)) return 0.0;
    block_resistances(netlist, partition, partition.block_of(node), values, state, volts, options, {&node, 1}, ohms);
    return ohms[node];
}

std::vector<double> thevenin_resistances(const Netlist& netlist, const Partition& partition,
                                         std::span<const double> values, const State& state,
                                         std::span<const double> volts, const DcOptions& options) {
    std::vector<double> ohms = no_answers(netlist);
    if (!partition.trouble().empty()) return ohms;
    for (Node node = 0; node < static_cast<Node>(ohms.size()); ++node)
        if (partition.held(node)) ohms[node] = 0.0;
    for (std::size_t b = 0; b < partition.blocks().size(); ++b)
        block_resistances(netlist, partition, static_cast<int>(b), values, state, volts, options,
                          partition.blocks()[b].nodes, ohms);
    return ohms;
}

bool floating(const Netlist& netlist, const Partition& partition, std::span<const double> values,
              const State& state, std::span<const double> volts, Node node, const DcOptions& options) {
    return thevenin_resistance(netlist, partition, values, state, volts, node, options) >= 0.1 / options.gmin;
}

}  // namespace voltsill
