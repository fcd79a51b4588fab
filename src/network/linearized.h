#pragma once
/// The network with every device linear at a solution: what a voltage follows, and what a node is fed through.
///
/// With F(v, p) = 0, J = dF/dv and S = w^T v:
///
///     J^T lambda = w,   dS/dp = -lambda^T dF/dp,   R(node) = (J^-1)_node,node
///
/// the adjoint network (S. W. Director, R. A. Rohrer, IEEE Trans. Circuit Theory CT-16, 1969, pp. 318-323, from
/// memory). Held nodes move with their sources: their own weight, less lambda^T dF/dv_held, goes down the chain
/// of ties.
#include <memory>
#include <span>
#include <vector>

#include "network/dc.h"

namespace voltsill {

class Linearized {
  public:
    /// `volts`: of a solution at these values, by node. Netlist and partition must outlive it.
    Linearized(const Netlist& netlist, const Partition& partition, std::span<const double> values,
               const State& state, std::span<const double> volts);
    ~Linearized();
    Linearized(Linearized&&) noexcept;

    /// d(sum of weights[n] * v(n)) / d(parameter), by parameter; weights by node, of any blocks.
    /// `inflow`: A by node from outside; the slopes are those where they have moved the volts, to first order.
    std::vector<double> slopes(std::span<const double> weights, std::span<const double> inflow = {}) const;
    /// Volts of that sum per ampere into each node, by node; 0 at held nodes.
    std::vector<double> transfer(std::span<const double> weights) const;
    /// Volts by node where parameters have moved to `values`, to first order: v - J^-1 (dF/dp dp + dF/dv_held dv_held).
    std::vector<double> moved_to(std::span<const double> values) const;
    /// Small-signal resistance of a node, ohms: volts per ampere injected there. 0 at a held node; about 1/gmin where
    /// nothing but gmin holds it; NaN where the netlist or its values cannot be solved.
    double ohms(Node node) const;

  private:
    struct Block;
    const Block* block(int b) const;  ///< nullptr: it cannot be solved
    const Block* weighed(int b, std::span<const double> weights) const;

    const Netlist& netlist_;
    const Partition& partition_;
    std::vector<double> values_, volts_;
    State state_;
    mutable std::vector<std::unique_ptr<Block>> blocks_;  ///< made when first asked for
};

}  // namespace voltsill
