#include "judging/link_readings.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "judging/inspection.h"

namespace voltsill {

std::optional<StateReading> reading_of(Inspection& in, const Scene& scene, const Combination& combination,
                                       const PinSite& site, const Range& range, bool floats) {
    if (in.net(site) < 0 || !range.solved) return std::nullopt;
    const Volts supply = supply_volts(scene, site);
    const Logic level = floats            ? Logic::Z
                        : supply.si() > 0 ? read_level(in.pin(site), Volts{range.nominal}, supply)
                                          : Logic::X;
    return StateReading{.point = in.label(site),
                        .net = in.wiring.nets[in.net(site)].name,
                        .state = fmt::format("{}; {}", scene.words, combination.words),
                        .lo = range.lo,
                        .nominal = range.nominal,
                        .hi = range.hi,
                        .level = to_char(level)};
}

namespace {

struct AlongLinks {
    Inspection& in;
    const Scene& scene;  ///< all rails up
    std::vector<LinkReading> out;

    std::optional<StateReading> reading_at(const Island& island, const Combination& combination, const PinSite& site) {
        const Node node = island.local(site.node);
        const Range range = leaky_range(in, scene, island, combination.levels, node);
        const bool floats = range.solved && resistance_at(island, combination.levels, node, in.effort) >= open_ohms;
        return reading_of(in, scene, combination, site, range, floats);
    }

    void add(const Link& link, const PinSite& driver, char set, const Hop& hop, bool high) {
        const Island& island = scene.islands[hop.island];
        const Levels& levels = high ? hop.high : hop.low;
        const PinSite& site = in.circuit.pins[hop.site];
        auto reading = reading_at(island, combination_of(in.circuit, island, levels), site);
        if (!reading) return;
        LinkReading r{link.name, in.label(driver), set, hop.receiver, std::move(*reading), {}};
        const bool reads = &site != &driver && in.pin(site).role != PinRole::analog_input;
        if (const auto limits = thresholds_over(in.pin(site), supply_span(in, scene, site));
            limits && reads && !in.pin(site).load) {
            const Volts supply = supply_volts(scene, site);
            r.threshold = (high != hop.inverted ? limits->high : limits->low).at(supply).si();
        }
        out.push_back(std::move(r));
    }

    /// One driver of a link alone, the others let go.
    void driven(const Link& link, const PinRef& driver) {
        const PinSite* from = in.site_of(driver);
        if (!from || from->stage < 0) return;
        Link alone = link;
        alone.kind = LinkKind::logic;
        alone.from = {driver};
        for (const PinRef& end : link.from)
            if (!(end == driver)) alone.to.push_back(end);
        std::erase(alone.to, driver);
        const Trace trace = trace_link(in, scene, alone);
        const bool lets_go = !in.circuit.stages[from->stage].can_pull_up;
        for (const bool high : {true, false}) {
            std::set<int> seen;
            for (const Hop& hop : trace.hops)
                if (seen.insert(hop.site).second)
                    add(link, *from, !high ? '0' : lets_go ? 'Z' : '1', hop, high);
        }
    }

    /// An analogue source gives any voltage of its range: one reading spans them all.
    void analog(const Link& link) {
        for (const auto* ends : {&link.from, &link.to})
            for (const PinRef& end : *ends) {
                const PinSite* site = in.site_of(end);
                const int index = site && site->node >= 0 ? scene.island_of_node[site->node] : -1;
                if (index < 0) continue;
                const Island& island = scene.islands[index];
                for (const Combination& c : combinations(in.circuit, scene, island))
                    if (auto r = reading_at(island, c, *site))
                        out.push_back({link.name,
                                       link.from.front().part + "." + link.from.front().pin,
                                       'A',
                                       ends == &link.to,
                                       std::move(*r),
                                       {}});
            }
    }
};

}  // namespace

std::vector<LinkReading> link_readings(const Bench& bench, const Wiring& wiring) {
    Inspection in = inspect(bench, wiring);
    AlongLinks along{in, in.scenes.front(), {}};
    for (const Link& link : bench.links) {
        if (link.kind == LinkKind::analog) {
            along.analog(link);
            continue;
        }
        for (const PinRef& driver : link.from) along.driven(link, driver);
        if (link.kind == LinkKind::open_drain || link.kind == LinkKind::two_way)
            for (const PinRef& driver : link.to) along.driven(link, driver);
    }
    return std::move(along.out);
}

}  // namespace voltsill
