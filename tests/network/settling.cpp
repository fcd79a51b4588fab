// The logic fixed point: rings, latches, Schmitt inputs, units without supply. Expected behaviour is
// that of ternary simulation (Brzozowski and Seger, "Asynchronous Circuits", from memory).
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "network/dc.h"

namespace voltsill {
namespace {

/// Gates with 50 ohm outputs, thresholds 1 V and 2 V, on an ideal 3.3 V supply.
struct Gates : Netlist {
    Node rail = add_node("rail");
    ParamId vil = add_constant(1.0), vih = add_constant(2.0), least = add_constant(1.5);
    int drive = add_table({{-1.0, 0.0, 1.0}, {-0.02, 0.0, 0.02}});

    explicit Gates(double volts = 3.3) { source("rail", rail, ground_node, add_constant(volts)); }
    Node gate(std::string name, std::vector<Node> inputs, std::vector<Logic> rows, bool schmitt = false) {
        const Node out = add_node(name + ".out");
        LogicUnit unit{.name = name,
                       .rows = std::move(rows),
                       .supply = rail,
                       .ground = ground_node,
                       .min_supply = least};
        unit.outputs = {add_stage({name, out, rail, ground_node, drive, drive})};
        for (Node in : inputs) unit.inputs.push_back({in, vil, vih, schmitt});
        units.push_back(std::move(unit));
        return out;
    }
    Node inverter(std::string name, Node in, bool schmitt = false) {
        return gate(std::move(name), {in}, {Logic::one, Logic::zero}, schmitt);
    }
    Node nor(std::string name, Node a, Node b) {
        return gate(std::move(name), {a, b}, {Logic::one, Logic::zero, Logic::zero, Logic::zero});
    }
    Node input(double volts) {
        const Node n = add_node("input");
        source("input", n, ground_node, add_constant(volts));
        return n;
    }
    void wire(Node a, Node b) { resistor("wire", a, b, add_constant(0.1)); }
    DcSolution run(std::vector<Logic> before = {}) const {
        return settle(*this, nominal_values(), {}, {}, before);
    }
};

TEST(Settle, ChainOfInvertersFollowsItsInput) {
    Gates g;
    Node n = g.input(0.2);
    for (int k = 0; k < 5; ++k) n = g.inverter("inv" + std::to_string(k), n);
    const DcSolution s = g.run();
    EXPECT_EQ(s.status, DcStatus::converged);
    using enum Logic;
    EXPECT_THAT(s.levels, testing::ElementsAre(one, zero, one, zero, one));
    EXPECT_NEAR(s.volts[n], 3.3, 1e-6);
}

TEST(Settle, InputBetweenThresholdsReadsX) {
    Gates g;
    g.inverter("inv", g.input(1.5));
    EXPECT_EQ(g.run().levels[0], Logic::X);
}

TEST(Settle, OddRingOscillatesAndNamesItsUnits) {
    for (int length : {1, 3, 5}) {
        Gates g;
        const Node first = g.add_node("first");
        Node n = first;
        for (int k = 0; k < length; ++k) n = g.inverter("ring" + std::to_string(k), n);
        g.wire(n, first);
        g.inverter("follower", g.input(0.0));
        const DcSolution s = g.run();
        EXPECT_EQ(s.status, DcStatus::oscillates) << length;
        EXPECT_THAT(s.trouble, testing::HasSubstr("ring0"));
        EXPECT_THAT(s.trouble, testing::Not(testing::HasSubstr("follower")));
    }
}

TEST(Settle, EvenRingStaysXButDoesNotOscillate) {
    Gates g;
    const Node first = g.add_node("first");
    const Node n = g.inverter("b", g.inverter("a", first));
    g.wire(n, first);
    const DcSolution s = g.run();
    EXPECT_EQ(s.status, DcStatus::converged);
    EXPECT_THAT(s.levels, testing::Each(Logic::X));
}

TEST(Settle, LatchFollowsSetAndResetAndKeepsXWithout) {
    const auto latch = [](double set, double reset) {
        Gates g;
        const Node q_in = g.add_node("q in"), nq_in = g.add_node("nq in");
        const Node q = g.nor("q", g.input(reset), nq_in), nq = g.nor("nq", g.input(set), q_in);
        g.wire(q, q_in);
        g.wire(nq, nq_in);
        const DcSolution s = g.run();
        EXPECT_EQ(s.status, DcStatus::converged);
        return std::string{to_char(s.levels[0]), to_char(s.levels[1])};
    };
    EXPECT_EQ(latch(3.3, 0.0), "10");
    EXPECT_EQ(latch(0.0, 3.3), "01");
    EXPECT_EQ(latch(3.3, 3.3), "00");
    EXPECT_EQ(latch(0.0, 0.0), "XX");
}

TEST(Settle, SchmittInputHoldsWhatItReadBefore) {
    const auto at = [](double volts, std::vector<Logic> before) {
        Gates g;
        g.inverter("schmitt", g.input(volts), true);
        return g.run(before);
    };
    const DcSolution low = at(0.5, {}), high = at(2.5, {});
    EXPECT_EQ(at(1.5, low.readings).readings[0], Logic::zero);
    EXPECT_EQ(at(1.5, high.readings).readings[0], Logic::one);
    EXPECT_EQ(at(1.5, {}).readings[0], Logic::X);
    EXPECT_EQ(at(1.5, low.readings).levels[0], Logic::one);
}

TEST(Settle, UnitBelowItsLeastSupplyIsOff) {
    Gates g(1.2);
    const Node out = g.inverter("inv", g.input(0.0));
    g.resistor("load", out, ground_node, g.add_constant(1e3));
    const DcSolution s = g.run();
    EXPECT_EQ(s.levels[0], Logic::Z);
    EXPECT_NEAR(s.volts[out], 0.0, 1e-9);
}

TEST(Settle, StageAtXAgainstStrongPullStillReads) {
    // An X stage of 50 ohm behind 100 kohm cannot move a node that 100 ohm holds at the rail.
    Gates g;
    const Node x = g.inverter("x", g.input(1.5)), node = g.add_node("node");
    g.resistor("far", x, node, g.add_constant(100e3));
    g.resistor("near", g.rail, node, g.add_constant(100.0));
    g.inverter("reader", node);
    g.inverter("direct", x);
    using enum Logic;
    EXPECT_THAT(g.run().levels, testing::ElementsAre(X, zero, X));
}

TEST(Settle, TwoStagesAtXThroughATransistorAreTriedSeparately) {
    // The first stage drives the gate, the second the drain: all down and all up both leave the
    // drain low, gate low and drain up leaves it high.
    Gates g;
    const Node gate = g.inverter("gate", g.input(1.5)), pull = g.inverter("pull", g.input(1.5)),
               drain = g.add_node("drain");
    g.resistor("R", pull, drain, g.add_constant(1e3));
    g.mosfet("Q", drain, gate, ground_node, g.add_constant(1.0), g.add_constant(0.5));
    g.inverter("reader", drain);
    EXPECT_EQ(g.run().levels[2], Logic::X);
}

TEST(Settle, RefusesUnitsThatCannotBeEvaluated) {
    Gates g;
    g.inverter("inv", g.input(0.0));
    g.units[0].rows.pop_back();
    EXPECT_EQ(g.run().status, DcStatus::not_converged);
    EXPECT_THAT(g.run().trouble, testing::HasSubstr("inv"));
}

}  // namespace
}  // namespace voltsill
