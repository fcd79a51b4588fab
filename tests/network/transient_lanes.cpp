/// What does not matter to a sample: its neighbours, how many there are, the thread, the instruction set.
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <thread>

#include "support/allocations.h"
#include "support/transient_circuits.h"

namespace voltsill {
namespace {

using testing::TimedCircuit;

std::vector<InstructionSet> sets_here() {
    std::vector<InstructionSet> sets;
    for (const InstructionSet set : {InstructionSet::baseline, InstructionSet::avx2, InstructionSet::avx512})
        if (runs_here(set)) sets.push_back(set);
    return sets;
}
std::vector<TimedCircuit> circuits() {
    return {testing::divider_into_clamps(), testing::two_way_fet(), testing::table_into_line()};
}
TransientSolver::Fill uniform(const TimedCircuit& c) {
    return [&c](std::uint64_t k, std::span<double> v) { testing::fill_uniform(c.net, k, v); };
}
/// Voltages of every probe at 200 moments.
std::vector<double> trace(const SampleRun& run) {
    std::vector<double> out;
    for (int p = 0; p < run.path.probes(); ++p)
        for (int k = 0; k <= 200; ++k) out.push_back(run.path.at(p, run.path.end() * k / 200));
    return out;
}
std::map<std::uint64_t, std::vector<double>> traces(const TransientSolver& solver, const TimedCircuit& c,
                                                    std::uint64_t first, std::uint64_t count) {
    std::map<std::uint64_t, std::vector<double>> out;
    solver.run(first, count, uniform(c), [&](const SampleRun& r) { out[r.index] = trace(r); });
    return out;
}

TEST(TransientLanes, EverySampleIsRunOnce) {
    const TimedCircuit c = testing::divider_into_clamps();
    const TransientSolver solver(c.use());
    for (const std::uint64_t count : {1, 5, 23, 24, 25, 100}) {
        std::map<std::uint64_t, int> seen;
        solver.run(7, count, uniform(c), [&](const SampleRun& r) { ++seen[r.index]; });
        EXPECT_EQ(seen.size(), count);
        EXPECT_EQ(seen.begin()->first, 7u);
        for (const auto& [index, times] : seen) EXPECT_EQ(times, 1) << index;
    }
}

TEST(TransientLanes, SampleAloneIsTheSampleInACrowd) {
    for (const TimedCircuit& c : circuits())
        for (const InstructionSet set : sets_here()) {
            const TransientSolver solver(c.use(), {.set = set});
            const auto all = traces(solver, c, 0, 60);
            for (const std::uint64_t index : {0, 31, 59})
                EXPECT_EQ(traces(solver, c, index, 1).at(index), all.at(index)) << c.name << ' ' << index;
        }
}

TEST(TransientLanes, ThreadsDoNotMatter) {
    const TimedCircuit c = testing::two_way_fet();
    const TransientSolver solver(c.use());
    const auto one = traces(solver, c, 0, 64);
    std::vector<std::map<std::uint64_t, std::vector<double>>> parts(4);
    std::vector<std::thread> threads;
    for (int k = 0; k < 4; ++k) threads.emplace_back([&, k] { parts[k] = traces(solver, c, 16 * k, 16); });
    for (std::thread& t : threads) t.join();
    for (const auto& part : parts)
        for (const auto& [index, values] : part) EXPECT_EQ(values, one.at(index));
}

TEST(TransientLanes, InstructionSetsAgreeWithinAMillivolt) {
    for (const TimedCircuit& c : circuits()) {
        const auto reference = traces(TransientSolver(c.use(), {.set = InstructionSet::baseline}), c, 0, 48);
        for (const InstructionSet set : sets_here()) {
            double worst = 0;
            for (const auto& [index, values] : traces(TransientSolver(c.use(), {.set = set}), c, 0, 48))
                for (std::size_t k = 0; k < values.size(); ++k)
                    worst = std::max(worst, std::abs(values[k] - reference.at(index)[k]));
            EXPECT_LE(worst, 1e-3) << c.name << ' ' << to_string(set);
        }
    }
}

TEST(TransientLanes, KernelIsTheOneAskedFor) {
    const TimedCircuit c = testing::two_way_fet();
    for (const InstructionSet set : sets_here())
        EXPECT_EQ(TransientSolver(c.use(), {.set = set}).instruction_set(), set);
}

TEST(TransientLanes, InnerLoopAllocatesNothing) {
    // The same run with ten times the edges and so about ten times the steps allocates not once more.
    const auto allocations_of = [](int edges, int& steps) {
        TimedCircuit c = testing::two_way_fet();
        c.problem.drives.clear();
        for (int k = 0; k < edges; ++k)
            c.problem.drives.push_back({(1 + 4 * k) * 1e-6, 0, k % 2 ? Logic::Z : Logic::zero});
        c.problem.end = (1 + 4 * edges) * 1e-6;
        const TransientSolver solver(c.use(), {.keep_paths = false});
        const long before = testing::allocations();
        steps = 0;
        solver.run(
            0, 100, [](std::uint64_t, std::span<double>) {}, [&](const SampleRun& r) { steps += r.steps; });
        return testing::allocations() - before;
    };
    int few = 0, many = 0;
    const long short_run = allocations_of(4, few), long_run = allocations_of(40, many);
    EXPECT_GT(many, 5 * few);
    EXPECT_EQ(short_run, long_run);
    EXPECT_GT(short_run, 0);  // the counter counts
}

}  // namespace
}  // namespace voltsill
