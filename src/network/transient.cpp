#include "network/transient.h"

#include <fmt/format.h>

#include <cmath>

#include "network/transient_run.h"

namespace voltsill {

using namespace batch;

std::string_view to_words(RunEnd end) {
    switch (end) {
        case RunEnd::finished:
            return "finished";
        case RunEnd::cancelled:
            return "cancelled";
        case RunEnd::no_start:
            return "no steady state to start from";
        case RunEnd::step_too_small:
            return "the step became too small";
        case RunEnd::too_many_steps:
            return "too many steps";
        case RunEnd::bad_values:
            return "a value that cannot be";
    }
    return "?";
}

struct TransientSolver::Shared : TransientSetting {
    std::string trouble;

    Shared(TransientProblem p, const TransientOptions& o)
        : TransientSetting{.problem = std::move(p),
                           .options = o,
                           .set = o.set.value_or(best_instruction_set()),
                           .partition = Partition(*problem.netlist, problem.start.source_on)} {
        plan = make_transient_plan(*problem.netlist, *problem.dynamics, partition, problem.start,
                                   o.volts_tolerance, o.amps_tolerance);
        nominal = problem.netlist->nominal_values();
        trouble = plan.trouble;
        if (trouble.empty()) trouble = refusal();
        if (trouble.empty()) settle_start();
        if (trouble.empty()) steady.emplace(*problem.netlist, problem.start.source_on, set);
    }

    std::string refusal() const {
        if (!(problem.end > 0.0) || !std::isfinite(problem.end))
            return "the time to simulate must be above zero";
        if (!(options.volts_tolerance > 0.0) || !(options.amps_tolerance > 0.0))
            return "tolerances must be above zero";
        double before = 0.0;
        for (const Drive& d : problem.drives) {
            if (d.stage < 0 || d.stage >= static_cast<StageId>(problem.netlist->stages.size()))
                return "a drive of a stage that is not there";
            if (!(d.at >= before)) return "drives must be in order of time, from zero on";
            before = d.at;
        }
        for (Node n : problem.probes)
            if (n < 0 || n >= static_cast<Node>(problem.netlist->node_names.size()))
                return "a probe at a node that is not there";
        return {};
    }

    /// Levels at the nominal values. What a stage shows that could be either is taken as off.
    void settle_start() {
        const Netlist& net = *problem.netlist;
        const DcSolution rest = settle(net, nominal, problem.start);
        if (rest.status != DcStatus::converged) {
            trouble = fmt::format("no steady state to start from: {}", rest.trouble);
            return;
        }
        at_rest = problem.start;
        at_rest.levels = rest.levels;
        at_rest.levels.resize(net.stages.size(), Logic::Z);
        for (Logic& level : at_rest.levels)
            if (level == Logic::X) level = Logic::Z;
        std::size_t reading = 0;
        for (const WatchSite& site : plan.watch_sites) {
            const Watch& watch = plan.watches[&site - plan.watch_sites.data()];
            const double volts = rest.volts[plan.node_of[watch.pin]] - rest.volts[plan.node_of[watch.ground]];
            const Logic read = site.unit >= 0 ? rest.readings[reading++] : Logic::X;
            const double middle = site.point.rises != no_param ? nominal[site.point.rises]
                                  : site.vih != no_param       ? 0.5 * (nominal[site.vil] + nominal[site.vih])
                                                               : 0.0;
            reads.push_back(read == Logic::X || read == Logic::Z ? volts > middle : read == Logic::one);
        }
        for (const LogicUnit& unit : net.units)
            powered.push_back(unit.min_supply == no_param ||
                              rest.volts[unit.supply] - rest.volts[unit.ground] >= nominal[unit.min_supply]);
    }
};

TransientSolver::TransientSolver(TransientProblem problem, const TransientOptions& options)
    : shared_(std::make_unique<const Shared>(std::move(problem), options)) {}
TransientSolver::TransientSolver(TransientSolver&&) noexcept = default;
TransientSolver::~TransientSolver() = default;

const std::string& TransientSolver::trouble() const { return shared_->trouble; }
InstructionSet TransientSolver::instruction_set() const { return shared_->set; }
int TransientSolver::unknowns() const { return shared_->plan.unknowns; }
std::vector<TransientSolver::Side> TransientSolver::arms() const {
    std::vector<Side> sides;
    for (const Arm& arm : shared_->plan.arms) sides.push_back({arm.stage, arm.up, arm.strong});
    return sides;
}

void TransientSolver::run(std::uint64_t first, std::uint64_t count, const Fill& fill, const Sink& sink,
                          const std::function<bool()>& go_on) const {
    const Shared& s = *shared_;
    if (!s.trouble.empty() || count == 0) return;
    TransientRun(s).samples(first, count, fill, sink, go_on);
}

}  // namespace voltsill
