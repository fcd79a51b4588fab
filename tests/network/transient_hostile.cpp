/// Networks and values that cannot be, stiff ones, and runs that are stopped: a clear word each time.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <limits>

#include "support/timed_circuit.h"

namespace voltsill {
namespace {

using testing::TimedCircuit;

TimedCircuit line(double farads, double ohms = 1e3) {
    TimedCircuit c;
    const Node supply = c.fixed_rail("5 V", 5.0), out = c.net.add_node("out");
    c.net.resistor("R", supply, out, c.net.add_parameter("R", ohms, ohms, ohms));
    c.dynamics.capacitors.push_back(
        {"C", out, ground_node, c.net.add_parameter("C", farads, farads, farads)});
    const StageId s = c.plain_stage("sink", out, supply, {}, {{0.0, 1.0}, {0.0, 0.1}}, 5e-9);
    c.problem.drives = {{10e-9, s, Logic::zero}, {500e-9, s, Logic::Z}};
    c.problem.end = 1e-6;
    c.watched = {out};
    return c;
}
SampleRun run_with(const TransientSolver& solver, const TransientSolver::Fill& fill = {}) {
    SampleRun out;
    out.why = "never ended";
    solver.run(0, 1, fill, [&](const SampleRun& r) { out = r; });
    return out;
}

TEST(TransientHostile, NoCapacitanceIsAnAlgebraicNode) {
    const TimedCircuit c = line(0.0);
    const SampleRun r = run_with(TransientSolver(c.use()));
    ASSERT_EQ(r.end, RunEnd::finished) << r.why;
    EXPECT_NEAR(r.path.at(0, 300e-9), 5.0 * 10 / 1010, 1e-3);
    EXPECT_NEAR(r.path.at(0, 600e-9), 5.0, 1e-3);
}

TEST(TransientHostile, StiffnessOfTwelveDecadesIsNoTrouble) {
    TimedCircuit c = line(1e-18, 1e-2);
    const Node slow = c.net.add_node("slow");
    c.net.resistor("slow", c.watched[0], slow, c.net.add_constant(1e6));
    c.dynamics.capacitors.push_back({"slow", slow, ground_node, c.net.add_constant(1e-6)});
    const SampleRun r = run_with(TransientSolver(c.use()));
    EXPECT_EQ(r.end, RunEnd::finished) << r.why;
    EXPECT_LT(r.steps, 2000);
}

TEST(TransientHostile, NodeThatNothingHoldsFollowsItsCapacitor) {
    TimedCircuit c = line(10e-12);
    const Node loose = c.net.add_node("loose");
    c.dynamics.capacitors.push_back({"coupling", c.watched[0], loose, c.net.add_constant(10e-12)});
    c.dynamics.capacitors.push_back({"stray", loose, ground_node, c.net.add_constant(10e-12)});
    c.watched.push_back(loose);
    const SampleRun r = run_with(TransientSolver(c.use()));
    ASSERT_EQ(r.end, RunEnd::finished) << r.why;
    const double step = r.path.at(0, 400e-9) - r.path.at(0, 5e-9);
    EXPECT_NEAR(r.path.at(1, 400e-9) - r.path.at(1, 5e-9), step / 2, 0.01);
}

TEST(TransientHostile, ValuesThatCannotBeAreNamed) {
    const TimedCircuit c = line(10e-12);
    const TransientSolver solver(c.use());
    const auto with = [&](const std::string& name, double value) {
        return run_with(solver, [&](std::uint64_t, std::span<double> v) {
            for (std::size_t p = 0; p < v.size(); ++p)
                if (c.net.parameters[p].name == name) v[p] = value;
        });
    };
    for (const double bad : {-1.0, std::nan(""), std::numeric_limits<double>::infinity()})
        for (const char* name : {"R", "C"}) {
            const SampleRun r = with(name, bad);
            EXPECT_EQ(r.end, RunEnd::bad_values) << name << ' ' << bad;
            EXPECT_NE(r.why.find(name), std::string::npos) << r.why;
        }
}

TEST(TransientHostile, BadProblemsAreRefusedInWords) {
    const TimedCircuit c = line(10e-12);
    const auto trouble = [&](auto&& change) {
        TransientProblem p = c.use();
        change(p);
        const TransientSolver solver(p);
        int ended = 0;
        solver.run(0, 3, {}, [&](const SampleRun&) { ++ended; });
        EXPECT_EQ(ended, 0);
        return solver.trouble();
    };
    EXPECT_NE(trouble([](TransientProblem& p) { p.end = 0; }), "");
    EXPECT_NE(trouble([](TransientProblem& p) { p.end = std::nan(""); }), "");
    EXPECT_NE(trouble([](TransientProblem& p) { p.drives[0].at = 2e-6; }), "");
    EXPECT_NE(trouble([](TransientProblem& p) { p.drives[0].at = -1; }), "");
    EXPECT_NE(trouble([](TransientProblem& p) { p.drives[0].stage = 9; }), "");
    EXPECT_NE(trouble([](TransientProblem& p) { p.probes = {99}; }), "");
}

TEST(TransientHostile, IdealSourceBetweenFreeNodesIsRefused) {
    TimedCircuit c = line(10e-12);
    const Node other = c.net.add_node("other");
    c.net.source("battery", c.watched[0], other, c.net.add_constant(1.5));
    EXPECT_NE(TransientSolver(c.use()).trouble().find("ideal source"), std::string::npos);
}

TEST(TransientHostile, NoSamplesIsNoWork) {
    const TimedCircuit c = line(10e-12);
    TransientSolver(c.use()).run(5, 0, {}, [](const SampleRun&) { FAIL(); });
}

TEST(TransientHostile, CancelledRunHandsOnWhatItHas) {
    const TimedCircuit c = line(10e-12);
    int asked = 0, cancelled = 0, finished = 0;
    TransientSolver(c.use()).run(
        0, 1'000'000, {},
        [&](const SampleRun& r) {
            (r.end == RunEnd::cancelled ? cancelled : finished) += 1;
            if (r.end == RunEnd::cancelled) {
                EXPECT_LT(r.path.end(), 1e-6);
            }
        },
        [&] { return ++asked < 40; });
    EXPECT_GT(cancelled, 0);
    EXPECT_GT(finished, 0);
    EXPECT_LT(finished, 1000);
}

TEST(TransientHostile, TooManyStepsEndWithTheTimeReached) {
    const TimedCircuit c = line(10e-12);
    const SampleRun r = run_with(TransientSolver(c.use(), {.most_steps = 20}));
    EXPECT_EQ(r.end, RunEnd::too_many_steps);
    EXPECT_NE(r.why.find(" s"), std::string::npos);
    EXPECT_GT(r.path.pieces(), 0);
}

TEST(TransientHostile, StepThatUnderflowsEndsTheSample) {
    // A tolerance no step can meet in doubles.
    const TimedCircuit c = line(10e-12);
    const SampleRun r = run_with(TransientSolver(c.use(), {.volts_tolerance = 1e-300}));
    EXPECT_TRUE(r.end == RunEnd::step_too_small || r.end == RunEnd::too_many_steps) << to_words(r.end);
}

/// Without sources nothing rises above what it started with: resistors and capacitors only lose charge
/// to one another (passivity), and the total energy falls.
RC_GTEST_PROP(TransientLaw, ResistorsAndCapacitorsStayBetweenTheirRails, ()) {
    TimedCircuit c;
    const Node supply = c.fixed_rail("5 V", 5.0);
    std::vector<Node> nodes{ground_node, supply};
    const int count = *rc::gen::inRange(1, 7);
    const auto decade = [](double lo, int decades) {
        return lo * std::pow(10.0, *rc::gen::inRange(0, decades * 10) / 10.0);
    };
    for (int k = 0; k < count; ++k) {
        const Node n = c.net.add_node("n");
        c.net.resistor("R", n, nodes[*rc::gen::inRange<std::size_t>(0, nodes.size())],
                       c.net.add_constant(decade(1.0, 6)));
        c.dynamics.capacitors.push_back({"C", n, ground_node, c.net.add_constant(decade(1e-13, 5))});
        nodes.push_back(n);
        c.watched.push_back(n);
    }
    const StageId s = c.plain_stage("driver", c.watched.back(), supply, {{0.0, 1.0}, {0.0, 0.05}},
                                    {{0.0, 1.0}, {0.0, 0.05}}, 1e-9);
    c.problem.drives = {{1e-9, s, Logic::one}, {40e-9, s, Logic::zero}, {90e-9, s, Logic::Z}};
    c.problem.end = 200e-9;
    const SampleRun r = run_with(TransientSolver(c.use()));
    RC_ASSERT(r.end == RunEnd::finished);
    for (int probe = 0; probe < r.path.probes(); ++probe)
        for (int k = 0; k <= 300; ++k) {
            const double v = r.path.at(probe, r.path.end() * k / 300);
            RC_ASSERT(v > -5e-3);
            RC_ASSERT(v < 5.005);
        }
}

}  // namespace
}  // namespace voltsill
