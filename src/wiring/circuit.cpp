#include "wiring/circuit.h"

#include <fmt/format.h>

#include "quantity/print.h"
#include "wiring/assumed.h"
#include "wiring/lower.h"
#include "wiring/part_words.h"

namespace voltsill {

std::string Circuit::label(const PinSite& s) const { return pin_label(wiring->parts[s.part], s.pin); }

Node Lowering::node(int part, int pin) {
    PinSite& site = circuit.pins[circuit.site_of[part][pin]];
    if (site.node < 0) site.node = circuit.netlist.add_node(name(part, pin));
    return site.node;
}

Node Lowering::node(int part, std::string_view pin) {
    return node(part, wiring.parts[part].type->pin_index(pin));
}

std::string Lowering::name(int part, int pin) const {
    return fmt::format("{}.{}", wiring.parts[part].name, wiring.parts[part].type->pins[pin].name);
}

Node Lowering::supply_node(int part, int supply) {
    const PartType& type = *wiring.parts[part].type;
    for (size_t k = 0; k < type.pins.size(); ++k)
        if (type.pins[k].role == PinRole::supply && type.pins[k].supply == supply)
            return node(part, static_cast<int>(k));
    return ground_node;
}

Node Lowering::ground_node_of(int part) {
    const int pin = wiring.parts[part].type->ground_pin();
    return pin < 0 ? ground_node : node(part, pin);
}

const Rail* Lowering::rail_feeding(NetId net) const {
    if (const Rail* rail = bench.rail(wiring.nets[net].rail)) return rail;
    for (const WiredPart& part : wiring.parts) {
        if (part.type->kind != PartKind::resistor || part.net_of_pin.size() != 2) continue;
        const auto& ends = part.net_of_pin;
        if ((ends[0] != net && ends[1] != net) || !part.value || *part.value > assumed::supply_ohms.si()) continue;
        const NetId far = ends[0] == net ? ends[1] : ends[0];
        if (far == unconnected) continue;
        if (const Rail* rail = bench.rail(wiring.nets[far].rail)) return rail;
    }
    return nullptr;
}

Span<Volts> Lowering::supply_volts(int part, int supply) const {
    const WiredPart& wired = wiring.parts[part];
    for (size_t k = 0; k < wired.type->pins.size(); ++k) {
        const Pin& pin = wired.type->pins[k];
        const NetId net = wired.net_of_pin[k];
        if (pin.role != PinRole::supply || pin.supply != supply || net < 0) continue;
        if (const Rail* rail = rail_feeding(net)) return rail->volts.span;
    }
    return {};
}

ParamId Lowering::figure(std::string label, Span<double> span, const Provenance& origin) {
    return circuit.netlist.add_parameter(std::move(label), span.lo, span.nominal, span.hi, origin);
}

int Lowering::constant_table(std::vector<double> volts, std::vector<double> amps) {
    return circuit.netlist.add_table({std::move(volts), std::move(amps)});
}

namespace {

void lay_nodes(Lowering& l) {
    Circuit& c = l.circuit;
    c.node_of_net.assign(l.wiring.nets.size(), -1);
    for (size_t n = 0; n < l.wiring.nets.size(); ++n)
        c.node_of_net[n] = l.wiring.nets[n].ground ? ground_node : c.netlist.add_node(l.wiring.nets[n].name);
    c.site_of.resize(l.wiring.parts.size());
    for (size_t p = 0; p < l.wiring.parts.size(); ++p) {
        const WiredPart& part = l.wiring.parts[p];
        for (size_t k = 0; k < part.type->pins.size(); ++k) {
            const NetId net = part.net_of_pin[k];
            c.site_of[p].push_back(static_cast<int>(c.pins.size()));
            c.pins.push_back({.part = static_cast<int>(p),
                              .pin = static_cast<int>(k),
                              .node = net < 0 ? -1 : c.node_of_net[net]});
        }
    }
}

void lay_rails(Lowering& l) {
    Circuit& c = l.circuit;
    for (const Rail& rail : l.bench.rails) {
        const NetId net = l.wiring.rail(rail.name);
        if (net < 0) continue;
        const auto& v = rail.volts.span;
        const ParamId volts = l.figure(rail.name, numbers_of(v), rail.volts.origin);
        RailSite site{.name = rail.name,
                      .switch_group = rail.switch_group.empty() ? rail.name : rail.switch_group,
                      .node = c.node_of_net[net],
                      .net = net};
        site.source = c.netlist.source("rail " + rail.name, site.node, ground_node, volts);
        c.netlist.resistor("rail " + rail.name + " at rest", site.node, ground_node,
                           c.netlist.add_constant(assumed::dead_rail_load.si()));
        c.rails.push_back(site);
    }
}

}  // namespace

double rail_volts(const Bench& bench, const Circuit& circuit, Node node) {
    for (const RailSite& rail : circuit.rails)
        if (rail.node == node) return bench.rail(rail.name)->volts.span.nominal.si();
    return 0.0;
}

Circuit lower(const Bench& bench, const Wiring& wiring) {
    Lowering l{.bench = bench, .wiring = wiring};
    l.circuit.wiring = &wiring;
    lay_nodes(l);
    lay_rails(l);
    for (size_t p = 0; p < wiring.parts.size(); ++p) {
        const int part = static_cast<int>(p);
        for (size_t k = 0; k < wiring.parts[p].type->pins.size(); ++k)
            lower_pin(l, part, static_cast<int>(k));
        lower_model(l, part);
        lower_channels(l, part);
    }
    return std::move(l.circuit);
}

}  // namespace voltsill
