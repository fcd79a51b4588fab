// Adjoint sensitivities against central differences of the solver itself, and against formulas.
#include <gtest/gtest.h>

#include <cmath>

#include "network/linearized.h"

namespace voltsill {
namespace {

/// Every kind of device in one block, two stages, a chain of held nodes and a floating ideal source.
struct Everything {
    Netlist net;
    State state{.levels = {Logic::one, Logic::zero}, .switch_on = {true}};
    std::vector<Node> free;

    Everything() {
        const auto constant = [&](double v) { return net.add_constant(v); };
        const Node rail = net.add_node("5V"), top = net.add_node("9V");
        net.source("E1", rail, ground_node, constant(5.0));
        net.source("E2", top, rail, constant(4.0));
        const auto node = [&](double ohms) {
            const Node n = net.add_node("n");
            net.resistor("R", n, free.empty() ? rail : free.back(), constant(ohms));
            net.resistor("G", n, ground_node, constant(10 * ohms));
            free.push_back(n);
            return n;
        };
        const Node a = node(1e3), b = node(2e3), c = node(500), d = node(3e3), e = node(1e3), f = node(4e3),
                   g = node(2e3), h = node(1e4);
        net.diode("D", a, b, constant(0.4));
        net.mosfet("QN", c, a, ground_node, constant(1.0), constant(1e-3));
        net.mosfet("QP", d, b, rail, constant(1.0), constant(2e-4), true);
        net.add({.kind = DeviceKind::bjt,
                 .nodes = {e, f, ground_node},
                 .params = {constant(100), constant(0.65), constant(3), no_param},
                 .name = "N"});
        net.add({.kind = DeviceKind::bjt,
                 .nodes = {g, c, a},
                 .params = {constant(80), constant(0.65), constant(3), no_param},
                 .reversed_polarity = true,
                 .name = "P"});
        net.add({.kind = DeviceKind::opto,
                 .nodes = {a, c, rail, h},
                 .params = {constant(1.1), constant(1e-3), constant(0.5), no_param},
                 .name = "O"});
        net.add({.kind = DeviceKind::amplifier,
                 .nodes = {g, e, h, top, ground_node},
                 .params = {constant(1.0), constant(0.2), constant(5.0), constant(200.0)},
                 .name = "A"});
        net.add({.kind = DeviceKind::current,
                 .nodes = {rail, h},
                 .params = {constant(1e-4), no_param, no_param, no_param},
                 .name = "I"});
        net.add({.kind = DeviceKind::switch_,
                 .nodes = {d, f},
                 .params = {constant(800.0), constant(1e9), no_param, no_param},
                 .name = "S"});
        const int t = net.add_table({{-1.0, 0.0, 1.0, 4.0}, {-2e-3, 0.0, 3e-3, 5e-3}});
        net.add({.kind = DeviceKind::table,
                 .nodes = {b, ground_node},
                 .params = {constant(1.3), constant(0.4), no_param, no_param},
                 .table = t,
                 .name = "T"});
        const int strongest = net.add_table({{0.0, 1.0, 4.0}, {0.0, 5e-3, 7e-3}});
        net.add_stage({"up", c, rail, ground_node, t, t, constant(1.7), constant(0.9), strongest, -1, 4.0});
        net.add_stage({"down", h, rail, ground_node, t, t, constant(0.7), constant(0.05)});
        const Node i = net.add_node("i");
        net.source("E3", i, d, constant(0.6));
        net.resistor("RI", i, ground_node, constant(1e4));
        free.push_back(i);
    }
};

TEST(Sensitivity, EqualsCentralDifferencesForEveryParameter) {
    const Everything all;
    const auto values = all.net.nominal_values();
    const Partition partition(all.net, {});
    const DcSolution s = solve_dc(all.net, values, all.state);
    ASSERT_EQ(s.status, DcStatus::converged) << s.trouble;
    std::vector<double> weights(s.volts.size());
    for (std::size_t k = 0; k < all.free.size(); ++k) weights[all.free[k]] = 1.0 + 0.3 * k;
    weights[2] = 0.5;  // a held node
    const auto slopes = Linearized(all.net, partition, values, all.state, s.volts).slopes(weights);
    const auto functional = [&](const std::vector<double>& at) {
        const DcSolution one = solve_dc(all.net, at, all.state, {.volts_tolerance = 1e-12});
        EXPECT_EQ(one.status, DcStatus::converged) << one.trouble;
        double sum = 0.0;
        for (std::size_t n = 0; n < weights.size(); ++n) sum += weights[n] * one.volts[n];
        return sum;
    };
    int moved = 0;
    for (ParamId p = 0; p < static_cast<ParamId>(values.size()); ++p) {
        auto up = values, down = values;
        const double h = 1e-4 * std::abs(values[p]);
        up[p] += h, down[p] -= h;
        const double expected = (functional(up) - functional(down)) / (2 * h);
        EXPECT_NEAR(slopes[p] * values[p], expected * values[p], 1e-5 + 2e-4 * std::abs(expected * values[p]))
            << p;
        moved += std::abs(expected * values[p]) > 1e-4;
    }
    EXPECT_GT(moved, 35);
}

TEST(Sensitivity, OfADividerIsTheFormula) {
    Netlist net;
    const Node rail = net.add_node("rail"), tap = net.add_node("tap");
    net.source("E", rail, ground_node, net.add_constant(5.0));
    net.resistor("R1", rail, tap, net.add_constant(2e3));
    net.resistor("R2", tap, ground_node, net.add_constant(3e3));
    const auto values = net.nominal_values();
    const Partition partition(net, {});
    const DcSolution s = solve_dc(net, values, {});
    const Linearized linear(net, partition, values, {}, s.volts);
    const auto slopes = linear.slopes(std::vector{0.0, 0.0, 1.0});
    EXPECT_NEAR(slopes[0], 0.6, 1e-8);
    EXPECT_NEAR(slopes[1], -5.0 * 3e3 / 25e6, 1e-11);
    EXPECT_NEAR(slopes[2], 5.0 * 2e3 / 25e6, 1e-11);
    EXPECT_NEAR(linear.ohms(tap), 1200.0, 1e-4);
}

}  // namespace
}  // namespace voltsill
