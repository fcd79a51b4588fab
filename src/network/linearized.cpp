#include "network/linearized.h"

#include <limits>
#include <optional>

#include "network/newton.h"

namespace voltsill {

/// A current between two nodes that grows by `slope` with a parameter, or with the volts of a held node.
template <class Cause>
struct Follows {
    Cause cause;
    Node from, to;
    double slope;
};

namespace {

/// Sink of the stamps: what held nodes do to the block.
struct HeldSlopes {
    const Partition& partition;
    std::vector<Follows<Node>>& out;
    void flow(Node, Node, double) {}
    void slope(Node from, Node to, Node plus, Node minus, double siemens) {
        if (partition.held(plus)) out.push_back({plus, from, to, siemens});
        if (partition.held(minus)) out.push_back({minus, from, to, -siemens});
    }
    void branch(int, Node, Node, double) {}
};

/// dF/dp of each parameter of a device, everything else kept.
void add_device(const Netlist& netlist, const Device& d, std::span<const double> values, const State& state,
                std::span<const double> volts, std::vector<Follows<ParamId>>& out) {
    const DeviceShape& shape = shape_of(d.kind);
    const double sign = d.reversed_polarity && shape.terminals != 2 ? -1.0 : 1.0;
    Dual<1> u[3];
    for (int k = 0; k < shape.controls; ++k)
        u[k] = Dual<1>(sign * (volts[d.nodes[shape.control[k][0]]] - volts[d.nodes[shape.control[k][1]]]));
    if (shape.terminals == 2) u[0] = Dual<1>(volts[d.nodes[0]] - volts[d.nodes[1]]);
    for (int which = 0; which < 4; ++which) {
        if (d.params[which] == no_param) continue;
        std::array<Dual<1>, 4> p;
        for (int k = 0; k < 4; ++k) p[k] = Dual<1>(d.params[k] == no_param ? 1.0 : values[d.params[k]]);
        p[which].d[0] = 1.0;
        const auto c = coefficients(d, p, switch_closed(state, d), Continuation{}.gain_limit);
        Dual<1> flow[3];
        if (shape.terminals == 2)
            flow[0] = two_terminal_current(netlist, d, c, u[0]);
        else
            many_terminal_flows(d, c, u, flow);
        for (int j = 0; j < shape.flows; ++j)
            out.push_back({d.params[which], d.nodes[shape.flow[j][0]], d.nodes[shape.flow[j][1]], sign * flow[j].d[0]});
    }
}

void add_stage(const Netlist& netlist, const Stage& stage, Logic level, std::span<const double> values,
               std::span<const double> volts, std::vector<Follows<ParamId>>& out) {
    const StageArm arm = conducting_arm(stage, level);
    if (arm.table < 0 || arm.strength == no_param) return;
    const double unit = arm_current(netlist, arm, slopes_of_shares(arm, values), volts[arm.from] - volts[arm.to]);
    out.push_back({arm.strength, arm.from, arm.to, unit});
}

/// dF/dp of a block at these volts.
std::vector<Follows<ParamId>> parameter_flows(const Netlist& netlist, const Partition::Block& block,
                                              std::span<const double> values, const State& state,
                                              std::span<const double> volts) {
    std::vector<Follows<ParamId>> out;
    for (DeviceId id : block.devices)
        if (const Device& d = netlist.devices[id]; !ideal_source(d)) add_device(netlist, d, values, state, volts, out);
    for (StageId id : block.stages)
        add_stage(netlist, netlist.stages[id], level_of(state, id), values, volts, out);
    return out;
}

}  // namespace

struct Linearized::Block {
    std::span<const Node> nodes;
    /// Factors of the small block take no more room than it has; those of a large one stay where they were made.
    std::optional<Eigen::PartialPivLU<Eigen::MatrixXd>> dense;
    std::unique_ptr<Balance<SparseSystem>> sparse;
    std::vector<Follows<ParamId>> of_parameters;
    std::vector<Follows<Node>> of_held;
    std::vector<ParamId> branch_volts;  ///< of the ideal sources inside, whose rows come after the nodes

    Eigen::VectorXd solve(const Eigen::VectorXd& b) const {
        return dense ? dense->solve(b) : sparse->system().solve(b);
    }
    Eigen::VectorXd solve_transposed(const Eigen::VectorXd& b) const {
        return dense ? dense->transpose().solve(b) : sparse->system().solve_transposed(b);
    }
    explicit Block(std::span<const Node> of) : nodes(of) {}
    /// What is given by node, as a right side.
    Eigen::VectorXd rows(std::span<const double> by_node) const {
        Eigen::VectorXd out = Eigen::VectorXd::Zero(std::ssize(nodes) + std::ssize(branch_volts));
        for (std::size_t k = 0; k < nodes.size(); ++k) out[static_cast<Eigen::Index>(k)] = by_node[nodes[k]];
        return out;
    }
    /// Volts where these amperes flow in, to first order.
    std::vector<double> pushed(std::vector<double> volts, std::span<const double> inflow) const {
        const Eigen::VectorXd step = solve(rows(inflow));
        for (std::size_t k = 0; k < nodes.size(); ++k) volts[nodes[k]] += step[static_cast<Eigen::Index>(k)];
        return volts;
    }
};

Linearized::Linearized(const Netlist& netlist, const Partition& partition, std::span<const double> values,
                       const State& state, std::span<const double> volts)
    : netlist_(netlist),
      partition_(partition),
      values_(values.begin(), values.end()),
      volts_(volts.begin(), volts.end()),
      state_(state),
      blocks_(partition.blocks().size()) {}
Linearized::~Linearized() = default;
Linearized::Linearized(Linearized&&) noexcept = default;

const Linearized::Block* Linearized::block(int b) const {
    if (blocks_[b]) return blocks_[b].get();
    if (!block_refusal(netlist_, partition_, b, values_, volts_).empty()) return nullptr;
    const Partition::Block& of = partition_.blocks()[b];
    auto made = std::make_unique<Block>(of.nodes);
    const auto c = block_coefficients(netlist_, of, values_, state_);
    if (fits_dense(of)) {
        Balance<DenseSystem> balance(partition_, b);
        balance.assemble(netlist_, values_, state_, c, volts_, DcOptions{}.gmin);
        made->dense.emplace(balance.system().matrix());
    } else {
        made->sparse = std::make_unique<Balance<SparseSystem>>(partition_, b);
        made->sparse->assemble(netlist_, values_, state_, c, volts_, DcOptions{}.gmin);
        if (!made->sparse->system().factorize()) return nullptr;
    }
    HeldSlopes sink{partition_, made->of_held};
    stamp_block(netlist_, of, values_, state_, c, volts_, sink);
    for (DeviceId id : of.devices)
        if (const Device& d = netlist_.devices[id]; ideal_source(d)) made->branch_volts.push_back(d.params[0]);
    made->of_parameters = parameter_flows(netlist_, of, values_, state_, volts_);
    blocks_[b] = std::move(made);
    return blocks_[b].get();
}

/// nullptr: none of its nodes weighs, or it cannot be solved.
const Linearized::Block* Linearized::weighed(int b, std::span<const double> weights) const {
    const std::vector<Node>& nodes = partition_.blocks()[b].nodes;
    return std::ranges::any_of(nodes, [&](Node n) { return weights[n] != 0.0; }) ? block(b) : nullptr;
}

std::vector<double> Linearized::transfer(std::span<const double> weights) const {
    std::vector<double> out(netlist_.node_names.size(), 0.0);
    for (int b = 0; b < static_cast<int>(partition_.blocks().size()); ++b) {
        const Block* of = weighed(b, weights);
        if (!of) continue;
        const Eigen::VectorXd lambda = of->solve_transposed(of->rows(weights));
        for (std::size_t k = 0; k < of->nodes.size(); ++k) out[of->nodes[k]] = lambda[static_cast<Eigen::Index>(k)];
    }
    return out;
}

std::vector<double> Linearized::slopes(std::span<const double> weights, std::span<const double> inflow) const {
    std::vector<double> gradient(netlist_.parameters.size(), 0.0);
    std::vector<double> held(weights.begin(), weights.end()), lambda(netlist_.node_names.size(), 0.0);
    for (int b = 0; b < static_cast<int>(partition_.blocks().size()); ++b) {
        const Block* of = weighed(b, weights);
        if (!of) continue;
        const Eigen::VectorXd adjoint = of->solve_transposed(of->rows(weights));
        const auto size = std::ssize(of->nodes);
        for (Eigen::Index k = 0; k < size; ++k) lambda[of->nodes[static_cast<std::size_t>(k)]] = adjoint[k];
        for (std::size_t k = 0; k < of->branch_volts.size(); ++k)  // row: v(plus) - v(minus) - E = 0
            gradient[of->branch_volts[k]] += adjoint[size + static_cast<Eigen::Index>(k)];
        for (const auto& [node, from, to, slope] : of->of_held) held[node] -= (lambda[from] - lambda[to]) * slope;
        const auto add = [&](const std::vector<Follows<ParamId>>& flows) {
            for (const auto& [param, from, to, slope] : flows) gradient[param] -= (lambda[from] - lambda[to]) * slope;
        };
        if (inflow.empty())
            add(of->of_parameters);
        else
            add(parameter_flows(netlist_, partition_.blocks()[b], values_, state_, of->pushed(volts_, inflow)));
    }
    for (auto tie = partition_.ties().rbegin(); tie != partition_.ties().rend(); ++tie) {
        gradient[netlist_.devices[tie->source].params[0]] += tie->plus ? held[tie->node] : -held[tie->node];
        held[tie->from] += held[tie->node];
    }
    return gradient;
}

std::vector<double> Linearized::moved_to(std::span<const double> values) const {
    std::vector<double> out = volts_;
    partition_.fill_held(netlist_, values, out);
    for (int b = 0; b < static_cast<int>(partition_.blocks().size()); ++b) {
        const Block* of = block(b);
        if (!of) continue;
        const std::vector<Node>& nodes = partition_.blocks()[b].nodes;
        const auto size = static_cast<Eigen::Index>(nodes.size());
        Eigen::VectorXd more = Eigen::VectorXd::Zero(size + std::ssize(of->branch_volts));
        const auto flows = [&](Node from, Node to, double amps) {
            if (const int row = partition_.local_of(from); row >= 0) more[row] += amps;
            if (const int row = partition_.local_of(to); row >= 0) more[row] -= amps;
        };
        for (const auto& [node, from, to, slope] : of->of_held) flows(from, to, slope * (out[node] - volts_[node]));
        for (const auto& [param, from, to, slope] : of->of_parameters)
            flows(from, to, slope * (values[param] - values_[param]));
        for (std::size_t k = 0; k < of->branch_volts.size(); ++k)
            more[size + static_cast<Eigen::Index>(k)] = values_[of->branch_volts[k]] - values[of->branch_volts[k]];
        const Eigen::VectorXd step = of->solve(more);
        for (Eigen::Index k = 0; k < size; ++k) out[nodes[k]] -= step[k];
    }
    return out;
}

double Linearized::ohms(Node node) const {
    constexpr double no_answer = std::numeric_limits<double>::quiet_NaN();
    if (!partition_.trouble().empty()) return no_answer;
    if (partition_.held(node)) return 0.0;
    const int b = partition_.block_of(node);
    const Block* of = block(b);
    if (!of) return no_answer;
    const auto row = static_cast<Eigen::Index>(partition_.local_of(node));
    const auto size = std::ssize(partition_.blocks()[b].nodes) + std::ssize(of->branch_volts);
    return of->solve(Eigen::VectorXd::Unit(size, row))[row];
}

}  // namespace voltsill
