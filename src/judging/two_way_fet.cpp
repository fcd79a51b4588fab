/// A FET that joins two sides of a line, gate at the lower rail: does a low on the drain side get
/// across? Its body diode first pulls the source down to VSD above the low; then the channel must
/// conduct (AN10441 rev 01, section 2.3.1, from memory of the section number):
///
///     V gate - VSD >= VGS(th) max
///
/// The network's symmetric channel is kinder than that, so the rule stands beside it.
#include <fmt/format.h>

#include "judging/inspection.h"

namespace voltsill {
namespace {

/// Drop of a body diode at the milliamps of a pull-up (common practice).
constexpr double body_drop = 0.7;

const Rail* rail_of(const Inspection& in, NetId net) {
    return net < 0 || in.wiring.nets[net].rail.empty() ? nullptr : in.bench.rail(in.wiring.nets[net].rail);
}

bool is_signal(const Inspection& in, NetId net) {
    return net >= 0 && !in.wiring.nets[net].ground && in.wiring.nets[net].rail.empty();
}

}  // namespace

void check_two_way_fets(Inspection& in) {
    for (size_t p = 0; p < in.wiring.parts.size(); ++p) {
        const WiredPart& part = in.wiring.parts[p];
        const auto* fet = std::get_if<MosfetModel>(&part.type->model);
        if (!fet || fet->p_channel) continue;
        const auto net = [&](const char* pin) { return part.net_of_pin[part.type->pin_index(pin)]; };
        const Rail* gate = rail_of(in, net("G"));
        if (!gate || !is_signal(in, net("S")) || !is_signal(in, net("D"))) continue;
        const double left = gate->volts.span.lo.si() - body_drop, needed = fet->vth.span.hi.si();
        Finding f{.code = "fet-threshold",
                  .verdict = left < needed         ? Verdict::unreadable
                             : left < needed + 0.2 ? Verdict::thin
                                                   : Verdict::safe};
        f.value =
            Evidence{left,
                     {Certainty::common_practice, "common practice, no source (0.7 V for the body diode)"},
                     "gate drive left over the body diode"};
        f.limit = Evidence{needed, fet->vth.origin, "VGS(th) max of " + part.name};
        f.margin = left - needed;
        f.state = in.scenes[0].words;
        f.corner = fmt::format("{} {}", gate->name, say(gate->volts.span.lo));
        f.arithmetic = fmt::format("{} - 0.7 V = {}, threshold up to {}", say(gate->volts.span.lo),
                                   say(Volts{left}), say(Volts{needed}));
        f.sentence = left < needed ? fmt::format(
                                         "A low on the drain side of {} may not get across: the gate drive "
                                         "left is below its threshold.",
                                         part.name)
                                   : fmt::format("{} surely conducts when either side pulls low.", part.name);
        if (f.verdict != Verdict::safe)
            f.advice = "Use a FET with a lower threshold, or a translator with two supplies.";
        in.add(std::move(f), in.circuit.site(static_cast<int>(p), part.type->pin_index("D")));
    }
}

}  // namespace voltsill
