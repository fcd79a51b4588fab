#include "network/batch.h"

#include <algorithm>
#include <cmath>

#include "network/batch_plan.h"
#include "network/block_equations.h"
#include "network/lane_array.h"

namespace voltsill {
namespace {

using batch::Element;
using batch::Kernel;
using batch::Lanes;

constexpr int max_iterations = 40;        ///< then the case goes to the scalar solver
constexpr double volts_tolerance = 1e-7;  ///< last full Newton step; its square over 2 nVT is left
constexpr double knee_amps = 1e-4;        ///< a junction below this may be stepped freely

const Kernel& kernel_for(InstructionSet set) {
    switch (set) {
        case InstructionSet::avx512:
            return batch::avx512_kernel;
        case InstructionSet::avx2:
            return batch::avx2_kernel;
        case InstructionSet::baseline:
            break;
    }
    return batch::baseline_kernel;
}

/// One call of `solve`: base coefficients in every lane, and what each case changes of them.
class Run {
  public:
    Run(const Netlist& netlist, const Partition& partition, const batch::Plan& plan, const Kernel& kernel,
        std::span<const double> values)
        : netlist_(netlist),
          partition_(partition),
          plan_(plan),
          kernel_(kernel),
          tape_(plan.tape()),
          w_(kernel.width),
          values_(values.begin(), values.end()),
          base_(plan.coefficients),
          held_(netlist.node_names.size()),
          touched_(w_),
          coefficients_(w_ * plan.coefficients),
          volts_(w_ * tape_.slots),
          constant_(w_ * (tape_.entries + 1)),
          matrix_(w_ * (tape_.entries + 1)),
          current_(w_ * (tape_.unknowns + 1)),
          next_(w_ * (tape_.unknowns + 1)),
          unit_(w_ * (tape_.unknowns + 1)),
          inverse_(w_ * (tape_.unknowns + 1)),
          junction_(w_ * (tape_.diodes + 1)),
          bridge_(w_),
          bridge_amps_(w_),
          bridge_unit_(w_ * (tape_.unknowns + 1)),
          done_(w_) {
        for (const Element& e : plan.elements) {
            write(e, {}, base_.data() + e.coefficient, 1);
            for (int k = e.coefficient; k < e.coefficient + e.count; ++k)
                std::fill_n(coefficients_.data() + k * w_, w_, base_[k]);
        }
    }

    /// Puts a case into a lane; false if it has a value that only a refusal can answer.
    bool put(int lane, const BatchCase& c) {
        saved_.clear();
        bool sound = c.bridge[0] < 0 || c.bridge[1] < 0 || c.bridge_ohms > 0.0;
        for (const ValueChange& change : c.changes) {
            if (change.parameter < 0 || change.parameter >= static_cast<ParamId>(values_.size()))
                return false;
            saved_.push_back({change.parameter, values_[change.parameter]});
            values_[change.parameter] = change.value;
            sound = sound && std::isfinite(change.value);
            for (int user : plan_.users[change.parameter]) sound = sound && acceptable(plan_.elements[user]);
        }
        if (sound) fill(lane, c);
        for (auto old = saved_.rbegin(); old != saved_.rend(); ++old) values_[old->parameter] = old->value;
        return sound;
    }
    void solve(bool bridged) {
        kernel_.newton(tape_, {.coefficients = coefficients_.data(),
                               .volts = volts_.data(),
                               .constant = constant_.data(),
                               .matrix = matrix_.data(),
                               .current = current_.data(),
                               .next = next_.data(),
                               .unit = unit_.data(),
                               .inverse = inverse_.data(),
                               .junction = junction_.data(),
                               .free = plan_.free.data(),
                               .bridge = bridged ? bridge_.data() : nullptr,
                               .bridge_amps = bridge_amps_.data(),
                               .bridge_unit = bridge_unit_.data(),
                               .done = done_.data(),
                               .gmin = DcOptions{}.gmin,
                               .volts_tolerance = volts_tolerance,
                               .max_iterations = max_iterations});
    }
    /// False if the lane did not converge.
    bool take(int lane, double* volts) const {
        if (done_.data()[lane] < 0.5) return false;
        for (int slot = 0; slot < tape_.slots; ++slot)
            volts[plan_.node_of[slot]] = volts_.data()[slot * w_ + lane];
        return true;
    }

  private:
    bool acceptable(const Element& e) const {
        return e.what == Element::What::stage
                   ? value_refusal(netlist_, netlist_.stages[e.id], values_).empty()
                   : value_refusal(netlist_, netlist_.devices[e.id], values_).empty();
    }
    void fill(int lane, const BatchCase& c) {
        static const State nothing;
        const State& state = c.state ? *c.state : nothing;
        for (int user : touched_[lane]) {
            const Element& e = plan_.elements[user];
            for (int k = e.coefficient; k < e.coefficient + e.count; ++k)
                coefficients_.data()[k * w_ + lane] = base_[k];
        }
        touched_[lane].clear();
        bool held_moves = false;
        for (const ValueChange& change : c.changes) {
            held_moves = held_moves || plan_.moves_held[change.parameter];
            for (int user : plan_.users[change.parameter]) {
                rewrite(lane, plan_.elements[user], state);
                touched_[lane].push_back(user);
            }
        }
        for (int user : plan_.follow_state) rewrite(lane, plan_.elements[user], state);
        if (held_moves || !held_is_base_) partition_.fill_held(netlist_, values_, held_);
        held_is_base_ = !held_moves;
        double* volts = volts_.data() + lane;
        for (int slot = 0; slot < tape_.unknowns; ++slot) volts[slot * w_] = 0.0;
        for (int slot = tape_.unknowns; slot < tape_.slots; ++slot)
            volts[slot * w_] = held_[plan_.node_of[slot]];
        put_bridge(lane, c);
    }
    void put_bridge(int lane, const BatchCase& c) {
        double* unit = bridge_unit_.data() + lane;
        for (int k = 0; k < tape_.unknowns; ++k) unit[k * w_] = 0.0;
        bridge_.data()[lane] = bridge_amps_.data()[lane] = 0.0;
        if (c.bridge[0] < 0 || c.bridge[1] < 0 || c.bridge[0] == c.bridge[1]) return;
        const double siemens = 1.0 / c.bridge_ohms;
        bridge_.data()[lane] = siemens;
        for (const int end : {0, 1}) {
            const int slot = plan_.slot_of[c.bridge[end]];
            const double sign = end == 0 ? 1.0 : -1.0;
            if (slot < tape_.unknowns)
                unit[slot * w_] = sign;
            else
                bridge_amps_.data()[lane] -= sign * siemens * held_[c.bridge[end]];
        }
    }
    void rewrite(int lane, const Element& e, const State& state) {
        write(e, state, coefficients_.data() + e.coefficient * w_ + lane, w_);
    }
    void write(const Element& e, const State& state, double* to, int stride) const {
        std::array<double, 6> lane{};
        if (e.what == Element::What::stage) {
            const Logic level = e.up ? Logic::one : Logic::zero;
            const ArmShares shares = shares_of(conducting_arm(netlist_.stages[e.id], level), values_);
            lane = {1.0, level_of(state, e.id) != level ? 0.0 : e.strong ? shares.strong : shares.plain};
        } else {
            const Device& d = netlist_.devices[e.id];
            const auto c = coefficients_at(d, values_, state);
            lane = {c[0], c[1]};
            if (d.kind == DeviceKind::diode)
                lane = {c[0], c[1], c[2], c[3], c[0] - std::log(c[1] / knee_amps) / c[2], 2.0 / c[2]};
            if (d.kind == DeviceKind::source) lane = {c[1], -c[1] * c[0]};
            if (d.kind == DeviceKind::current) lane = {0.0, c[0]};
        }
        for (int k = 0; k < e.count; ++k) to[k * stride] = lane[k];
    }

    const Netlist& netlist_;
    const Partition& partition_;
    const batch::Plan& plan_;
    const Kernel& kernel_;
    const batch::Tape tape_;
    const int w_;
    std::vector<double> values_, base_, held_;
    bool held_is_base_ = false;
    std::vector<ValueChange> saved_;
    std::vector<std::vector<int>> touched_;  ///< by lane: elements that differ from the base
    LaneArray coefficients_, volts_, constant_, matrix_, current_, next_, unit_, inverse_, junction_, bridge_,
        bridge_amps_, bridge_unit_, done_;
};

/// The scalar solver on one case: the bridge is a resistor there.
DcSolution solve_one(const Netlist& netlist, const Partition& partition, const std::vector<bool>& source_on,
                     std::vector<double> values, const BatchCase& c) {
    for (const ValueChange& change : c.changes)
        if (change.parameter >= 0 && change.parameter < static_cast<ParamId>(values.size()))
            values[change.parameter] = change.value;
    State state = c.state ? *c.state : State{};
    state.source_on = source_on;
    if (c.bridge[0] < 0 || c.bridge[1] < 0 || c.bridge[0] == c.bridge[1])
        return solve_dc(netlist, partition, values, state);
    Netlist bridged = netlist;
    bridged.resistor("bridge", c.bridge[0], c.bridge[1], bridged.add_constant(c.bridge_ohms));
    values.push_back(c.bridge_ohms);
    return solve_dc(bridged, values, state);
}

}  // namespace

struct BatchSolver::Plan {
    Partition partition;
    std::optional<batch::Plan> lanes;
};

const char* to_string(InstructionSet set) { return kernel_for(set).name; }

bool runs_here(InstructionSet set) {
    switch (set) {
        case InstructionSet::avx512:
            return __builtin_cpu_supports("x86-64-v4");
        case InstructionSet::avx2:
            return __builtin_cpu_supports("x86-64-v3");
        case InstructionSet::baseline:
            break;
    }
    return true;
}

InstructionSet best_instruction_set() {
    for (const InstructionSet set : {InstructionSet::avx512, InstructionSet::avx2})
        if (runs_here(set)) return set;
    return InstructionSet::baseline;
}

BatchSolver::BatchSolver(const Netlist& netlist, const std::vector<bool>& source_on,
                         std::optional<InstructionSet> set)
    : netlist_(&netlist),
      source_on_(source_on),
      set_(set.value_or(best_instruction_set())),
      plan_(std::make_unique<Plan>(Plan{Partition(netlist, source_on), std::nullopt})) {
    plan_->lanes = batch::make_plan(netlist, plan_->partition, source_on);
}
BatchSolver::BatchSolver(BatchSolver&&) noexcept = default;
BatchSolver::~BatchSolver() = default;

int BatchSolver::lanes() const { return kernel_for(set_).width; }
bool BatchSolver::in_lanes() const { return plan_->lanes.has_value(); }

void BatchSolver::solve(std::span<const double> values, std::span<const BatchCase> cases,
                        BatchResult& result) const {
    const std::size_t nodes = netlist_->node_names.size();
    result.volts.resize(cases.size() * nodes);
    result.status.assign(cases.size(), DcStatus::converged);
    std::vector<std::size_t> left;
    if (in_lanes() && network_refusal(*netlist_, plan_->partition, values).empty()) {
        const Kernel& kernel = kernel_for(set_);
        Run run(*netlist_, plan_->partition, *plan_->lanes, kernel, values);
        // Bridged cases run apart: only they need the second substitution.
        for (const bool bridged : {false, true}) {
            std::vector<std::size_t> group;
            const auto flush = [&] {
                if (group.empty()) return;
                run.solve(bridged);
                for (std::size_t lane = 0; lane < group.size(); ++lane)
                    if (!run.take(static_cast<int>(lane), result.volts.data() + group[lane] * nodes))
                        left.push_back(group[lane]);
                group.clear();
            };
            for (std::size_t k = 0; k < cases.size(); ++k) {
                if ((cases[k].bridge[0] >= 0 && cases[k].bridge[1] >= 0) != bridged) continue;
                if (run.put(static_cast<int>(group.size()), cases[k]))
                    group.push_back(k);
                else
                    left.push_back(k);
                if (static_cast<int>(group.size()) == kernel.width) flush();
            }
            flush();
        }
    } else {
        for (std::size_t k = 0; k < cases.size(); ++k) left.push_back(k);
    }
    for (std::size_t k : left) {
        const DcSolution one =
            solve_one(*netlist_, plan_->partition, source_on_, {values.begin(), values.end()}, cases[k]);
        std::copy_n(one.volts.begin(), nodes, result.volts.begin() + static_cast<std::ptrdiff_t>(k * nodes));
        result.status[k] = one.status;
    }
    result.one_by_one = static_cast<int>(left.size());
}

}  // namespace voltsill
