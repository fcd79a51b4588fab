#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

#include "judging/inspection.h"

namespace voltsill {
namespace {

/// Every net a link's signal is on: the ends' nets, and those behind channels and resistors.
void name_nets(Inspection& in) {
    in.links_of_net.resize(in.wiring.nets.size());
    const auto note = [&](NetId net, const std::string& link) {
        if (net < 0 || in.wiring.nets[net].ground || !in.wiring.nets[net].rail.empty()) return;
        auto& names = in.links_of_net[net];
        if (std::ranges::find(names, link) == names.end()) names.push_back(link);
    };
    for (size_t k = 0; k < in.bench.links.size(); ++k) {
        const Link& link = in.bench.links[k];
        for (const auto* ends : {&link.from, &link.to})
            for (const PinRef& end : *ends)
                if (const PinSite* site = in.site_of(end)) note(in.net(*site), link.name);
        for (int index : in.traces[k].islands)
            for (int s : in.scenes[0].islands[index].pins) note(in.net(in.circuit.pins[s]), link.name);
    }
}

/// Orders the findings, worst first, and hands them to their links; what has none is shared.
void conclude(Judgement& out) {
    std::vector<int> order(out.findings.size());
    for (size_t k = 0; k < order.size(); ++k) order[k] = static_cast<int>(k);
    std::ranges::stable_sort(order, [&](int a, int b) {
        const Finding &x = out.findings[a], &y = out.findings[b];
        if (x.verdict != y.verdict) return x.verdict > y.verdict;
        if (x.verdict == Verdict::safe) return false;
        // What happens with every rail up comes first: that is the state a person meets.
        const bool x_up = x.state.starts_with("all rails up"), y_up = y.state.starts_with("all rails up");
        return x_up != y_up ? x_up : x.margin < y.margin;
    });
    std::unordered_map<std::string_view, LinkJudgement*> link_of;
    for (LinkJudgement& link : out.links) link_of.emplace(link.link, &link);
    for (int k : order) {
        const Finding& f = out.findings[k];
        out.verdict = worse(out.verdict, f.verdict);
        const auto link = link_of.find(f.link);
        if (f.link.empty() || link == link_of.end()) {
            out.shared.push_back(k);
        } else {
            link->second->findings.push_back(k);
            link->second->verdict = worse(link->second->verdict, f.verdict);
        }
    }
}

}  // namespace

Judgement judge(const Bench& bench, const Wiring& wiring) {
    Inspection in{.bench = bench, .wiring = wiring, .circuit = lower(bench, wiring)};
    in.index();
    in.scenes = scenes_of(bench, in.circuit, in.effort);
    for (const Link& link : bench.links) {
        in.out.links.push_back({.link = link.name});
        in.traces.push_back(trace_link(in, in.scenes[0], link));
    }
    name_nets(in);
    check_limits(in);
    check_levels(in);
    check_back_powering(in);
    check_buses(in);
    check_two_way_fets(in);
    check_analog(in);
    check_loads(in);
    check_supplies(in);
    check_open_pins(in);
    check_loops(in);
    conclude(in.out);
    in.out.states_solved = in.effort.solves;
    if (!in.effort.trouble.empty()) {
        in.out.trouble = in.out.trouble.empty() ? in.effort.trouble : in.out.trouble;
        in.out.verdict = worse(in.out.verdict, Verdict::unknown);
    }
    return std::move(in.out);
}

std::vector<StateReading> readings(const Bench& bench, const Wiring& wiring) {
    Inspection in{.bench = bench, .wiring = wiring, .circuit = lower(bench, wiring)};
    in.scenes = scenes_of(bench, in.circuit, in.effort);
    std::vector<StateReading> out;
    for (const Scene& scene : in.scenes) {
        for (const RailSite& rail : in.circuit.rails) {
            const auto& v = bench.rail(rail.name)->volts.span;
            StateReading r{.point = "rail " + rail.name, .net = "rail " + rail.name, .state = scene.words};
            const int index = scene.island_of_node[rail.node];
            if (index < 0) r.lo = v.lo.si(), r.nominal = v.nominal.si(), r.hi = v.hi.si(), r.level = '1';
            if (index < 0) out.push_back(r);
        }
        for (const Island& island : scene.islands)
            for (const Combination& c : combinations(in.circuit, scene, island))
                for (int s : island.pins) {
                    const PinSite& site = in.circuit.pins[s];
                    if (in.net(site) < 0) continue;
                    const Node node = island.local(site.node);
                    const Range v = range_of(island, c.levels, Functional{.terms = {{node, 1.0}}}, in.effort);
                    if (!v.solved) continue;
                    const bool floats = resistance_at(island, c.levels, node, in.effort) >= open_ohms;
                    const Volts supply = supply_volts(scene, site);
                    const Logic level = floats            ? Logic::Z
                                        : supply.si() > 0 ? read_level(in.pin(site), Volts{v.nominal}, supply)
                                                          : Logic::X;
                    out.push_back({.point = in.label(site),
                                   .net = wiring.nets[in.net(site)].name,
                                   .state = fmt::format("{}; {}", scene.words, c.words),
                                   .lo = v.lo,
                                   .nominal = v.nominal,
                                   .hi = v.hi,
                                   .level = to_char(level)});
                }
    }
    return out;
}

}  // namespace voltsill
