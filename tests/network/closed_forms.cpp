// Networks whose answer is a formula. The formulas are the textbook ones (Ohm, Kirchhoff, Shockley,
// the square law) solved by hand; they share no code with the solver.
#include <gsl/gsl_sf_lambert.h>
#include <gtest/gtest.h>

#include <cmath>

#include "network/dc.h"

namespace voltsill {
namespace {

struct Net : Netlist {
    Node rail(double volts) {
        const Node n = add_node("rail");
        source("E", n, ground_node, add_constant(volts));
        return n;
    }
    DeviceId ohms(Node a, Node b, double r) { return resistor("R", a, b, add_constant(r)); }
    DcSolution solve(const State& state = {}) const {
        DcSolution s = solve_dc(*this, nominal_values(), state);
        EXPECT_EQ(s.status, DcStatus::converged) << s.trouble;
        return s;
    }
};

/// Emission and saturation current of Netlist::diode with `forward` volts at 1 mA.
constexpr double emission = 0.035;
double saturation(double forward) { return 1e-3 / std::expm1(forward / emission); }

TEST(ClosedForms, Divider) {
    Net net;
    const Node rail = net.rail(5.0), tap = net.add_node("tap");
    net.ohms(rail, tap, 2000.0);
    net.ohms(tap, ground_node, 3900.0);
    EXPECT_NEAR(net.solve().volts[tap], 5.0 * 3900.0 / 5900.0, 1e-8);
}

TEST(ClosedForms, StageBetweenItsTwoShapes) {
    // Weak: 2 mA/V up to 0.2 V, then 10 mA/V; strongest (4): four times a straight 5 mA/V. At 2 that is two thirds of
    // the first and a third of the second: (2/3) 2 + (1/3) 20 = 8 mA/V below 0.2 V, so 12 kOhm in series from 5 V
    // leave 5 * 125 / 12125 V; at 1 there are 500 Ohm, at 4 there are 50 Ohm.
    for (const auto& [strength, ohms] : {std::pair{1.0, 500.0}, {2.0, 125.0}, {4.0, 50.0}}) {
        Net net;
        const Node rail = net.rail(5.0), out = net.add_node("out");
        net.ohms(rail, out, 12e3);
        net.add_stage({.name = "stage",
                       .pin = out,
                       .supply = rail,
                       .ground = ground_node,
                       .down_table = net.add_table({{0.0, 0.2, 0.4}, {0.0, 0.4e-3, 2.4e-3}}),
                       .down_strength = net.add_constant(strength),
                       .down_strong_table = net.add_table({{0.0, 1.0}, {0.0, 5e-3}}),
                       .strongest = 4.0});
        const DcSolution s = net.solve({.levels = {Logic::zero}});
        EXPECT_NEAR(s.volts[out], 5.0 * ohms / (12e3 + ohms), 1e-6) << strength;
        EXPECT_NEAR(-stage_current(net, net.nominal_values(), Logic::zero, s.volts, 0), (5.0 - s.volts[out]) / 12e3,
                    1e-8);
    }
}

TEST(ClosedForms, TwoDiodesInSeriesByLambertW) {
    // E = i R + 2 n ln(1 + i/Is): i = 2n/R W(Is R/(2n) exp((E + Is R)/(2n))) - Is.
    for (double volts : {0.3, 1.0, 3.3, 5.0}) {
        Net net;
        const Node rail = net.rail(volts), top = net.add_node("top"), middle = net.add_node("middle");
        const DeviceId r = net.ohms(rail, top, 1000.0);
        net.diode("D1", top, middle, net.add_constant(0.65));
        net.diode("D2", middle, ground_node, net.add_constant(0.65));
        const double is = saturation(0.65), n2 = 2 * emission;
        const double i =
            n2 / 1000.0 * gsl_sf_lambert_W0(is * 1000.0 / n2 * std::exp((volts + is * 1000.0) / n2)) - is;
        const DcSolution s = net.solve();
        EXPECT_NEAR(device_current(net, net.nominal_values(), {}, s.volts, r), i, 1e-9) << volts;
        EXPECT_NEAR(s.volts[middle], s.volts[top] / 2, 1e-5);  // gmin at the middle: 4 uV at 0.3 V
    }
}

TEST(ClosedForms, MosfetInTriodeByTheQuadraticFormula) {
    // (E - v)/R = K (vov v - v^2/2)
    const double e = 5.0, r = 1000.0, k = 0.02, vov = 3.3 - 1.2;
    Net net;
    const Node rail = net.rail(e), gate = net.rail(3.3), drain = net.add_node("drain");
    net.ohms(rail, drain, r);
    net.mosfet("Q", drain, gate, ground_node, net.add_constant(1.2), net.add_constant(k));
    const double b = k * vov + 1.0 / r;
    EXPECT_NEAR(net.solve().volts[drain], (b - std::sqrt(b * b - 2.0 * k * e / r)) / k, 1e-8);
}

TEST(ClosedForms, PChannelMirrorsNChannel) {
    Net net;
    const Node rail = net.rail(5.0), gate = net.rail(5.0 - 3.3), drain = net.add_node("drain");
    net.ohms(drain, ground_node, 1000.0);
    net.mosfet("Q", drain, gate, rail, net.add_constant(1.2), net.add_constant(0.02), true);
    const double b = 0.02 * 2.1 + 1e-3;
    EXPECT_NEAR(5.0 - net.solve().volts[drain], (b - std::sqrt(b * b - 2.0 * 0.02 * 5e-3)) / 0.02, 1e-8);
}

TEST(ClosedForms, BipolarWithBaseResistor) {
    // In the active region ib = Is/beta (exp(vbe/VT) - 1), so the base loop is a Lambert-W.
    const double vt = 1.380649e-23 * 300.0 / 1.602176634e-19, beta = 150.0, rb = 47e3, e = 5.0;
    Net net;
    const Node rail = net.rail(e), base = net.add_node("base"), collector = net.add_node("collector");
    net.ohms(rail, base, rb);
    net.ohms(rail, collector, 220.0);
    net.add({.kind = DeviceKind::bjt,
             .nodes = {collector, base, ground_node},
             .params = {net.add_constant(beta), net.add_constant(0.65), net.add_constant(2.0), no_param},
             .name = "Q"});
    const double ib_s = 1e-3 / std::expm1(0.65 / vt) / beta;
    const double ib = vt / rb * gsl_sf_lambert_W0(ib_s * rb / vt * std::exp((e + ib_s * rb) / vt)) - ib_s;
    const DcSolution s = net.solve();
    EXPECT_NEAR(s.volts[base], e - ib * rb, 1e-4);
    EXPECT_NEAR(s.volts[collector], e - beta * ib * 220.0, 1e-4);
}

TEST(ClosedForms, PullUpsToTwoRailsThroughMosfet) {
    // Bidirectional shifter, nobody pulls: each side at its own supply. Low side pulled to 0.2 V by
    // an ideal source: the high side follows through the channel, by the quadratic formula.
    Net net;
    const Node low_rail = net.rail(3.3), high_rail = net.rail(5.0);
    const Node low = net.add_node("low"), high = net.add_node("high");
    net.ohms(low_rail, low, 10e3);
    net.ohms(high_rail, high, 10e3);
    net.mosfet("Q", high, low_rail, low, net.add_constant(1.5), net.add_constant(0.2));
    net.diode("body", low, high, net.add_constant(0.65));
    const DeviceId pull = net.source("pull", low, ground_node, net.add_constant(0.2));
    State open{.source_on = {true, true, false}};
    const DcSolution idle = net.solve(open);
    EXPECT_NEAR(idle.volts[low], 3.3, 1e-6);
    EXPECT_NEAR(idle.volts[high], 5.0, 1e-6);
    const DcSolution pulled = net.solve();
    const double k = 0.2, vov = 3.3 - 0.2 - 1.5, g = 1e-4, b = k * vov + g;
    const double v = (b - std::sqrt(b * b - 2.0 * k * g * 4.8)) / k;
    EXPECT_NEAR(pulled.volts[high] - 0.2, v, 1e-6);
    const double sunk = (3.3 - 0.2) / 10e3 + (4.8 - v) / 10e3;
    EXPECT_NEAR(device_current(net, net.nominal_values(), {}, pulled.volts, pull), sunk, 1e-9);
}

TEST(ClosedForms, DeadRailIsLiftedThroughAClampDiode) {
    // 5 V output, 1 kohm, clamp to a rail that is down and loaded with 10 kohm.
    Net net;
    const Node out = net.rail(5.0), pin = net.add_node("pin"), rail = net.add_node("3V3");
    net.source("3V3", rail, ground_node, net.add_constant(3.3));
    net.ohms(out, pin, 1000.0);
    net.diode("clamp", pin, rail, net.add_constant(0.6));
    net.ohms(rail, ground_node, 10e3);
    const double is = saturation(0.6), r = 11e3;
    const double i =
        emission / r * gsl_sf_lambert_W0(is * r / emission * std::exp((5.0 + is * r) / emission)) - is;
    const DcSolution s = net.solve({.source_on = {true, false}});
    EXPECT_NEAR(s.volts[rail], i * 10e3, 1e-6);
}

}  // namespace
}  // namespace voltsill
