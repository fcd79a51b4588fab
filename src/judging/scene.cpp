#include "judging/scene.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "wiring/assumed.h"

namespace voltsill {

bool Scene::powered(Node supply) const {
    return supply != ground_node && island_of_node[supply] < 0 && held[supply] > 0.0;
}

Logic read_level(const Pin& pin, Volts pin_volts, Volts supply) {
    const auto limits = thresholds_at(pin, supply);
    if (!limits) return Logic::X;
    if (pin_volts >= limits->high.at(supply)) return Logic::one;
    if (pin_volts <= limits->low.at(supply)) return Logic::zero;
    return Logic::X;
}

namespace {

/// The switch a rail goes up and down with: its own, or that of the rail feeding its maker.
std::string switch_of(const Bench& bench, const Rail& rail, int depth = 0) {
    if (!rail.switch_group.empty() && rail.switch_group != rail.name) return rail.switch_group;
    const BenchPart* maker = bench.part(rail.from.substr(0, rail.from.find('.')));
    if (!rail.from.empty() && maker && depth < 16)
        for (const auto& [port, feeding] : maker->supplies)
            if (const Rail* feeder = bench.rail(feeding); feeder && feeder != &rail)
                return switch_of(bench, *feeder, depth + 1);
    return rail.name;
}

struct RailPattern {
    std::string words;
    std::vector<bool> up;
};

std::vector<RailPattern> rail_patterns(const Bench& bench, const Circuit& circuit) {
    std::vector<std::string> groups, group_of;
    for (const RailSite& site : circuit.rails) {
        group_of.push_back(switch_of(bench, *bench.rail(site.name)));
        if (std::ranges::find(groups, group_of.back()) == groups.end()) groups.push_back(group_of.back());
    }
    // All up; then each switch off alone; with up to three switches every mixture but all off.
    std::set<unsigned> masks{0u};
    const unsigned n = static_cast<unsigned>(std::min<size_t>(groups.size(), 16));
    for (unsigned g = 0; g < n; ++g) masks.insert(1u << g);
    if (n <= 3)
        for (unsigned mask = 1; mask + 1 < (1u << n); ++mask) masks.insert(mask);
    if (n == 1) masks.erase(1u);
    std::vector<RailPattern> patterns;
    for (unsigned mask : masks) {
        RailPattern p{.words = mask ? "" : "all rails up"};
        for (size_t r = 0; r < circuit.rails.size(); ++r) {
            const auto g = std::ranges::find(groups, group_of[r]) - groups.begin();
            p.up.push_back(g >= 16 || !((mask >> g) & 1u));
            if (!p.up.back()) p.words += fmt::format("{}{} down", p.words.empty() ? "" : ", ", circuit.rails[r].name);
        }
        patterns.push_back(std::move(p));
    }
    return patterns;
}

/// What firmware or a sensor can make of a pin, whatever the logic around it does.
LevelSet free_levels(const Bench& bench, const Circuit& circuit, const StageSite& stage) {
    const WiredPart& part = circuit.wiring->parts[stage.part];
    const Pin& pin = part.type->pins[stage.pin];
    const auto is_end = [&](const std::vector<PinRef>& ends) {
        return std::ranges::any_of(ends, [&](const PinRef& e) {
            return e.part == part.name && part.type->pin_index(e.pin) == stage.pin;
        });
    };
    bool sends = false;
    for (const Link& link : bench.links)
        sends |= is_end(link.from) || (link.kind != LinkKind::logic && link.kind != LinkKind::load && is_end(link.to));
    switch (pin.role) {
        case PinRole::push_pull: return can_zero | can_one;
        case PinRole::three_state: return can_zero | can_one | can_z;
        case PinRole::open_drain: return can_zero | can_z;
        case PinRole::open_source: return can_one | can_z;
        case PinRole::open_drain_io: return can_zero | can_z;
        case PinRole::io: return sends ? can_zero | can_one | can_z : can_z;
        default: return can_z;
    }
}

void lay_islands(const Circuit& circuit, Scene& scene) {
    const Partition partition(circuit.netlist, scene.source_on);
    const std::vector<double> nominal = circuit.netlist.nominal_values();
    scene.held.assign(circuit.netlist.node_names.size(), 0.0);
    partition.fill_held(circuit.netlist, nominal, scene.held);
    scene.island_of_node.resize(circuit.netlist.node_names.size());
    for (size_t n = 0; n < scene.island_of_node.size(); ++n)
        scene.island_of_node[n] = partition.block_of(static_cast<Node>(n));
    scene.islands = islands_of(circuit, partition, scene.source_on);
}

/// Levels an input of a unit can read in this scene.
LevelSet readings_of(const Scene& scene, Node node, const Pin& pin, Node supply,
                     const std::vector<std::vector<std::vector<double>>>& solved) {
    const Volts rail{scene.held[supply]};
    const int island = scene.island_of_node[node];
    if (island < 0) return bit(read_level(pin, Volts{scene.held[node]}, rail));
    LevelSet set = 0;
    const Node local = scene.islands[island].local(node);
    for (const auto& volts : solved[island])
        set |= volts.empty() ? can_x : bit(read_level(pin, Volts{volts[local]}, rail));
    return set ? set : can_x;
}

LevelSet outputs_of(const LogicUnit& unit, const std::vector<LevelSet>& inputs, size_t output) {
    LevelSet set = 0;
    for (size_t row = 0; row < unit.rows.size() / unit.outputs.size(); ++row) {
        bool possible = true;
        for (size_t i = 0; i < inputs.size(); ++i)
            possible &= (inputs[i] & (((row >> i) & 1u) ? can_one | can_x : can_zero | can_x)) != 0;
        if (possible) set |= bit(unit.rows[row * unit.outputs.size() + output]);
    }
    return set;
}

/// Level sets of stages that units own: grow from nothing until nothing changes.
void spread_levels(const Circuit& circuit, Scene& scene, Effort& effort) {
    if (circuit.netlist.units.empty()) return;
    std::vector<std::vector<std::vector<double>>> solved(scene.islands.size());
    std::vector<std::vector<LevelSet>> seen(scene.islands.size());
    const size_t rounds = circuit.netlist.units.size() * 4 + 2;
    for (size_t round = 0; round < rounds; ++round) {
        for (size_t i = 0; i < scene.islands.size(); ++i) {
            const Island& island = scene.islands[i];
            const bool read = std::ranges::any_of(island.pins, [&](int s) { return circuit.pins[s].input_of_unit >= 0; });
            std::vector<LevelSet> sets;
            for (StageId s : island.stage_of) sets.push_back(scene.reach[s]);
            if (!read || (round > 0 && sets == seen[i])) continue;
            seen[i] = sets;
            solved[i].clear();
            for (const Combination& c : combinations(circuit, scene, island)) {
                std::vector<double> volts;
                if (!solve(island, c.levels, island.nominal, volts, effort)) volts.clear();
                else
                    for (int s : island.pins)
                        if (circuit.pins[s].input_of_unit >= 0) {
                            const Node n = island.local(circuit.pins[s].node);
                            if (std::abs(volts[n]) < 1e-3 && resistance_at(island, c.levels, n, effort) >= open_ohms)
                                volts[n] = -1e9;   // floats: reads nothing
                        }
                solved[i].push_back(std::move(volts));
            }
        }
        bool changed = false;
        for (size_t u = 0; u < circuit.netlist.units.size(); ++u) {
            const LogicUnit& unit = circuit.netlist.units[u];
            const UnitSite& site = circuit.units[u];
            if (!scene.powered(unit.supply)) continue;
            std::vector<LevelSet> inputs;
            for (const LogicInput& in : unit.inputs) {
                LevelSet set = can_x;
                for (size_t k = 0; k < circuit.site_of[site.part].size(); ++k) {
                    const PinSite& pin = circuit.site(site.part, static_cast<int>(k));
                    if (pin.node == in.pin && pin.input_of_unit >= 0) {
                        set = readings_of(scene, in.pin, circuit.pin(pin), pin.supply, solved);
                        break;
                    }
                }
                inputs.push_back(set);
            }
            for (size_t k = 0; k < unit.outputs.size(); ++k) {
                const LevelSet grown = scene.reach[unit.outputs[k]] | outputs_of(unit, inputs, k);
                changed |= grown != scene.reach[unit.outputs[k]];
                scene.reach[unit.outputs[k]] = grown;
            }
        }
        if (!changed) return;
    }
}

}  // namespace

std::vector<Scene> scenes_of(const Bench& bench, const Circuit& circuit, Effort& effort) {
    std::vector<Scene> scenes;
    for (const RailPattern& pattern : rail_patterns(bench, circuit)) {
        Scene scene{.words = pattern.words, .rail_up = pattern.up};
        scene.all_up = std::ranges::find(pattern.up, false) == pattern.up.end();
        scene.source_on.assign(circuit.netlist.sources, true);
        for (size_t r = 0; r < circuit.rails.size(); ++r)
            scene.source_on[circuit.netlist.devices[circuit.rails[r].source].index] = pattern.up[r];
        lay_islands(circuit, scene);
        for (const PinSite& pin : circuit.pins)   // an analogue output without supply drives nothing
            if (pin.analog_source >= 0 && !scene.powered(pin.supply))
                scene.source_on[circuit.netlist.devices[pin.analog_source].index] = false;
        if (!scene.all_up) lay_islands(circuit, scene);
        scene.reach.assign(circuit.stages.size(), 0);
        for (size_t s = 0; s < circuit.stages.size(); ++s) {
            if (!scene.powered(circuit.netlist.stages[s].supply)) scene.reach[s] = can_z;
            else if (circuit.stages[s].unit < 0) scene.reach[s] = free_levels(bench, circuit, circuit.stages[s]);
        }
        spread_levels(circuit, scene, effort);
        for (LevelSet& set : scene.reach)
            if (set == 0) set = can_z;
        scenes.push_back(std::move(scene));
    }
    return scenes;
}

namespace {

std::vector<Logic> levels_in(LevelSet set) {
    std::vector<Logic> out;
    for (Logic l : {Logic::zero, Logic::one, Logic::Z})
        if (set & bit(l)) out.push_back(l);
    if (set & can_x) {   // either level may come
        if (!(set & can_zero)) out.push_back(Logic::zero);
        if (!(set & can_one)) out.push_back(Logic::one);
    }
    return out;
}

std::string words_of(const Circuit& circuit, const Island& island, const Levels& levels) {
    std::string words;
    int named = 0;
    for (size_t s = 0; s < levels.size(); ++s) {
        const StageSite& site = circuit.stages[island.stage_of[s]];
        if (levels[s] == Logic::Z && levels.size() > 1 && !(site.can_pull_down && !site.can_pull_up)) continue;
        if (++named > 4) continue;
        const char* level = levels[s] == Logic::one ? "high" : levels[s] == Logic::zero ? "low" : "off";
        words += fmt::format("{}{} {}", words.empty() ? "" : ", ", circuit.label(circuit.site(site.part, site.pin)), level);
    }
    return words.empty() ? "nothing drives" : words;
}

}  // namespace

std::vector<Combination> combinations(const Circuit& circuit, const Scene& scene, const Island& island) {
    constexpr size_t most = 64;
    const size_t n = island.stage_of.size();
    std::vector<std::vector<Logic>> choices(n);
    size_t product = 1;
    std::vector<bool> in_turns(n);
    for (size_t s = 0; s < n; ++s) {
        const StageSite& site = circuit.stages[island.stage_of[s]];
        choices[s] = levels_in(scene.reach[island.stage_of[s]]);
        if (choices[s].empty()) choices[s] = {Logic::Z};
        in_turns[s] = site.can_pull_up && std::ranges::find(choices[s], Logic::Z) != choices[s].end() && choices[s].size() > 1;
        product = std::min<size_t>(product * choices[s].size(), most * most);
    }
    std::vector<Levels> found;
    const auto add = [&](const Levels& levels) {
        if (std::ranges::find(found, levels) == found.end()) found.push_back(levels);
    };
    if (product <= most * 4) {
        Levels levels(n);
        for (size_t code = 0; code < product; ++code) {
            size_t rest = code;
            int turns = 0;
            for (size_t s = 0; s < n; ++s) {
                levels[s] = choices[s][rest % choices[s].size()];
                rest /= choices[s].size();
                turns += in_turns[s] && levels[s] != Logic::Z;
            }
            if (turns <= 1 && found.size() < most * 4) add(levels);
        }
    } else {
        const auto pick = [&](size_t s, Logic wanted) {
            const auto& c = choices[s];
            return std::ranges::find(c, wanted) != c.end() ? wanted : c.back();
        };
        // Voltages rise with every driver, so all low and all high bound every mixture.
        for (Logic wanted : {Logic::zero, Logic::one, Logic::Z}) {
            Levels levels(n);
            for (size_t s = 0; s < n; ++s) levels[s] = pick(s, wanted);
            add(levels);
            for (size_t s = 0; s < n && n <= most; ++s)
                for (Logic other : choices[s]) {
                    Levels one = levels;
                    one[s] = other;
                    add(one);
                }
        }
    }
    std::vector<Combination> out;
    for (Levels& levels : found) out.push_back({levels, words_of(circuit, island, levels)});
    return out;
}

}  // namespace voltsill
