/// Capacitances of wires, pins and parts.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "quantity/print.h"
#include "wiring/assumed.h"
#include "wiring/timing_steps.h"

namespace voltsill {
namespace {

struct Charge {
    Timing& t;

    void add_wires() {
        const double c = t.bench.wishes.wire_capacitance.si();
        for (std::size_t n = 0; n < t.wiring.nets.size(); ++n) {
            const Net& wire = t.wiring.nets[n];
            if (wire.ground || !wire.rail.empty()) continue;
            t.capacitor("wires of " + wire.name, t.out.circuit.node_of_net[n], ground_node,
                        Span<double>::within(c, assumed::wire_spread), assumed::practice);
        }
    }
    void add_pin(const PinSite& site) {
        const PartKind kind = t.wiring.parts[site.part].type->kind;
        const Pin& p = t.pin(site);
        if (site.node < 0 || kind == PartKind::resistor || kind == PartKind::capacitor) return;
        if (p.role == PinRole::supply || p.role == PinRole::ground || p.role == PinRole::no_connect) return;
        const Node ground = site.ground >= 0 ? site.ground : ground_node;
        const std::string name = t.out.circuit.label(site) + " capacitance";
        if (p.capacitance.known())
            t.capacitor(name, site.node, ground, numbers_of(p.capacitance.span), p.capacitance.origin);
        else
            t.capacitor(name, site.node, ground, assumed::pin_farads, assumed::practice);
    }
    Node node(int part, std::string_view name) const {
        const int k = t.wiring.parts[part].type->pin_index(name);
        return k < 0 ? -1 : t.out.circuit.site(part, k).node;
    }
    void add_discrete(int part) {
        const WiredPart& wired = t.wiring.parts[part];
        if (std::holds_alternative<CapacitorModel>(wired.type->model) && wired.value) {
            const Node a = node(part, "1"), b = node(part, "2");
            if (a >= 0 && b >= 0)
                t.capacitor(
                    wired.name, a, b,
                    Span<double>::within(*wired.value, wired.tolerance.value_or(assumed::capacitor_spread)),
                    wired.type->origin);
        }
        if (const auto* fet = std::get_if<MosfetModel>(&wired.type->model);
            fet && fet->gate_capacitance.known()) {
            // Printed for the gate as a whole: half of it to either end of the channel. All three have a node, open or
            // not.
            const Span<double> half = scaled(numbers_of(fet->gate_capacitance.span), 0.5);
            const Node d = node(part, "D"), g = node(part, "G"), s = node(part, "S");
            t.capacitor(wired.name + " gate to drain", g, d, half, fet->gate_capacitance.origin);
            t.capacitor(wired.name + " gate to source", g, s, half, fet->gate_capacitance.origin);
        }
        if (const auto* opto = std::get_if<OptoModel>(&wired.type->model))
            t.out.left_out.push_back(
                {part, hidden_turn_off(*wired.type),
                 fmt::format("{}: its own turn-off of {} is not in the waves; it is added to what "
                             "a level needs",
                             wired.name, print(opto->turn_off))});
        if (std::holds_alternative<BjtModel>(wired.type->model))
            t.out.left_out.push_back(
                {part, hidden_turn_off(*wired.type),
                 fmt::format("{}: charge stored in saturation delays its turn-off; {} (assumed) are "
                             "added to what a level needs, the waves do not show it",
                             wired.name, print(assumed::storage_time))});
        if (std::holds_alternative<AmplifierModel>(wired.type->model))
            t.out.left_out.push_back(
                {part, 0.0, wired.name + ": slew rate and bandwidth are not in the waves"});
    }
};

}  // namespace

double hidden_turn_off(const PartType& type) {
    if (const auto* opto = std::get_if<OptoModel>(&type.model)) return opto->turn_off.si();
    return std::holds_alternative<BjtModel>(type.model) ? assumed::storage_time.si() : 0.0;
}

void add_charge(Timing& t) {
    Charge charge{t};
    charge.add_wires();
    for (const PinSite& site : t.out.circuit.pins) charge.add_pin(site);
    for (std::size_t p = 0; p < t.wiring.parts.size(); ++p) charge.add_discrete(static_cast<int>(p));
}

}  // namespace voltsill
