#include "judging/steady.h"

namespace voltsill {

std::optional<SteadyVolts> steady_volts(Inspection& in, const Scene& scene, const PinSite& site) {
    const int index = scene.island_of_node[site.node];
    if (index < 0) return SteadyVolts{scene.held[site.node]};
    const Island& island = scene.islands[index];
    std::vector<double> volts;
    if (!island.stage_of.empty() || !solve(island, {}, island.nominal, volts, in.effort)) return std::nullopt;
    SteadyVolts out{volts[island.local(site.node)]};
    for (ParamId p : island.varying) out.origin = weakest(out.origin, island.net.parameters[p].origin);
    return out;
}

Logic steady_level(Inspection& in, const Scene& scene, const PinSite& site) {
    const auto at = steady_volts(in, scene, site);
    return at ? read_level(in.pin(site), Volts{at->volts}, supply_volts(scene, site)) : Logic::X;
}

}  // namespace voltsill
