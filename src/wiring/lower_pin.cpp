/// What hangs on a single pin: output stage, protection diodes, pulls, loads, analogue source.
#include <fmt/format.h>

#include <algorithm>

#include "quantity/print.h"
#include "wiring/assumed.h"
#include "wiring/lower.h"
#include "wiring/output_side.h"

namespace voltsill {
namespace {

bool drives_up(PinRole role) {
    return role == PinRole::push_pull || role == PinRole::three_state || role == PinRole::io ||
           role == PinRole::open_source;
}
bool drives_down(PinRole role) {
    return role == PinRole::push_pull || role == PinRole::three_state || role == PinRole::io ||
           role == PinRole::open_drain || role == PinRole::open_drain_io;
}

/// A bipolar TTL high comes from a node some diode drops below the supply, and never takes current
/// back: the pull-up hangs there, and loses almost nothing more up to its printed current.
void hang_below_supply(Lowering& l, const Pin& pin, Stage& stage) {
    Netlist& net = l.circuit.netlist;
    const auto& drop = *pin.high_below_supply;
    const Node below = net.add_node(stage.name + " high");
    const ParamId fallen = l.figure(stage.name + " drop of a high", numbers_of(drop), pin.high_below_origin);
    net.parameters[fallen].lo_origin = &assumed::least_drop;
    net.add({.kind = DeviceKind::source,
             .nodes = {stage.supply, below},
             .params = {fallen, net.add_constant(1.0)},
             .name = stage.name + " high"});
    stage.supply = below;
    const double amps = pin.high.empty() ? assumed::drive_current.si() : pin.high.front().at.si();
    stage.up_table = l.constant_table({-10.0, 0.0, 0.05}, {-1e-8, 0.0, amps});
    stage.up_strength = no_param;
    stage.up_strong_table = -1;
}

/// The low of a Darlington does not come nearer to ground than its base-emitter junction: the pull-down hangs above
/// ground, and its rows hold for that at its most.
void hang_above_ground(Lowering& l, const Pin& pin, Stage& stage) {
    Netlist& net = l.circuit.netlist;
    const Node above = net.add_node(stage.name + " low");
    const ParamId lifted =
        l.figure(stage.name + " foot of a low", numbers_of(*pin.low_above_ground), pin.low_above_origin);
    net.add({.kind = DeviceKind::source,
             .nodes = {above, stage.ground},
             .params = {lifted, net.add_constant(0.01)},
             .name = stage.name + " low"});
    stage.ground = above;
}

void add_stage(Lowering& l, int part, int pin_index, PinSite& site) {
    const Pin& pin = l.wiring.parts[part].type->pins[pin_index];
    const bool up = drives_up(pin.role), down = drives_down(pin.role);
    if (!up && !down) return;
    const Span<Volts> supply = l.supply_volts(part, pin.supply);
    Stage stage{.name = l.name(part, pin_index),
                .pin = l.node(part, pin_index),
                .supply = pin.supply >= 0 ? l.supply_node(part, pin.supply) : ground_node,
                .ground = l.ground_node_of(part),
                .strongest = assumed::drive_strength.hi};
    const Span<Volts> reference =
        supply.nominal > Volts{} ? supply
        : l.wiring.parts[part].type->supplies.empty()
            ? Span<Volts>::exactly(Volts{3.3})
            : Span<Volts>::exactly(l.wiring.parts[part].type->supplies[0].range.nominal);
    if (up) {
        const OutputSide side = output_side(l, pin, true, reference, stage.name + " high strength");
        stage.up_table = side.table, stage.up_strength = side.strength, stage.up_strong_table = side.strong_table;
    }
    const Node powering = stage.supply;
    if (up && pin.high_below_supply) hang_below_supply(l, pin, stage);
    if (down) {
        const OutputSide side = output_side(l, pin, false, reference, stage.name + " low strength");
        stage.down_table = side.table, stage.down_strength = side.strength, stage.down_strong_table = side.strong_table;
    }
    if (down && pin.low_above_ground && !pin.curves && !pin.static_low) hang_above_ground(l, pin, stage);
    site.stage = l.circuit.netlist.add_stage(std::move(stage));
    l.circuit.stages.push_back({.part = part,
                                .pin = pin_index,
                                .supply = powering,
                                .can_release = pin.role != PinRole::push_pull,
                                .can_pull_up = up,
                                .can_pull_down = down});
}

void add_protection(Lowering& l, int part, int pin_index, PinSite& site) {
    const Pin& pin = l.wiring.parts[part].type->pins[pin_index];
    const std::string name = l.name(part, pin_index);
    const Provenance& origin = pin.clamp_forward.origin;
    const Node node = l.node(part, pin_index);
    if (pin.clamp_to_supply && pin.supply >= 0)
        site.clamp_up =
            l.circuit.netlist.diode(name + " clamp to supply", node, l.supply_node(part, pin.supply),
                                    l.figure(name + " clamp", numbers_of(pin.clamp_forward.span), origin));
    const int cathode = pin.flyback.empty() ? -1 : l.wiring.parts[part].type->pin_index(pin.flyback);
    const auto& nets = l.wiring.parts[part].net_of_pin;
    if (cathode >= 0 && nets[cathode] != unconnected && nets[pin_index] != unconnected) {
        const Figure<Volts>& drop = pin.clamp_forward;
        site.flyback = l.circuit.netlist.diode(
            name + " flyback diode", node, l.node(part, cathode),
            l.figure(name + " flyback diode", drop.known() ? numbers_of(drop.span) : assumed::flyback_drop,
                     drop.known() ? origin : assumed::practice));
    }
    if (pin.clamp_to_ground)
        site.clamp_down =
            l.circuit.netlist.diode(name + " clamp to ground", l.ground_node_of(part), node,
                                    l.figure(name + " clamp", numbers_of(pin.clamp_forward.span), origin));
}

void add_pulls(Lowering& l, int part, int pin_index, PinSite& site) {
    const WiredPart& wired = l.wiring.parts[part];
    const Pin& pin = wired.type->pins[pin_index];
    const bool removed = std::ranges::find(wired.pulls_removed, pin.name) != wired.pulls_removed.end();
    for (const Pull& pull : pin.pulls) {
        if (pull.at_reset || (removed && pull.removable)) continue;
        const std::string name = fmt::format("{} pull-{}", l.name(part, pin_index), pull.up ? "up" : "down");
        const Node far = pull.up ? l.supply_node(part, pin.supply) : l.ground_node_of(part);
        site.pulls.push_back(
            l.circuit.netlist.resistor(name, far, l.node(part, pin_index),
                                       l.figure(name, numbers_of(pull.ohms.span), pull.ohms.origin)));
    }
}

/// V: a diode without any drop has no law.
constexpr double least_drop = 1e-3;

void add_load(Lowering& l, int part, int pin_index, PinSite& site) {
    const Pin& pin = l.wiring.parts[part].type->pins[pin_index];
    if (!pin.load) return;
    const std::string name = l.name(part, pin_index);
    const Node far = pin.load->to_supply ? l.supply_node(part, pin.supply) : l.ground_node_of(part);
    const Node near = l.node(part, pin_index);
    const ParamId ohms =
        l.figure(name + " load resistor", numbers_of(pin.load->ohms.span), pin.load->ohms.origin);
    if (!pin.load->has_drop()) {
        site.load = l.circuit.netlist.resistor(name + " load", pin.load->to_supply ? far : near,
                                               pin.load->to_supply ? near : far, ohms);
        return;
    }
    const Node mid = l.circuit.netlist.add_node(name + " load");
    Span<double> volts = numbers_of(pin.load->forward.span);
    volts.lo = std::max(volts.lo, least_drop), volts.nominal = std::max(volts.nominal, least_drop);
    const ParamId drop = l.figure(name + " load drop", volts, pin.load->forward.origin);
    if (pin.load->to_supply)
        l.circuit.netlist.diode(name + " load", far, mid, drop);
    else
        l.circuit.netlist.diode(name + " load", mid, far, drop);
    site.load = l.circuit.netlist.resistor(name + " load", pin.load->to_supply ? mid : near,
                                           pin.load->to_supply ? near : mid, ohms);
}

/// A slider at the end of its track still has contacts and wires (common practice).
Span<double> at_least_an_ohm(Span<double> ohms) {
    return {std::max(ohms.lo, 1.0), std::max(ohms.nominal, 1.0), std::max(ohms.hi, 1.0)};
}

void add_analog_source(Lowering& l, int part, int pin_index, PinSite& site) {
    const Pin& pin = l.wiring.parts[part].type->pins[pin_index];
    if (pin.role != PinRole::analog_output) return;
    const std::string name = l.name(part, pin_index);
    const Volts top = l.supply_volts(part, pin.supply).hi;
    const Span<Volts> range = pin.analog_range.value_or(Span<Volts>::between(Volts{}, top));
    const ParamId volts = l.figure(name + " output", numbers_of(range), pin.limits_origin);
    const ParamId ohms =
        pin.output_ohms.known()
            ? l.figure(name + " output resistance", at_least_an_ohm(numbers_of(pin.output_ohms.span)),
                       pin.output_ohms.origin)
            : l.figure(name + " output resistance", assumed::analog_ohms, assumed::guess);
    site.analog_source =
        l.circuit.netlist.source(name, l.node(part, pin_index), l.ground_node_of(part), volts, ohms);
}

bool in_a_channel(const PartType& type, int pin) {
    return std::ranges::any_of(type.channels, [&](const Channel& c) {
        return std::ranges::find(c.inputs, pin) != c.inputs.end() || c.output == pin || c.direction == pin ||
               std::ranges::find(c.enables, pin) != c.enables.end();
    });
}

/// Comparators and op amps bring their own output device (lower_channels.cpp).
bool amplifier_output(const PartType& type, int pin) {
    return std::holds_alternative<AmplifierModel>(type.model) &&
           std::ranges::any_of(type.channels, [&](const Channel& c) { return c.output == pin; });
}

}  // namespace

void lower_pin(Lowering& l, int part, int pin_index) {
    const WiredPart& wired = l.wiring.parts[part];
    const Pin& pin = wired.type->pins[pin_index];
    if (wired.net_of_pin[pin_index] == unconnected && !in_a_channel(*wired.type, pin_index)) return;
    if (pin.role == PinRole::supply || pin.role == PinRole::ground || pin.role == PinRole::no_connect ||
        pin.role == PinRole::passive)
        return;
    const int site_index = l.circuit.site_of[part][pin_index];
    PinSite site = l.circuit.pins[site_index];
    site.node = l.node(part, pin_index);
    site.supply = pin.supply >= 0 ? l.supply_node(part, pin.supply) : ground_node;
    site.ground = l.ground_node_of(part);
    const bool driven_by_model = amplifier_output(*wired.type, pin_index);
    if (!driven_by_model) add_stage(l, part, pin_index, site);
    add_protection(l, part, pin_index, site);
    add_pulls(l, part, pin_index, site);
    add_load(l, part, pin_index, site);
    if (!driven_by_model) add_analog_source(l, part, pin_index, site);
    l.circuit.pins[site_index] = std::move(site);
}

}  // namespace voltsill
