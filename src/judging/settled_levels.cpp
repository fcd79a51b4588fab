#include "judging/settled_levels.h"

#include <algorithm>
#include <cmath>
#include <ranges>

#include "judging/supply_feed.h"
#include "network/logic.h"

namespace voltsill {

namespace {

/// V between two levels of one reading that are two windows and not one.
constexpr double least_gap = 0.3;

std::vector<bool> sources_on(const Circuit& circuit, const std::vector<std::string>& down) {
    std::vector<bool> on(circuit.netlist.sources, true);
    for (const RailSite& rail : circuit.rails)
        if (std::ranges::find(down, rail.name) != down.end())
            on[circuit.netlist.devices[rail.source].index] = false;
    return on;
}

}  // namespace

std::string ReadingMemory::key_of(const Island& island, const Levels& levels, const Leaks& leaks) {
    std::string key = solutions.key_of(island, levels, island.nominal, false, false);
    for (ParamId p : island.varying) {
        const double ends[] = {island.net.parameters[p].lo, island.net.parameters[p].hi};
        key.append(reinterpret_cast<const char*>(&p), sizeof p);
        key.append(reinterpret_cast<const char*>(ends), sizeof ends);
    }
    for (const Inflow& i : leaks.inflows) {
        const double said[] = {static_cast<double>(i.node), i.lo, i.hi, i.top};
        key.append(reinterpret_cast<const char*>(said), sizeof said);
    }
    return key;
}

std::shared_ptr<ReadingMemory::OfIsland> ReadingMemory::of(const std::string& key, std::size_t nodes) {
    if (bytes_ > most_bytes) islands_.clear(), bytes_ = 0;
    std::shared_ptr<OfIsland>& island = islands_[key];
    if (!island) {
        island = std::make_shared<OfIsland>(nodes);
        bytes_ += key.size() + nodes * (sizeof(std::optional<MeterReading>) + sizeof(double));
    }
    return island;
}

SettledLevels::SettledLevels(const Bench& bench, const Wiring& wiring, const std::vector<std::string>& down,
                             ReadingMemory* memory)
    : SettledLevels(bench, wiring, down, memory, false) {}

SettledLevels::SettledLevels(const Bench& bench, const Wiring& wiring, const std::vector<std::string>& down,
                             ReadingMemory* memory, bool starved)
    : bench_(bench),
      memory_(memory),
      circuit_(lower(bench, wiring)),
      on_(sources_on(circuit_, down)),
      partition_(circuit_.netlist, on_) {
    held_.assign(circuit_.netlist.node_names.size(), 0.0);
    partition_.fill_held(circuit_.netlist, circuit_.netlist.nominal_values(), held_);
    for (Node node = 0; node < static_cast<Node>(held_.size()); ++node) fed_.push_back(partition_.held(node));
    least_.assign(held_.size(), std::numeric_limits<double>::infinity());
    for (const SupplyFeed& feed : feeds(circuit_, held_)) {
        least_[feed.node] = std::max(feed.least, 0.0);
        fed_[feed.node] = feed.surely() || (!starved && feed.perhaps());
        if (!starved && !starved_ && feed.perhaps() && !feed.surely())
            starved_.reset(new SettledLevels(bench, wiring, down, memory, true));
    }
    // An analogue output without a supply drives nothing, as in every scene (scene.cpp).
    for (const PinSite& pin : circuit_.pins)
        if (pin.analog_source >= 0 && !fed_[pin.supply])
            on_[circuit_.netlist.devices[pin.analog_source].index] = false;
    settling_ = Partition(circuit_.netlist, on_);
    islands_ = islands_of(circuit_, partition_, on_);
    levels_.assign(circuit_.stages.size(), Logic::Z);
    if (memory_) effort_.memory = &memory_->solutions;
}

/// V at the nominal values, of a stage at X as if it pulled down.
double SettledLevels::nominal_volts(Node node) const {
    if (partition_.held(node)) return held_[node];
    const Island& island = islands_[partition_.block_of(node)];
    std::vector<double> volts;
    return solve(island, choices(island).front().levels, island.nominal, volts, effort_) ? volts[island.local(node)]
                                                                                         : 0.0;
}

/// Units that nobody can say of whether they have a supply: as long as they say nothing, as at the moment of
/// switching on, they either have one or not.
void SettledLevels::silence_unpowered() {
    const Netlist& net = circuit_.netlist;
    const std::vector<double> values = net.nominal_values();
    for (bool changed = true; changed;) {
        changed = false;
        const auto volts_while_silent = [&](Node node) {
            if (partition_.held(node)) return held_[node];
            const Island& island = islands_[partition_.block_of(node)];
            Levels levels;
            for (const StageId s : island.stage_of) levels.push_back(levels_[s] == Logic::X ? Logic::Z : levels_[s]);
            std::vector<double> volts;
            return solve(island, levels, island.nominal, volts, effort_) ? volts[island.local(node)] : 0.0;
        };
        for (const LogicUnit& unit : net.units) {
            const auto unclear = [&](StageId s) { return levels_[s] == Logic::X; };
            if (std::ranges::none_of(unit.outputs, unclear)) continue;
            if (volts_while_silent(unit.supply) - volts_while_silent(unit.ground) >= values[unit.min_supply]) continue;
            for (const StageId s : unit.outputs) levels_[s] = Logic::Z;
            changed = true;
        }
    }
}

/// Nothing but leakage defines this node; `driven`: a stage does that has its supply or ground from a rail.
bool SettledLevels::reads_nothing(Node node, const std::vector<bool>& driven) const {
    if (partition_.held(node) || driven[node]) return false;
    const Island& island = islands_[partition_.block_of(node)];
    return open_at(island, choices(island).front(), island.local(node));
}

/// Outputs that follow an input that floats, and those that follow these.
void SettledLevels::undefine_floating() {
    const Netlist& net = circuit_.netlist;
    std::vector<bool> driven(net.node_names.size()), unclear(islands_.size());
    for (std::size_t s = 0; s < levels_.size(); ++s) {
        const Stage& stage = net.stages[s];
        const bool low = levels_[s] == Logic::zero, high = levels_[s] == Logic::one;
        if ((low && partition_.held(stage.ground)) || (high && partition_.held(stage.supply))) driven[stage.pin] = true;
    }
    std::vector<std::vector<char>> nothing;  // by unit and input
    for (const LogicUnit& unit : net.units)
        for (auto& at = nothing.emplace_back(); const LogicInput& input : unit.inputs)
            at.push_back(reads_nothing(input.pin, driven));
    const std::vector<double> values = net.nominal_values();
    for (bool changed = true; changed;) {
        changed = false;
        for (std::size_t u = 0; u < net.units.size(); ++u) {
            const LogicUnit& unit = net.units[u];
            const auto says_nothing = [&](std::size_t i) {
                const int island = partition_.block_of(unit.inputs[i].pin);
                return nothing[u][i] || (island >= 0 && unclear[island]);
            };
            std::vector<Logic> read(unit.inputs.size(), Logic::X);
            if (std::ranges::none_of(std::views::iota(std::size_t{0}, read.size()), says_nothing)) continue;
            const double below = nominal_volts(unit.ground), supply = nominal_volts(unit.supply) - below;
            if (supply < values[unit.min_supply]) continue;
            for (std::size_t i = 0; i < read.size(); ++i) {
                if (says_nothing(i)) continue;
                const double v = nominal_volts(unit.inputs[i].pin) - below;
                read[i] = voltsill::reading(unit.inputs[i], {v, v}, Logic::X, values);
            }
            for (std::size_t k = 0; k < unit.outputs.size(); ++k) {
                const StageId s = unit.outputs[k];
                if (levels_[s] == Logic::X || unit_output(unit, read, k) != Logic::X) continue;
                levels_[s] = Logic::X;
                if (const int island = partition_.block_of(net.stages[s].pin); island >= 0) unclear[island] = true;
                choices_.clear();
                changed = true;
            }
        }
    }
}

void SettledLevels::tell(const std::vector<Told>& told) {
    if (starved_) starved_->tell(told);
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
            circuit_.stages[s].unit < 0 && supply > ground_node && !fed_[supply])
            state.levels[s] = Logic::Z;
    const std::vector<Logic> found =
        settle_levels(circuit_.netlist, settling_, circuit_.netlist.nominal_values(), state, &met_);
    solved_ = found.size() == circuit_.stages.size();
    if (!solved_) return;
    levels_ = found;
    silence_unpowered();
    undefine_floating();
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

Corners& SettledLevels::corners(const Island& island, Choice& choice) const {
    if (!choice.corners) choice.corners = std::make_unique<Corners>(island, choice.levels);
    return *choice.corners;
}

/// Nothing but leakage defines this node of the island.
bool SettledLevels::open_at(const Island& island, Choice& choice, Node node) const {
    std::vector<double>& ohms = choice.known->ohms;
    if (ohms.empty()) ohms = corners(island, choice).ohms(ranging_);
    return ohms[node] >= open_ohms;
}

MeterReading SettledLevels::reading(const Island& island, Choice& choice, Node node) const {
    if (island.node_of.size() > most_ranged_) {
        std::vector<double> volts;
        if (!solve(island, choice.levels, island.nominal, volts, effort_)) return {.solved = false};
        return {.lo = volts[node], .nominal = volts[node], .hi = volts[node], .floats = open_at(island, choice, node)};
    }
    const Leaks leaks = choice.leaks.seen_at(node);
    const Range r = corners(island, choice).range_of(voltage_of(node), ranging_, &leaks);
    if (!r.solved) return {.solved = false};
    return {.lo = r.lo, .nominal = r.nominal, .hi = r.hi, .floats = open_at(island, choice, node)};
}

Leaks SettledLevels::leaks_of(const Island& island, const Levels& levels) const {
    const LeakSupplies supplies{[&](Node supply) { return supply == ground_node || fed_[supply]; },
                                [&](Node supply) { return highest_volts(bench_, circuit_, held_, supply); }};
    return leaks_in(circuit_, island, levels, supplies, [&] {
        std::vector<double> volts;
        return solve(island, levels, island.nominal, volts, effort_) ? volts : std::vector<double>{};
    });
}

std::vector<SettledLevels::Choice>& SettledLevels::choices(const Island& island) const {
    choices_.resize(islands_.size());
    std::vector<Choice>& of = choices_[static_cast<std::size_t>(&island - islands_.data())];
    if (!of.empty()) return of;
    for (Levels& levels : levels_in(island)) {
        Leaks leaks = leaks_of(island, levels);
        of.push_back({std::move(levels), std::move(leaks), {}, {}});
    }
    if (island.node_of.size() > most_ranged_ && of.size() > 2) of.erase(of.begin() + 1, of.end() - 1);
    const std::size_t nodes = island.node_of.size();
    for (Choice& choice : of)
        choice.known = memory_ ? memory_->of(memory_->key_of(island, choice.levels, choice.leaks), nodes)
                               : std::make_shared<ReadingMemory::OfIsland>(nodes);
    return of;
}

/// One window, or two on either side of the widest gap that none of these reaches into.
MeterReading SettledLevels::joined(std::vector<MeterReading> readings) {
    std::ranges::sort(readings, {}, &MeterReading::lo);
    MeterReading out = readings.front();
    out.gap_lo = out.gap_hi = 0;
    double reached = out.hi;
    for (const MeterReading& r : readings) {
        if (r.lo - reached > std::max(least_gap, out.gap_hi - out.gap_lo)) out.gap_lo = reached, out.gap_hi = r.lo;
        reached = std::max(reached, r.hi);
    }
    out.hi = reached;
    return out;
}

MeterReading SettledLevels::over(const Island& island, Node node) const {
    std::vector<MeterReading> holding, floating;
    for (Choice& choice : choices(island)) {
        std::optional<MeterReading>& r = choice.known->readings[node];
        if (!r) {
            r = reading(island, choice, node);
            if (memory_) ++memory_->solved;
        }
        if (r->solved) (r->floats ? floating : holding).push_back(*r);
    }
    if (holding.empty() && floating.empty()) return {.solved = false};
    MeterReading out = joined(holding.empty() ? floating : holding);
    out.nominal = (holding.empty() ? floating : holding).front().nominal;
    out.floats = !floating.empty();
    out.may_hold = out.floats && !holding.empty();
    return out;
}

std::vector<double> SettledLevels::output_amps() const {
    std::vector<double> most(circuit_.wiring->parts.size());
    for (const Island& island : islands_) {
        if (island.stage_of.empty()) continue;
        for (const Choice& choice : choices(island)) {
            const Levels& levels = choice.levels;
            std::vector<double> volts;
            if (!solve(island, levels, island.nominal, volts, effort_)) continue;
            for (std::size_t s = 0; s < island.stage_of.size(); ++s) {
                double& amps = most[circuit_.stages[island.stage_of[s]].part];
                amps = std::max(amps, std::abs(stage_current(island.net, island.nominal, levels[s], volts,
                                                             static_cast<StageId>(s))));
            }
        }
    }
    const std::vector<double> starved = starved_ ? starved_->output_amps() : std::vector<double>{};
    for (std::size_t p = 0; p < starved.size(); ++p) most[p] = std::max(most[p], starved[p]);
    return most;
}

MeterReading SettledLevels::either(const MeterReading& a, const MeterReading& b) {
    if (!a.solved || !b.solved) return {.solved = false};
    const bool floats = a.floats || b.floats, holds = !a.floats || !b.floats || a.may_hold || b.may_hold;
    std::vector<MeterReading> windows;
    for (const MeterReading& r : {a, b}) {
        if (floats && holds && r.floats && !r.may_hold) continue;  // of what floats nothing is said
        MeterReading below = r, above = r;
        if (r.gap_lo < r.gap_hi) below.hi = r.gap_lo, above.lo = r.gap_hi, windows.push_back(below);
        windows.push_back(above);
    }
    MeterReading out = joined(std::move(windows));
    out.nominal = a.floats && !a.may_hold ? b.nominal : a.nominal;
    out.floats = floats;
    out.may_hold = floats && holds;
    return out;
}

MeterReading SettledLevels::at(int part, int pin) const {
    return starved_ ? either(here(part, pin), starved_->here(part, pin)) : here(part, pin);
}

MeterReading SettledLevels::here(int part, int pin) const {
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
    if (partition_.held(node)) return {};  // ground
    // A node may stand at the edge of other islands too: as the supply of a stage that takes nothing from it.
    const Island& island = islands_[partition_.block_of(node)];
    MeterReading out = over(island, island.local(node));
    out.lo = std::min(out.lo, least_[node]);
    return out;
}

}  // namespace voltsill
