#include "wiring/timed.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "quantity/print.h"
#include "wiring/assumed.h"

namespace voltsill {
namespace {

/// An edge sees the wire behind it when it is shorter than six times the wire's delay (common
/// practice: a line counts as long from a sixth of the edge on).
constexpr double long_line = 6.0;
constexpr int sections = 3;
constexpr double ten_to_ninety = 0.8;  ///< share of a straight ramp between 10 and 90 %

struct Timing {
    const Bench& bench;
    const Wiring& wiring;
    TimedCircuit out;

    Netlist& net() { return out.circuit.netlist; }
    const Pin& pin(const PinSite& site) const { return out.circuit.pin(site); }
    ParamId parameter(std::string name, const Span<double>& s, const Provenance& origin) {
        return net().add_parameter(std::move(name), s.lo, s.nominal, s.hi, origin);
    }
    static Span<double> scaled(const Span<double>& s, double by) {
        return {s.lo * by, s.nominal * by, s.hi * by};
    }
    void capacitor(const std::string& name, Node a, Node b, const Span<double>& farads,
                   const Provenance& origin) {
        if (a != b && farads.hi > 0.0)
            out.dynamics.capacitors.push_back({name, a, b, parameter(name, farads, origin)});
    }
    double supply_of(const PinSite& site) const {
        for (const RailSite& rail : out.circuit.rails)
            if (rail.node == site.supply) return bench.rail(rail.name)->volts.span.nominal.si();
        return 0.0;
    }

    // Charge

    void add_wires() {
        const double c = bench.wishes.wire_capacitance.si();
        for (std::size_t n = 0; n < wiring.nets.size(); ++n) {
            const Net& wire = wiring.nets[n];
            if (wire.ground || !wire.rail.empty()) continue;
            capacitor("wires of " + wire.name, out.circuit.node_of_net[n], ground_node,
                      Span<double>::within(c, assumed::wire_spread), assumed::practice);
        }
    }
    void add_pin(const PinSite& site) {
        const PartKind kind = wiring.parts[site.part].type->kind;
        const Pin& p = pin(site);
        if (site.node < 0 || kind == PartKind::resistor || kind == PartKind::capacitor) return;
        if (p.role == PinRole::supply || p.role == PinRole::ground || p.role == PinRole::no_connect) return;
        const Node ground = site.ground >= 0 ? site.ground : ground_node;
        const std::string name = out.circuit.label(site) + " capacitance";
        if (p.capacitance.known())
            capacitor(name, site.node, ground, numbers_of(p.capacitance.span), p.capacitance.origin);
        else
            capacitor(name, site.node, ground, assumed::pin_farads, assumed::practice);
    }
    Node node(int part, std::string_view name) const {
        const int k = wiring.parts[part].type->pin_index(name);
        return k < 0 ? -1 : out.circuit.site(part, k).node;
    }
    void add_discrete(int part) {
        const WiredPart& wired = wiring.parts[part];
        if (std::holds_alternative<CapacitorModel>(wired.type->model) && wired.value) {
            const Node a = node(part, "1"), b = node(part, "2");
            if (a >= 0 && b >= 0)
                capacitor(wired.name, a, b, Span<double>::within(*wired.value, wired.tolerance.value_or(0.2)),
                          wired.type->origin);
        }
        if (const auto* fet = std::get_if<MosfetModel>(&wired.type->model);
            fet && fet->gate_capacitance.known()) {
            // Printed for the gate as a whole: half of it to either end of the channel.
            const Span<double> half = scaled(numbers_of(fet->gate_capacitance.span), 0.5);
            const Node d = node(part, "D"), g = node(part, "G"), s = node(part, "S");
            if (d >= 0 && g >= 0)
                capacitor(wired.name + " gate to drain", g, d, half, fet->gate_capacitance.origin);
            if (s >= 0 && g >= 0)
                capacitor(wired.name + " gate to source", g, s, half, fet->gate_capacitance.origin);
        }
        if (const auto* opto = std::get_if<OptoModel>(&wired.type->model))
            out.not_simulated.push_back(fmt::format("{}: its own turn-off time of {} is not in the trace",
                                                    wired.name, print(opto->turn_off)));
        if (std::holds_alternative<BjtModel>(wired.type->model))
            out.not_simulated.push_back(wired.name +
                                        ": charge stored in saturation delays its turn-off by up to a "
                                        "few microseconds; that is not in the trace");
        if (std::holds_alternative<AmplifierModel>(wired.type->model))
            out.not_simulated.push_back(wired.name + ": slew rate and bandwidth are not in the trace");
    }

    // Edges and delays

    Span<double> edge_of(const Pin& p, const Figure<Seconds>& stated, Provenance& origin) const {
        if (stated.known()) {
            origin = stated.origin;
            return numbers_of(stated.span);
        }
        origin = assumed::guess;
        return p.delay_max ? scaled(assumed::edge_share_of_delay, p.delay_max->si()) : assumed::edge_seconds;
    }
    void add_edges(StageId id) {
        const StageSite& site = out.circuit.stages[id];
        const Pin& p = wiring.parts[site.part].type->pins[site.pin];
        const std::string& name = net().stages[id].name;
        Switching how;
        Provenance origin;
        if (p.curves && p.curves->typical.rising && p.curves->typical.falling) {
            how.rise_curve = curve(*p.curves->typical.rising);
            how.fall_curve = curve(*p.curves->typical.falling);
            how.rise = parameter(name + " rising edge", duration(*p.curves, true), p.curves->origin);
            how.fall = parameter(name + " falling edge", duration(*p.curves, false), p.curves->origin);
        } else {
            const Span<double> rise = edge_of(p, p.rise_time, origin);
            how.rise = parameter(name + " rising edge", scaled(rise, 1 / ten_to_ninety), origin);
            const Span<double> fall = edge_of(p, p.fall_time, origin);
            how.fall = parameter(name + " falling edge", scaled(fall, 1 / ten_to_ninety), origin);
        }
        out.dynamics.stages.resize(std::max<std::size_t>(out.dynamics.stages.size(), id + 1));
        out.dynamics.stages[id] = how;
    }
    int curve(const SwitchingCurve& c) {
        out.dynamics.curves.push_back({c.up, c.down});
        return static_cast<int>(out.dynamics.curves.size()) - 1;
    }
    static Span<double> duration(const OutputCurves& c, bool rising) {
        const auto of = [&](const OutputCorner& corner, double otherwise) {
            const auto& edge = rising ? corner.rising : corner.falling;
            return edge ? edge->duration : otherwise;
        };
        const double typical = of(c.typical, 0.0), slow = of(c.slow, typical), fast = of(c.fast, typical);
        return {std::min({fast, slow, typical}), typical, std::max({fast, slow, typical})};
    }
    void add_delays(std::size_t unit) {
        const UnitSite& site = out.circuit.units[unit];
        const LogicUnit& u = net().units[unit];
        UnitTiming timing;
        for (const LogicInput& input : u.inputs) timing.inputs.push_back(switch_point(site.part, input));
        const StageSite& stage = out.circuit.stages[u.outputs.front()];
        const Pin& p = wiring.parts[stage.part].type->pins[stage.pin];
        const Span<double> delay =
            p.delay_max ? scaled(assumed::delay_share, p.delay_max->si()) : assumed::delay_seconds;
        const Provenance origin = p.delay_max ? wiring.parts[stage.part].type->origin : assumed::guess;
        timing.to_high = parameter(u.name + " delay to high", delay, origin);
        timing.to_low = parameter(u.name + " delay to low", delay, origin);
        timing.to_off = timing.to_low;
        out.dynamics.units.push_back(std::move(timing));
    }
    /// CMOS switches at one voltage somewhere between VIL and VIH, a Schmitt input at two.
    SwitchPoint switch_point(int part, const LogicInput& input) {
        const Parameter vil = net().parameters[input.vil], vih = net().parameters[input.vih];
        const double lo = std::min(vil.nominal, vih.nominal), hi = std::max(vil.nominal, vih.nominal),
                     mid = 0.5 * (lo + hi);
        const std::string name = vil.name.substr(0, vil.name.rfind(' '));
        if (!input.schmitt) {
            const ParamId at = parameter(name + " threshold", {lo, mid, hi}, vil.origin);
            return {at, at};
        }
        Span<double> rising{mid, 0.5 * (mid + hi), hi}, falling{lo, 0.5 * (lo + mid), mid};
        for (std::size_t k = 0; k < wiring.parts[part].type->pins.size(); ++k) {
            const PinSite& site = out.circuit.site(part, static_cast<int>(k));
            if (site.node != input.pin) continue;
            const double supply = supply_of(site);
            for (const ThresholdRow& row : pin(site).thresholds)
                if (row.rising && row.falling && row.supply.lo.si() <= supply &&
                    supply <= row.supply.hi.si()) {
                    rising = numbers_of(*row.rising);
                    falling = numbers_of(*row.falling);
                }
        }
        return {parameter(name + " VT+", rising, vih.origin), parameter(name + " VT-", falling, vil.origin)};
    }

    // Auto-direction parts

    void add_accelerators(int part) {
        const PartType& type = *wiring.parts[part].type;
        for (const Channel& c : type.channels) {
            const bool both = c.logic == ChannelLogic::auto_push_pull;
            if (!both && c.logic != ChannelLogic::auto_open_drain) continue;
            const int sides[] = {c.inputs[0], c.output};
            for (const int drives : sides) {
                const StageId high = boost(part, drives, true), low = both ? boost(part, drives, false) : -1;
                for (const int sees : sides) {
                    accelerate(part, sees, high, true);
                    if (both) accelerate(part, sees, low, false);
                }
            }
        }
    }
    StageId boost(int part, int pin_index, bool up) {
        const PinSite& site = out.circuit.site(part, pin_index);
        const std::string name =
            fmt::format("{} accelerator {}", out.circuit.label(site), up ? "up" : "down");
        const auto& ohms = assumed::accelerator_ohms;
        const int table = net().add_table({{0.0, 1.0}, {0.0, 1.0 / ohms.nominal}});
        const ParamId strength =
            parameter(name, {ohms.nominal / ohms.hi, 1.0, ohms.nominal / ohms.lo}, assumed::guess);
        Stage stage{.name = name, .pin = site.node, .supply = site.supply, .ground = site.ground};
        (up ? stage.up_table : stage.down_table) = table;
        (up ? stage.up_strength : stage.down_strength) = strength;
        const StageId id = net().add_stage(std::move(stage));
        const ParamId edge = parameter(name + " edge", {1e-9, 2e-9, 4e-9}, assumed::guess);
        out.dynamics.stages.resize(id + 1);
        out.dynamics.stages[id] = {.rise = edge, .fall = edge};
        return id;
    }
    void accelerate(int part, int pin_index, StageId stage, bool rise) {
        const PinSite& site = out.circuit.site(part, pin_index);
        const double supply = supply_of(site);
        const std::string name = out.circuit.label(site) + " accelerator";
        const ParamId at =
            parameter(name + " threshold", {0.35 * supply, 0.5 * supply, 0.65 * supply}, assumed::guess);
        out.dynamics.accelerators.push_back(
            {.name = name,
             .pin = site.node,
             .ground = site.ground,
             .point = {at, at},
             .stage = stage,
             .on_rise = rise,
             .delay = parameter(name + " delay", assumed::accelerator_delay, assumed::guess),
             .lasts = parameter(name + " time", assumed::accelerator_seconds, assumed::guess)});
    }

    // Jumpers

    /// Shortest edge that a stage on this node makes, s; infinity without one.
    double fastest_edge(Node at) {
        double fastest = INFINITY;
        for (StageId id = 0; id < static_cast<StageId>(net().stages.size()); ++id) {
            if (net().stages[id].pin != at || id >= static_cast<StageId>(out.dynamics.stages.size()))
                continue;
            for (const ParamId p : {out.dynamics.stages[id].rise, out.dynamics.stages[id].fall})
                if (p != no_param) fastest = std::min(fastest, net().parameters[p].nominal);
        }
        return fastest;
    }
    /// The pin moves behind LC sections of its own, with everything that hangs on it.
    void put_behind_jumper(PinSite& site) {
        const double henries = bench.wishes.wire_inductance.si();
        const double delay = henries * std::sqrt(assumed::farads_per_henry);
        if (henries <= 0.0 || fastest_edge(site.node) > long_line * delay) return;
        const std::string name = "jumper to " + out.circuit.label(site);
        Node at = site.node;
        for (int k = 0; k < sections; ++k) {
            const Node next = net().add_node(k + 1 < sections ? name : out.circuit.label(site));
            const DeviceId r = net().resistor(
                name, at, next,
                parameter(name, scaled(assumed::jumper_ohms, 1.0 / sections), assumed::practice));
            out.dynamics.inductors.push_back(
                {r, parameter(name + " inductance",
                              Span<double>::within(henries / sections, assumed::wire_spread),
                              assumed::practice)});
            capacitor(
                name + " capacitance", next, ground_node,
                Span<double>::within(henries / sections * assumed::farads_per_henry, assumed::wire_spread),
                assumed::practice);
            net().resistor(name + " loss", at, next,
                           net().add_constant(assumed::wire_loss / std::sqrt(assumed::farads_per_henry)));
            at = next;
        }
        move_pin(site, at);
    }
    void move_pin(PinSite& site, Node to) {
        const Node from = site.node;
        std::vector<DeviceId> own{site.clamp_up, site.clamp_down, site.load, site.analog_source};
        own.insert(own.end(), site.pulls.begin(), site.pulls.end());
        for (const DeviceId d : own)
            if (d >= 0) std::ranges::replace(net().devices[d].nodes, from, to);
        if (site.stage >= 0) net().stages[site.stage].pin = to;
        for (std::size_t u = 0; u < net().units.size(); ++u)
            if (out.circuit.units[u].part == site.part)
                for (LogicInput& input : net().units[u].inputs)
                    if (input.pin == from) input.pin = to;
        const std::string name = out.circuit.label(site) + " capacitance";
        for (Capacitor& c : out.dynamics.capacitors)
            if (c.name == name && c.a == from) c.a = to;
        site.node = to;
    }
    /// Pins that only listen, through nothing but their own input: an end of a link, or a logic input.
    bool can_move(const PinSite& site) const {
        if (site.node < 0 || out.circuit.wiring->parts[site.part].net_of_pin[site.pin] < 0) return false;
        const PartType& type = *wiring.parts[site.part].type;
        const PinRole role = pin(site).role;
        if (role != PinRole::input && role != PinRole::io && role != PinRole::open_drain_io &&
            role != PinRole::analog_input)
            return false;
        return std::ranges::none_of(type.channels, [&](const Channel& c) {
            const bool joined = c.logic == ChannelLogic::pass_gate ||
                                c.logic == ChannelLogic::auto_push_pull ||
                                c.logic == ChannelLogic::auto_open_drain;
            return (joined &&
                    (std::ranges::find(c.inputs, site.pin) != c.inputs.end() || c.output == site.pin)) ||
                   std::holds_alternative<AmplifierModel>(type.model);
        });
    }
    bool receives(const PinSite& site) const {
        if (site.input_of_unit >= 0 && site.stage < 0) return true;
        for (const Link& link : bench.links)
            for (const PinRef& end : link.to)
                if (end.part == wiring.parts[site.part].name &&
                    wiring.parts[site.part].type->pin_index(end.pin) == site.pin)
                    return true;
        return false;
    }
    void add_probe(const PinSite& site) {
        if (bench.wishes.probe_capacitance.si() > 0.0)
            capacitor("probe at " + out.circuit.label(site), site.node, ground_node,
                      Span<double>::within(bench.wishes.probe_capacitance.si(), 0.1), assumed::practice);
    }

    TimedCircuit run() {
        out.circuit = lower(bench, wiring);
        add_wires();
        for (const PinSite& site : out.circuit.pins) add_pin(site);
        for (std::size_t p = 0; p < wiring.parts.size(); ++p) add_discrete(static_cast<int>(p));
        for (StageId s = 0; s < static_cast<StageId>(out.circuit.stages.size()); ++s) add_edges(s);
        for (std::size_t u = 0; u < net().units.size(); ++u) add_delays(u);
        for (std::size_t p = 0; p < wiring.parts.size(); ++p) add_accelerators(static_cast<int>(p));
        for (PinSite& site : out.circuit.pins) {
            if (!receives(site)) continue;
            if (can_move(site)) put_behind_jumper(site);
            add_probe(site);
        }
        return std::move(out);
    }
};

}  // namespace

TimedCircuit lower_timed(const Bench& bench, const Wiring& wiring) { return Timing{bench, wiring, {}}.run(); }

}  // namespace voltsill
