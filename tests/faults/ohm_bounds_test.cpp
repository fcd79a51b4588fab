/// Bounds of a resistance against the solved network.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "faults/fault_readings.h"

namespace voltsill {
namespace {

/// Resistors between nodes that nothing else is on.
struct Resistors {
    Wiring nothing;
    Circuit circuit;
    Resistors(int nodes) {
        circuit.wiring = &nothing;
        for (int k = 0; k < nodes; ++k) circuit.netlist.add_node("n" + std::to_string(k + 1));
    }
    void add(Node a, Node b, double lo, double hi) {
        const ParamId ohms = circuit.netlist.add_constant(lo);
        circuit.netlist.parameters[ohms].hi = hi;
        circuit.netlist.resistor("R", a, b, ohms);
    }
    ResistanceWindow between(Node a, Node b) const { return OhmBounds(circuit).between(a, b); }
};

TEST(OhmBoundsTest, AChainIsTheSumOfItsResistors) {
    Resistors r(3);
    r.add(1, 2, 9.5e3, 10.5e3);
    r.add(2, 3, 950, 1050);
    EXPECT_DOUBLE_EQ(r.between(1, 3).lo, 10450);
    EXPECT_DOUBLE_EQ(r.between(1, 3).hi, 11550);
}

TEST(OhmBoundsTest, WhatEndsNowhereDoesNotConduct) {
    Resistors r(4);
    r.add(1, 2, 1e4, 1e4);
    r.add(2, 3, 1e3, 1e3);
    r.add(3, 4, 1e3, 1e3);
    EXPECT_NEAR(r.between(1, 2).lo, 1e4, 1e-3);
    EXPECT_DOUBLE_EQ(r.between(1, 2).hi, 1e4);
}

TEST(OhmBoundsTest, BesideARailOnlyTheLeastIsKnown) {
    Resistors r(2);
    r.add(1, 2, 1e4, 1e4);
    r.add(2, ground_node, 1e3, 1e3);
    EXPECT_DOUBLE_EQ(r.between(1, 2).lo, 1e4);
    const ResistanceWindow to_ground = r.between(1, ground_node);
    EXPECT_DOUBLE_EQ(to_ground.lo, 11e3);
    EXPECT_DOUBLE_EQ(to_ground.hi, 11e3);
}

/// The same resistors, each at a value between its ends, with the second node as the reference.
double solved_ohms(const Netlist& net, Node a, Node b) {
    Netlist seen;
    const auto node = [&](Node n) { return n == b ? ground_node : n == ground_node ? b : n; };
    while (seen.node_names.size() < net.node_names.size()) seen.add_node("n");
    for (const Device& d : net.devices) {
        const Parameter& ohms = net.parameters[d.params[0]];
        const double share = *rc::gen::inRange(0, 101) / 100.0;
        seen.resistor("R", node(d.nodes[0]), node(d.nodes[1]),
                      seen.add_constant(ohms.lo + share * (ohms.hi - ohms.lo)));
    }
    const Partition partition(seen, {});
    const std::vector<double> rest(seen.node_names.size(), 0.0);
    return Linearized(seen, partition, seen.nominal_values(), {}, rest).ohms(node(a));
}

RC_GTEST_PROP(OhmBoundsProperty, HoldEveryNetworkWithinTolerances, ()) {
    const int nodes = *rc::gen::inRange(2, 8);
    Resistors r(nodes);
    for (int k = *rc::gen::inRange(1, 14); k > 0; --k) {
        const double ohms = std::pow(10.0, *rc::gen::inRange(10, 60) / 10.0);
        const Node a = *rc::gen::inRange(0, nodes + 1), b = *rc::gen::inRange(0, nodes + 1);
        if (a != b) r.add(a, b, 0.9 * ohms, 1.1 * ohms);
    }
    const Node a = *rc::gen::inRange(1, nodes + 1), b = *rc::gen::inRange(0, a);
    const ResistanceWindow window = r.between(a, b);
    const double ohms = solved_ohms(r.circuit.netlist, a, b);
    RC_ASSERT(window.lo <= ohms * (1 + 1e-6) + 1e-9 || (window.open() && ohms > 1e11));
    RC_ASSERT(window.hi >= ohms * (1 - 1e-6));
    const ResistanceWindow back = r.between(b, a);
    RC_ASSERT(back.lo == window.lo);
}

}  // namespace
}  // namespace voltsill
