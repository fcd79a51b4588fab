/// What the network takes from rails, island by island: at the combination in which most flows, at its worst corner.
#include <algorithm>

#include "judging/solved.h"

namespace voltsill {
namespace {

/// Less than this is nothing a supply notices.
constexpr double least_draw = 1e-6;

/// The links whose signal is on the island, "pump, lamp"; "resistors" without any.
std::string links_on(const Inspection& in, const Island& island) {
    std::vector<std::string> names;
    for (const int site : island.pins) {
        const NetId net = in.net(in.circuit.pins[site]);
        if (net < 0) continue;
        for (const std::string& name : in.links_of_net[net])
            if (std::ranges::find(names, name) == names.end()) names.push_back(name);
    }
    std::string words;
    for (const std::string& name : names) words += (words.empty() ? "" : ", ") + name;
    return words.empty() ? "resistors" : words;
}

}  // namespace

void add_rail_draws(Inspection& in, const SolvedIsland& all) {
    const Island& island = all.island;
    for (const RailSite& rail : in.circuit.rails) {
        const DeviceId source = island.local_device(rail.source);
        if (source < 0) continue;
        // The source's own current flows into its plus; what it delivers is the other way.
        const auto most = hardest(all, [&](size_t c) {
            return std::max(0.0, -device_current(island.net, island.nominal, State{.levels = all.combos[c].levels},
                                                 all.volts[c], source));
        });
        if (!most || most->amps < least_draw) continue;
        const Range range = device_range(island, all.combos[most->at].levels, source, in.effort);
        in.network_draws[rail.name].emplace_back(range.solved ? std::max(most->amps, -range.lo) : most->amps,
                                                 links_on(in, island));
    }
}

}  // namespace voltsill
