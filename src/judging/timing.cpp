/// Set-up time at the stated rate, and edges of inputs behind gates and bases, run over time where a first
/// estimate says that it could matter.
#include <fmt/format.h>

#include <algorithm>

#include "judging/inspection.h"
#include "quantity/print.h"
#include "signals/setup_time.h"

namespace voltsill {
namespace {

constexpr double comfortable = 0.2;  ///< share of a bit that should be left (common practice)

/// Made when the first link asks for it.
const TimedCircuit& timed(Inspection& in) {
    if (!in.timed) {
        in.timed = std::make_unique<TimedCircuit>(lower_timed(in.bench, in.wiring));
        in.timed_partition = std::make_unique<Partition>(in.timed->circuit.netlist, std::vector<bool>{});
    }
    return *in.timed;
}

std::string costly_words(const SetupTime& time, std::string (*words)(double)) {
    std::string out;
    for (std::size_t k = 0; k < std::min<std::size_t>(3, time.costly.size()); ++k)
        out += fmt::format("{}{} costs {}", k ? ", " : "", time.costly[k].first, words(time.costly[k].second));
    return out;
}

void add_finding(Inspection& in, const Link& link, const LinkSetup& setup, const SetupTime& time) {
    const auto receiver = std::ranges::find(setup.points, PointRole::receiver, &TracePoint::role);
    const PinSite& site = in.circuit.pins[setup.sites[receiver - setup.points.begin()].site];
    Finding f = in.finding("setup-time", link, in.scenes[0], site, Dimension::time);
    f.verdict = time.worst < 0                             ? Verdict::unreadable
                : time.worst < comfortable * time.bit_time ? Verdict::thin
                                                           : Verdict::safe;
    f.value = Evidence{time.worst, time.origin, "set-up time left, searched worst case over time"};
    f.limit = Evidence{0.0,
                       {Certainty::common_practice, "a level has to be there before its bit ends"},
                       "the end of the bit"};
    f.margin = time.worst;
    f.bound_exact = false;
    f.corner = costly_words(time, [](double x) { return print(Seconds{x}); });
    const auto left = [&](double seconds) {  // a bit that is never read counts as minus one bit
        return seconds <= -time.bit_time ? std::string("a bit is missed altogether")
                                         : fmt::format("{} left", print(Seconds{seconds}));
    };
    f.arithmetic =
        fmt::format("a bit of {}; every figure at its nominal: {}; the costly ones at their ends: {}",
                    print(Seconds{time.bit_time}), left(time.nominal), left(time.worst));
    f.sentence =
        time.worst < 0
            ? fmt::format(
                  "From {} a level can come too late: its bit is over before every receiver reads it.",
                  setup.points[0].label)
            : fmt::format("From {} a level is there {} before its bit ends.", setup.points[0].label,
                          print(Seconds{time.worst}));
    if (f.verdict != Verdict::safe)
        f.advice =
            "Lower the rate, the resistance of pull-ups or dividers, or the capacitance; or use a faster "
            "part.";
    in.add(std::move(f));
}

void add_edge_finding(Inspection& in, const Link& link, const SlowedEdge& edge, const SetupTime& time) {
    const double allowed = edge.allowed, worst = allowed - time.worst;
    Finding f = in.finding("edge-rate", link, in.scenes[0], *edge.site, Dimension::time_per_voltage);
    f.verdict = worst > 2 * allowed * (1 - 1e-9) ? Verdict::unreadable
                : worst > allowed                ? Verdict::thin
                                                 : Verdict::safe;
    f.value = Evidence{
        worst, time.origin,
        fmt::format("slowest edge at {}, {}", in.label(*edge.site),
                    time.searched ? "searched worst case over time" : "over time, every figure at its nominal")};
    f.limit = Evidence{allowed, edge.origin, "input transition limit"};
    f.margin = time.worst;
    f.bound_exact = false;
    f.corner = costly_words(time, [](double x) { return print(SecondsPerVolt{x}); });
    f.arithmetic = fmt::format("every figure at its nominal: {}; the costly ones at their ends: {}; allowed {}",
                               print(SecondsPerVolt{allowed - time.nominal}), print(SecondsPerVolt{worst}),
                               print(SecondsPerVolt{allowed}));
    f.sentence = f.verdict == Verdict::safe
                     ? fmt::format("Edges at {} are fast enough for its input.", in.label(*edge.site))
                     : fmt::format(
                           "What has to move before {} makes its edges slower than its input allows: {}, so it "
                           "may chatter or oscillate.",
                           in.label(*edge.site), print(SecondsPerVolt{worst}));
    if (f.verdict != Verdict::safe)
        f.advice = "Lower the resistance before the gate or base, or use a Schmitt-trigger input.";
    in.add(std::move(f));
}

}  // namespace

void check_setup(Inspection& in, const Link& link) {
    const TimedCircuit& circuit = timed(in);
    for (const PinRef& from : drivers_of(link)) {
        const LinkSetup setup = set_up(in.bench, circuit, *in.timed_partition, link, from);
        if (!setup.trouble.empty()) continue;
        if (std::ranges::none_of(setup.points, [](const TracePoint& p) {
                return p.role == PointRole::receiver && p.vil && p.vih;
            }))
            continue;
        const SetupTime time = setup_time(setup, bit_rate(link).bit_time(), comfortable);
        if (time.trouble.empty() && time.searched) add_finding(in, link, setup, time);
    }
}

void check_slowed_edges(Inspection& in, const Link& link, std::span<const SlowedEdge> slowed, double bit_time) {
    const TimedCircuit& circuit = timed(in);
    for (const PinRef& from : drivers_of(link)) {
        const LinkSetup setup = set_up(in.bench, circuit, *in.timed_partition, link, from);
        if (!setup.trouble.empty()) continue;
        for (std::size_t k = 0; k < setup.points.size(); ++k) {
            const PinSite& here = in.circuit.pins[setup.sites[k].site];
            const auto edge = std::ranges::find(slowed, &here, &SlowedEdge::site);
            if (edge == slowed.end() || !setup.points[k].vil || !setup.points[k].vih) continue;
            const SetupTime time = edge_left(setup, bit_time, k, edge->allowed);
            if (time.trouble.empty()) add_edge_finding(in, link, *edge, time);
        }
    }
}

}  // namespace voltsill
