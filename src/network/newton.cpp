#include "network/newton.h"

#include <fmt/format.h>

#include <array>

namespace voltsill {
namespace {

/// A Newton run on one block, with step halving against the largest of the last merits
/// (L. Grippo, F. Lampariello, S. Lucidi, SIAM J. Numer. Anal. 23, 1986, pp. 707-716, from memory).
template <class Bal>
class BlockSolver {
    using Vector = typename Bal::Vector;

  public:
    BlockSolver(const Netlist& netlist, const Partition& partition, int block, std::span<const double> values,
                const State& state, std::span<double> volts, const DcOptions& options, Bal& balance)
        : netlist_(netlist),
          block_(partition.blocks()[block]),
          values_(values),
          state_(state),
          volts_(volts),
          options_(options),
          balance_(balance),
          start_(balance.size()) {}

    bool solve() {
        set({});
        if (options_.from_given && !amplifies()) {
            balance_.branch_amps().setZero();
            if (run(options_.gmin)) return true;
        }
        begin();
        if (run(options_.gmin)) return true;
        return gain_stepping() || gmin_stepping() || source_stepping();
    }
    int steps() const { return steps_; }
    std::string trouble() const {
        const Node node = worst_ < balance_.nodes() ? block_.nodes[worst_] : block_.nodes.front();
        return fmt::format("node {}: no balance of currents found after {} Newton steps, {:.3g} A left",
                           netlist_.node_names[node], steps_, balance_.residual()[worst_]);
    }

  private:
    void begin() {
        for (Node n : block_.nodes) volts_[n] = 0.0;
        balance_.branch_amps().setZero();
    }
    void set(const Continuation& continuation) {
        coefficients_ = block_coefficients(netlist_, block_, values_, state_, continuation);
    }
    void assemble(double gmin) { balance_.assemble(netlist_, values_, state_, coefficients_, volts_, gmin); }

    void remember() {
        start_ = balance_.branch_amps();
        for (int k = 0; k < balance_.nodes(); ++k) start_[k] = volts_[block_.nodes[k]];
    }
    void move(const Vector& step, double fraction) {
        for (int k = 0; k < balance_.nodes(); ++k) volts_[block_.nodes[k]] = start_[k] - fraction * step[k];
        for (int k = balance_.nodes(); k < balance_.size(); ++k)
            balance_.branch_amps()[k] = start_[k] - fraction * step[k];
    }
    bool balanced() { return balance_.excess(options_.amps_tolerance, worst_) <= 0.0; }
    bool small(const Vector& step) const {
        for (int k = 0; k < balance_.nodes(); ++k)
            if (std::abs(step[k]) > options_.volts_tolerance + 1e-13 * std::abs(volts_[block_.nodes[k]]))
                return false;
        return true;
    }

    bool run(double gmin) {
        constexpr double sufficient = 1e-4, smallest_fraction = 1.0 / 256;
        std::array<double, 4> recent;
        assemble(gmin);
        recent.fill(balance_.merit());
        for (int iteration = 0; iteration < options_.max_iterations; ++iteration, ++steps_) {
            if (!balance_.system().factorize()) return false;
            const Vector step = balance_.system().solve(balance_.residual());
            if (!step.allFinite()) return false;
            const double bound = *std::max_element(recent.begin(), recent.end());
            remember();
            if (small(step) && balanced()) {
                move(step, 1.0);
                return true;
            }
            double fraction = 1.0, merit = 0.0;
            for (;; fraction *= 0.5) {
                move(step, fraction);
                assemble(gmin);
                merit = balance_.merit();
                if (merit <= bound * (1.0 - sufficient * fraction) || fraction <= smallest_fraction) break;
                if (balanced()) break;
            }
            recent[iteration % recent.size()] = merit;
            if (!std::isfinite(merit)) return false;
            if (balanced() && fraction == 1.0 && small(step)) return true;
        }
        return false;
    }

    bool amplifies() const {
        return std::any_of(block_.devices.begin(), block_.devices.end(), [&](DeviceId id) {
            return netlist_.devices[id].kind == DeviceKind::amplifier;
        });
    }
    bool gain_stepping() {
        if (!amplifies()) return false;
        begin();
        for (double limit = 1.0; limit < 1e9; limit *= 3.0) {
            set({.gain_limit = limit});
            if (!run(options_.gmin)) return false;
        }
        set({});
        return run(options_.gmin);
    }
    bool gmin_stepping() {
        begin();
        set({});
        for (double gmin = 1e-1; gmin > options_.gmin; gmin *= 0.1)
            if (!run(gmin)) return false;
        return run(options_.gmin);
    }
    /// All sources, and the held nodes around, rise together from zero in steps found by trial.
    bool source_stepping() {
        const std::vector<double> full(volts_.begin(), volts_.end());
        std::vector<double> scaled(full), good(full);
        const std::span<double> given = volts_;
        volts_ = scaled;
        begin();
        for (Node n : block_.nodes) good[n] = 0.0;
        Vector good_amps = balance_.branch_amps();
        double reached = 0.0, increment = 0.1;
        const int enough = steps_ + 20 * options_.max_iterations;   // steps that creep towards a fold never end
        while (reached < 1.0 && increment > 1e-5 && steps_ < enough) {
            const double target = std::min(1.0, reached + increment);
            for (std::size_t n = 0; n < full.size(); ++n) scaled[n] = target * full[n];
            for (Node n : block_.nodes) scaled[n] = good[n];
            balance_.branch_amps() = good_amps;
            set({.sources = target});
            if (run(options_.gmin)) {
                reached = target;
                increment *= 2.0;
                for (Node n : block_.nodes) good[n] = scaled[n];
                good_amps = balance_.branch_amps();
            } else {
                increment *= 0.25;
            }
        }
        volts_ = given;
        for (Node n : block_.nodes) volts_[n] = good[n];
        return reached == 1.0;
    }

    const Netlist& netlist_;
    const Partition::Block& block_;
    std::span<const double> values_;
    const State& state_;
    std::span<double> volts_;
    const DcOptions& options_;
    Bal& balance_;
    std::vector<Coefficients<double>> coefficients_;
    Vector start_;
    int steps_ = 0, worst_ = 0;
};

}  // namespace

std::vector<Coefficients<double>> block_coefficients(const Netlist& netlist, const Partition::Block& block,
                                                     std::span<const double> values, const State& state,
                                                     const Continuation& continuation) {
    std::vector<Coefficients<double>> all;
    all.reserve(block.devices.size());
    for (DeviceId id : block.devices)
        all.push_back(coefficients_at(netlist.devices[id], values, state, continuation));
    return all;
}

std::string block_refusal(const Netlist& netlist, const Partition& partition, int block,
                          std::span<const double> values, std::span<const double> volts) {
    if (!partition.trouble().empty()) return partition.trouble();
    if (values.size() < netlist.parameters.size()) return "not every parameter has a value";
    if (volts.size() < netlist.node_names.size()) return "not every node has a place for its voltage";
    if (block < 0 || block >= static_cast<int>(partition.blocks().size())) return "no such block";
    const Partition::Block& b = partition.blocks()[block];
    for (DeviceId id : b.devices)
        if (auto why = value_refusal(netlist, netlist.devices[id], values); !why.empty()) return why;
    for (StageId id : b.stages)
        if (auto why = value_refusal(netlist, netlist.stages[id], values); !why.empty()) return why;
    return {};
}

DcStatus solve_block(const Netlist& netlist, const Partition& partition, int block,
                     std::span<const double> values, const State& state, std::span<double> volts,
                     const DcOptions& options, std::string* trouble, int* iterations) {
    if (auto why = block_refusal(netlist, partition, block, values, volts); !why.empty()) {
        if (trouble) *trouble = std::move(why);
        return DcStatus::not_converged;
    }
    return with_balance(partition, block, [&](auto& balance) {
        BlockSolver solver(netlist, partition, block, values, state, volts, options, balance);
        const bool solved = solver.solve();
        if (iterations) *iterations += solver.steps();
        if (solved) return DcStatus::converged;
        if (trouble) *trouble = solver.trouble();
        for (Node n : partition.blocks()[block].nodes)
            if (!std::isfinite(volts[n])) volts[n] = 0.0;
        return DcStatus::not_converged;
    });
}

}  // namespace voltsill
