/// Edges of outputs, delays of logic, and where inputs switch.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "network/devices.h"
#include "quantity/print.h"
#include "wiring/assumed.h"
#include "wiring/timing_steps.h"

namespace voltsill {
namespace {

constexpr double ten_to_ninety = 0.8;  ///< share of a straight ramp between 10 and 90 %

struct Edges {
    Timing& t;

    Span<double> edge_of(const Pin& p, const Figure<Seconds>& stated, Provenance& origin) const {
        if (stated.known()) {
            origin = stated.origin;
            return numbers_of(stated.span);
        }
        if (!p.delay_max) {
            origin = assumed::guess;
            return assumed::edge_seconds;
        }
        origin = weakest(p.delay_origin, assumed::practice);
        return scaled(assumed::edge_share_of_delay, p.delay_max->si());
    }
    void add_stage(StageId id) {
        const StageSite& site = t.out.circuit.stages[id];
        const Pin& p = t.wiring.parts[site.part].type->pins[site.pin];
        const std::string& name = t.net().stages[id].name;
        Switching how;
        Provenance origin;
        if (p.curves) use_clamps(site, p.curves->typical);
        if (p.curves && p.curves->typical.rising && p.curves->typical.falling) {
            how.rise_curve = curve(*p.curves->typical.rising);
            how.fall_curve = curve(*p.curves->typical.falling);
            how.rise = t.parameter(name + " rising edge", duration(*p.curves, true), p.curves->origin);
            how.fall = t.parameter(name + " falling edge", duration(*p.curves, false), p.curves->origin);
        } else {
            const Span<double> rise = edge_of(p, p.rise_time, origin);
            how.rise = t.parameter(name + " rising edge", scaled(rise, 1 / ten_to_ninety), origin);
            const Span<double> fall = edge_of(p, p.fall_time, origin);
            how.fall = t.parameter(name + " falling edge", scaled(fall, 1 / ten_to_ninety), origin);
        }
        t.out.dynamics.stages.push_back(how);  // they come in the order of the circuit's
    }
    /// Tables of an IBIS model, in place of diodes through one printed point.
    void use_clamps(const StageSite& owner, const OutputCorner& typical) {
        const PinSite& site = t.out.circuit.site(owner.part, owner.pin);
        use_clamp(site.clamp_up, site.node, site.supply, typical.supply_clamp);
        use_clamp(site.clamp_down, site.node, site.ground, typical.ground_clamp);
    }
    /// Current from the net into the pin, in place of a diode.
    void use_clamp(DeviceId id, Node pin_node, Node reference, const IvCurve& c) {
        if (id < 0 || c.volts.size() < 2) return;
        Device& d = t.net().devices[id];
        d.kind = DeviceKind::table;
        d.nodes = {pin_node, reference};
        d.params = {no_param, no_param, no_param, no_param};
        d.table = t.net().add_table({c.volts, c.amps});
    }
    int curve(const SwitchingCurve& c) {
        t.out.dynamics.curves.push_back({c.up, c.down});
        return static_cast<int>(t.out.dynamics.curves.size()) - 1;
    }
    static Span<double> duration(const OutputCurves& c, bool rising) {
        const auto of = [&](const OutputCorner& corner, double otherwise) {
            const auto& edge = rising ? corner.rising : corner.falling;
            return edge ? edge->duration : otherwise;
        };
        const double typical = of(c.typical, 0.0), slow = of(c.slow, typical), fast = of(c.fast, typical);
        return {std::min({fast, slow, typical}), typical, std::max({fast, slow, typical})};
    }
    void add_unit(std::size_t unit) {
        const UnitSite& site = t.out.circuit.units[unit];
        const LogicUnit& u = t.net().units[unit];
        UnitTiming timing;
        for (const LogicInput& input : u.inputs) timing.inputs.push_back(switch_point(site.part, input));
        const StageSite& stage = t.out.circuit.stages[u.outputs.front()];
        const Pin& p = t.wiring.parts[stage.part].type->pins[stage.pin];
        const Span<double> delay =
            p.delay_max ? scaled(assumed::delay_share, p.delay_max->si()) : assumed::delay_seconds;
        // The slow end is the printed one, and late levels are what costs.
        const Provenance origin = p.delay_max ? p.delay_origin : assumed::guess;
        timing.to_high = t.parameter(u.name + " delay to high", delay, origin);
        timing.to_low = t.parameter(u.name + " delay to low", delay, origin);
        timing.to_off = timing.to_low;
        t.out.dynamics.units.push_back(std::move(timing));
    }
    /// CMOS switches at one voltage somewhere between VIL and VIH, a Schmitt input at two. The offset side
    /// of a repeater does not read its own low: it switches below that.
    SwitchPoint switch_point(int part, const LogicInput& input) {
        const Parameter vil = t.net().parameters[input.vil], vih = t.net().parameters[input.vih];
        const double lo = std::min(vil.nominal, vih.nominal), hi = std::max(vil.nominal, vih.nominal),
                     mid = 0.5 * (lo + hi);
        const std::string name = vil.name.substr(0, vil.name.rfind(' '));
        const PinSite* site = t.site_at(part, input.pin);
        const double supply = site ? t.volts_of(site->supply) : 0.0;
        if (site && t.pin(*site).static_low && !input.schmitt) {
            const double own = t.pin(*site).static_low->at(Volts{supply}).si(),
                         below = std::min(lo, 0.75 * own);
            const ParamId at = t.parameter(name + " threshold", {below, 0.5 * (below + own), 0.95 * own},
                                           weakest(t.pin(*site).static_low_origin, assumed::guess));
            return {at, at};
        }
        const Provenance& limits = weakest(vil.origin, vih.origin);
        if (!input.schmitt) {
            const ParamId at = t.parameter(name + " threshold", {lo, mid, hi}, limits);
            return {at, at};
        }
        Span<double> rising{mid, 0.5 * (mid + hi), hi}, falling{lo, 0.5 * (lo + mid), mid};
        Provenance bands = weakest(limits, assumed::guess);
        if (site)
            for (const ThresholdRow& row : t.pin(*site).thresholds)
                if (row.rising && row.falling && row.supply.lo.si() <= supply &&
                    supply <= row.supply.hi.si()) {
                    rising = numbers_of(*row.rising);
                    falling = numbers_of(*row.falling);
                    bands = row.origin;
                }
        return {t.parameter(name + " VT+", rising, bands), t.parameter(name + " VT-", falling, bands)};
    }
};

}  // namespace

void add_edges(Timing& t) {
    for (StageId s = 0; s < static_cast<StageId>(t.out.circuit.stages.size()); ++s) Edges{t}.add_stage(s);
}

void add_delays(Timing& t) {
    for (std::size_t u = 0; u < t.net().units.size(); ++u) Edges{t}.add_unit(u);
}

}  // namespace voltsill
