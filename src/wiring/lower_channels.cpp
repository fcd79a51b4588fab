/// Paths through a part: logic functions become units over output stages, pass-gates FETs,
/// keepers weak stages, amplifiers amplifiers.
#include <fmt/format.h>

#include <algorithm>

#include "quantity/print.h"
#include "wiring/assumed.h"
#include "wiring/lower.h"

namespace voltsill {
namespace {

/// V from base to emitter of the transistor that an open collector is.
constexpr double open_collector_threshold = 0.7;

struct ChannelLowering {
    Lowering& l;
    int part;
    const PartType& type;
    Netlist& net() const { return l.circuit.netlist; }

    LogicInput input(int pin_index) const {
        const Pin& pin = type.pins[pin_index];
        PinSite& site = l.circuit.pins[l.circuit.site_of[part][pin_index]];
        site.input_of_unit = static_cast<int>(net().units.size());
        const Span<Volts> supply = l.supply_volts(part, pin.supply);
        const auto at = [&](Volts v, bool high) {
            const auto t = thresholds_at(pin, v);
            return t ? (high ? t->high : t->low).at(v).si() : v.si() * (high ? 0.7 : 0.3);
        };
        const auto limit = [&](bool high) {
            return l.figure(fmt::format("{} {}", l.name(part, pin_index), high ? "VIH" : "VIL"),
                            {at(supply.lo, high), at(supply.nominal, high), at(supply.hi, high)},
                            assumed::guess);
        };
        return {
            .pin = l.node(part, pin_index), .vil = limit(false), .vih = limit(true), .schmitt = pin.schmitt};
    }

    StageId stage_at(int pin_index) const {
        return pin_index < 0 ? -1 : l.circuit.site(part, pin_index).stage;
    }

    /// A unit whose rows are `level(row bits, output)` for every combination of inputs.
    template <class F>
    void unit(int channel, const std::vector<int>& inputs, const std::vector<StageId>& outputs,
              F level) const {
        if (std::ranges::find(outputs, -1) != outputs.end()) return;
        LogicUnit u{.name =
                        fmt::format("{} channel {}", l.wiring.parts[part].name, type.channels[channel].name)};
        for (int pin : inputs) u.inputs.push_back(input(pin));
        u.outputs = outputs;
        for (unsigned row = 0; row < (1u << inputs.size()); ++row)
            for (size_t k = 0; k < outputs.size(); ++k) u.rows.push_back(level(row, k));
        u.supply = l.supply_node(part, 0);
        u.ground = l.ground_node_of(part);
        u.min_supply = net().add_constant(
            type.supplies.empty() ? 0 : type.supplies[0].range.lo.si() * assumed::powered_share);
        const int index = static_cast<int>(net().units.size());
        for (StageId s : outputs) {
            l.circuit.stages[s].unit = index;
            l.circuit.stages[s].channel = channel;
        }
        net().units.push_back(std::move(u));
        l.circuit.units.push_back({part, channel});
    }

    void gate(int index) const {
        const Channel& c = type.channels[index];
        std::vector<int> inputs = c.inputs;
        inputs.insert(inputs.end(), c.enables.begin(), c.enables.end());
        const StageId out = stage_at(c.output);
        if (out < 0) return;
        if (!c.enables.empty()) l.circuit.stages[out].can_release = true;
        const StageSite& site = l.circuit.stages[out];
        unit(index, inputs, {out}, [&](unsigned row, size_t) {
            for (size_t e = 0; e < c.enables.size(); ++e)
                if (((row >> (c.inputs.size() + e)) & 1u) != (c.enable_high[e] ? 1u : 0u)) return Logic::Z;
            const unsigned mask = (1u << c.inputs.size()) - 1, bits = row & mask;
            bool value = bits & 1u;
            switch (c.logic) {
                case ChannelLogic::inverter:
                    value = !value;
                    break;
                case ChannelLogic::and_:
                    value = bits == mask;
                    break;
                case ChannelLogic::nand:
                    value = bits != mask;
                    break;
                case ChannelLogic::or_:
                    value = bits != 0;
                    break;
                case ChannelLogic::nor:
                    value = bits == 0;
                    break;
                case ChannelLogic::xor_:
                    value = __builtin_parity(bits);
                    break;
                default:
                    break;
            }
            if (value) return site.can_pull_up ? Logic::one : Logic::Z;
            return site.can_pull_down ? Logic::zero : Logic::Z;
        });
    }

    void transceiver(int index) const {
        const Channel& c = type.channels[index];
        const StageId a = stage_at(c.inputs[0]), b = stage_at(c.output);
        if (a < 0 || b < 0) return;
        for (StageId s : {a, b}) l.circuit.stages[s].can_release = true;
        std::vector<int> inputs{c.inputs[0], c.output, c.direction};
        inputs.insert(inputs.end(), c.enables.begin(), c.enables.end());
        unit(index, inputs, {b, a}, [&](unsigned row, size_t output) {
            for (size_t e = 0; e < c.enables.size(); ++e)
                if (((row >> (3 + e)) & 1u) != (c.enable_high[e] ? 1u : 0u)) return Logic::Z;
            const bool a_to_b = (row >> 2) & 1u;
            if (a_to_b != (output == 0)) return Logic::Z;
            return ((row >> (output == 0 ? 0 : 1)) & 1u) ? Logic::one : Logic::zero;
        });
    }

    /// Two units, one each way, whose stages follow the other side. `released` is what a high becomes.
    void both_ways(int index, Logic released) const {
        const Channel& c = type.channels[index];
        const StageId a = stage_at(c.inputs[0]), b = stage_at(c.output);
        if (a < 0 || b < 0) return;
        for (const auto& [from, to] : {std::pair{c.inputs[0], b}, std::pair{c.output, a}}) {
            std::vector<int> inputs{from};
            inputs.insert(inputs.end(), c.enables.begin(), c.enables.end());
            unit(index, inputs, {to}, [&](unsigned row, size_t) {
                for (size_t e = 0; e < c.enables.size(); ++e)
                    if (((row >> (1 + e)) & 1u) != (c.enable_high[e] ? 1u : 0u)) return Logic::Z;
                return (row & 1u) ? released : Logic::zero;
            });
        }
    }

    void keeper(int index, const KeeperModel& model) const {
        const Channel& c = type.channels[index];
        const Span<double> ohms =
            model.ohms.known()
                ? Span<double>{model.ohms.span.lo.si(), model.ohms.span.nominal.si(), model.ohms.span.hi.si()}
                : assumed::keeper_ohms;
        for (int pin : {c.inputs[0], c.output})
            if (const StageId s = stage_at(pin); s >= 0) {
                Stage& stage = net().stages[s];
                stage.up_table = stage.down_table = l.constant_table({0.0, 1.0}, {0.0, 1.0 / ohms.nominal});
                // A keeper is a resistor: it spreads as its ohms do, not as an output's strength.
                stage.up_strength = stage.down_strength =
                    l.figure(stage.name + " keeper", {ohms.nominal / ohms.hi, 1.0, ohms.nominal / ohms.lo},
                             model.ohms.known() ? model.ohms.origin : assumed::guess);
                l.circuit.stages[s].can_pull_up = l.circuit.stages[s].can_pull_down = true;
            }
        both_ways(index, Logic::one);
    }

    Span<double> gate_k(const PassGateModel& model) const {
        const auto& on = model.on.span;
        const double v = assumed::pass_gate_overdrive;
        return {1 / (on.hi.si() * v), 1 / (on.nominal.si() * v), 1 / (on.lo.si() * v)};
    }

    /// Transistors on one die match: all channels of a part and its reference share their figures.
    struct Fet {
        ParamId vth, k;
    };
    Fet fet(const PassGateModel& model) const {
        const std::string& name = l.wiring.parts[part].name;
        const auto& v = model.vth.span;
        return {l.figure(name + " Vth", numbers_of(v), model.vth.origin),
                l.figure(name + " K", gate_k(model), model.on.origin)};
    }

    /// FET between both sides; the gate is the enable pin, biased from outside. The reference
    /// transistor between the two reference supplies has the same gate.
    void pass_gate(int index, const Fet& fet) const {
        const Channel& c = type.channels[index];
        const std::string name = fmt::format("{} channel {}", l.wiring.parts[part].name, c.name);
        const Node gate = l.node(part, c.enables.empty() ? c.inputs[0] : c.enables[0]);
        net().mosfet(name, l.node(part, c.output), gate, l.node(part, c.inputs[0]), fet.vth, fet.k);
        if (index == 0 && type.supplies.size() > 1)
            net().mosfet(name + " reference", l.supply_node(part, 1), gate, l.supply_node(part, 0), fet.vth,
                         fet.k);
    }

    /// The gate sits one threshold above the A supply inside the part; both sides have pull-ups.
    void auto_open_drain(int index, const PassGateModel& model, const Fet& fet) const {
        const Channel& c = type.channels[index];
        const std::string name = fmt::format("{} channel {}", l.wiring.parts[part].name, c.name);
        const Node gate = net().add_node(name + " gate");
        net().resistor(name + " bias", gate, l.supply_node(part, 0), net().add_constant(1e5));
        // The bias current makes the gate one nominal threshold higher than the supply it hangs on.
        net().add({.kind = DeviceKind::current,
                   .nodes = {l.supply_node(part, 0), gate},
                   .params = {net().add_constant(model.vth.span.nominal.si() / 1e5)},
                   .name = name + " bias"});
        net().mosfet(name, l.node(part, c.output), gate, l.node(part, c.inputs[0]), fet.vth, fet.k);
        const auto pull = [&](const Figure<Ohms>& ohms, int supply, int pin) {
            if (!ohms.known()) return;
            const std::string label = l.name(part, pin) + " pull-up";
            const DeviceId device = net().resistor(label, l.supply_node(part, supply), l.node(part, pin),
                                                   l.figure(label, numbers_of(ohms.span), ohms.origin));
            l.circuit.pins[l.circuit.site_of[part][pin]].pulls.push_back(device);
        };
        pull(model.pull_a, 0, c.inputs[0]);
        pull(model.pull_b, 1, c.output);
    }

    /// K of the FET that stands for an open collector, its gate at the supply, so that the weakest just keeps all that
    /// the rows print: K = I / (VOL (Vg - Vth) - VOL^2 / 2). The strongest are as other outputs
    /// (assumed::drive_strength).
    ParamId open_collector_k(const Pin& pin, const std::string& name) const {
        const Span<Volts> rail = l.supply_volts(part, 0);
        const Volts supply = rail.lo > Volts{}       ? rail.lo
                             : type.supplies.empty() ? Volts{5}
                                                     : type.supplies[0].range.nominal;
        const double over = std::max(0.3, supply.si() - open_collector_threshold);
        const auto k_of = [&](Amps amps, Volts drop) {
            const double v = std::min(drop.si(), over);
            return amps.si() / (v * over - 0.5 * v * v);
        };
        double weakest = 0;
        Provenance origin = assumed::guess;
        if (const auto curve = drive_curve(pin, false, supply))
            for (const DrivePoint& point : curve->points)
                if (point.current > Amps{} && point.drop > Volts{})
                    weakest = std::max(weakest, k_of(point.current, point.drop)), origin = curve->origin;
        if (weakest == 0) weakest = k_of(assumed::drive_current, assumed::drive_drop);
        const auto& strength = assumed::drive_strength;
        const ParamId k = l.figure(name + " strength",
                                   {weakest * strength.lo, weakest * strength.nominal, weakest * strength.hi}, origin);
        net().parameters[k].hi_origin = &assumed::strong_drive;
        return k;
    }

    void amplifier(int index, const AmplifierModel& model) const {
        const Channel& c = type.channels[index];
        DeviceId& drives = l.circuit.pins[l.circuit.site_of[part][c.output]].amplifier;
        const std::string name = fmt::format("{} channel {}", l.wiring.parts[part].name, c.name);
        const auto headroom = [&](const char* side, const Figure<Volts>& f) {
            return l.figure(name + side, numbers_of(f.span), f.origin);
        };
        const Node out = l.node(part, c.output), plus = l.node(part, c.inputs[0]),
                   minus = l.node(part, c.inputs[1]);
        const Node supply = l.supply_node(part, 0), gnd = l.ground_node_of(part);
        const ParamId top = headroom(" top", model.headroom_top),
                      bottom = headroom(" bottom", model.headroom_bottom);
        const ParamId gain = net().add_constant(1e4);
        if (!model.open_collector) {
            drives = net().add({.kind = DeviceKind::amplifier,
                                .nodes = {out, plus, minus, supply, gnd},
                                .params = {top, bottom, gain, net().add_constant(100.0)},
                                .name = name});
            return;
        }
        // Open collector: low while plus is below minus.
        const Node gate = net().add_node(name + " inside");
        net().add(
            {.kind = DeviceKind::amplifier,
             .nodes = {gate, minus, plus, supply, gnd},
             .params = {net().add_constant(0.0), net().add_constant(0.0), gain, net().add_constant(100.0)},
             .name = name});
        drives = net().mosfet(name + " output", out, gate, gnd, net().add_constant(open_collector_threshold),
                              open_collector_k(type.pins[c.output], name));
    }
};

}  // namespace

void lower_channels(Lowering& l, int part) {
    const PartType& type = *l.wiring.parts[part].type;
    const ChannelLowering lower_one{l, part, type};
    const auto* gate = std::get_if<PassGateModel>(&type.model);
    const auto* keeper = std::get_if<KeeperModel>(&type.model);
    const auto* amplifier = std::get_if<AmplifierModel>(&type.model);
    const ChannelLowering::Fet fet = gate ? lower_one.fet(*gate) : ChannelLowering::Fet{no_param, no_param};
    for (int i = 0; i < static_cast<int>(type.channels.size()); ++i) {
        const ChannelLogic logic = type.channels[i].logic;
        if (amplifier)
            lower_one.amplifier(i, *amplifier);
        else if (logic == ChannelLogic::pass_gate && gate)
            lower_one.pass_gate(i, fet);
        else if (logic == ChannelLogic::auto_open_drain && gate)
            lower_one.auto_open_drain(i, *gate, fet);
        else if (logic == ChannelLogic::auto_push_pull && keeper)
            lower_one.keeper(i, *keeper);
        else if (logic == ChannelLogic::repeater)
            lower_one.both_ways(i, Logic::Z);
        else if (logic == ChannelLogic::transceiver)
            lower_one.transceiver(i);
        else
            lower_one.gate(i);
    }
}

}  // namespace voltsill
