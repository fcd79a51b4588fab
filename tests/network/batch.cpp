// Lanes against the scalar solver, on every instruction set this processor has.
#include "network/batch.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace voltsill {
namespace {

/// Random network of lane devices on two rails; every node has some path.
Netlist lane_network(std::mt19937_64& random, int nodes) {
    const auto pick = [&](int n) { return static_cast<int>(random() % n); };
    const auto spread = [&](double x) { return x * std::exp((pick(2001) - 1000) * 1e-3); };
    Netlist net;
    const Node r5 = net.add_node("5V"), r3 = net.add_node("3V3");
    net.source("5V", r5, ground_node, net.add_constant(5.0));
    net.source("3V3", r3, ground_node, net.add_constant(3.3));
    const int table = net.add_table({{-1.0, 0.0, 0.5, 2.0, 5.0}, {-0.05, 0.0, 0.012, 0.03, 0.033}});
    const int straight = net.add_table({{0.0, 2.0, 5.0}, {0.0, 0.03, 0.033}});
    for (int k = 0; k < nodes; ++k) {
        const Node n = net.add_node("n" + std::to_string(k));
        const auto other = [&] { return static_cast<Node>(pick(n)); };
        net.resistor("R", n, other(), net.add_constant(spread(4700.0)));
        net.diode("D", n, pick(2) ? r3 : other(), net.add_constant(0.55 + 0.01 * pick(20)));
        if (pick(3) == 0)
            net.mosfet("Q", n, other(), other(), net.add_constant(1.2), net.add_constant(spread(0.05)),
                       pick(2));
        if (pick(3) == 0)
            net.add({.kind = DeviceKind::switch_,
                     .nodes = {n, other()},
                     .params = {net.add_constant(1.0), net.add_constant(1e9), no_param, no_param},
                     .name = "S"});
        if (pick(3) == 0)
            net.add_stage({"stage", n, pick(2) ? r5 : r3, ground_node, table, table,
                           net.add_constant(2.0 * spread(1.0)), no_param, k % 2 ? straight : -1, -1, 4.0});
        if (pick(4) == 0) {
            const Node from = other();
            net.add({.kind = DeviceKind::current,
                     .nodes = {from, n},
                     .params = {net.add_constant(1e-4), no_param, no_param, no_param},
                     .name = "I"});
            net.resistor("across", from, n, net.add_constant(1e5));  // or an open leaves megavolts
        }
    }
    return net;
}

struct Trial {
    std::vector<ValueChange> changes;
    State state;
    BatchCase as_case;
};

std::vector<Trial> random_trials(std::mt19937_64& random, const Netlist& net, int count) {
    std::vector<Trial> trials(count);
    for (Trial& t : trials) {
        for (std::size_t k = 0; k < net.stages.size(); ++k)
            t.state.levels.push_back(static_cast<Logic>(random() % 4));
        for (int k = 0; k < net.switches; ++k) t.state.switch_on.push_back(random() % 2);
        const DeviceId d = static_cast<DeviceId>(random() % net.devices.size());
        const ParamId p = net.devices[d].params[0];
        const DeviceKind kind = net.devices[d].kind;
        if (kind == DeviceKind::resistor) t.changes = {{p, 1e12}};
        if (kind == DeviceKind::source) t.changes = {{p, 4.0}};
        if (kind == DeviceKind::diode) t.changes = {{net.devices[d].params[1], 1e-20}};
        if (kind == DeviceKind::mosfet) t.changes = {{net.devices[d].params[1], 1e-20}};
        if (random() % 3 == 0)
            t.as_case.bridge[0] = random() % net.node_names.size(),
            t.as_case.bridge[1] = random() % net.node_names.size();
        t.as_case.changes = t.changes;
        t.as_case.state = &t.state;
    }
    return trials;
}

/// The same case with the bridge as a resistor, by the scalar solver.
DcSolution scalar(Netlist net, const Trial& t) {
    for (const ValueChange& c : t.changes) net.parameters[c.parameter].nominal = c.value;
    if (t.as_case.bridge[0] >= 0 && t.as_case.bridge[0] != t.as_case.bridge[1])
        net.resistor("bridge", t.as_case.bridge[0], t.as_case.bridge[1],
                     net.add_constant(t.as_case.bridge_ohms));
    return solve_dc(net, net.nominal_values(), t.state);
}

class BatchOn : public testing::TestWithParam<InstructionSet> {
    void SetUp() override {
        if (!runs_here(GetParam())) GTEST_SKIP() << "this processor lacks " << to_string(GetParam());
    }
};

TEST_P(BatchOn, EqualsTheScalarSolverWithinOneMicrovolt) {
    std::mt19937_64 random(7);
    int cases = 0, one_by_one = 0;
    for (int round = 0; round < 25; ++round) {
        const Netlist net = lane_network(random, 2 + round);
        const auto trials = random_trials(random, net, 37);
        std::vector<BatchCase> batch;
        for (const Trial& t : trials) batch.push_back(t.as_case);
        const BatchSolver solver(net, {}, GetParam());
        EXPECT_TRUE(solver.in_lanes());
        EXPECT_EQ(solver.instruction_set(), GetParam());
        BatchResult result;
        solver.solve(net.nominal_values(), batch, result);
        cases += static_cast<int>(batch.size());
        one_by_one += result.one_by_one;
        for (std::size_t k = 0; k < batch.size(); ++k) {
            const DcSolution expected = scalar(net, trials[k]);
            ASSERT_EQ(result.status[k], expected.status) << expected.trouble;
            if (expected.status != DcStatus::converged) continue;
            for (std::size_t n = 0; n < net.node_names.size(); ++n)
                ASSERT_NEAR(result.volts[k * net.node_names.size() + n], expected.volts[n], 1e-6)
                    << "round " << round << " case " << k << " node " << net.node_names[n];
        }
    }
    EXPECT_LT(one_by_one * 10, cases);  // the lanes themselves are what is tested
}

TEST_P(BatchOn, ALaneDoesNotDependOnItsNeighbours) {
    std::mt19937_64 random(11);
    const Netlist net = lane_network(random, 9);
    const auto trials = random_trials(random, net, 64);
    const BatchSolver solver(net, {}, GetParam());
    std::vector<BatchCase> batch;
    for (const Trial& t : trials) batch.push_back(t.as_case);
    BatchResult together, alone;
    solver.solve(net.nominal_values(), batch, together);
    for (std::size_t k = 0; k < batch.size(); ++k) {
        solver.solve(net.nominal_values(), std::span(batch).subspan(k, 1), alone);
        for (std::size_t n = 0; n < net.node_names.size(); ++n)
            ASSERT_EQ(alone.volts[n], together.volts[k * net.node_names.size() + n]);
    }
}

TEST_P(BatchOn, RefusesOnlyTheCaseWithABadValue) {
    Netlist net;
    const Node rail = net.add_node("rail"), tap = net.add_node("tap");
    net.source("E", rail, ground_node, net.add_constant(5.0));
    const ParamId ohms = net.add_constant(1e3);
    net.resistor("R1", rail, tap, ohms);
    net.resistor("R2", tap, ground_node, net.add_constant(1e3));
    const ValueChange none[] = {{ohms, 0.0}}, not_a_number[] = {{ohms, std::nan("")}}, good[] = {{ohms, 4e3}};
    const BatchCase cases[] = {{.changes = none}, {.changes = good}, {.changes = not_a_number}, {}};
    BatchResult result;
    BatchSolver(net, {}, GetParam()).solve(net.nominal_values(), cases, result);
    using enum DcStatus;
    EXPECT_THAT(result.status, testing::ElementsAre(not_converged, converged, not_converged, converged));
    EXPECT_NEAR(result.volts[3 + tap], 1.0, 1e-7);
    EXPECT_NEAR(result.volts[9 + tap], 2.5, 1e-7);
}

INSTANTIATE_TEST_SUITE_P(Everywhere, BatchOn,
                         testing::Values(InstructionSet::baseline, InstructionSet::avx2,
                                         InstructionSet::avx512),
                         [](const auto& i) {
                             return std::string(i.param == InstructionSet::baseline ? "baseline"
                                                : i.param == InstructionSet::avx2   ? "avx2"
                                                                                    : "avx512");
                         });

TEST(Batch, RunsTheBestTargetUnlessToldOtherwise) {
    std::mt19937_64 random(3);
    const Netlist net = lane_network(random, 3);
    EXPECT_EQ(BatchSolver(net, {}).instruction_set(), best_instruction_set());
    EXPECT_TRUE(runs_here(best_instruction_set()));
    // Names come from what each kernel was compiled for, widths from its registers: two of them a variable.
    EXPECT_STREQ(to_string(InstructionSet::baseline), "baseline");
    EXPECT_STREQ(to_string(InstructionSet::avx2), "AVX2");
    EXPECT_STREQ(to_string(InstructionSet::avx512), "AVX-512");
    EXPECT_EQ(BatchSolver(net, {}, InstructionSet::avx2).lanes(), 8);
    EXPECT_EQ(BatchSolver(net, {}, InstructionSet::avx512).lanes(), 16);
    EXPECT_EQ(BatchSolver(net, {}, InstructionSet::baseline).lanes(), 4);
}

TEST(Batch, DevicesWithoutLanesAreSolvedOneByOne) {
    Netlist net;
    const Node rail = net.add_node("rail"), base = net.add_node("base");
    net.source("E", rail, ground_node, net.add_constant(5.0));
    net.resistor("R", rail, base, net.add_constant(1e4));
    net.add({.kind = DeviceKind::bjt,
             .nodes = {rail, base, ground_node},
             .params = {net.add_constant(100), net.add_constant(0.65), net.add_constant(2), no_param},
             .name = "Q"});
    const BatchSolver solver(net, {});
    EXPECT_FALSE(solver.in_lanes());
    BatchResult result;
    const BatchCase cases[2];
    solver.solve(net.nominal_values(), cases, result);
    EXPECT_EQ(result.one_by_one, 2);
    EXPECT_EQ(result.volts[3 + base], solve_dc(net, net.nominal_values(), {}).volts[base]);
}

}  // namespace
}  // namespace voltsill
