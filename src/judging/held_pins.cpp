/// Pins tied straight to a rail or to ground: inputs at a supply they do not stand, outputs that a supply
/// holds down or up.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "judging/inspection.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

const RailSite* rail_at(const Inspection& in, Node node) {
    for (const RailSite& r : in.circuit.rails)
        if (r.node == node) return &r;
    return nullptr;
}

/// Straps, enables, inputs at a supply.
void held_pin(Inspection& in, const Scene& scene, const PinSite& site) {
    const Pin& pin = in.pin(site);
    if (!pin.max || site.supply < 0 || !scene.powered(site.supply)) return;
    const RailSite* on = rail_at(in, site.node);
    const RailSite* own = rail_at(in, site.supply);
    if (!on || !own || on == own) return;
    const auto span_of = [&](const RailSite& r) { return in.bench.rail(r.name)->volts; };
    const Volts v = span_of(*on).span.hi, limit = pin.max->at(span_of(*own).span.lo);
    if (v <= limit) return;
    Finding f{.code = "over-voltage", .verdict = Verdict::harmful};
    f.value = Evidence{v.si(), span_of(*on).origin, "highest voltage of rail " + on->name};
    f.limit = Evidence{limit.si(), pin.limits_origin, "absolute maximum of " + in.label(site)};
    f.margin = (limit - v).si();
    f.state = scene.words;
    f.corner = fmt::format("{} {}, {} {}", on->name, say(v), own->name, say(span_of(*own).span.lo));
    f.arithmetic = fmt::format("{} - {} = {} over", say(v), say(limit), say(v - limit));
    f.sentence = fmt::format("{} is tied to rail {} ({}), but its levels follow rail {}: it stands {}.",
                             in.label(site), on->name, say(v), own->name, say(limit));
    f.advice = fmt::format("Tie it to rail {}.", own->name);
    in.add(std::move(f), site);
}

/// An output whose node a supply holds carries what its strongest kind gives over the whole supply:
/// nothing but its own resistance limits it.
void held_output(Inspection& in, const Scene& scene, const PinSite& site) {
    if (site.stage < 0) return;
    const Stage& stage = in.circuit.netlist.stages[site.stage];
    for (Node n : {stage.supply, stage.ground})
        if (n > 0 && scene.island_of_node[n] >= 0) return;  // judged in its island
    std::vector<double> values = in.circuit.netlist.nominal_values();
    for (ParamId p : {stage.up_strength, stage.down_strength})
        if (p != no_param) values[p] = in.circuit.netlist.parameters[p].hi;
    std::vector<double> volts = scene.held;
    for (const RailSite& r : in.circuit.rails)
        volts[r.node] = in.bench.rail(r.name)->volts.span.hi.si();
    double worst = 0;
    Logic at = Logic::Z;
    for (Logic level : {Logic::zero, Logic::one})
        if (scene.reach[site.stage] & bit(level)) {
            const double amps = std::abs(stage_current(in.circuit.netlist, values, level, volts, site.stage));
            if (amps > worst) worst = amps, at = level;
        }
    const Pin& pin = in.pin(site);
    const bool rated = pin.drive_max.known();
    if (worst < 2e-3 || (rated && worst <= pin.drive_max.span.hi.si())) return;
    const RailSite* on = rail_at(in, site.node);
    const std::string held_by = on ? "rail " + on->name : "ground";
    Finding f{.code = "output-overload", .verdict = Verdict::harmful, .dimension = Dimension::current};
    f.value = Evidence{worst,
                       {Certainty::assumed, "strongest output assumed four times the guaranteed"},
                       "current of " + in.label(site)};
    if (rated)
        f.limit =
            Evidence{pin.drive_max.span.hi.si(), pin.drive_max.origin, "absolute maximum output current"};
    f.margin = (rated ? pin.drive_max.span.hi.si() : 0.0) - worst;
    f.state = fmt::format("{}; {} {}", scene.words, in.label(site), at == Logic::one ? "high" : "low");
    f.arithmetic = rated ? fmt::format("{} against {}", print(Amps{worst}), print(Amps{f.limit->value}))
                         : fmt::format("up to {}", print(Amps{worst}));
    f.sentence = fmt::format("{} is tied to {} and can say the opposite: up to {} flows.", in.label(site),
                             held_by, print(Amps{worst}));
    f.advice = "An output goes to inputs, never to a supply or to ground.";
    in.add(std::move(f), site);
}

}  // namespace

void check_held_pins(Inspection& in) {
    const Scene& scene = in.scenes[0];
    for (const PinSite& site : in.circuit.pins) {
        if (site.node < 0 || scene.island_of_node[site.node] >= 0) continue;
        held_pin(in, scene, site);
        held_output(in, scene, site);
    }
}

}  // namespace voltsill
