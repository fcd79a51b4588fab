/// Operational amplifiers on the way of an analogue link: where the output cannot follow, the loop opens.
///
///     V(plus) - V(minus) = 0 while feedback holds; beyond, what the output lacks is left over at its inputs
///
/// An amplifier without feedback is always beyond, to both sides: it is a comparator, and meant to be.
#include <fmt/format.h>

#include <cmath>

#include "judging/inspection.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// What is left over at the inputs of a loop that holds: offsets and a gain of 10,000 stay below.
constexpr double loop_holds = 50e-3;

}  // namespace

void check_clipping(Inspection& in, const Scene& scene, const Link& link, const PinSite& site, const Island& island,
                    const Levels& levels) {
    for (const Device& d : island.net.devices) {
        if (d.kind != DeviceKind::amplifier) continue;
        const Node out = d.nodes[0], plus = d.nodes[1], minus = d.nodes[2];
        const Functional left_over{{{plus, 1.0}, {minus, -1.0}}, 0.0};
        const Range left = range_of(island, levels, left_over, in.effort);
        const bool top = left.hi > loop_holds, bottom = left.lo < -loop_holds;
        if (!left.solved || top == bottom) continue;
        const std::vector<double>& corner = top ? left.at_hi : left.at_lo;
        std::vector<double> volts;
        if (!solve(island, levels, corner, volts, in.effort)) continue;
        const Volts reached{volts[out]}, asked{volts[plus]}, fed{volts[minus]};
        Finding f = in.finding("amplifier-clips", link, scene, site, Dimension::voltage);
        f.verdict = Verdict::unreadable;
        f.value = Evidence{volts[plus], origin_of(island, levels, corner, left_over, in.effort),
                           "voltage at the plus input of " + d.name};
        f.limit = Evidence{volts[minus], f.value->origin, "what its output lets the minus input reach"};
        f.margin = -std::abs((asked - fed).si());
        f.corner = corner_words(island, corner);
        f.bound_exact = left.exact;
        f.arithmetic = fmt::format("{} - {} = {} that the output, at {}, cannot follow", say(asked), say(fed),
                                   say(asked - fed), say(reached));
        f.sentence = fmt::format("{} stops at {}: {} of the range of {} is lost.", d.name, say(reached),
                                 top ? "the top" : "the bottom", link.name);
        f.advice = top ? "Divide the voltage before the amplifier, give it a higher supply, or take one whose output "
                         "reaches its supply."
                       : "Keep the lowest voltage above what its output reaches, or take one whose output reaches "
                         "ground.";
        in.add(std::move(f));
    }
}

}  // namespace voltsill
