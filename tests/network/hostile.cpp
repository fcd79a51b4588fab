// Networks nobody should draw: every answer must be finite, and a refusal must say what is wrong.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "network/linearized.h"
#include "support/how_many.h"

namespace voltsill {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double inf = std::numeric_limits<double>::infinity();

void expect_refused(const Netlist& net, const std::string& part) {
    const DcSolution s = solve_dc(net, net.nominal_values(), {});
    EXPECT_EQ(s.status, DcStatus::not_converged);
    EXPECT_THAT(s.trouble, testing::HasSubstr(part));
    for (double v : s.volts) EXPECT_TRUE(std::isfinite(v));
}

TEST(Hostile, ResistorsThatAreNone) {
    for (double ohms : {0.0, -1.0, nan, inf, -inf, 1e-320}) {
        Netlist net;
        net.resistor("R7", net.add_node("a"), ground_node, net.add_constant(ohms));
        expect_refused(net, "R7");
    }
}

TEST(Hostile, SourcesThatAreNoNumbers) {
    for (double volts : {nan, inf}) {
        Netlist net;
        net.source("E1", net.add_node("a"), ground_node, net.add_constant(volts));
        expect_refused(net, "E1");
    }
}

TEST(Hostile, RingsOfIdealSources) {
    Netlist held;
    const Node rail = held.add_node("rail");
    held.source("5V", rail, ground_node, held.add_constant(5.0));
    held.source("3V3", rail, ground_node, held.add_constant(3.3));
    expect_refused(held, "rail");
    Netlist loose;
    const Node a = loose.add_node("a"), b = loose.add_node("b");
    loose.source("E1", a, b, loose.add_constant(5.0));
    loose.source("E2", a, b, loose.add_constant(5.0));
    loose.resistor("R", a, ground_node, loose.add_constant(1e3));
    expect_refused(loose, "E2");
}

TEST(Hostile, TablesThatFallAndIndicesThatLeadNowhere) {
    Netlist net;
    const Node a = net.add_node("a");
    net.add_table({{0.0, 1.0}, {0.0, -1.0}});
    expect_refused(net, "table");
    Netlist lost;
    lost.resistor("R", 7, ground_node, lost.add_constant(1.0));
    expect_refused(lost, "R");
    Netlist unparameterized;
    unparameterized.resistor("R9", unparameterized.add_node("a"), ground_node, no_param);
    expect_refused(unparameterized, "R9");
    EXPECT_EQ(a, 1);
}

TEST(Hostile, FloatingNodesSolveAndAreRecognised) {
    Netlist net;
    const Node lone = net.add_node("lone"), a = net.add_node("a"), b = net.add_node("b"),
               tied = net.add_node("tied");
    net.resistor("R", a, b, net.add_constant(0.01));
    net.resistor("pull-down", tied, ground_node, net.add_constant(1e6));
    const auto values = net.nominal_values();
    const Partition partition(net, {});
    const DcSolution s = solve_dc(net, values, {});
    EXPECT_EQ(s.status, DcStatus::converged) << s.trouble;
    const Linearized linear(net, partition, values, {}, s.volts);
    for (Node n : {lone, a, b}) {
        EXPECT_NEAR(s.volts[n], 0.0, 1e-9);
        EXPECT_GT(linear.ohms(n), 1e11);
    }
    EXPECT_NEAR(linear.ohms(tied), 1e6, 1.1);
    EXPECT_NEAR(linear.ohms(lone), 1e12, 1e3);
}

/// A network of random devices with parameters from harmless to absurd.
Netlist random_network(std::mt19937_64& random) {
    const auto pick = [&](int n) { return static_cast<int>(random() % n); };
    const auto value = [&](double sane) {
        switch (pick(150)) {
            case 0:
                return 0.0;
            case 1:
                return -sane;
            case 2:
                return nan;
            case 3:
                return inf;
            case 4:
                return 1e300;
            case 5:
                return 1e-300;
            case 6:
                return sane * 1e9;
            case 7:
                return sane * 1e-9;
            default:
                return sane * std::exp((pick(2001) - 1000) * 3e-3);
        }
    };
    Netlist net;
    const int nodes = 1 + pick(9);
    for (int k = 0; k < nodes; ++k) net.add_node("n" + std::to_string(k + 1));
    const auto node = [&] { return static_cast<Node>(pick(nodes + 1)); };
    const auto param = [&](double sane) { return net.add_constant(value(sane)); };
    const int table = net.add_table({{-1.0, 0.0, 0.5, 3.0}, {-0.1, 0.0, 0.01, 0.02}});
    for (int k = 0, count = 1 + pick(14); k < count; ++k) {
        const std::array<Node, 5> at{node(), node(), node(), node(), node()};
        Device d{.kind = static_cast<DeviceKind>(pick(10)),
                 .nodes = at,
                 .reversed_polarity = pick(2) == 0,
                 .name = "d" + std::to_string(k)};
        switch (d.kind) {
            case DeviceKind::resistor:
                d.params[0] = param(1e3);
                break;
            case DeviceKind::source:
                d.params[0] = param(5.0);
                if (pick(2)) d.params[1] = param(1.0);
                break;
            case DeviceKind::current:
                d.params[0] = param(1e-3);
                break;
            case DeviceKind::diode:
                d.params = {param(0.6), param(1e-3), param(0.035), no_param};
                break;
            case DeviceKind::mosfet:
                d.params = {param(1.0), param(0.1), no_param, no_param};
                break;
            case DeviceKind::bjt:
                d.params = {param(100.0), param(0.65), param(2.0), no_param};
                break;
            case DeviceKind::table:
                d.table = table;
                break;
            case DeviceKind::opto:
                d.params = {param(1.1), param(1e-3), param(1.0), no_param};
                break;
            case DeviceKind::amplifier:
                d.params = {param(0.1), param(0.1), param(1e4), param(10.0)};
                break;
            case DeviceKind::switch_:
                d.params = {param(0.1), param(1e9), no_param, no_param};
                break;
        }
        net.add(d);
    }
    net.add_stage({"s", node(), node(), node(), table, pick(2) ? table : -1});
    return net;
}

TEST(Hostile, TwentyThousandRandomNetworksGiveFiniteAnswersOrReasons) {
    std::mt19937_64 random(20240611);
    int converged = 0, stuck = 0;
    for (unsigned trial = 0; trial < voltsill::made::how_many(20000); ++trial) {
        const Netlist net = random_network(random);
        const State state{.levels = {static_cast<Logic>(random() % 4)}};
        const auto values = net.nominal_values();
        const DcSolution s = solve_dc(net, values, state);
        for (double v : s.volts) ASSERT_TRUE(std::isfinite(v)) << trial;
        if (s.status == DcStatus::converged) {
            ++converged;
            for (DeviceId d = 0; d < static_cast<DeviceId>(net.devices.size()); ++d)
                ASSERT_FALSE(std::isnan(device_current(net, values, state, s.volts, d))) << trial;
        } else {
            ASSERT_FALSE(s.trouble.empty()) << trial;
            stuck += s.trouble.starts_with("node") && s.trouble.find("balance") != std::string::npos;
        }
    }
    EXPECT_GT(converged, static_cast<int>(voltsill::made::how_many(10000)));
    EXPECT_LT(stuck, 450);  // 394 when written: a bound on what is lost, not a goal
}

}  // namespace
}  // namespace voltsill
