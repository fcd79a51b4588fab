/// The logic fixed point, by ternary simulation (M. Yoeli, S. Rinon, J. ACM 11, 1964, pp. 84-97;
/// J. Brzozowski, C.-J. Seger, "Asynchronous Circuits", Springer 1995; both from memory).
///
/// Range of a node's voltage under stages at X: each such stage pulls down or up. In a block of
/// resistors, diodes, tables and stages every voltage rises with every stage, so "all down" and
/// "all up" bound it. Transistors, optocouplers and amplifiers can turn the direction; a block
/// with these is solved for all choices up to three stages at X, and beyond for all down, all
/// up and each stage against the rest. A stage at X that turns out off lies between.
#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <utility>

#include "network/block_equations.h"
#include "network/logic.h"
#include "network/settle.h"

namespace voltsill {
namespace {

constexpr int changes_before_X = 2;  ///< a stage that takes back a definite level this often stays X
constexpr int most_flipped = 16;     ///< beyond, only all down and all up are solved
constexpr int search_budget = 64;    ///< trial settlings when looking for a consistent choice
constexpr double unbounded = std::numeric_limits<double>::infinity();

bool definite(Logic level) { return level != Logic::X; }

class Settler {
  public:
    Settler(const Netlist& netlist, const Partition& partition, std::span<const double> values,
            const State& state, const DcOptions& options, std::span<const Logic> before, VoltsMet& met)
        : netlist_(netlist),
          partition_(partition),
          values_(values),
          options_(options),
          met_(met),
          state_(state),
          volts_(netlist.node_names.size(), 0.0),
          owner_(netlist.stages.size(), -1),
          solved_once_(partition.blocks().size()),
          now_{.witnesses = std::vector<Witnesses>(partition.blocks().size()),
               .dirty = std::vector<bool>(partition.blocks().size(), true),
               .changes = std::vector<int>(netlist.stages.size(), 0)} {
        state_.levels.resize(netlist.stages.size(), Logic::Z);
        for (std::size_t u = 0; u < netlist.units.size(); ++u)
            for (StageId s : netlist.units[u].outputs) {
                owner_[s] = static_cast<int>(u);
                state_.levels[s] = Logic::X;
            }
        for (const LogicUnit& unit : netlist.units) {
            first_reading_.push_back(before_.size());
            for (std::size_t i = 0; i < unit.inputs.size(); ++i)
                before_.push_back(before_.size() < before.size() ? before[before_.size()] : Logic::X);
        }
        partition.fill_held(netlist, values, volts_);
        met_.of_block.resize(partition.blocks().size());
        now_.levels = state_.levels;
    }

    std::vector<Logic> levels() {
        propagate();
        return now_.levels;
    }
    DcSolution settle() {
        propagate();
        const bool stuck = no_consistent_choice();
        const std::string names = stuck ? restless_units() : std::string();
        state_.levels = now_.levels;
        DcSolution solution = solve_dc(netlist_, partition_, values_, state_, options_);
        solution.iterations += iterations_;
        for (std::size_t u = 0; u < netlist_.units.size(); ++u) {
            const auto read = readings(u);
            solution.readings.insert(solution.readings.end(), read.begin(), read.end());
        }
        if (stuck && solution.status == DcStatus::converged) {
            solution.status = DcStatus::oscillates;
            solution.trouble = names;
        }
        return solution;
    }

  private:
    using Witnesses = std::vector<std::vector<double>>;  ///< voltages of a block's nodes, by choice
    struct Position {
        std::vector<Logic> levels;
        std::vector<Witnesses> witnesses;
        std::vector<bool> dirty;
        std::vector<int> changes;
    };

    // ---- voltages

    bool may_turn_direction(const Partition::Block& block) const {
        return std::any_of(block.devices.begin(), block.devices.end(),
                           [&](DeviceId id) { return shape_of(netlist_.devices[id].kind).controls > 1; });
    }
    /// Choices of pull (true: up) for `count` stages at X that bound the voltages of a block.
    static std::vector<std::vector<bool>> choices(int count, bool turns) {
        std::vector<std::vector<bool>> all;
        if (count <= 1 || !turns || count > most_flipped) {
            all.emplace_back(count, false);
            if (count > 0) all.emplace_back(count, true);
            return all;
        }
        if (count <= 3) {
            for (int bits = 0; bits < 1 << count; ++bits) {
                all.emplace_back(count);
                for (int k = 0; k < count; ++k) all.back()[k] = bits >> k & 1;
            }
            return all;
        }
        for (const bool base : {false, true}) {
            all.emplace_back(count, base);
            for (int k = 0; k < count; ++k) {
                all.emplace_back(count, base);
                all.back()[k] = !base;
            }
        }
        return all;
    }
    void solve_witnesses(int b) {
        const Partition::Block& block = partition_.blocks()[b];
        std::vector<StageId> open;
        for (StageId s : block.stages)
            if (now_.levels[s] == Logic::X) open.push_back(s);
        now_.witnesses[b].clear();
        state_.levels = now_.levels;
        for (const auto& up : choices(static_cast<int>(open.size()), may_turn_direction(block))) {
            for (std::size_t k = 0; k < open.size(); ++k)
                state_.levels[open[k]] = up[k] ? Logic::one : Logic::zero;
            now_.witnesses[b].push_back(witness(b));
        }
        now_.dirty[b] = false;
    }
    /// At the levels of `state_`. Only levels are read off what is found: it may begin at the balance before.
    const std::vector<double>& witness(int b) {
        const Partition::Block& block = partition_.blocks()[b];
        std::vector<Logic> levels;
        for (StageId s : block.stages) levels.push_back(state_.levels[s]);
        const auto [at, fresh] = met_.of_block[b].try_emplace(std::move(levels));
        if (!fresh) return at->second;
        DcOptions near = options_;
        near.from_given = solved_once_[b];
        const DcStatus status =
            solve_block(netlist_, partition_, b, values_, state_, volts_, near, nullptr, &iterations_);
        solved_once_[b] = status == DcStatus::converged;
        for (Node n : block.nodes)
            at->second.push_back(solved_once_[b] ? volts_[n] : std::numeric_limits<double>::quiet_NaN());
        return at->second;
    }
    VoltRange range(Node n) const {
        if (partition_.held(n)) return {volts_[n], volts_[n]};
        return range_of(partition_.block_of(n), [&](const auto& w) { return w[partition_.local_of(n)]; });
    }
    /// v(node) - v(reference); exact choice by choice when both are in one block.
    VoltRange range(Node node, Node reference) const {
        const int b = partition_.block_of(node);
        if (b >= 0 && b == partition_.block_of(reference))
            return range_of(b, [&](const auto& w) {
                return w[partition_.local_of(node)] - w[partition_.local_of(reference)];
            });
        const VoltRange a = range(node), r = range(reference);
        return {a.lo - r.hi, a.hi - r.lo};
    }
    template <class Value>
    VoltRange range_of(int block, Value value) const {
        VoltRange r{unbounded, -unbounded};
        for (const auto& witness : now_.witnesses[block]) {
            const double v = value(witness);
            if (std::isnan(v)) return {-unbounded, unbounded};  // did not converge: nothing is known
            r.lo = std::min(r.lo, v);
            r.hi = std::max(r.hi, v);
        }
        return r;
    }

    // ---- logic

    std::vector<Logic> readings(std::size_t u) const {
        const LogicUnit& unit = netlist_.units[u];
        const std::size_t first = first_reading_[u];
        std::vector<Logic> read;
        for (std::size_t i = 0; i < unit.inputs.size(); ++i)
            read.push_back(
                reading(unit.inputs[i], range(unit.inputs[i].pin, unit.ground), before_[first + i], values_));
        return read;
    }
    std::vector<Logic> outputs(std::size_t u) const {
        const LogicUnit& unit = netlist_.units[u];
        if (unit.min_supply != no_param) {
            const VoltRange supply = range(unit.supply, unit.ground);
            if (supply.hi < values_[unit.min_supply])
                return std::vector<Logic>(unit.outputs.size(), Logic::Z);
            if (supply.lo < values_[unit.min_supply])
                return std::vector<Logic>(unit.outputs.size(), Logic::X);
        }
        const auto read = readings(u);
        std::vector<Logic> levels;
        for (std::size_t k = 0; k < unit.outputs.size(); ++k) levels.push_back(unit_output(unit, read, k));
        return levels;
    }
    void set_level(StageId s, Logic level) {
        now_.levels[s] = level;
        for (Node n : {netlist_.stages[s].pin, netlist_.stages[s].supply, netlist_.stages[s].ground})
            if (!partition_.held(n)) now_.dirty[partition_.block_of(n)] = true;
    }
    void refresh() {
        for (int b = 0; b < static_cast<int>(partition_.blocks().size()); ++b)
            if (now_.dirty[b]) solve_witnesses(b);
    }

    /// Rounds until nothing changes; false as soon as a unit contradicts a forced stage of its own.
    bool propagate() {
        const int most_rounds = 4 * static_cast<int>(netlist_.stages.size()) + 4;
        bool changed = true;
        for (int round = 0; changed && round < most_rounds; ++round) {
            changed = false;
            refresh();
            for (std::size_t u = 0; u < netlist_.units.size(); ++u) {
                const auto levels = outputs(u);
                for (std::size_t k = 0; k < levels.size(); ++k) {
                    const StageId s = netlist_.units[u].outputs[k];
                    if (is_forced(s)) {
                        if (definite(levels[k]) && levels[k] != now_.levels[s]) return false;
                        continue;
                    }
                    if (levels[k] == now_.levels[s] || now_.changes[s] > changes_before_X) continue;
                    const bool taken_back = definite(now_.levels[s]);
                    if (taken_back) ++now_.changes[s];
                    set_level(s, now_.changes[s] > changes_before_X ? Logic::X : levels[k]);
                    changed = true;
                }
            }
        }
        return true;
    }

    // ---- loops

    bool is_forced(StageId s) const { return std::find(forced_.begin(), forced_.end(), s) != forced_.end(); }

    /// Stages at X that lie on, or behind, a loop of units at X; joined where they share a block.
    std::vector<StageId> loop_stages() const {
        std::vector<bool> in(netlist_.units.size());
        const auto open_outputs = [&](std::size_t u) {
            std::vector<StageId> open;
            for (StageId s : netlist_.units[u].outputs)
                if (now_.levels[s] == Logic::X) open.push_back(s);
            return open;
        };
        for (std::size_t u = 0; u < in.size(); ++u) in[u] = !open_outputs(u).empty();
        for (bool shrank = true; shrank;) {
            shrank = false;
            std::vector<bool> driven(partition_.blocks().size());
            for (std::size_t u = 0; u < in.size(); ++u)
                if (in[u])
                    for (StageId s : open_outputs(u))
                        if (const int b = partition_.block_of(netlist_.stages[s].pin); b >= 0)
                            driven[b] = true;
            for (std::size_t u = 0; u < in.size(); ++u) {
                const auto& inputs = netlist_.units[u].inputs;
                if (!in[u] || std::any_of(inputs.begin(), inputs.end(), [&](const LogicInput& i) {
                        return partition_.block_of(i.pin) >= 0 && driven[partition_.block_of(i.pin)];
                    }))
                    continue;
                in[u] = false;
                shrank = true;
            }
        }
        std::vector<StageId> stages;
        for (std::size_t u = 0; u < in.size(); ++u)
            if (in[u])
                for (StageId s : open_outputs(u)) stages.push_back(s);
        return stages;
    }

    /// True if it is certain that the stages left at X have no consistent levels at all.
    bool no_consistent_choice() {
        const auto stages = loop_stages();
        if (stages.empty()) return false;
        budget_ = search_budget;
        const Position settled = now_;
        const bool found = consistent_from(stages);
        now_ = settled;
        forced_.clear();
        return !found;
    }
    bool consistent_from(const std::vector<StageId>& stages) {
        const auto next = std::find_if(stages.begin(), stages.end(), [&](StageId s) {
            return now_.levels[s] == Logic::X && !is_forced(s);
        });
        if (next == stages.end()) return true;
        const Position here = now_;
        for (const Logic level : {Logic::zero, Logic::one}) {
            if (--budget_ < 0) return true;  // not decided: leave X
            forced_.push_back(*next);
            set_level(*next, level);
            if (propagate() && consistent_from(stages)) return true;
            forced_.pop_back();
            now_ = here;
        }
        return false;
    }

    /// Names of the units that keep changing when all start from definite levels and move together.
    std::string restless_units() {
        const Position settled = now_;
        const int rounds = 2 * static_cast<int>(netlist_.units.size()) + 4;
        std::vector<bool> restless(netlist_.units.size());
        for (StageId s = 0; s < static_cast<StageId>(owner_.size()); ++s)
            if (owner_[s] >= 0 && now_.levels[s] == Logic::X) set_level(s, Logic::zero);
        for (int round = 0; round < 2 * rounds; ++round) {
            refresh();
            std::vector<std::pair<StageId, Logic>> moves;
            for (std::size_t u = 0; u < netlist_.units.size(); ++u) {
                const auto levels = outputs(u);
                for (std::size_t k = 0; k < levels.size(); ++k) {
                    const StageId s = netlist_.units[u].outputs[k];
                    if (levels[k] != now_.levels[s]) moves.emplace_back(s, levels[k]);
                }
            }
            for (const auto& [s, level] : moves) {
                set_level(s, level);
                if (round >= rounds) restless[owner_[s]] = true;
            }
        }
        now_ = settled;
        std::string names;
        for (std::size_t u = 0; u < restless.size(); ++u)
            if (restless[u]) names += (names.empty() ? "" : ", ") + netlist_.units[u].name;
        return names;
    }

    const Netlist& netlist_;
    const Partition& partition_;
    std::span<const double> values_;
    const DcOptions& options_;
    VoltsMet& met_;
    State state_;
    std::vector<double> volts_;
    std::vector<int> owner_;
    std::vector<Logic> before_;  ///< by input, those of a unit from first_reading_[unit]
    std::vector<std::size_t> first_reading_;
    std::vector<bool> solved_once_;  ///< by block: its volts are of a balance
    Position now_;
    std::vector<StageId> forced_;
    int budget_ = 0, iterations_ = 0;
};

}  // namespace

DcSolution settle(const Netlist& netlist, std::span<const double> values, const State& state,
                  const DcOptions& options, std::span<const Logic> before) {
    const Partition partition(netlist, state.source_on);
    DcSolution refused{.status = DcStatus::not_converged};
    refused.trouble = network_refusal(netlist, partition, values);
    if (refused.trouble.empty()) refused.trouble = unit_refusal(netlist, values);
    if (!refused.trouble.empty()) {
        refused.volts.assign(netlist.node_names.size(), 0.0);
        refused.levels.assign(netlist.stages.size(), Logic::X);
        return refused;
    }
    VoltsMet met;
    return Settler(netlist, partition, values, state, options, before, met).settle();
}

std::vector<Logic> settle_levels(const Netlist& netlist, const Partition& partition, std::span<const double> values,
                                 const State& state, VoltsMet* met, const DcOptions& options) {
    if (!network_refusal(netlist, partition, values).empty() || !unit_refusal(netlist, values).empty()) return {};
    VoltsMet own;
    return Settler(netlist, partition, values, state, options, {}, met ? *met : own).levels();
}

}  // namespace voltsill
