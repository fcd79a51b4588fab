#include "judging/rail_currents.h"

#include <algorithm>
#include <set>

#include "judging/power_order.h"
#include "judging/settled_levels.h"

namespace voltsill {
namespace {

void add(RailCurrent& rail, CurrentShare share) {
    rail.lo += share.lo, rail.nominal += share.nominal, rail.hi += share.hi;
    rail.shares.push_back(std::move(share));
}

/// What the islands on a rail take from its source: each at its least and most over what can be said.
CurrentShare network_share(const Circuit& circuit, const Scene& scene, const SettledLevels& rest,
                           const RailSite& rail, Effort& effort) {
    CurrentShare share{.what = "network"};
    for (size_t i = 0; i < scene.islands.size(); ++i) {
        const Island& island = scene.islands[i];
        const DeviceId source = island.local_device(rail.source);
        if (source < 0) continue;
        // The source's own current flows into its plus; what it delivers is the other way.
        double lo = 0, hi = 0;
        bool first = true;
        for (const Combination& c : combinations(circuit, scene, island)) {
            const Range r = device_range(island, c.levels, source, effort);
            if (!r.solved) continue;
            lo = first ? -r.hi : std::min(lo, -r.hi);
            hi = first ? -r.lo : std::max(hi, -r.lo);
            first = false;
        }
        std::vector<double> volts;
        const Levels levels = rest.levels_in(rest.islands()[i]).front();
        double nominal = lo;
        if (solve(island, levels, island.nominal, volts, effort))
            nominal = -device_current(island.net, island.nominal, State{.levels = levels}, volts, source);
        share.lo += lo, share.hi += hi, share.nominal += std::clamp(nominal, lo, hi);
    }
    return share;
}

/// A made rail counts where its maker is fed, makers behind makers first.
void pass_on(const Bench& bench, std::vector<RailCurrent>& rails) {
    std::set<std::string> passed;
    const auto at = [&](const std::string& name) {
        return std::ranges::find(rails, name, &RailCurrent::rail);
    };
    for (bool grew = true; grew;) {
        grew = false;
        for (const Rail& rail : bench.rails) {
            const Rail* feeder = feeder_of(bench, rail);
            if (!feeder || passed.contains(rail.name)) continue;
            const bool waits = std::ranges::any_of(bench.rails, [&](const Rail& other) {
                return feeder_of(bench, other) == &rail && !passed.contains(other.name);
            });
            if (waits) continue;
            const RailCurrent& made = *at(rail.name);
            const auto taken = [](double amps) {
                return std::max(0.0, amps);
            };  // makers give, never take back
            add(*at(feeder->name), {"rail " + rail.name, taken(made.lo), taken(made.nominal), taken(made.hi)});
            passed.insert(rail.name);
            grew = true;
        }
    }
}

}  // namespace

CurrentShare held_share(const Circuit& circuit, const Scene& scene, const RailSite& rail) {
    CurrentShare share{.what = "resistors"};
    // What a rail may be; the ground, and a rail that is down, are what they are held at.
    const auto volts_of = [&](Node node) {
        const auto site = std::ranges::find(circuit.rails, node, &RailSite::node);
        if (site == circuit.rails.end() || scene.held[node] == 0)
            return Parameter{.lo = scene.held[node], .nominal = scene.held[node], .hi = scene.held[node]};
        return circuit.netlist.parameters[circuit.netlist.devices[site->source].params[0]];
    };
    for (const Device& d : circuit.netlist.devices) {
        if (d.kind != DeviceKind::resistor || d.name.ends_with(" at rest")) continue;
        for (const int end : {0, 1}) {
            const Node here = d.nodes[end], there = d.nodes[1 - end];
            if (here != rail.node || scene.island_of_node[there] >= 0) continue;
            const Parameter& ohms = circuit.netlist.parameters[d.params[0]];
            const Parameter from = volts_of(here), to = volts_of(there);
            const double least = from.lo - to.hi, most = from.hi - to.lo;
            share.nominal += (from.nominal - to.nominal) / ohms.nominal;
            share.lo += least / (least > 0 ? ohms.hi : ohms.lo);
            share.hi += most / (most > 0 ? ohms.lo : ohms.hi);
        }
    }
    return share;
}

std::vector<SupplyDraw> supply_draws(const Wiring& wiring, NetId net) {
    std::vector<SupplyDraw> draws;
    for (const WiredPart& part : wiring.parts)
        for (size_t s = 0; s < part.type->supplies.size(); ++s) {
            if (part.type->supplies[s].provides) continue;
            for (size_t k = 0; k < part.type->pins.size(); ++k) {
                const Pin& pin = part.type->pins[k];
                if (pin.role != PinRole::supply || pin.supply != static_cast<int>(s) ||
                    part.net_of_pin[k] != net)
                    continue;
                draws.push_back({part.name, part.type->supplies[s].current});
                break;
            }
        }
    return draws;
}

double limit_to_set(const RailCurrent& current, const Rail& rail) {
    const double wanted = 1.5 * current.hi + 20e-3;
    return rail.limit ? std::min(wanted, rail.limit->si()) : wanted;
}

std::vector<RailCurrent> rail_currents(const Bench& bench, const Wiring& wiring) {
    SettledLevels rest(bench, wiring);
    rest.tell({});
    Effort effort;
    const std::vector<Scene> scenes = scenes_of(bench, rest.circuit(), effort);
    const Scene& scene = scenes.front();
    std::vector<RailCurrent> rails;
    for (const Rail& rail : bench.rails) {
        RailCurrent& out = rails.emplace_back(RailCurrent{.rail = rail.name, .source = rail.from.empty()});
        const NetId net = wiring.rail(rail.name);
        if (net < 0) continue;
        for (const SupplyDraw& draw : supply_draws(wiring, net)) {
            const Span<Amps>& amps = draw.current.span;
            if (draw.current.known())
                add(out, {draw.part, surely_drawn * amps.lo.si(), amps.nominal.si(), amps.hi.si()});
            else
                out.silent.push_back(draw.part);
        }
        for (const RailSite& site : rest.circuit().rails)
            if (site.name == rail.name) {
                add(out, network_share(rest.circuit(), scene, rest, site, effort));
                add(out, held_share(rest.circuit(), scene, site));
            }
    }
    pass_on(bench, rails);
    return effort.trouble.empty() ? rails : std::vector<RailCurrent>{};
}

}  // namespace voltsill
