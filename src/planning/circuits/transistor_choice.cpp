#include "planning/circuits/transistor_choice.h"

#include <fmt/format.h>

#include <algorithm>

#include "quantity/print.h"

namespace voltsill {

TypePtr fet_for(const Bench& bench, Volts drive, Volts off) {
    const auto fets = types_of(bench, PartKind::mosfet, [&](const PartType& t) {
        const MosfetModel& m = std::get<MosfetModel>(t.model);
        return !m.p_channel && m.vth.span.hi < drive - Volts{0.3} && m.vds_max > off;
    });
    return fets.empty() ? nullptr : fets.front();
}

TypePtr npn_for(const Bench& bench, Volts off) {
    const auto types = types_of(bench, PartKind::bjt, [&](const PartType& t) {
        const BjtModel& m = std::get<BjtModel>(t.model);
        return !m.pnp && m.vce_max > off;
    });
    return types.empty() ? nullptr : types.front();
}

double base_resistor(const Crossing& c, const PartType& npn, double collector_amps) {
    const double over = (surely_high(c.driver()) - std::get<BjtModel>(npn.model).vbe.span.hi).si();
    return resistor_at_most(*c.bench, std::clamp(over / (collector_amps / 10), 1e3, 10e3));
}

std::string gate_words(Volts drive, const PartType& fet) {
    return fmt::format("gate drive {} against VGS(th) max {} of {}", print(drive),
                       print(std::get<MosfetModel>(fet.model).vth.span.hi), fet.name);
}

std::string no_fet(Volts drive) {
    return fmt::format("no N-channel FET has a threshold surely 0.3 V below a gate drive of {}",
                       print(drive));
}

}  // namespace voltsill
