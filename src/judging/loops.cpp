/// Logic that feeds back into itself: a ring that never comes to rest is a finding, not a hang.
///
/// Units are joined by "an output of one is read by the other". Only where that graph has a circle is the
/// whole network settled over {0,1,X,Z} (network/dc.h), once with every free driver low and once high.
#include <fmt/format.h>

#include <algorithm>

#include "judging/inspection.h"

namespace voltsill {
namespace {

using Graph = std::vector<std::vector<int>>;

Graph readers_of_units(const Inspection& in, const Scene& scene) {
    const auto& units = in.circuit.netlist.units;
    std::vector<std::vector<int>> reading(in.circuit.netlist.node_names.size());
    for (size_t u = 0; u < units.size(); ++u)
        for (const LogicInput& input : units[u].inputs) reading[input.pin].push_back(static_cast<int>(u));
    Graph graph(units.size());
    for (size_t u = 0; u < units.size(); ++u)
        for (StageId s : units[u].outputs) {
            const Node out = in.circuit.netlist.stages[s].pin;
            const int island = scene.island_of_node[out];
            if (island < 0) continue;
            for (int pin : scene.islands[island].pins)
                for (int v : reading[in.circuit.pins[pin].node]) {
                    const UnitSite &from = in.circuit.units[u], &to = in.circuit.units[v];
                    const ChannelLogic logic = in.wiring.parts[from.part].type->channels[from.channel].logic;
                    // The two directions of one transceiver, keeper or repeater channel are no loop.
                    const bool own = from.part == to.part && from.channel == to.channel;
                    const bool two_way = logic == ChannelLogic::transceiver ||
                                         logic == ChannelLogic::auto_push_pull ||
                                         logic == ChannelLogic::repeater;
                    if (!(own && two_way)) graph[u].push_back(v);
                }
        }
    return graph;
}

/// A unit on a circle; -1: none. Units that nothing unfinished feeds are taken off until none is left to
/// take.
int on_a_circle(const Graph& graph) {
    std::vector<int> feeders(graph.size());
    for (const auto& readers : graph)
        for (int v : readers) ++feeders[v];
    std::vector<int> free;
    for (size_t u = 0; u < graph.size(); ++u)
        if (feeders[u] == 0) free.push_back(static_cast<int>(u));
    for (size_t k = 0; k < free.size(); ++k)
        for (int v : graph[free[k]])
            if (--feeders[v] == 0) free.push_back(v);
    for (size_t u = 0; u < graph.size(); ++u)
        if (feeders[u] > 0) return static_cast<int>(u);
    return -1;
}

}  // namespace

void check_loops(Inspection& in) {
    const Scene& scene = in.scenes[0];
    const int unit = on_a_circle(readers_of_units(in, scene));
    if (unit < 0) return;
    for (const bool high : {false, true}) {
        State state{.source_on = scene.source_on};
        for (size_t s = 0; s < in.circuit.stages.size(); ++s) {
            const LevelSet set = in.circuit.stages[s].unit < 0 ? scene.reach[s] : can_z;
            const LevelSet wanted = high ? can_one : can_zero;
            state.levels.push_back(set & wanted ? (high ? Logic::one : Logic::zero) : Logic::Z);
        }
        const DcSolution rest = settle(in.circuit.netlist, in.circuit.netlist.nominal_values(), state);
        if (rest.status != DcStatus::oscillates) continue;
        Finding f{.code = "oscillates", .verdict = Verdict::unreadable, .dimension = Dimension::ratio};
        f.part = in.wiring.parts[in.circuit.units[unit].part].name;
        f.state = fmt::format("{}; free drivers {}", scene.words, high ? "high" : "low");
        f.arithmetic = fmt::format("no level fits all of: {}", rest.trouble);
        f.sentence = fmt::format("The loop through {} never comes to rest: it oscillates.", rest.trouble);
        f.advice = "Break the loop, or keep it on purpose and do not read it as a level.";
        in.add_for_part(f);
        return;
    }
}

}  // namespace voltsill
