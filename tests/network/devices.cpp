// Single devices against the sentence of netlist.h that defines them.
#include <gtest/gtest.h>

#include <cmath>

#include "network/dc.h"

namespace voltsill {
namespace {

/// A device with every terminal on an ideal source: its current is its law.
struct Clamped {
    Netlist net;
    Node at(double volts) {
        const Node n = net.add_node("v");
        net.source("E", n, ground_node, net.add_constant(volts));
        return n;
    }
    ParamId p(double value) { return net.add_constant(value); }
    double current(const Device& device, const State& state = {}) {
        const DeviceId id = net.add(device);
        const DcSolution s = solve_dc(net, net.nominal_values(), state);
        EXPECT_EQ(s.status, DcStatus::converged) << s.trouble;
        return device_current(net, net.nominal_values(), state, s.volts, id);
    }
};

double diode_amps(double volts) {
    Clamped c;
    return c.current({.kind = DeviceKind::diode,
                      .nodes = {c.at(volts), ground_node},
                      .params = {c.p(0.62), c.p(2e-3), c.p(0.04), no_param}});
}

TEST(Devices, DiodeGoesThroughItsReferencePointAndIsStraightAboveHalfAnAmpere) {
    EXPECT_NEAR(diode_amps(0.62), 2e-3, 1e-15);
    EXPECT_NEAR(diode_amps(0.0), 0.0, 1e-20);
    EXPECT_NEAR(diode_amps(-5.0), -2e-3 / std::expm1(0.62 / 0.04), 1e-15);
    const double knee = 0.62 + 0.04 * std::log(0.5 / 2e-3);
    EXPECT_NEAR(diode_amps(knee), 0.5, 1e-6);
    EXPECT_NEAR(diode_amps(knee + 1.0), 0.5 + 0.5 / 0.04, 1e-5);
    EXPECT_NEAR(diode_amps(knee + 2.0) - diode_amps(knee + 1.0), 0.5 / 0.04, 1e-9);
}

TEST(Devices, MosfetIsSymmetricAndSmooth) {
    const auto amps = [](double d, double g, double s) {
        Clamped c;
        return c.current({.kind = DeviceKind::mosfet,
                          .nodes = {c.at(d), c.at(g), c.at(s)},
                          .params = {c.p(1.0), c.p(0.01), no_param, no_param}});
    };
    EXPECT_EQ(amps(5.0, 0.9, 0.0), 0.0);
    EXPECT_NEAR(amps(5.0, 3.0, 0.0), 0.5 * 0.01 * 4.0, 1e-12);            // saturation: K/2 vov^2
    EXPECT_NEAR(amps(0.1, 3.0, 0.0), 0.01 * (2.0 * 0.1 - 0.005), 1e-12);  // triode
    EXPECT_NEAR(amps(0.0, 3.0, 0.1), -amps(0.1, 3.0, 0.0), 1e-15);
    const double h = 1e-6, edge = 2.0;  // slope on both sides of the triode edge
    EXPECT_NEAR((amps(edge, 3.0, 0.0) - amps(edge - h, 3.0, 0.0)) / h,
                (amps(edge + h, 3.0, 0.0) - amps(edge, 3.0, 0.0)) / h, 1e-7);
}

TEST(Devices, TableGoesOnBeyondItsEndsAndScales) {
    const auto amps = [](double v) {
        Clamped c;
        const int t = c.net.add_table({{-1.0, 0.0, 1.0}, {-0.01, 0.0, 0.02}});
        return c.current({.kind = DeviceKind::table,
                          .nodes = {c.at(v), ground_node},
                          .params = {c.p(2.0), c.p(3.0), no_param, no_param},
                          .table = t});
    };
    EXPECT_NEAR(amps(1.0), 3.0 * 0.01, 1e-15);
    EXPECT_NEAR(amps(6.0), 3.0 * 0.06, 1e-15);
    EXPECT_NEAR(amps(-6.0), -3.0 * 0.03, 1e-15);
}

TEST(Devices, OptoPassesItsRatioAndSaturates) {
    const auto collector = [](double vce) {
        Clamped c;
        const Node anode = c.at(1.2), out = c.at(vce);
        c.current({.kind = DeviceKind::opto,
                   .nodes = {anode, ground_node, out, ground_node},
                   .params = {c.p(1.2), c.p(5e-3), c.p(0.5), no_param}});
        const Partition partition(c.net, {});
        const DcSolution s = solve_dc(c.net, c.net.nominal_values(), {});
        return held_current(c.net, partition, c.net.nominal_values(), {}, s.volts, out);
    };
    EXPECT_NEAR(collector(5.0), 2.5e-3, 1e-12);
    EXPECT_NEAR(collector(0.1), 2.5e-3 * std::tanh(1.0), 1e-12);
    EXPECT_EQ(collector(-1.0), 0.0);
}

TEST(Devices, SwitchFollowsTheState) {
    for (const bool closed : {false, true}) {
        Clamped c;
        const Device d{.kind = DeviceKind::switch_,
                       .nodes = {c.at(1.0), ground_node},
                       .params = {c.p(10.0), c.p(1e9), no_param, no_param}};
        EXPECT_NEAR(c.current(d, {.switch_on = {closed}}), closed ? 0.1 : 1e-9, 1e-15);
    }
}

/// Output of a buffer (output tied to the inverting input) at the given input, on 5 V.
double follower(double input, double gain) {
    Clamped c;
    const Node in = c.at(input), supply = c.at(5.0), out = c.net.add_node("out");
    c.net.resistor("load", out, ground_node, c.p(1e4));
    c.net.add({.kind = DeviceKind::amplifier,
               .nodes = {out, in, out, supply, ground_node},
               .params = {c.p(1.5), c.p(0.02), c.p(gain), c.p(50.0)},
               .name = "A"});
    const DcSolution s = solve_dc(c.net, c.net.nominal_values(), {});
    EXPECT_EQ(s.status, DcStatus::converged) << s.trouble;
    return s.volts[out];
}

TEST(Devices, AmplifierFollowsBetweenItsHeadrooms) {
    for (double gain : {1e3, 1e5, 1e6}) {
        EXPECT_NEAR(follower(1.0, gain), 1.0, 10.0 / gain) << gain;
        EXPECT_NEAR(follower(2.5, gain), 2.5, 10.0 / gain) << gain;
        EXPECT_NEAR(follower(4.5, gain), 3.5 * 1e4 / (1e4 + 50.0), 2e-3) << gain;
    }
}

TEST(Devices, ComparatorOutputSitsAtItsClipLevels) {
    for (const bool high : {false, true}) {
        Clamped c;
        const Node in = c.at(high ? 2.6 : 2.4), mid = c.at(2.5), supply = c.at(5.0),
                   out = c.net.add_node("out");
        c.net.resistor("load", out, mid, c.p(1e6));
        c.net.add({.kind = DeviceKind::amplifier,
                   .nodes = {out, in, mid, supply, ground_node},
                   .params = {c.p(1.5), c.p(0.1), c.p(1e5), c.p(50.0)},
                   .name = "A"});
        EXPECT_NEAR(solve_dc(c.net, c.net.nominal_values(), {}).volts[out], high ? 3.5 : 0.1, 1e-3);
    }
}

TEST(Devices, BipolarPnpMirrorsNpnAndObeysKirchhoff) {
    for (const bool pnp : {false, true}) {
        const double sign = pnp ? -1.0 : 1.0;
        Clamped c;
        const Node collector = c.at(sign * 2.0), base = c.at(sign * 0.65), emitter = c.at(0.0);
        const double ic = c.current({.kind = DeviceKind::bjt,
                                     .nodes = {collector, base, emitter},
                                     .params = {c.p(120), c.p(0.65), c.p(2), no_param},
                                     .reversed_polarity = pnp});
        EXPECT_NEAR(ic, sign * 1e-3, 1e-12);
        const Partition partition(c.net, {});
        const auto values = c.net.nominal_values();
        const DcSolution s = solve_dc(c.net, values, {});
        EXPECT_NEAR(held_current(c.net, partition, values, {}, s.volts, base), sign * 1e-3 / 120, 1e-12);
        EXPECT_NEAR(held_current(c.net, partition, values, {}, s.volts, emitter),
                    -sign * 1e-3 * (1 + 1.0 / 120), 1e-12);
    }
}

TEST(Devices, StagePullsByLevelAndReportsTheCurrentOutOfItsPin) {
    Netlist net;
    const Node rail = net.add_node("rail"), pin = net.add_node("pin");
    net.source("E", rail, ground_node, net.add_constant(3.3));
    const int t = net.add_table({{0.0, 1.0}, {0.0, 0.02}});  // 50 ohm
    const StageId stage = net.add_stage({"s", pin, rail, ground_node, t, t, net.add_constant(0.5), no_param});
    net.resistor("R", pin, rail, net.add_constant(1e3));
    net.resistor("R", pin, ground_node, net.add_constant(1e3));
    const auto values = net.nominal_values();
    const auto pin_at = [&](Logic level) {
        const DcSolution s = solve_dc(net, values, {.levels = {level}});
        const double out = (s.volts[pin] - 1.65) / 500.0;  // by the Thevenin equivalent of the load
        EXPECT_NEAR(stage_current(net, values, level, s.volts, stage), out, 1e-11);
        return s.volts[pin];
    };
    EXPECT_NEAR(pin_at(Logic::one), 1.65 + 1.65 * 500.0 / 600.0, 1e-8);  // half strength: 100 ohm
    EXPECT_NEAR(pin_at(Logic::zero), 1.65 - 1.65 * 500.0 / 550.0, 1e-8);
    EXPECT_NEAR(pin_at(Logic::Z), 1.65, 1e-8);
    EXPECT_NEAR(pin_at(Logic::X), 1.65, 1e-8);
}

TEST(Devices, IdealSourceBetweenFreeNodesCarriesWhatKirchhoffLeaves) {
    // 5 V behind 1 kohm, a 2 V cell in series, 2 kohm to ground: 1 mA round the loop.
    Netlist net;
    const Node rail = net.add_node("rail"), a = net.add_node("a"), b = net.add_node("b");
    net.source("E", rail, ground_node, net.add_constant(5.0));
    net.resistor("R1", rail, a, net.add_constant(1e3));
    const DeviceId cell = net.source("cell", a, b, net.add_constant(2.0));
    net.resistor("R2", b, ground_node, net.add_constant(2e3));
    const DcSolution s = solve_dc(net, net.nominal_values(), {});
    EXPECT_NEAR(s.volts[a], 4.0, 1e-8);
    EXPECT_NEAR(s.volts[b], 2.0, 1e-8);
    EXPECT_NEAR(device_current(net, net.nominal_values(), {}, s.volts, cell), 1e-3, 1e-10);
    EXPECT_EQ(Partition(net, {}).blocks().size(), 1u);
}

TEST(Devices, HeldNodesSplitTheNetworkIntoBlocks) {
    Netlist net;
    const Node rail = net.add_node("rail");
    net.source("E", rail, ground_node, net.add_constant(5.0));
    for (int k = 0; k < 6; ++k) {
        const Node n = net.add_node("n");
        net.resistor("up", rail, n, net.add_constant(1e3));
        net.resistor("down", n, ground_node, net.add_constant(1e3));
    }
    EXPECT_EQ(Partition(net, {}).blocks().size(), 6u);
    EXPECT_EQ(Partition(net, {false}).blocks().size(), 1u);  // the dead rail joins them
}

}  // namespace
}  // namespace voltsill
