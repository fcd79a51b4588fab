/// Set-up time at the stated rate, run over time where a first estimate says that it could matter.
#include <fmt/format.h>

#include <algorithm>

#include "judging/inspection.h"
#include "quantity/print.h"
#include "signals/setup_time.h"

namespace voltsill {
namespace {

constexpr double comfortable = 0.2;  ///< share of a bit that should be left (common practice)

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
    for (std::size_t k = 0; k < std::min<std::size_t>(3, time.costly.size()); ++k)
        f.corner += fmt::format("{}{} costs {}", k ? ", " : "", time.costly[k].first,
                                print(Seconds{time.costly[k].second}));
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

}  // namespace

void check_setup(Inspection& in, const Link& link) {
    if (!in.timed) {
        in.timed = std::make_unique<TimedCircuit>(lower_timed(in.bench, in.wiring));
        in.timed_partition = std::make_unique<Partition>(in.timed->circuit.netlist, std::vector<bool>{});
    }
    for (const PinRef& from : drivers_of(link)) {
        const LinkSetup setup = set_up(in.bench, *in.timed, *in.timed_partition, link, from);
        if (!setup.trouble.empty()) continue;
        if (std::ranges::none_of(setup.points, [](const TracePoint& p) {
                return p.role == PointRole::receiver && p.vil && p.vih;
            }))
            continue;
        const SetupTime time = setup_time(setup, bit_rate(link).bit_time(), comfortable);
        if (time.trouble.empty() && time.searched) add_finding(in, link, setup, time);
    }
}

}  // namespace voltsill
