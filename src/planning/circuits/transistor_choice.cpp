#include "planning/circuits/transistor_choice.h"

#include <fmt/format.h>

#include <algorithm>

#include "quantity/print.h"

namespace voltsill {
namespace {

bool carries(const Figure<Amps>& most, Amps amps) { return !most.known() || most.span.hi >= amps; }

/// VOH min of a side at a current, between the printed rows and on beyond the last; 0.4 V lost at 2 mA without any.
Volts high_at(const Side& side, double amps) {
    const Volts rail = side.volts.lo;
    const auto curve = drive_curve(*side.facts, true, rail);
    if (!curve || curve->points.size() < 2) return rail - Volts{0.4 * amps / 2e-3};
    const auto& p = curve->points;
    size_t k = 1;
    while (k + 1 < p.size() && p[k].current.si() < amps) ++k;
    const double share = (amps - p[k - 1].current.si()) / (p[k].current - p[k - 1].current).si();
    return rail - (p[k - 1].drop + (p[k].drop - p[k - 1].drop) * share);
}

/// A drop this small is a contact's, not a diode's (common practice): the load may be a coil.
constexpr Volts least_diode_drop{0.3};

}  // namespace

TypePtr fet_for(const Bench& bench, Volts drive, Volts off, Amps amps) {
    const auto fets = types_of(bench, PartKind::mosfet, [&](const PartType& t) {
        const MosfetModel& m = std::get<MosfetModel>(t.model);
        return !m.p_channel && m.vth.span.hi < drive - Volts{0.3} && m.vds_max > off && carries(m.current_max, amps);
    });
    return fets.empty() ? nullptr : fets.front();
}

TypePtr npn_for(const Bench& bench, Volts off, Amps amps) {
    const auto types = types_of(bench, PartKind::bjt, [&](const PartType& t) {
        const BjtModel& m = std::get<BjtModel>(t.model);
        return !m.pnp && m.vce_max > off && carries(m.current_max, amps);
    });
    return types.empty() ? nullptr : types.front();
}

double base_resistor(const Crossing& c, const PartType& npn, double collector_amps) {
    const double over = (surely_high(c.driver()) - std::get<BjtModel>(npn.model).vbe.span.hi).si();
    return resistor_at_most(*c.bench, std::clamp(over / (collector_amps / 10), 1e3, 10e3));
}

BaseDrive base_drive(const Crossing& c, const PartType& npn, double collector_amps, double hold_ohms) {
    const BjtModel& m = std::get<BjtModel>(npn.model);
    const double tolerance = resistor_stock(*c.bench).tolerance;
    BaseDrive out{.base_amps = collector_amps / 10 + m.vbe.span.hi.si() / hold_ohms};
    out.high = high_at(c.driver(), out.base_amps);
    const double left = (out.high - m.vbe.span.hi).si();
    const std::string needs = fmt::format("a tenth of {} into the base of {} is {}", print(Amps{collector_amps}),
                                          npn.name, print(Amps{out.base_amps}));
    if (left <= 0) {
        out.refusal = fmt::format("{}; {} gives {} there, and VBE takes {}", needs, c.driver().label(),
                                  print(std::max(Volts{}, out.high)), print(m.vbe.span.hi));
        return out;
    }
    out.ohms = resistor_at_most(*c.bench, left / out.base_amps / (1 + tolerance));
    const double most = (c.driver().volts.hi - m.vbe.span.lo).si() / (out.ohms * (1 - tolerance));
    if (const Figure<Amps>& stands = c.driver().facts->drive_max; stands.known() && most > stands.span.hi.si())
        out.refusal = fmt::format("{}; {} by {} may have to give {} and stands {}", needs, c.driver().label(),
                                  print(Ohms{out.ohms}), print(Amps{most}), print(stands.span.hi));
    return out;
}

std::string add_flyback(const Crossing& c, Recipe& r, double amps) {
    const LoadInput& load = *c.receiver().facts->load;
    if (!load.inductive) {
        if (load.forward.span.hi < least_diode_drop)
            r.cautions.push_back(
                "A motor, relay or solenoid needs a diode beside it, cathode at the plus: say `inductive = "
                "true` in its load, and it is planned and checked.");
        return {};
    }
    const Volts most = c.receiver().volts.hi;
    const auto diodes = types_of(*c.bench, PartKind::diode, [&](const PartType& t) {
        const DiodeModel& m = std::get<DiodeModel>(t.model);
        return !m.led && carries(m.current_max, Amps{amps}) && m.reverse_max > most;
    });
    if (diodes.empty())
        return fmt::format("no diode in the catalogue carries {} on when the load is switched off", print(Amps{amps}));
    r.cautions.push_back("The diode's cathode goes to the plus: turned round it shorts the rail when the load is on.");
    const bool to_supply = load.to_supply;
    const std::string rail = c.receiver().rail, name = c.link->name;
    r.assemble = [rest = r.assemble, diode = diodes.front(), to_supply, rail, name](Wiring& w, NetId d, NetId rx) {
        rest(w, d, rx);
        add_discrete(w, diode, "D", {{"A", to_supply ? rx : w.ground()}, {"K", to_supply ? w.rail(rail) : rx}},
                     "lets the current of " + name + " go on when it is switched off");
    };
    return {};
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
