/// Power of a part: what its outputs take from their supply, side by side with their strengths in time,
/// and what its sheet says it takes by itself.
#include <algorithm>
#include <map>

#include "network/block_equations.h"
#include "signals/link_run.h"

namespace voltsill {
namespace {

constexpr int points_per_piece = 4;

struct Output {
    int part;
    StageId stage;  ///< in the scope
    int pin_probe, supply_probe, ground_probe;
};

/// Mean power that the upper side of an output takes from its supply: amps through it times supply volts.
double drawn(const Netlist& net, std::span<const double> values, const Output& output, int arm, bool strong,
             const Path& path) {
    const StageArm side = conducting_arm(net.stages[output.stage], Logic::one);
    const ArmShares shares = shares_of(side, values);
    const Table& table = net.tables[strong ? side.strong_table : side.table];
    const double strength = strong ? shares.strong : shares.plain;
    std::vector<double> seconds, amps, volts;
    for (int piece = 0; piece < path.pieces(); ++piece)
        for (int j = 0; j <= points_per_piece; ++j) {
            const double share = static_cast<double>(j) / points_per_piece;
            const double top = path.within(output.supply_probe, piece, share);
            const double across = top - path.within(output.pin_probe, piece, share);
            seconds.push_back(path.start(piece) + share * path.length(piece));
            amps.push_back(table_current(table, 1.0, across, strength) *
                           path.strength(arm, piece, share));
            volts.push_back(top - path.within(output.ground_probe, piece, share));
        }
    return average_product({seconds, amps}, {seconds, volts}).value_or(0.0);
}

double standing_power(const PartType& type) {
    double watts = 0;
    for (const SupplyPort& port : type.supplies)
        if (port.current.known()) watts += port.current.span.nominal.si() * port.range.nominal.si();
    return watts;
}

}  // namespace

std::vector<Measured> part_powers(const TimedCircuit& timed, const LinkSetup& setup, double bit_time) {
    TransientProblem problem = setup.problem(bit_time);
    const Netlist& net = setup.scope.net;
    std::vector<Output> outputs;
    for (std::size_t s = 0; s < setup.scope.stage_of.size(); ++s) {
        const StageId stage = setup.scope.stage_of[s];
        if (stage >= static_cast<StageId>(timed.circuit.stages.size())) continue;
        const int first = static_cast<int>(problem.probes.size());
        for (Node n : {net.stages[s].pin, net.stages[s].supply, net.stages[s].ground})
            problem.probes.push_back(n);
        outputs.push_back(
            {timed.circuit.stages[stage].part, static_cast<StageId>(s), first, first + 1, first + 2});
    }
    const TransientSolver solver(problem, {.keep_strengths = true});
    const std::vector<TransientSolver::Side> arms = solver.arms();
    const std::vector<double> values = net.nominal_values();
    std::map<int, double> watts;
    solver.run(0, 1, {}, [&](const SampleRun& run) {
        if (run.end != RunEnd::finished) return;
        for (std::size_t a = 0; a < arms.size(); ++a) {
            const auto output = std::ranges::find(outputs, arms[a].stage, &Output::stage);
            if (!arms[a].up || output == outputs.end()) continue;
            watts[output->part] += drawn(net, values, *output, static_cast<int>(a), arms[a].strong, run.path);
        }
    });
    std::vector<Measured> out;
    for (const auto& [part, drawn] : watts) {
        const WiredPart& wired = timed.circuit.wiring->parts[part];
        out.push_back({.kind = MeasureKind::power,
                       .point = wired.name,
                       .nominal = drawn + standing_power(*wired.type)});
    }
    return out;
}

}  // namespace voltsill
