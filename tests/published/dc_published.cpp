// Worked examples of published documents that a steady state answers.
#include <gtest/gtest.h>

#include "network/linearized.h"

namespace voltsill {
namespace {

struct Example {
    Netlist net;
    Node rail(double volts) {
        const Node n = net.add_node("rail");
        net.source("E", n, ground_node, net.add_constant(volts));
        return n;
    }
    DeviceId ohms(Node a, Node b, double r) { return net.resistor("R", a, b, net.add_constant(r)); }
    std::vector<double> volts() const {
        const DcSolution s = solve_dc(net, net.nominal_values(), {});
        EXPECT_EQ(s.status, DcStatus::converged) << s.trouble;
        return s.volts;
    }
    double amps(DeviceId d) const { return device_current(net, net.nominal_values(), {}, volts(), d); }
};

double divided(double volts, double top, double bottom) {
    Example e;
    const Node tap = e.net.add_node("tap"), rail = e.rail(volts);
    e.ohms(rail, tap, top);
    e.ohms(tap, ground_node, bottom);
    return e.volts()[tap];
}

// 5 V to 3.3 V with R1 = 0.515 R2; the printed resistors R1 = 18 795 ohm and R2 = 36 495 ohm.
// Source: DS41285A (2006); tip 12; from memory
TEST(PublishedDc, Tip12DividerGives3V3) {
    EXPECT_NEAR(divided(5.0, 18795.0, 36495.0), 3.3, 5e-4);
    EXPECT_NEAR(divided(5.0, 0.51515, 1.0), 3.3, 1e-4);
}

// Notes of hobbyists that print divider and result: 2 k over 3.9 k: 3.3 V; 2.2 k over 3.3 k: 3.0 V.
// Source: no document; two notes, as quoted by others; common practice
TEST(PublishedDc, PrintedDividers) {
    EXPECT_NEAR(divided(5.0, 2000.0, 3900.0), 3.3, 0.05);
    EXPECT_NEAR(divided(5.0, 2200.0, 3300.0), 3.0, 0.005);
}

// The same note: Thevenin resistance of 2 k over 3.9 k is 1.3 k.
// Source: no document; a note, as quoted by others; common practice
TEST(PublishedDc, PrintedTheveninResistance) {
    Example e;
    const Node tap = e.net.add_node("tap"), rail = e.rail(5.0);
    e.ohms(rail, tap, 2000.0);
    e.ohms(tap, ground_node, 3900.0);
    const Partition partition(e.net, {});
    EXPECT_NEAR(Linearized(e.net, partition, e.net.nominal_values(), {}, e.volts()).ohms(tap), 1.3e3, 50.0);
}

// Clamp current with a series resistor, R = (Vsource - Vrail - Vf) / I: (5 - 3.3 - 0.5) V / 2 mA = 600
// ohm. The diode is given the printed 0.5 V at the printed 2 mA.
// Source: no document; a note, as quoted by others; common practice
TEST(PublishedDc, ClampResistorOfTheNoteLets2mAThrough) {
    Example e;
    const Node source = e.rail(5.0), rail = e.rail(3.3), pin = e.net.add_node("pin");
    const DeviceId r = e.ohms(source, pin, 600.0);
    e.net.add(
        {.kind = DeviceKind::diode,
         .nodes = {pin, rail},
         .params = {e.net.add_constant(0.5), e.net.add_constant(2e-3), e.net.add_constant(0.035), no_param},
         .name = "clamp"});
    EXPECT_NEAR(e.amps(r), 2e-3, 1e-9);
}

// The same rule with a limit of a data sheet: 5.25 V drive, 3.0 V rail, 0.3 V diode, injection limit 5
// mA: 390 ohm.
// Source: DocID14611 r10; table 8; read
TEST(PublishedDc, ClampResistorForFiveMilliamperes) {
    Example e;
    const Node source = e.rail(5.25), rail = e.rail(3.0), pin = e.net.add_node("pin");
    const DeviceId r = e.ohms(source, pin, 390.0);
    e.net.add(
        {.kind = DeviceKind::diode,
         .nodes = {pin, rail},
         .params = {e.net.add_constant(0.3), e.net.add_constant(5e-3), e.net.add_constant(0.035), no_param},
         .name = "clamp"});
    EXPECT_NEAR(e.amps(r), 5e-3, 1e-9);
}

// Back-feed through clamps (sum of clamp currents against the load of the rail): eight inputs of 1.2 mA,
// 9.6 mA in all, hold a dead rail at 3.3 V when it is loaded with 3.3 V / 9.6 mA = 344 ohm.
// Source: no document; arithmetic on the clamp currents of the notes above; common practice
TEST(PublishedDc, EightClampsLiftADeadRail) {
    Example e;
    const Node source = e.rail(5.0), rail = e.net.add_node("dead rail");
    e.ohms(rail, ground_node, 3.3 / 9.6e-3);
    for (int k = 0; k < 8; ++k) {
        const Node pin = e.net.add_node("pin");
        e.ohms(source, pin, (5.0 - 3.3 - 0.5) / 1.2e-3);
        e.net.add({.kind = DeviceKind::diode,
                   .nodes = {pin, rail},
                   .params = {e.net.add_constant(0.5), e.net.add_constant(1.2e-3), e.net.add_constant(0.035),
                              no_param},
                   .name = "clamp"});
    }
    EXPECT_NEAR(e.volts()[rail], 3.3, 1e-6);
}

// Bidirectional MOSFET shifter, states 1 to 3: nobody pulls: both sides at their own supplies; low side
// pulled: both low; high side pulled: the body diode pulls the source down until the channel conducts,
// then both low. FET: |Vth| 1.3 V typical.
// Source: AN10441 rev 01 (18 Jun 2007); the three states, as quoted by others; from memory
// Source: data sheet BSS138 Rev C (Oct 2005); electrical characteristics; read
TEST(PublishedDc, An10441StatesOneToThree) {
    Example e;
    const Node low_rail = e.rail(3.3), high_rail = e.rail(5.0);
    const Node low = e.net.add_node("low"), high = e.net.add_node("high");
    e.ohms(low_rail, low, 10e3);
    e.ohms(high_rail, high, 10e3);
    e.net.mosfet("Q", high, low_rail, low, e.net.add_constant(1.3), e.net.add_constant(0.3));
    e.net.diode("body", low, high, e.net.add_constant(0.6));
    const int sink = e.net.add_table({{0.0, 1.0}, {0.0, 0.02}});
    e.net.add_stage({"low driver", low, low_rail, ground_node, -1, sink});
    e.net.add_stage({"high driver", high, high_rail, ground_node, -1, sink});
    const auto at = [&](Logic low_driver, Logic high_driver) {
        const DcSolution s = solve_dc(e.net, e.net.nominal_values(), {.levels = {low_driver, high_driver}});
        EXPECT_EQ(s.status, DcStatus::converged) << s.trouble;
        return std::pair{s.volts[low], s.volts[high]};
    };
    const auto [idle_low, idle_high] = at(Logic::Z, Logic::Z);
    EXPECT_NEAR(idle_low, 3.3, 1e-3);
    EXPECT_NEAR(idle_high, 5.0, 1e-3);
    for (const auto& [a, b] : {std::pair{Logic::zero, Logic::Z}, std::pair{Logic::Z, Logic::zero}}) {
        const auto [pulled_low, pulled_high] = at(a, b);
        EXPECT_LT(pulled_low, 0.1);
        EXPECT_LT(pulled_high, 0.1);
    }
}

}  // namespace
}  // namespace voltsill
