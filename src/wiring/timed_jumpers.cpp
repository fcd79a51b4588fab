/// Jumpers to receivers as LC sections, and probes.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "quantity/print.h"
#include "wiring/assumed.h"
#include "wiring/timing_steps.h"

namespace voltsill {
namespace {

/// An edge sees the wire behind it when it is shorter than six times the wire's delay (common
/// practice: a line counts as long from a sixth of the edge on).
constexpr double long_line = 6.0;
constexpr int sections = 3;

struct Jumpers {
    Timing& t;

    /// Shortest edge that a stage on this node makes, s; infinity without one.
    double fastest_edge(Node at) {
        double fastest = INFINITY;
        for (StageId id = 0; id < static_cast<StageId>(t.net().stages.size()); ++id) {
            if (t.net().stages[id].pin != at) continue;
            for (const ParamId p : {t.out.dynamics.stages[id].rise, t.out.dynamics.stages[id].fall})
                fastest = std::min(fastest, t.net().parameters[p].nominal);
        }
        return fastest;
    }
    /// The pin moves behind LC sections of its own, with everything that hangs on it.
    void put_behind_jumper(PinSite& site) {
        const double henries = t.bench.wishes.wire_inductance.si();
        const double delay = henries * std::sqrt(assumed::farads_per_henry);
        if (henries <= 0.0 || fastest_edge(site.node) > long_line * delay) return;
        const std::string jumper = "jumper to " + t.out.circuit.label(site);
        Node at = site.node;
        for (int k = 0; k < sections; ++k) {
            const std::string name = fmt::format("{}, part {} of {},", jumper, k + 1, sections);
            const Node next = t.net().add_node(k + 1 < sections ? name : t.out.circuit.label(site));
            const DeviceId r = t.net().resistor(
                name, at, next,
                t.parameter(name, scaled(assumed::jumper_ohms, 1.0 / sections), assumed::practice));
            t.out.dynamics.inductors.push_back(
                {r, t.parameter(name + " inductance",
                                Span<double>::within(henries / sections, assumed::wire_spread),
                                assumed::practice)});
            t.capacitor(
                name + " capacitance", next, ground_node,
                Span<double>::within(henries / sections * assumed::farads_per_henry, assumed::wire_spread),
                assumed::practice);
            t.net().resistor(name + " loss", at, next,
                             t.net().add_constant(assumed::wire_loss / std::sqrt(assumed::farads_per_henry)));
            at = next;
        }
        move_pin(site, at);
    }
    void move_pin(PinSite& site, Node to) {
        const Node from = site.node;
        std::vector<DeviceId> own{site.clamp_up, site.clamp_down, site.load, site.analog_source};
        own.insert(own.end(), site.pulls.begin(), site.pulls.end());
        for (const DeviceId d : own)
            if (d >= 0) std::ranges::replace(t.net().devices[d].nodes, from, to);
        if (site.stage >= 0) t.net().stages[site.stage].pin = to;
        for (std::size_t u = 0; u < t.net().units.size(); ++u)
            if (t.out.circuit.units[u].part == site.part)
                for (LogicInput& input : t.net().units[u].inputs)
                    if (input.pin == from) input.pin = to;
        const std::string name = t.out.circuit.label(site) + " capacitance";
        for (Capacitor& c : t.out.dynamics.capacitors)
            if (c.name == name && c.a == from) c.a = to;
        site.node = to;
    }
    /// Pins that only listen, through nothing but their own input: an end of a link, or a logic input.
    bool can_move(const PinSite& site) const {
        if (t.wiring.parts[site.part].net_of_pin[site.pin] < 0) return false;
        const PartType& type = *t.wiring.parts[site.part].type;
        const PinRole role = t.pin(site).role;
        if (role != PinRole::input && role != PinRole::io && role != PinRole::open_drain_io &&
            role != PinRole::analog_input)
            return false;
        if (std::holds_alternative<AmplifierModel>(type.model)) return false;
        return std::ranges::none_of(type.channels, [&](const Channel& c) {
            const bool joined = c.logic == ChannelLogic::pass_gate ||
                                c.logic == ChannelLogic::auto_push_pull ||
                                c.logic == ChannelLogic::auto_open_drain;
            return joined &&
                   (std::ranges::find(c.inputs, site.pin) != c.inputs.end() || c.output == site.pin);
        });
    }
    bool receives(const PinSite& site) const {
        if (site.input_of_unit >= 0 && site.stage < 0) return true;
        for (const Link& link : t.bench.links)
            for (const PinRef& end : link.to)
                if (end.part == t.wiring.parts[site.part].name &&
                    t.wiring.parts[site.part].type->pin_index(end.pin) == site.pin)
                    return true;
        return false;
    }
    void add_probe(const PinSite& site) {
        if (t.bench.wishes.probe_capacitance.si() > 0.0)
            t.capacitor("probe at " + t.out.circuit.label(site), site.node, ground_node,
                        Span<double>::within(t.bench.wishes.probe_capacitance.si(), assumed::probe_spread),
                        assumed::practice);
    }
};

}  // namespace

void add_jumpers(Timing& t) {
    Jumpers jumpers{t};
    for (PinSite& site : t.out.circuit.pins) {
        if (!jumpers.receives(site)) continue;
        if (jumpers.can_move(site)) jumpers.put_behind_jumper(site);
        jumpers.add_probe(site);
    }
}

}  // namespace voltsill
