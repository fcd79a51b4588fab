#include "judging/power_off.h"

#include <algorithm>
#include <cmath>

#include "network/linearized.h"
#include "wiring/circuit.h"

namespace voltsill {
namespace {

/// The same network with `reference` as the node all voltages are against.
Netlist seen_from(const Netlist& netlist, Node reference) {
    Netlist out = netlist;
    const auto swap = [&](Node& n) { n = n == reference ? ground_node : n == ground_node ? reference : n; };
    std::swap(out.node_names[reference], out.node_names[ground_node]);
    for (Device& d : out.devices) std::ranges::for_each(d.nodes, swap);
    for (Stage& s : out.stages) swap(s.pin), swap(s.supply), swap(s.ground);
    out.units.clear();
    return out;
}

/// A rail at rest is held by a stand-in for its parts, which is no resistance anybody wired.
void open_stand_ins(Circuit& circuit) {
    for (const RailSite& rail : circuit.rails)
        for (Device& d : circuit.netlist.devices)
            if (d.kind == DeviceKind::resistor && d.name == "rail " + rail.name + " at rest")
                d.params[0] = circuit.netlist.add_constant(1e12);
}

std::vector<double> values_at(const Netlist& netlist, double Parameter::*end) {
    std::vector<double> out;
    for (const Parameter& p : netlist.parameters) out.push_back(p.*end);
    return out;
}

}  // namespace

std::vector<ResistanceWindow> resistances(const Bench& bench, const Wiring& wiring,
                                          std::span<const std::pair<NetId, NetId>> pairs) {
    Circuit circuit = lower(bench, wiring);
    open_stand_ins(circuit);
    const std::vector<bool> off(circuit.netlist.sources, false);
    const State state{.levels = std::vector<Logic>(circuit.netlist.stages.size(), Logic::Z),
                      .source_on = off};
    const std::vector<double> rest(circuit.netlist.node_names.size(), 0.0);
    std::vector<ResistanceWindow> out;
    for (const auto& [a, b] : pairs) {
        const Node from = circuit.node_of_net[a], to = circuit.node_of_net[b];
        if (from == to) {
            out.push_back({});
            continue;
        }
        const Netlist netlist = seen_from(circuit.netlist, from);
        const Partition partition(netlist, off);
        const Node probe = to == ground_node ? from : to;
        const auto ohms = [&](double Parameter::*end) {
            const double r = Linearized(netlist, partition, values_at(netlist, end), state, rest).ohms(probe);
            return std::isnan(r) ? 1e12 : r;
        };
        const double lo = ohms(&Parameter::lo), nominal = ohms(&Parameter::nominal),
                     hi = ohms(&Parameter::hi);
        out.push_back({std::min({lo, nominal, hi}), nominal, std::max({lo, nominal, hi})});
    }
    return out;
}

}  // namespace voltsill
