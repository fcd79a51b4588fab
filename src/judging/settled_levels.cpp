#include "judging/settled_levels.h"

#include <algorithm>

namespace voltsill {

SettledLevels::SettledLevels(const Bench& bench, const Wiring& wiring)
    : bench_(bench),
      circuit_(lower(bench, wiring)),
      partition_(circuit_.netlist, std::vector<bool>(circuit_.netlist.sources, true)) {
    // An analogue output without a supply drives nothing, as in every scene (scene.cpp).
    std::vector<bool> on(circuit_.netlist.sources, true);
    for (const PinSite& pin : circuit_.pins)
        if (pin.analog_source >= 0 && !partition_.held(pin.supply))
            on[circuit_.netlist.devices[pin.analog_source].index] = false;
    islands_ = islands_of(circuit_, partition_, on);
    levels_.assign(circuit_.stages.size(), Logic::Z);
}

void SettledLevels::tell(const std::vector<Told>& told) {
    const Wiring& wiring = *circuit_.wiring;
    State state{.levels = std::vector<Logic>(circuit_.stages.size(), Logic::X)};
    for (size_t s = 0; s < circuit_.stages.size(); ++s) {
        const StageSite& stage = circuit_.stages[s];
        if (stage.unit < 0) state.levels[s] = stage.can_release ? Logic::Z : Logic::zero;
    }
    for (const Told& t : told) {
        const int part = wiring.part(t.part);
        const int pin = part < 0 ? -1 : wiring.parts[part].type->pin_index(t.pin);
        const StageId s = pin < 0 ? -1 : circuit_.site(part, pin).stage;
        if (s < 0 || circuit_.stages[s].unit >= 0) continue;
        const StageSite& stage = circuit_.stages[s];
        state.levels[s] = t.high ? (stage.can_pull_up ? Logic::one : Logic::Z)
                                 : (stage.can_pull_down ? Logic::zero : Logic::Z);
    }
    for (size_t s = 0; s < circuit_.stages.size(); ++s)  // who has no supply says nothing
        if (const Node supply = circuit_.stages[s].supply;
            circuit_.stages[s].unit < 0 && supply > ground_node && !partition_.held(supply))
            state.levels[s] = Logic::Z;
    const DcSolution found = settle(circuit_.netlist, circuit_.netlist.nominal_values(), state);
    solved_ = found.status != DcStatus::not_converged && found.levels.size() == circuit_.stages.size();
    if (solved_) levels_ = found.levels;
}

std::size_t SettledLevels::largest() const {
    std::size_t most = 0;
    for (const Partition::Block& block : partition_.blocks()) most = std::max(most, block.nodes.size());
    return most;
}

std::vector<Levels> SettledLevels::levels_in(const Island& island) const {
    constexpr size_t most = 64;
    std::vector<Levels> all{Levels(island.stage_of.size(), Logic::Z)};
    for (size_t s = 0; s < island.stage_of.size(); ++s) {
        const Logic level = levels_[island.stage_of[s]];
        const StageSite& stage = circuit_.stages[island.stage_of[s]];
        if (level != Logic::X) {
            for (Levels& levels : all) levels[s] = level;
            continue;
        }
        std::vector<Levels> both;
        for (const Levels& levels : all)
            for (const Logic choice : {Logic::zero, Logic::one}) {
                const bool can = choice == Logic::one ? stage.can_pull_up : stage.can_pull_down;
                if (both.size() == most) break;
                both.push_back(levels);
                both.back()[s] = can ? choice : Logic::Z;
            }
        all = std::move(both);
    }
    return all;
}

MeterReading SettledLevels::over(const Island& island, Node node) const {
    MeterReading out{.solved = false};
    const Functional volts{.terms = {{node, 1.0}}};
    for (const Levels& levels : levels_in(island)) {
        const Range r = range_of(island, levels, volts, effort_);
        if (!r.solved) continue;
        out.floats |= resistance_at(island, levels, node, effort_) >= open_ohms;
        if (!out.solved) out.lo = r.lo, out.nominal = r.nominal, out.hi = r.hi;
        out.lo = std::min(out.lo, r.lo), out.hi = std::max(out.hi, r.hi);
        out.solved = true;
    }
    return out;
}

MeterReading SettledLevels::at(int part, int pin) const {
    const NetId net = circuit_.wiring->parts[part].net_of_pin[pin];
    const PinSite& site = circuit_.site(part, pin);
    const Node node = net >= 0 ? circuit_.node_of_net[net] : site.node;
    if (node < 0) return {.floats = true};
    if (!solved_) return {.solved = false};
    for (const RailSite& rail : circuit_.rails)
        if (rail.node == node) {
            const Span<Volts>& v = bench_.rail(rail.name)->volts.span;
            return {.lo = v.lo.si(), .nominal = v.nominal.si(), .hi = v.hi.si()};
        }
    for (const Island& island : islands_)
        if (const Node local = island.local(node); local >= 0 && !partition_.held(node))
            return over(island, local);
    return {};  // ground
}

}  // namespace voltsill
