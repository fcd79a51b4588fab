/// Logic over time: delays, Schmitt thresholds, rings, edge accelerators. Periods as formulas.
#include <gtest/gtest.h>

#include <cmath>

#include "support/timed_circuit.h"

namespace voltsill {
namespace {

using testing::TimedCircuit;

SampleRun run(const TimedCircuit& circuit) {
    SampleRun out;
    const TransientSolver solver(circuit.use());
    EXPECT_EQ(solver.trouble(), "");
    solver.run(0, 1, {}, [&](const SampleRun& r) { out = r; });
    EXPECT_EQ(out.end, RunEnd::finished) << to_words(out.end) << ' ' << out.why;
    return out;
}

/// Moments at which a probe crosses a voltage, found on 40,000 points.
std::vector<double> crossings(const SampleRun& r, int probe, double volts, bool rising) {
    std::vector<double> out;
    double before = r.path.at(probe, 0);
    for (int k = 1; k <= 40000; ++k) {
        const double t = r.path.end() * k / 40000, now = r.path.at(probe, t);
        if (rising ? before < volts && now >= volts : before > volts && now <= volts) out.push_back(t);
        before = now;
    }
    return out;
}

const Table strong{{0.0, 1.0}, {0.0, 50e-3}};

struct Gate {
    StageId stage;
    Node out;
};
/// An inverter or buffer of 5 V from `in`.
Gate add_gate(TimedCircuit& c, Node in, Node supply, bool inverts, double delay, double falls, double rises,
              double edge = 1e-9) {
    const Node out = c.net.add_node("gate out");
    const StageId s = c.plain_stage("gate", out, supply, strong, strong, edge);
    c.dynamics.capacitors.push_back({"out", out, ground_node, c.net.add_constant(5e-12)});
    const ParamId lo = c.net.add_constant(falls), hi = c.net.add_constant(rises),
                  d = c.net.add_constant(delay);
    c.net.units.push_back(
        {.name = "gate",
         .inputs = {{.pin = in, .vil = lo, .vih = hi}},
         .outputs = {s},
         .rows = inverts ? std::vector{Logic::one, Logic::zero} : std::vector{Logic::zero, Logic::one},
         .supply = supply,
         .ground = ground_node});
    c.dynamics.units.push_back({.inputs = {{.rises = hi, .falls = lo}}, .to_high = d, .to_low = d});
    return {s, out};
}

TEST(TransientLogic, BufferPassesAnEdgeAfterItsDelay) {
    TimedCircuit c;
    const Node supply = c.fixed_rail("5 V", 5.0), in = c.net.add_node("in");
    const StageId s = c.plain_stage("driver", in, supply, strong, strong, 2e-9);
    c.dynamics.capacitors.push_back({"in", in, ground_node, c.net.add_constant(1e-12)});
    const Gate gate = add_gate(c, in, supply, false, 25e-9, 2.5, 2.5, 2e-9);
    c.problem.start.levels.assign(2, Logic::zero);
    c.problem.drives = {{10e-9, s, Logic::one}, {110e-9, s, Logic::zero}};
    c.problem.end = 200e-9;
    c.watched = {in, gate.out};
    const SampleRun r = run(c);
    for (const bool rising : {true, false}) {
        const auto at_in = crossings(r, 0, 2.5, rising), at_out = crossings(r, 1, 2.5, rising);
        ASSERT_EQ(at_in.size(), 1u);
        ASSERT_EQ(at_out.size(), 1u);
        // Delay to the start of the edge, and half of its 2 ns; 5 pF at 20 ohm lag a little.
        EXPECT_NEAR(at_out[0] - at_in[0], 25e-9 + 1e-9, 0.3e-9);
    }
}

TEST(TransientLogic, PulseShorterThanTheDelayIsSwallowedOnlyIfItsEndsMeet) {
    // Rising edges take 30 ns, falling ones 10 ns: a high of 15 ns is gone before it could begin.
    TimedCircuit c;
    const Node supply = c.fixed_rail("5 V", 5.0), in = c.net.add_node("in");
    const StageId s = c.plain_stage("driver", in, supply, strong, strong, 0.5e-9);
    c.dynamics.capacitors.push_back({"in", in, ground_node, c.net.add_constant(1e-12)});
    const Gate gate = add_gate(c, in, supply, false, 30e-9, 2.5, 2.5);
    c.dynamics.units[0].to_low = c.net.add_constant(10e-9);
    c.problem.start.levels.assign(2, Logic::zero);
    c.problem.drives = {
        {10e-9, s, Logic::one}, {25e-9, s, Logic::zero}, {100e-9, s, Logic::one}, {140e-9, s, Logic::zero}};
    c.problem.end = 220e-9;
    c.watched = {gate.out};
    const auto rises = crossings(run(c), 0, 2.5, true);
    ASSERT_EQ(rises.size(), 1u);
    EXPECT_NEAR(rises[0], 130.5e-9, 1e-9);
}

TEST(TransientLogic, RingOfThreeInvertersHasAPeriodOfSixDelays) {
    // A ring has no state to rest in, so it is started by a gate: NAND with an enable.
    TimedCircuit c;
    const Node supply = c.fixed_rail("5 V", 5.0), enable = c.net.add_node("enable"),
               back = c.net.add_node("back");
    const StageId start = c.plain_stage("start", enable, supply, strong, strong, 1e-9);
    c.dynamics.capacitors.push_back({"enable", enable, ground_node, c.net.add_constant(1e-12)});
    const double delay = 20e-9, edge = 1e-9;
    const StageId nand = c.plain_stage("nand", back, supply, strong, strong, edge);
    c.dynamics.capacitors.push_back({"back", back, ground_node, c.net.add_constant(1e-12)});
    const Gate first = add_gate(c, back, supply, true, delay, 2.5, 2.5, edge),
               second = add_gate(c, first.out, supply, true, delay, 2.5, 2.5, edge);
    const ParamId half = c.net.add_constant(2.5), d = c.net.add_constant(delay);
    c.net.units.push_back(
        {.name = "nand",
         .inputs = {{.pin = enable, .vil = half, .vih = half}, {.pin = second.out, .vil = half, .vih = half}},
         .outputs = {nand},
         .rows = {Logic::one, Logic::one, Logic::one, Logic::zero},
         .supply = supply,
         .ground = ground_node});
    c.dynamics.units.push_back({.inputs = {{half, half}, {half, half}}, .to_high = d, .to_low = d});
    c.problem.start.levels.assign(c.net.stages.size(), Logic::zero);
    c.problem.drives = {{50e-9, start, Logic::one}};
    c.problem.end = 2e-6;
    c.watched = {back};
    const auto rises = crossings(run(c), 0, 2.5, true);
    ASSERT_GT(rises.size(), 8u);
    const double period = (rises.back() - rises[2]) / static_cast<double>(rises.size() - 3);
    // Six delays and six halves of an edge; the loads add a fraction of a nanosecond each.
    EXPECT_NEAR(period, 6 * (delay + edge / 2), 2e-9);
}

TEST(TransientLogic, SchmittOscillatorHasThePeriodOfItsFormula) {
    // T = RC ln( (V - VT-) VT+ / ((V - VT+) VT-) ): common practice, two exponentials end to end.
    TimedCircuit c;
    const Node supply = c.fixed_rail("5 V", 5.0), in = c.net.add_node("in");
    const double ohms = 10e3, farads = 1e-9, falls = 1.8, rises = 2.9;
    const Gate gate = add_gate(c, in, supply, true, 15e-9, falls, rises);
    c.net.resistor("R", gate.out, in, c.net.add_constant(ohms));
    c.dynamics.capacitors.push_back({"C", in, ground_node, c.net.add_constant(farads)});
    // At rest it sits between its thresholds; a kick sets it going.
    const StageId kick = c.plain_stage("kick", in, supply, {}, {{0.0, 1.0}, {0.0, 1e-2}}, 0.0);
    c.net.units[0].inputs[0].schmitt = true;
    c.problem.start.levels.assign(c.net.stages.size(), Logic::Z);
    c.problem.start.levels[kick] = Logic::zero;
    c.problem.drives = {{1e-6, kick, Logic::Z}};
    c.problem.end = 150e-6;
    c.watched = {in};
    const auto up = crossings(run(c), 0, 2.4, true);
    ASSERT_GT(up.size(), 5u);
    const double period = (up.back() - up[1]) / static_cast<double>(up.size() - 2);
    const double formula = ohms * farads * std::log((5.0 - falls) * rises / ((5.0 - rises) * falls));
    EXPECT_NEAR(period / formula, 1.0, 0.01);
}

TEST(TransientLogic, AcceleratorDrivesForItsTimeOnly) {
    // A weak pull-up of 10 k into 200 pF takes 2 us; the accelerator takes over at 1 V and lets go 50 ns
    // later.
    TimedCircuit c;
    const Node supply = c.fixed_rail("5 V", 5.0), line = c.net.add_node("line");
    c.net.resistor("pull-up", supply, line, c.net.add_constant(10e3));
    c.dynamics.capacitors.push_back({"line", line, ground_node, c.net.add_constant(200e-12)});
    const StageId sink = c.plain_stage("sink", line, supply, {}, strong, 0.0);
    const StageId boost = c.plain_stage("boost", line, supply, {{0.0, 1.0}, {0.0, 5e-3}}, {}, 0.0);
    c.dynamics.accelerators.push_back({.name = "boost",
                                       .pin = line,
                                       .ground = ground_node,
                                       .point = {c.net.add_constant(1.0), c.net.add_constant(1.0)},
                                       .stage = boost,
                                       .on_rise = true,
                                       .delay = c.net.add_constant(5e-9),
                                       .lasts = c.net.add_constant(50e-9)});
    c.problem.start.levels = {Logic::zero, Logic::Z};
    c.problem.drives = {{100e-9, sink, Logic::Z}};
    c.problem.end = 1.5e-6;
    c.watched = {line};
    const SampleRun r = run(c);
    const double v0 = 5.0 * 20 / 10020, slow = 10e3 * 200e-12, both = 10e3 * 200 / 10200 * 200e-12;
    const double met = 100e-9 + slow * std::log((5 - v0) / (5 - 1.0)), begins = met + 5e-9,
                 ends = begins + 50e-9;
    const double at_begin = 5 - (5 - v0) * std::exp(-(begins - 100e-9) / slow);
    const double at_end = 5 - (5 - at_begin) * std::exp(-50e-9 / both);
    EXPECT_NEAR(r.path.at(0, begins), at_begin, 5e-3);
    EXPECT_NEAR(r.path.at(0, ends), at_end, 15e-3);
    EXPECT_NEAR(r.path.at(0, 1.4e-6), 5 - (5 - at_end) * std::exp(-(1.4e-6 - ends) / slow), 15e-3);
}

TEST(TransientLogic, AStageBetweenItsTwoShapesDischargesThroughTheirSum) {
    // At strength 2 of 4, (2/3) 2 mA/V and (1/3) 4 * 5 mA/V: 8 mA/V, 125 Ohm with 100 pF, from 5 V.
    TimedCircuit c;
    const Node supply = c.fixed_rail("5 V", 5.0), out = c.net.add_node("out");
    const StageId s = c.plain_stage("driver", out, supply, strong, {{0.0, 1.0}, {0.0, 2e-3}}, 0.0);
    c.net.stages[s].down_strength = c.net.add_constant(2.0);
    c.net.stages[s].down_strong_table = c.net.add_table({{0.0, 1.0}, {0.0, 5e-3}});
    c.net.stages[s].strongest = 4.0;
    c.dynamics.capacitors = {{"C", out, ground_node, c.net.add_constant(100e-12)}};
    c.problem.start.levels = {Logic::one};
    c.problem.drives = {{10e-9, s, Logic::zero}};
    c.problem.end = 60e-9;
    c.watched = {out};
    const SampleRun r = run(c);
    for (const double after : {5e-9, 15e-9, 40e-9})
        EXPECT_NEAR(r.path.at(0, 10e-9 + after), 5.0 * std::exp(-after / 12.5e-9), 5e-3) << after;
}

TEST(TransientLogic, SwitchingCurveIsFollowed) {
    // Without load and with equal sides, v / V = k_up / (k_up + k_down).
    TimedCircuit c;
    const Node supply = c.fixed_rail("5 V", 5.0), out = c.net.add_node("out");
    const StageId s = c.plain_stage("driver", out, supply, strong, strong, 10e-9);
    c.dynamics.curves = {{.up = {0, 0.1, 0.5, 0.9, 1.0}, .down = {1.0, 0.9, 0.5, 0.1, 0}}};
    c.dynamics.stages[s].rise_curve = 0;
    c.dynamics.capacitors = {{"C", out, ground_node, c.net.add_constant(1e-15)}};
    c.problem.start.levels = {Logic::zero};
    c.problem.drives = {{5e-9, s, Logic::one}, {30e-9, s, Logic::zero}};
    c.problem.end = 60e-9;
    c.watched = {out};
    const SampleRun r = run(c);
    for (int k = 0; k <= 4; ++k)
        EXPECT_NEAR(r.path.at(0, 5e-9 + 2.5e-9 * k), 5 * c.dynamics.curves[0].up[k], 2e-3) << k;
    EXPECT_NEAR(r.path.at(0, 35e-9), 2.5, 2e-3);  // the way back is a ramp
    EXPECT_NEAR(r.path.at(0, 59e-9), 0.0, 1e-3);
}

}  // namespace
}  // namespace voltsill
