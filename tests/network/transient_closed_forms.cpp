/// Circuits over time whose voltage is known as a formula. The formulas share no code with the solver.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "network/transient.h"
#include "support/timed_circuit.h"

namespace voltsill {
namespace {

using testing::TimedCircuit;

/// Runs one sample at nominal values.
SampleRun run_of(const TimedCircuit& circuit, const TransientOptions& options = {}) {
    SampleRun out;
    const TransientSolver solver(circuit.use(), options);
    EXPECT_EQ(solver.trouble(), "");
    solver.run(0, 1, {}, [&](const SampleRun& r) { out = r; });
    EXPECT_EQ(out.end, RunEnd::finished) << to_words(out.end) << ' ' << out.why;
    return out;
}

/// Largest difference to a formula at 500 moments from `begin` to the end.
template <class F>
double worst(const SampleRun& run, int probe, double begin, F&& exact) {
    double worst = 0;
    for (int k = 0; k <= 500; ++k) {
        const double t = begin + (run.path.end() - begin) * k / 500;
        worst = std::max(worst, std::abs(run.path.at(probe, t) - exact(t)));
    }
    return worst;
}

/// A line with a pull-up, a capacitance, and an output that lets go of it at 1 us, at once.
struct ReleasedLine : TimedCircuit {
    double volts = 3.3, ohms = 4.7e3, farads = 100e-12, sink = 20.0;
    Node line;
    explicit ReleasedLine(double end = 6e-6) {
        const Node rail_node = fixed_rail("3.3 V", volts);
        line = net.add_node("line");
        net.resistor("pull-up", rail_node, line, net.add_constant(ohms));
        dynamics.capacitors.push_back({"line", line, ground_node, net.add_constant(farads)});
        const StageId s = plain_stage("output", line, rail_node, {}, {{0.0, 1.0}, {0.0, 1.0 / sink}}, 0.0);
        problem.start.levels = {Logic::zero};
        problem.drives = {{1e-6, s, Logic::Z}};
        problem.end = end;
        watched = {line};
    }
    double low() const { return volts * sink / (ohms + sink); }
    double exact(double t) const {
        return t < 1e-6 ? low() : volts - (volts - low()) * std::exp(-(t - 1e-6) / (ohms * farads));
    }
};

TEST(TransientClosedForm, RisingLineIsAnExponential) {
    const ReleasedLine circuit;
    EXPECT_LT(worst(run_of(circuit), 0, 0.0, [&](double t) { return circuit.exact(t); }), 0.5e-3);
}

TEST(TransientClosedForm, RiseFromThirtyToSeventyPercentIsLnSevenThirdsRC) {
    // UM10204 rev 7.0 (1 Oct 2021), section 7.1: tr = 0.8473 Rp Cb.
    const ReleasedLine circuit;
    const SampleRun r = run_of(circuit);
    const auto crossing = [&](double volts) {
        double lo = 1e-6, hi = 6e-6;
        for (int i = 0; i < 60; ++i) (r.path.at(0, 0.5 * (lo + hi)) < volts ? lo : hi) = 0.5 * (lo + hi);
        return lo;
    };
    const double rise = crossing(0.7 * 3.3) - crossing(0.3 * 3.3);
    EXPECT_NEAR(rise / (circuit.ohms * circuit.farads), 0.8473, 0.0005);
}

TEST(TransientClosedForm, DividerChargesItsCapacitanceThroughBothResistors) {
    TimedCircuit c;
    const Node supply = c.fixed_rail("5 V", 5.0), out = c.net.add_node("out"), mid = c.net.add_node("mid");
    const StageId s =
        c.plain_stage("driver", out, supply, {{0.0, 1.0}, {0.0, 10.0}}, {{0.0, 1.0}, {0.0, 10.0}}, 0.0);
    c.net.resistor("R1", out, mid, c.net.add_constant(1e3));
    c.net.resistor("R2", mid, ground_node, c.net.add_constant(2e3));
    c.dynamics.capacitors = {{"C", mid, ground_node, c.net.add_constant(30e-12)},
                             {"Cout", out, ground_node, c.net.add_constant(1e-15)}};
    c.problem.start.levels = {Logic::zero};
    c.problem.drives = {{10e-9, s, Logic::one}};
    c.problem.end = 200e-9;
    c.watched = {mid};
    // tau = (R1 || R2) C; the drivers' 0.1 ohm is below what is looked at.
    const double tau = 2e3 / 3 * 30e-12, end = 5.0 * 2 / 3;
    EXPECT_LT(worst(run_of(c), 0, 10.5e-9, [&](double t) { return end * (1 - std::exp(-(t - 10e-9) / tau)); }),
              1.5e-3);
}

TEST(TransientClosedForm, SeriesCircuitRings) {
    TimedCircuit c;
    const double ohms = 20.0, henries = 100e-9, farads = 10e-12;
    const Node supply = c.fixed_rail("3 V", 3.0), out = c.net.add_node("out"), far = c.net.add_node("far");
    const StageId s =
        c.plain_stage("driver", out, supply, {{0.0, 1.0}, {0.0, 1e3}}, {{0.0, 1.0}, {0.0, 1e3}}, 0.0);
    c.net.resistor("wire", out, far, c.net.add_constant(ohms));
    c.dynamics.inductors = {{static_cast<DeviceId>(c.net.devices.size()) - 1, c.net.add_constant(henries)}};
    c.dynamics.capacitors = {{"far", far, ground_node, c.net.add_constant(farads)},
                             {"out", out, ground_node, c.net.add_constant(1e-15)}};
    c.problem.start.levels = {Logic::zero};
    c.problem.drives = {{1e-9, s, Logic::one}};
    c.problem.end = 60e-9;
    c.watched = {far};
    const double damping = ohms / (2 * henries), natural = 1 / std::sqrt(henries * farads),
                 ringing = std::sqrt(natural * natural - damping * damping);
    const auto exact = [&](double t) {
        const double u = t - 1e-9;
        return 3.0 * (1 - std::exp(-damping * u) *
                              (std::cos(ringing * u) + damping / ringing * std::sin(ringing * u)));
    };
    const SampleRun r = run_of(c);
    EXPECT_LT(worst(r, 0, 1e-9, exact), 5e-3);
    // First overshoot: exp(-pi zeta / sqrt(1 - zeta^2)) of the step.
    double top = 0;
    for (int k = 0; k < 20000; ++k) top = std::max(top, r.path.at(0, 60e-9 * k / 20000));
    const double zeta = damping / natural;
    EXPECT_NEAR(top / 3.0 - 1, std::exp(-std::numbers::pi * zeta / std::sqrt(1 - zeta * zeta)), 2e-3);
}

TEST(TransientClosedForm, FetSharesOnePullUpBetweenTwoRailsAndLeavesEachToItsOwn) {
    // Released from low, both sides of a two-way FET rise together on both pull-ups and both
    // capacitances until the FET is off (gate less threshold); from there each has its own.
    TimedCircuit c;
    const Node v3 = c.fixed_rail("3.3 V", 3.3), v5 = c.fixed_rail("5 V", 5.0);
    const Node low = c.net.add_node("low"), high = c.net.add_node("high");
    const double r = 10e3, farads = 100e-12, vth = 1.0;
    c.net.resistor("pull-up low", v3, low, c.net.add_constant(r));
    c.net.resistor("pull-up high", v5, high, c.net.add_constant(r));
    c.net.mosfet("Q", high, v3, low, c.net.add_constant(vth), c.net.add_constant(10.0));
    c.dynamics.capacitors = {{"low", low, ground_node, c.net.add_constant(farads)},
                             {"high", high, ground_node, c.net.add_constant(farads)}};
    const StageId s = c.plain_stage("output", low, v3, {}, {{0.0, 1.0}, {0.0, 1.0}}, 0.0);
    c.problem.start.levels = {Logic::zero};
    c.problem.drives = {{0.1e-6, s, Logic::Z}};
    c.problem.end = 6e-6;
    c.watched = {low, high};
    // Together: (3.3 + 5) / 2 through r / 2 into 2 C. Off at 2.3 V.
    const double tau = r * farads, together = 4.15, off = 3.3 - vth,
                 v0 = 8.3 / r / (1.0 + 2 / r);  // 1 ohm against both
    const double until = tau * std::log((together - v0) / (together - off));
    const SampleRun run = run_of(c);
    const auto level = [&](double t, double rail_volts) {
        const double u = t - 0.1e-6;
        return u < until ? together - (together - v0) * std::exp(-u / tau)
                         : rail_volts - (rail_volts - off) * std::exp(-(u - until) / tau);
    };
    // The FET needs some millivolts of overdrive for its last half milliampere (K = 10 A/V^2).
    EXPECT_LT(worst(run, 0, 0.11e-6, [&](double t) { return level(t, 3.3); }), 5e-3);
    EXPECT_LT(worst(run, 1, 0.11e-6, [&](double t) { return level(t, 5.0); }), 5e-3);
}

TEST(TransientClosedForm, RampThroughEqualSidesIsStraight) {
    // Two equal linear sides whose strengths cross give v = V k(t) without load.
    TimedCircuit c;
    const Node supply = c.fixed_rail("5 V", 5.0), out = c.net.add_node("out");
    const StageId s =
        c.plain_stage("driver", out, supply, {{0.0, 1.0}, {0.0, 1.0}}, {{0.0, 1.0}, {0.0, 1.0}}, 10e-9);
    c.dynamics.capacitors = {{"C", out, ground_node, c.net.add_constant(1e-15)}};
    c.problem.start.levels = {Logic::zero};
    c.problem.drives = {{5e-9, s, Logic::one}};
    c.problem.end = 20e-9;
    c.watched = {out};
    EXPECT_LT(worst(run_of(c), 0, 0, [](double t) { return 5.0 * std::clamp((t - 5e-9) / 10e-9, 0.0, 1.0); }),
              1e-3);
}

TEST(TransientClosedForm, TighterToleranceIsCloser) {
    const ReleasedLine circuit;
    double before = 1.0;
    for (const double tolerance : {3e-3, 1e-4, 3e-6}) {
        const double now = worst(run_of(circuit, {.volts_tolerance = tolerance}), 0, 0.0,
                                 [&](double t) { return circuit.exact(t); });
        EXPECT_LT(now, before * 0.5) << tolerance;
        before = now;
    }
    EXPECT_LT(before, 1e-5);
}

}  // namespace
}  // namespace voltsill
