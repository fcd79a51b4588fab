#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <set>
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

/// A part the wrong way round conducts at every pin: one finding says it, not two a pin and state.
void keep_cause_of_reversed(std::vector<Finding>& findings) {
    static constexpr std::string_view consequences[] = {"over-voltage", "over-voltage-unpowered",
                                                        "under-voltage", "no-common-ground"};
    std::set<std::string> reversed;
    for (const Finding& f : findings)
        if (f.code == "supply-reversed") reversed.insert(f.part);
    std::erase_if(findings, [&](const Finding& f) {
        return reversed.contains(f.part) && std::ranges::count(consequences, f.code) > 0;
    });
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
        if (link == link_of.end()) {
            out.shared.push_back(k);
        } else {
            link->second->findings.push_back(k);
            link->second->verdict = worse(link->second->verdict, f.verdict);
        }
    }
}

void trace_links(Inspection& in) {
    for (const Link& link : in.bench.links) {
        in.out.links.push_back({.link = link.name});
        in.traces.push_back(trace_link(in, in.scenes[0], link));
    }
    name_nets(in);
}

}  // namespace

Judgement judged(Inspection& in) {
    trace_links(in);
    check_limits(in);
    check_levels(in);
    check_back_powering(in);
    check_buses(in);
    check_two_way_fets(in);
    check_analog(in);
    check_loads(in);
    check_supplies(in);
    check_held_pins(in);
    check_open_pins(in);
    check_loops(in);
    keep_cause_of_reversed(in.out.findings);
    conclude(in.out);
    in.out.states_solved = in.effort.solves;
    if (!in.effort.trouble.empty()) {
        in.out.trouble = in.out.trouble.empty() ? in.effort.trouble : in.out.trouble;
        in.out.verdict = worse(in.out.verdict, Verdict::unknown);
    }
    return std::move(in.out);
}

namespace {

/// The checks that can find harm, the quick ones first; what else they find tells of no link.
void check_harm(Inspection& in) {
    for (const auto check : {check_held_pins, check_limits, check_back_powering})
        if (!in.answered) check(in);
}

std::vector<bool> loose_rails(const Bench& bench, const Inspection& in) {
    std::vector<bool> loose(bench.rails.size());
    for (const Scene& scene : in.scenes)
        for (size_t r = 0; r < in.circuit.rails.size(); ++r)
            for (size_t b = 0; b < bench.rails.size(); ++b)
                if (!scene.rail_up[r] && bench.rails[b].name == in.circuit.rails[r].name) loose[b] = true;
    return loose;
}

}  // namespace

Inspection inspect(const Bench& bench, const Wiring& wiring, SolutionMemory* memory) {
    Inspection in{.bench = bench, .wiring = wiring, .circuit = lower(bench, wiring)};
    in.effort.memory = memory;
    in.index();
    in.scenes = scenes_of(bench, in.circuit, in.effort);
    return in;
}

Judgement judge(const Bench& bench, const Wiring& wiring) {
    Inspection in = inspect(bench, wiring);
    return judged(in);
}

HarmFindings judge_harm(const Bench& bench, const Wiring& wiring, const Elsewhere* elsewhere,
                        std::vector<Share>* shares, SolutionMemory* memory) {
    Inspection in = inspect(bench, wiring, memory);
    in.elsewhere = elsewhere;
    in.shares = shares;
    in.links_of_net.resize(wiring.nets.size());
    check_supplies(in);
    check_harm(in);
    HarmFindings out{.trouble = in.effort.trouble, .loose_rails = loose_rails(bench, in)};
    for (Finding& f : in.out.findings)
        if (f.verdict == Verdict::harmful || f.verdict == Verdict::unknown)
            out.findings.push_back(std::move(f));
    return out;
}

/// Enough for every state of some twenty unknowns; a bench whose common ground is missing has more.
constexpr double most_work_of_a_cut = 1e6;

namespace {

/// Of a cut, before its scenes: what is answered without them costs nothing.
Inspection inspect_cut(const Bench& bench, const Wiring& wiring, const Elsewhere& elsewhere,
                       SolutionMemory& memory) {
    Inspection in{.bench = bench, .wiring = wiring, .circuit = lower(bench, wiring)};
    in.index();
    in.elsewhere = &elsewhere;
    in.effort.memory = &memory;
    in.effort.most_work = most_work_of_a_cut;
    in.links_of_net.resize(wiring.nets.size());
    return in;
}

}  // namespace

AnyHarm judge_any_harm(const Bench& bench, const Wiring& wiring, const Elsewhere& elsewhere,
                       const Counts& counts, bool worst_case, SolutionMemory& memory) {
    Inspection in = inspect_cut(bench, wiring, elsewhere, memory);
    in.nominal_fights = !worst_case;
    AnyHarm out;
    in.enough = [&](const Finding& f) {
        const bool harm = f.verdict == Verdict::harmful;
        if ((!harm && (f.verdict != Verdict::unknown || out.first)) || !counts(f)) return false;
        out.first = f;
        return harm;
    };
    check_supplies(in);  // before any network is looked at
    if (in.answered) return out;
    in.scenes = scenes_of(bench, in.circuit, in.effort);
    check_harm(in);
    out.trouble = in.effort.trouble;
    return out;
}

std::vector<Finding> judge_until_unreadable(const Bench& bench, const Wiring& wiring,
                                            const Elsewhere& elsewhere, const Counts& counts,
                                            SolutionMemory& memory) {
    Inspection in = inspect_cut(bench, wiring, elsewhere, memory);
    std::vector<Finding> found;
    in.enough = [&](const Finding& f) {
        if (f.verdict == Verdict::safe || !counts(f)) return false;
        found.push_back(f);
        return f.verdict == Verdict::unreadable;
    };
    check_supplies(in);
    if (!in.answered) {
        in.scenes = scenes_of(bench, in.circuit, in.effort);
        trace_links(in);
        for (const auto check : {check_open_pins, check_two_way_fets, check_loads, check_analog, check_loops,
                                 check_buses, check_levels, check_back_powering, check_limits})
            if (!in.answered) check(in);
    }
    std::ranges::stable_sort(found, std::greater{}, &Finding::verdict);
    return found;
}

}  // namespace voltsill
