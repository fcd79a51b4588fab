#include "documents/part_figures.h"

#include <fmt/format.h>

#include "parts/level_text.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

std::string at_supply(const Span<Volts>& supply) { return "supply " + print(supply); }

struct Rows {
    FigureRows out;

    void add(std::string name, std::string value, const Provenance& origin, std::string at = {}) {
        out.known.push_back({std::move(name), std::move(value), std::move(at), origin});
    }
    template <class Q>
    void figure(const char* name, const Figure<Q>& f) {
        if (f.known())
            add(name, print(f.span), f.origin);
        else
            out.missing.push_back(name);
    }
    void ratio(const char* name, const Figure<double>& f) {
        if (f.known())
            add(name,
                f.span.lo == f.span.hi ? fmt::format("{:.3g}", f.span.lo)
                                       : fmt::format("{:.3g}..{:.3g}", f.span.lo, f.span.hi),
                f.origin);
        else
            out.missing.push_back(name);
    }
    void level(const char* name, const std::optional<Level>& l, const Provenance& origin) {
        if (l)
            add(name, print(*l), origin);
        else
            out.missing.push_back(name);
    }
};

bool reads(PinRole role) {
    return role == PinRole::input || role == PinRole::io || role == PinRole::open_drain_io;
}
bool drives_high(PinRole role) {
    return role == PinRole::push_pull || role == PinRole::three_state || role == PinRole::io ||
           role == PinRole::open_source;
}
bool drives_low(PinRole role) {
    return role == PinRole::push_pull || role == PinRole::three_state || role == PinRole::io ||
           role == PinRole::open_drain || role == PinRole::open_drain_io;
}

void ratings(Rows& rows, const Pin& pin) {
    rows.level("absolute maximum", pin.max, pin.limits_origin);
    rows.level("absolute minimum", pin.min, pin.limits_origin);
    if (pin.max_unpowered)
        rows.add("absolute maximum without supply", print(*pin.max_unpowered), pin.limits_origin);
    if (pin.range_max) rows.add("recommended up to", print(*pin.range_max), pin.range_origin);
    if (pin.range_min) rows.add("recommended from", print(*pin.range_min), pin.range_origin);
}

void input(Rows& rows, const Pin& pin) {
    for (const ThresholdRow& t : pin.thresholds) {
        rows.add(pin.schmitt ? "VT- min" : "VIL max", print(t.low), t.origin, at_supply(t.supply));
        rows.add(pin.schmitt ? "VT+ max" : "VIH min", print(t.high), t.origin, at_supply(t.supply));
        if (t.rising) rows.add("VT+", print(*t.rising), t.origin, at_supply(t.supply));
        if (t.falling) rows.add("VT-", print(*t.falling), t.origin, at_supply(t.supply));
    }
    if (pin.thresholds.empty() && reads(pin.role)) rows.out.missing.push_back("thresholds");
    for (const TransitionRow& t : pin.transition) {
        if (t.per_volt) rows.add("slowest edge", print(*t.per_volt), t.origin, at_supply(t.supply));
        if (t.total) rows.add("slowest edge", print(*t.total), t.origin, at_supply(t.supply));
    }
    rows.figure("capacitance", pin.capacitance);
    if (pin.input_low.known()) rows.figure("IIL, out of the pin while low", pin.input_low);
    if (pin.input_high.known()) rows.figure("IIH, into the pin while high", pin.input_high);
    if (pin.leakage.known() || !pin.input_low.known()) rows.figure("leakage", pin.leakage);
    for (const Pull& p : pin.pulls) {
        const std::string kind =
            fmt::format("{}{}", p.up ? "pull-up" : "pull-down", p.removable ? ", removable" : "");
        rows.add(kind, print(p.ohms.span), p.ohms.origin, p.at_reset ? "until software changes it" : "");
    }
}

void protection(Rows& rows, const Pin& pin) {
    if (!pin.clamp_to_supply && !pin.clamp_to_ground) return;
    const char* to = pin.clamp_to_supply && pin.clamp_to_ground ? "to supply and ground"
                     : pin.clamp_to_supply                      ? "to supply"
                                                                : "to ground";
    rows.add("protection diodes", to, pin.limits_origin);
    rows.figure("diode forward voltage", pin.clamp_forward);
    rows.figure("absolute maximum diode current", pin.clamp_max);
    rows.figure("injected current permitted", pin.injection_allowed);
}

void output(Rows& rows, const Pin& pin) {
    const auto table = [&](const char* name, const std::vector<DriveRow>& drive, bool wanted) {
        for (const DriveRow& d : drive)
            rows.add(name, print(d.level), d.origin, fmt::format("{}, {}", print(d.at), at_supply(d.supply)));
        if (drive.empty() && wanted) rows.out.missing.push_back(name);
    };
    table("VOH min", pin.high, drives_high(pin.role));
    table("VOL max", pin.low, drives_low(pin.role));
    if (pin.high_below_supply)
        rows.add("high stays below its supply by", print(*pin.high_below_supply), pin.high_below_origin);
    if (pin.low_above_ground)
        rows.add("low stays above ground by", print(*pin.low_above_ground), pin.low_above_origin);
    if (pin.static_low) rows.add("low held at", print(*pin.static_low), pin.static_low_origin);
    if (drives_high(pin.role) || drives_low(pin.role))
        rows.figure("absolute maximum output current", pin.drive_max);
    if (pin.delay_max) rows.add("propagation delay, max", print(*pin.delay_max), pin.delay_origin);
    if (pin.rise_time.known()) rows.figure("rise time, 10 to 90 %", pin.rise_time);
    if (pin.fall_time.known()) rows.figure("fall time, 10 to 90 %", pin.fall_time);
}

void analog(Rows& rows, const Pin& pin) {
    if (pin.analog_range) rows.add("output range", print(*pin.analog_range), pin.limits_origin);
    if (pin.role == PinRole::analog_output) rows.figure("output resistance", pin.output_ohms);
    if (pin.full_scale) rows.add("full scale", print(*pin.full_scale), pin.limits_origin);
    if (pin.role == PinRole::analog_input) rows.figure("largest source resistance", pin.source_ohms_max);
}

void load(Rows& rows, const LoadInput& l) {
    if (l.has_drop())
        rows.figure(l.to_supply ? "diode drops of the load to supply" : "diode drops of the load to ground",
                    l.forward);
    rows.figure(l.has_drop()    ? "load resistance"
                : l.to_supply   ? "load resistance to supply"
                                : "load resistance to ground",
                l.ohms);
    if (l.inductive) rows.add("inductive", "its current goes on when it is switched off", l.ohms.origin);
    rows.figure("on above", l.on_above);
    rows.figure("surely off below", l.off_below);
}

struct ModelRows {
    Rows& rows;
    const Provenance& origin;

    void operator()(const std::monostate&) const {}
    void operator()(const ResistorModel& m) const {
        if (m.ohms) rows.add("resistance", print(*m.ohms), origin);
        rows.add("tolerance", "± " + print_percent(m.tolerance), origin);
        rows.add("power, at most", print(m.power_max), origin);
    }
    void operator()(const CapacitorModel& m) const {
        if (m.farads) rows.add("capacitance", print(*m.farads), origin);
    }
    void operator()(const DiodeModel& m) const {
        if (m.forward.known())
            rows.add("forward voltage", print(m.forward.span), m.forward.origin, print(m.at));
        else
            rows.out.missing.push_back("forward voltage");
        rows.figure("largest forward current", m.current_max);
        rows.add("reverse voltage, at most", print(m.reverse_max), origin);
    }
    void operator()(const BjtModel& m) const {
        rows.ratio("current gain", m.beta);
        rows.figure("VBE", m.vbe);
        rows.figure("largest collector current", m.current_max);
        rows.add("VCE, at most", print(m.vce_max), origin);
    }
    void operator()(const MosfetModel& m) const {
        rows.figure("threshold VGS(th)", m.vth);
        if (m.rds.known())
            rows.add("on resistance", print(m.rds.span), m.rds.origin, "VGS " + print(m.rds_at));
        else
            rows.out.missing.push_back("on resistance");
        rows.figure("body diode forward voltage", m.body_forward);
        rows.figure("largest drain current", m.current_max);
        rows.add("VDS, at most", print(m.vds_max), origin);
        rows.add("VGS, at most", print(m.vgs_max), origin);
        rows.figure("gate capacitance", m.gate_capacitance);
    }
    void operator()(const OptoModel& m) const {
        rows.figure("LED forward voltage", m.forward);
        rows.ratio("current transfer ratio", m.ctr);
        rows.figure("largest LED current", m.led_max);
        rows.add("turn-off time", print(m.turn_off), origin);
        rows.add("VCE, at most", print(m.vce_max), origin);
    }
    void operator()(const AmplifierModel& m) const {
        rows.figure("headroom to the supply", m.headroom_top);
        rows.figure("headroom to ground", m.headroom_bottom);
        rows.add("output", m.open_collector ? "open collector" : "push-pull", origin);
    }
    void operator()(const PassGateModel& m) const {
        rows.figure("threshold of the gate", m.vth);
        rows.figure("on resistance", m.on);
        rows.figure("pull-up inside, side A", m.pull_a);
        rows.figure("pull-up inside, side B", m.pull_b);
    }
    void operator()(const KeeperModel& m) const { rows.figure("keeper resistance", m.ohms); }
};

}  // namespace

FigureRows figures_of(const SupplyPort& supply) {
    Rows rows;
    rows.add("operating range", print(supply.range), supply.origin);
    rows.add("absolute maximum", fmt::format("{} to {}", print(supply.min), print(supply.max)),
             supply.max_origin);
    rows.figure("current", supply.current);
    if (supply.provides) {
        rows.add("provides", print(*supply.provides), supply.origin);
        rows.figure("provides at most", supply.provides_limit);
    }
    if (!supply.needs_at_most.empty()) rows.add("may not exceed", supply.needs_at_most, supply.origin);
    return std::move(rows.out);
}

FigureRows figures_of(const Pin& pin) {
    if (pin.role == PinRole::supply || pin.role == PinRole::ground || pin.role == PinRole::no_connect ||
        pin.role == PinRole::passive)
        return {};
    Rows rows;
    ratings(rows, pin);
    input(rows, pin);
    output(rows, pin);
    protection(rows, pin);
    analog(rows, pin);
    if (pin.load) load(rows, *pin.load);
    return std::move(rows.out);
}

FigureRows figures_of_model(const PartType& type) {
    Rows rows;
    std::visit(ModelRows{rows, type.origin}, type.model);
    if (type.rate_max.si() > 0)
        rows.add("useful data rate", print(type.rate_max),
                 weakest(type.origin, {Certainty::common_practice, "common practice, no source"}),
                 "on a solderless board");
    if (type.supply_current_max.known())
        rows.add("current of supply and ground pins, absolute maximum", print(type.supply_current_max.span),
                 type.supply_current_max.origin);
    return std::move(rows.out);
}

}  // namespace voltsill
