#include "judging/scene.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "judging/power_order.h"
#include "judging/spread.h"
#include "judging/supply_feed.h"

namespace voltsill {

std::vector<const Island*> Scene::pieces() const {
    std::vector<const Island*> out;
    for (size_t i = 0; i < islands.size(); ++i)
        if (!apart[i]) out.push_back(&islands[i]);
    for (const Island& branch : branches) out.push_back(&branch);
    return out;
}

bool Scene::powered(Node supply) const {
    return supply > ground_node && held[supply] > 0.0;
}

Logic read_level(const Pin& pin, Volts pin_volts, Volts supply) {
    const auto limits = thresholds_at(pin, supply);
    if (!limits) return Logic::X;
    if (pin_volts >= limits->high.at(supply)) return Logic::one;
    if (pin_volts <= limits->low.at(supply)) return Logic::zero;
    return Logic::X;
}

namespace {

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
            if (!p.up.back())
                p.words += fmt::format("{}{} down", p.words.empty() ? "" : ", ", circuit.rails[r].name);
        }
        patterns.push_back(std::move(p));
    }
    return patterns;
}

/// Pins that links may drive: senders, and every end of a link both ways.
using Senders = std::set<std::pair<std::string_view, int>>;

Senders senders_of(const Bench& bench, const Circuit& circuit) {
    std::map<std::string_view, const PartType*> type_of;
    for (const WiredPart& part : circuit.wiring->parts) type_of.emplace(part.name, part.type.get());
    Senders senders;
    const auto note = [&](const std::vector<PinRef>& ends) {
        for (const PinRef& end : ends)
            if (const auto type = type_of.find(end.part); type != type_of.end())
                senders.emplace(type->first, type->second->pin_index(end.pin));
    };
    for (const Link& link : bench.links) {
        note(link.from);
        if (link.kind == LinkKind::open_drain || link.kind == LinkKind::two_way) note(link.to);
    }
    return senders;
}

/// What firmware or a sensor can make of a pin, whatever the logic around it does.
LevelSet free_levels(const Senders& senders, const Circuit& circuit, const StageSite& stage) {
    const WiredPart& part = circuit.wiring->parts[stage.part];
    switch (part.type->pins[stage.pin].role) {
        case PinRole::push_pull:
            return can_zero | can_one;
        case PinRole::three_state:
            return can_zero | can_one | can_z;
        case PinRole::open_drain:
        case PinRole::open_drain_io:
            return can_zero | can_z;
        case PinRole::open_source:
            return can_one | can_z;
        default:  // io: no other role has a stage
            return senders.contains({part.name, stage.pin}) ? can_zero | can_one | can_z : can_z;
    }
}

void lay_islands(const Circuit& circuit, Scene& scene) {
    const Partition partition(circuit.netlist, scene.source_on);
    const std::vector<double> nominal = circuit.netlist.nominal_values();
    scene.held.assign(circuit.netlist.node_names.size(), 0.0);
    partition.fill_held(circuit.netlist, nominal, scene.held);
    for (const SupplyFeed& feed : feeds(circuit, scene.held))
        if (feed.surely()) scene.held[feed.node] = feed.least;
    scene.island_of_node.resize(circuit.netlist.node_names.size());
    for (size_t n = 0; n < scene.island_of_node.size(); ++n)
        scene.island_of_node[n] = partition.block_of(static_cast<Node>(n));
    scene.islands = islands_of(circuit, partition, scene.source_on);
}

/// Islands of more drivers than this that meet at a rail without supply are looked at branch by branch.
constexpr size_t many_drivers = 8;

void take_apart(const Circuit& circuit, Scene& scene) {
    scene.apart.assign(scene.islands.size(), false);
    for (size_t r = 0; r < circuit.rails.size(); ++r)
        if (const int i = scene.island_of_node[circuit.rails[r].node];
            i >= 0 && scene.islands[i].stage_of.size() > many_drivers)
            scene.apart[i] = true;
    if (std::ranges::find(scene.apart, true) == scene.apart.end()) return;
    const double highest = *std::ranges::max_element(scene.held);  // nothing passive lifts a rail above this
    scene.branches = branches_of(
        circuit, scene.source_on,
        [&](Node n) { return scene.island_of_node[n] >= 0 && scene.apart[scene.island_of_node[n]]; },
        highest);
}

/// Once it is known what drives: how high the whole bench lifts each rail that is down, and how it
/// loads it while everything is low.
void settle_branches(const Circuit& circuit, Scene& scene, Effort& effort) {
    for (size_t r = 0; r < circuit.rails.size(); ++r) {
        const int index = scene.island_of_node[circuit.rails[r].node];
        if (index < 0 || !scene.apart[index]) continue;
        const Island& whole = scene.islands[index];
        const Node rail = whole.local(circuit.rails[r].node);
        double top = -1, volts = 0, ohms = open_ohms;
        Levels worst;
        for (const Combination& c : combinations(circuit, scene, whole)) {
            std::vector<double> v;
            if (!solve(whole, c.levels, whole.nominal, v, effort)) continue;
            if (v[rail] < 0.1) ohms = std::min(ohms, resistance_at(whole, c.levels, whole.nominal, v, rail));
            if (v[rail] > top) top = v[rail], worst = c.levels;
        }
        if (top >= 0) volts = range_of(whole, worst, voltage_of(rail), effort).hi;
        for (Island& branch : scene.branches)
            for (const Island::StandIn& s : branch.stand_ins)
                if (s.rail == static_cast<int>(r)) branch.set_stand_in(s, s.lifted ? volts : ohms);
    }
}

}  // namespace

std::vector<Scene> scenes_of(const Bench& bench, const Circuit& circuit, Effort& effort) {
    const Senders senders = senders_of(bench, circuit);
    std::vector<Scene> scenes;
    for (const RailPattern& pattern : rail_patterns(bench, circuit)) {
        Scene scene{.words = pattern.words, .rail_up = pattern.up};
        scene.all_up = std::ranges::find(pattern.up, false) == pattern.up.end();
        scene.source_on.assign(circuit.netlist.sources, true);
        for (size_t r = 0; r < circuit.rails.size(); ++r)
            scene.source_on[circuit.netlist.devices[circuit.rails[r].source].index] = pattern.up[r];
        lay_islands(circuit, scene);
        bool silent = false;
        for (const PinSite& pin : circuit.pins)  // an analogue output without supply drives nothing
            if (pin.analog_source >= 0 && !scene.works(pin.supply))
                scene.source_on[circuit.netlist.devices[pin.analog_source].index] = false, silent = true;
        if (silent) lay_islands(circuit, scene);
        take_apart(circuit, scene);
        scene.reach.assign(circuit.stages.size(), 0);
        for (size_t s = 0; s < circuit.stages.size(); ++s) {
            if (!scene.works(circuit.stages[s].supply))
                scene.reach[s] = can_z;
            else if (circuit.stages[s].unit < 0)
                scene.reach[s] = free_levels(senders, circuit, circuit.stages[s]);
        }
        spread_levels(circuit, scene, effort);
        settle_branches(circuit, scene, effort);
        scenes.push_back(std::move(scene));
    }
    return scenes;
}

}  // namespace voltsill
