#pragma once
/// Assembly of a block into a linear system, shared by Newton and the linear solves at a solution.
#include <algorithm>
#include <cmath>
#include <limits>
#include <span>
#include <vector>

#include "network/block_equations.h"
#include "network/linear_system.h"

namespace voltsill {

/// Sink of `stamp_block`: Jacobian and residual (sum of currents leaving each node, A), with the
/// largest current of each node and the rounding noise of its balance.
template <class System>
class Balance {
  public:
    using Vector = typename System::Vector;

    Balance(const Partition& partition, int block)
        : partition_(partition),
          block_(partition.blocks()[block]),
          nodes_(static_cast<int>(block_.nodes.size())),
          size_(nodes_ + block_.branches),
          system_(size_),
          residual_(size_),
          largest_(size_),
          noise_(size_),
          branch_amps_(Vector::Zero(size_)) {}

    int size() const { return size_; }
    int nodes() const { return nodes_; }
    System& system() { return system_; }
    const Vector& residual() const { return residual_; }
    /// Currents of the ideal sources inside the block, behind the nodes: unknowns beside the volts.
    Vector& branch_amps() { return branch_amps_; }

    void assemble(const Netlist& netlist, std::span<const double> values, const State& state,
                  std::span<const Coefficients<double>> coefficients, std::span<const double> volts,
                  double gmin) {
        volts_ = volts;
        system_.clear();
        residual_.setZero();
        largest_.setZero();
        noise_.setZero();
        stamp_block(netlist, block_, values, state, coefficients, volts, *this);
        for (int row = 0; row < nodes_; ++row) shunt(row, gmin);
    }

    void flow(Node from, Node to, double amps) {
        leave(partition_.local_of(from), amps);
        leave(partition_.local_of(to), -amps);
    }
    void slope(Node from, Node to, Node plus, Node minus, double siemens) {
        const int f = partition_.local_of(from), t = partition_.local_of(to);
        const int p = partition_.local_of(plus), m = partition_.local_of(minus);
        const double noise = std::abs(siemens) * (std::abs(volts_[plus]) + std::abs(volts_[minus]));
        if (f >= 0) entries(f, p, m, siemens, noise);
        if (t >= 0) entries(t, p, m, -siemens, noise);
    }
    void branch(int index, Node plus, Node minus, double volts) {
        const int row = nodes_ + index;
        const double amps = branch_amps_[row];
        const double sign[2] = {1.0, -1.0};
        const Node ends[2] = {plus, minus};
        for (int k = 0; k < 2; ++k) {
            const int node = partition_.local_of(ends[k]);
            if (node < 0) continue;
            leave(node, sign[k] * amps);
            system_.add(node, row, sign[k]);
            system_.add(row, node, sign[k]);
        }
        residual_[row] = volts_[plus] - volts_[minus] - volts;
        noise_[row] = std::abs(volts_[plus]) + std::abs(volts_[minus]);
    }

    /// Largest excess of any balance over its tolerance (<= 0: all balanced), and where.
    double excess(double amps_tolerance, int& worst) const {
        double most = -std::numeric_limits<double>::infinity();
        for (int row = 0; row < size_; ++row) {
            const double allowed = amps_tolerance + 1e-9 * largest_[row] + rounding * noise_[row];
            const double over = std::abs(residual_[row]) - allowed;
            if (!(over <= most)) most = over, worst = row;
        }
        return most;
    }
    /// Sum of squared residuals, counting nothing below rounding noise.
    double merit() const {
        double sum = 0.0;
        for (int row = 0; row < size_; ++row) {
            const double r = std::max(0.0, std::abs(residual_[row]) - rounding * noise_[row]);
            sum += std::isnan(residual_[row]) ? residual_[row] : r * r;
        }
        return sum;
    }

  private:
    static constexpr double rounding = 1e-15;

    void leave(int row, double amps) {
        if (row < 0) return;
        residual_[row] += amps;
        largest_[row] = std::max(largest_[row], std::abs(amps));
    }
    void entries(int row, int plus, int minus, double siemens, double noise) {
        noise_[row] += noise;
        if (plus >= 0) system_.add(row, plus, siemens);
        if (minus >= 0) system_.add(row, minus, -siemens);
    }
    /// gmin to ground. The Jacobian alone gets a little more in proportion to the stiffness of the
    /// node, or rounding would leave a floating pair joined by milliohms without any path.
    void shunt(int row, double gmin) {
        const double v = volts_[block_.nodes[row]];
        leave(row, gmin * v);
        const double stiffness = std::abs(v) > 1e-3 ? noise_[row] / std::abs(v) : 0.0;
        system_.add(row, row, gmin + 1e-16 * stiffness);
    }

    const Partition& partition_;
    const Partition::Block& block_;
    int nodes_, size_;
    System system_;
    Vector residual_, largest_, noise_, branch_amps_;
    std::span<const double> volts_;
};

std::vector<Coefficients<double>> block_coefficients(const Netlist& netlist, const Partition::Block& block,
                                                     std::span<const double> values, const State& state,
                                                     const Continuation& continuation = {});

/// "" if `solve_block` and its relatives can work with these values, else why not.
std::string block_refusal(const Netlist& netlist, const Partition& partition, int block,
                          std::span<const double> values, std::span<const double> volts);

inline bool fits_dense(const Partition::Block& block) {
    return block.nodes.size() + block.branches <= dense_limit;
}

/// Runs `visit(balance)` with the system kind that suits the size of the block.
template <class Visit>
auto with_balance(const Partition& partition, int block, Visit&& visit) {
    if (fits_dense(partition.blocks()[block])) {
        Balance<DenseSystem> balance(partition, block);
        return visit(balance);
    }
    Balance<SparseSystem> balance(partition, block);
    return visit(balance);
}

}  // namespace voltsill
