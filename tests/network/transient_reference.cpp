/// The transient solver against SUNDIALS IDA on the same equations, written down a second time
/// (support/ida_reference.cpp), at a relative tolerance of 1e-9. benchmarks/transient.cpp holds 1,024
/// samples of each circuit to the same 5 mV.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "support/how_many.h"
#include "support/ida_reference.h"
#include "support/transient_circuits.h"

namespace voltsill {
namespace {

using testing::IdaReference;
using testing::TimedCircuit;

double worst_error(const TimedCircuit& circuit, int samples, const TransientOptions& options = {}) {
    const TransientProblem problem = circuit.use();
    const TransientSolver solver(problem, options);
    EXPECT_EQ(solver.trouble(), "");
    IdaReference ida(problem);
    const std::vector<double> times = testing::moments(problem, ida.breakpoints(), 1500, 1e-6);
    double worst = 0;
    int seen = 0;
    solver.run(
        0, samples, [&](std::uint64_t k, std::span<double> v) { testing::fill_uniform(circuit.net, k, v); },
        [&](const SampleRun& run) {
            ASSERT_EQ(run.end, RunEnd::finished) << to_words(run.end) << ' ' << run.why;
            ++seen;
            const std::vector<double> values = testing::values_of(circuit.net, run.index);
            const auto rest = solve_dc(circuit.net, values, problem.start).volts;
            ASSERT_GT(ida.run(values, rest, {1e-9, 1e-10}, times,
                              [&](std::size_t t, const std::vector<double>& v) {
                                  for (std::size_t p = 0; p < v.size(); ++p)
                                      worst = std::max(
                                          worst, std::abs(run.path.at(static_cast<int>(p), times[t]) - v[p]));
                              }),
                      0);
        });
    EXPECT_EQ(seen, samples);
    return worst;
}

TEST(TransientAgainstIda, DividerIntoClamps) {
    EXPECT_LE(worst_error(testing::divider_into_clamps(), 40), 5e-3);
}
TEST(TransientAgainstIda, TwoWayFet) { EXPECT_LE(worst_error(testing::two_way_fet(), 40), 5e-3); }
TEST(TransientAgainstIda, TableDriverIntoLine) {
    EXPECT_LE(worst_error(testing::table_into_line(), 20), 5e-3);
}

/// Rails, resistors, capacitors, clamps, FETs, LC sections and drivers, drawn at random.
TimedCircuit random_circuit(unsigned seed) {
    std::mt19937 engine(seed);
    const auto uniform = [&](double lo, double hi) { return std::uniform_real_distribution(lo, hi)(engine); };
    const auto decade = [&](double lo, double hi) { return lo * std::pow(hi / lo, uniform(0, 1)); };
    TimedCircuit c{.name = "random"};
    std::vector<Node> rails{ground_node, c.rail("low", uniform(1.7, 3.4)), c.rail("high", uniform(4.5, 5.5))};
    const auto any = [&](const std::vector<Node>& nodes) { return nodes[engine() % nodes.size()]; };
    const int count = 3 + static_cast<int>(engine() % 5);
    for (int k = 0; k < count; ++k) {
        const Node n = c.net.add_node("n" + std::to_string(k));
        c.c("C", n, decade(3e-12, 200e-12));
        const Node to = c.watched.empty() || engine() % 3 == 0 ? any(rails) : any(c.watched);
        c.r("R", n, to, decade(5.0, 20e3));
        c.watched.push_back(n);
    }
    for (int k = 0; k < 2; ++k) {
        const Table side{{0.0, 0.4, 5.0}, {0.0, 8e-3, 30e-3}};
        const StageId s = c.stage("driver", any(c.watched), rails[1 + engine() % 2],
                                  engine() % 3 ? side : Table{}, side, decade(2e-9, 50e-9));
        c.problem.start.levels[s] = Logic::zero;
        double t = uniform(10e-9, 100e-9);
        for (int edge = 0; edge < 4; ++edge, t += uniform(150e-9, 600e-9))
            c.problem.drives.push_back({t, s, edge % 2 ? Logic::zero : engine() % 2 ? Logic::one : Logic::Z});
    }
    std::ranges::sort(c.problem.drives, {}, &Drive::at);
    c.net.diode("clamp", any(c.watched), rails[1], c.spread("vf", 0.65, 0.05));
    c.net.diode("clamp", ground_node, any(c.watched), c.spread("vf", 0.65, 0.05));
    if (c.watched.size() > 3)
        c.net.mosfet("Q", c.watched[0], rails[1], c.watched[1], c.spread("vth", 1.2, 0.3),
                     c.spread("K", 0.1, 0.2));
    c.problem.end = 2.6e-6;
    return c;
}

TEST(TransientAgainstIda, RandomCircuits) {
    for (unsigned seed = 1; seed <= voltsill::made::how_many(40); ++seed)
        EXPECT_LE(worst_error(random_circuit(seed), 3), 5e-3) << seed;
}

TEST(TransientAgainstIda, HalvedStepsGainTheOrderOfTheMethod) {
    // The tolerance bounds an estimate of local order 4: a sixteenth of it halves the steps, and the
    // error falls by more than 8 (order 3 and better; the method's own order is 4).
    const TimedCircuit circuit = testing::two_way_fet();
    const double coarse = worst_error(circuit, 8, {.volts_tolerance = 8e-5}),
                 fine = worst_error(circuit, 8, {.volts_tolerance = 5e-6});
    EXPECT_GT(coarse / fine, 8.0) << coarse << ' ' << fine;
}

}  // namespace
}  // namespace voltsill
