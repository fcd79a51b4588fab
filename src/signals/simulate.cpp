#include "signals/simulate.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "signals/link_run.h"

namespace voltsill {
namespace {

struct Job {
    const Link* link;
    PinRef from;
};

std::vector<Job> jobs_of(const Bench& bench, const SimulateOptions& options) {
    std::vector<Job> jobs;
    for (const Link& link : bench.links)
        if (options.links.empty() || std::ranges::find(options.links, link.name) != options.links.end())
            for (const PinRef& from : drivers_of(link)) jobs.push_back({&link, from});
    return jobs;
}

const Measured* find(const LinkTrace& trace, MeasureKind kind) {
    for (const Measured& m : trace.measures)
        if (m.kind == kind && std::ranges::any_of(trace.points, [&](const TracePoint& p) {
                return p.label == m.point && p.role == PointRole::receiver;
            }))
            return &m;
    return nullptr;
}

/// Skew of a group: latest less earliest of its links' delays. Samples of different links are drawn
/// apart, so the bound is the slowest sample of one less the quickest of another.
void add_group_skews(const Bench& bench, std::vector<LinkTrace>& traces) {
    std::map<std::string, std::vector<LinkTrace*>> groups;
    for (LinkTrace& trace : traces)
        if (const Link* link = bench.link(trace.link); link && !link->group.empty() && trace.trouble.empty())
            groups[link->group].push_back(&trace);
    for (const auto& [name, members] : groups) {
        if (members.size() < 2) continue;
        Measured out{.kind = MeasureKind::skew};
        for (const MeasureKind kind : {MeasureKind::delay_rise, MeasureKind::delay_fall}) {
            std::optional<double> first, last, lo, hi;
            for (const LinkTrace* trace : members)
                if (const Measured* m = find(*trace, kind); m && m->nominal) {
                    first = std::min(first.value_or(*m->nominal), *m->nominal);
                    last = std::max(last.value_or(*m->nominal), *m->nominal);
                    if (m->lo && m->hi) {
                        lo = std::min(lo.value_or(*m->lo), *m->lo);
                        hi = std::max(hi.value_or(*m->hi), *m->hi);
                    }
                }
            if (first && last) out.nominal = std::max(out.nominal.value_or(0.0), *last - *first);
            if (lo && hi) out.hi = std::max(out.hi.value_or(0.0), *hi - *lo);
        }
        if (!out.nominal) out.why = fmt::format("no two links of group {} have an edge in common", name);
        for (LinkTrace* trace : members) trace->measures.push_back(out);
    }
}

}  // namespace

std::vector<LinkTrace> simulate_links(const Bench& bench, const Wiring& wiring,
                                      const SimulateOptions& options, const Progress& progress) {
    const TimedCircuit timed = lower_timed(bench, wiring);
    const Partition partition(timed.circuit.netlist, {});
    const std::vector<Job> jobs = jobs_of(bench, options);
    std::vector<LinkTrace> out;
    for (std::size_t k = 0; k < jobs.size(); ++k) {
        const Link& link = *jobs[k].link;
        bool go_on = true;
        const LinkProgress tell = [&](double share) {
            if (progress && go_on)
                go_on =
                    progress((static_cast<double>(k) + share) / static_cast<double>(jobs.size()), link.name);
            return go_on;
        };
        const LinkSetup setup = set_up(bench, timed, partition, link, jobs[k].from);
        if (setup.trouble.empty()) {
            out.push_back(run_link(timed, link, setup, options, tell));
        } else {
            const bool first = k == 0 || jobs[k - 1].link != jobs[k].link;
            // Of the ends of a line, those that only listen are no news.
            if (first || (k + 1 == jobs.size() && out.empty()))
                out.push_back({.link = link.name,
                               .rate = options.rate.value_or(bit_rate(link).rate),
                               .trouble = setup.trouble});
        }
        if (!tell(1.0)) {
            if (k + 1 < jobs.size() && !out.empty()) out.back().cancelled = true;
            break;
        }
    }
    add_group_skews(bench, out);
    return out;
}

}  // namespace voltsill
