#include "judging/settled_levels.h"

#include <algorithm>
#include <cmath>

#include "network/settle.h"

namespace voltsill {

namespace {

std::vector<bool> sources_on(const Circuit& circuit, const std::vector<std::string>& down) {
    std::vector<bool> on(circuit.netlist.sources, true);
    for (const RailSite& rail : circuit.rails)
        if (std::ranges::find(down, rail.name) != down.end())
            on[circuit.netlist.devices[rail.source].index] = false;
    return on;
}

}  // namespace

std::string ReadingMemory::key_of(const Island& island, const Levels& levels) {
    std::string key = solutions.key_of(island, levels, island.nominal, false);
    for (ParamId p : island.varying) {
        const double ends[] = {island.net.parameters[p].lo, island.net.parameters[p].hi};
        key.append(reinterpret_cast<const char*>(&p), sizeof p);
        key.append(reinterpret_cast<const char*>(ends), sizeof ends);
    }
    return key;
}

std::vector<std::optional<MeterReading>>& ReadingMemory::readings(const std::string& key, std::size_t nodes) {
    if (bytes_ > most_bytes) readings_.clear(), bytes_ = 0;
    const auto [at, fresh] = readings_.try_emplace(key);
    if (fresh) {
        at->second.resize(nodes);
        bytes_ += key.size() + nodes * sizeof(std::optional<MeterReading>);
    }
    return at->second;
}

SettledLevels::SettledLevels(const Bench& bench, const Wiring& wiring, const std::vector<std::string>& down,
                             ReadingMemory* memory)
    : bench_(bench),
      memory_(memory),
      circuit_(lower(bench, wiring)),
      on_(sources_on(circuit_, down)),
      partition_(circuit_.netlist, on_) {
    // An analogue output without a supply drives nothing, as in every scene (scene.cpp).
    for (const PinSite& pin : circuit_.pins)
        if (pin.analog_source >= 0 && !partition_.held(pin.supply))
            on_[circuit_.netlist.devices[pin.analog_source].index] = false;
    islands_ = islands_of(circuit_, partition_, on_);
    levels_.assign(circuit_.stages.size(), Logic::Z);
    if (memory_) effort_.memory = &memory_->solutions;
}

void SettledLevels::tell(const std::vector<Told>& told) {
    choices_.clear();
    const Wiring& wiring = *circuit_.wiring;
    State state{.levels = std::vector<Logic>(circuit_.stages.size(), Logic::X), .source_on = on_};
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
    const Partition partition(circuit_.netlist, on_);
    const std::vector<Logic> found = settle_levels(circuit_.netlist, partition, circuit_.netlist.nominal_values(), state);
    solved_ = found.size() == circuit_.stages.size();
    if (solved_) levels_ = found;
}

std::size_t SettledLevels::largest() const {
    std::size_t most = 0;
    for (const Partition::Block& block : partition_.blocks()) most = std::max(most, block.nodes.size());
    return most;
}

int SettledLevels::undefined() const { return static_cast<int>(std::ranges::count(levels_, Logic::X)); }

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

MeterReading SettledLevels::reading(const Island& island, const Levels& levels, Node node) const {
    if (island.node_of.size() > most_ranged_) {
        std::vector<double> volts;
        if (!solve(island, levels, island.nominal, volts, effort_)) return {.solved = false};
        return {.lo = volts[node],
                .nominal = volts[node],
                .hi = volts[node],
                .floats = resistance_at(island, levels, island.nominal, volts, node) >= open_ohms};
    }
    const Range r = range_of(island, levels, Functional{.terms = {{node, 1.0}}}, effort_);
    if (!r.solved) return {.solved = false};
    return {.lo = r.lo,
            .nominal = r.nominal,
            .hi = r.hi,
            .floats = resistance_at(island, levels, node, effort_) >= open_ohms};
}

const std::vector<SettledLevels::Choice>& SettledLevels::choices(const Island& island) const {
    choices_.resize(islands_.size());
    std::vector<Choice>& of = choices_[static_cast<std::size_t>(&island - islands_.data())];
    if (!of.empty()) return of;
    for (Levels& levels : levels_in(island)) of.push_back({std::move(levels), {}});
    if (island.node_of.size() > most_ranged_ && of.size() > 2) of.erase(of.begin() + 1, of.end() - 1);
    if (memory_)
        for (Choice& choice : of) choice.key = memory_->key_of(island, choice.levels);
    return of;
}

MeterReading SettledLevels::over(const Island& island, Node node) const {
    MeterReading out{.solved = false};
    for (const Choice& choice : choices(island)) {
        MeterReading r;
        if (memory_) {
            auto& known = memory_->readings(choice.key, island.node_of.size())[node];
            if (!known) known = reading(island, choice.levels, node), ++memory_->solved;
            r = *known;
        } else {
            r = reading(island, choice.levels, node);
        }
        if (!r.solved) continue;
        out.floats |= r.floats;
        if (!out.solved) out.lo = r.lo, out.nominal = r.nominal, out.hi = r.hi;
        out.lo = std::min(out.lo, r.lo), out.hi = std::max(out.hi, r.hi);
        out.solved = true;
    }
    return out;
}

std::vector<double> SettledLevels::output_amps() const {
    std::vector<double> most(circuit_.wiring->parts.size());
    for (const Island& island : islands_) {
        if (island.stage_of.empty()) continue;
        for (const auto& [levels, key] : choices(island)) {
            std::vector<double> volts;
            if (!solve(island, levels, island.nominal, volts, effort_)) continue;
            for (std::size_t s = 0; s < island.stage_of.size(); ++s) {
                double& amps = most[circuit_.stages[island.stage_of[s]].part];
                amps = std::max(amps, std::abs(stage_current(island.net, island.nominal, levels[s], volts,
                                                             static_cast<StageId>(s))));
            }
        }
    }
    return most;
}

MeterReading SettledLevels::at(int part, int pin) const {
    const NetId net = circuit_.wiring->parts[part].net_of_pin[pin];
    const PinSite& site = circuit_.site(part, pin);
    const Node node = net >= 0 ? circuit_.node_of_net[net] : site.node;
    if (node < 0) return {.floats = true};
    if (!solved_) return {.solved = false};
    for (const RailSite& rail : circuit_.rails)
        if (rail.node == node && partition_.held(node)) {
            const Span<Volts>& v = bench_.rail(rail.name)->volts.span;
            return {.lo = v.lo.si(), .nominal = v.nominal.si(), .hi = v.hi.si()};
        }
    for (const Island& island : islands_)
        if (const Node local = island.local(node); local >= 0 && !partition_.held(node))
            return over(island, local);
    return {};  // ground
}

}  // namespace voltsill
