/// Monte Carlo over time against SUNDIALS IDA, on every instruction set this processor has.
///
/// First the answers: for 1,024 samples of each circuit, every node at more than 4,000 moments (with
/// extra ones after each breakpoint), against IDA at a relative tolerance of 1e-9; at most 5 mV.
/// Then the time: a sample in lanes at the default tolerance, against IDA at the loosest tolerance
/// that keeps 5 mV, with analytic Jacobian and restarted at breakpoints. Random numbers, parameter
/// packing and the steady state are left out on both sides where they can be.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>

#include "support/ida_reference.h"
#include "support/transient_circuits.h"

using namespace voltsill;
using namespace voltsill::testing;

namespace {

constexpr double allowed = 5e-3;
constexpr int held_out = 1024;
using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
    return std::chrono::duration<double>(Clock::now() - start).count();
}

struct Bench {
    TimedCircuit circuit;
    TransientProblem problem;
    IdaReference ida;
    std::vector<double> times;
    std::vector<std::vector<double>> values, rest;  ///< by sample
    std::vector<float> truth;                       ///< sample, time, probe

    Bench(TimedCircuit c, int samples) : circuit(std::move(c)), problem(circuit.use()), ida(problem) {
        times = moments(problem, ida.breakpoints(), 4096, 1e-7);
        for (int k = 0; k < samples; ++k) {
            values.push_back(values_of(circuit.net, k));
            rest.push_back(solve_dc(circuit.net, values.back(), problem.start).volts);
        }
    }
    std::size_t place(std::size_t sample, std::size_t time, std::size_t probe) const {
        return (sample * times.size() + time) * problem.probes.size() + probe;
    }
    void find_truth() {
        truth.resize(values.size() * times.size() * problem.probes.size());
        for (std::size_t k = 0; k < values.size(); ++k)
            if (ida.run(values[k], rest[k], {1e-9, 1e-10}, times,
                        [&](std::size_t t, const std::vector<double>& v) {
                            for (std::size_t p = 0; p < v.size(); ++p)
                                truth[place(k, t, p)] = static_cast<float>(v[p]);
                        }) < 0) {
                fmt::print("{}: the reference gave up on sample {}\n", circuit.name, k);
                std::exit(1);
            }
    }
    /// Largest error of IDA over the first samples.
    double ida_error(const IdaReference::Settings& settings, std::size_t samples) {
        double worst = 0;
        for (std::size_t k = 0; k < samples; ++k)
            if (ida.run(values[k], rest[k], settings, times,
                        [&](std::size_t t, const std::vector<double>& v) {
                            for (std::size_t p = 0; p < v.size(); ++p)
                                worst = std::max(worst, std::abs(v[p] - truth[place(k, t, p)]));
                        }) < 0)
                return 1e9;
        return worst;
    }
    TransientSolver::Fill fill() const {
        return [this](std::uint64_t k, std::span<double> v) { std::ranges::copy(values[k], v.begin()); };
    }
};

struct Found {
    double worst = 0;
    long steps = 0, rejected = 0;
    int failed = 0;
};
Found lanes_error(const Bench& b, const TransientOptions& options) {
    Found found;
    const TransientSolver solver(b.problem, options);
    if (!solver.trouble().empty()) fmt::print("{}: {}\n", b.circuit.name, solver.trouble());
    solver.run(0, b.values.size(), b.fill(), [&](const SampleRun& run) {
        found.failed += run.end != RunEnd::finished;
        found.steps += run.steps;
        found.rejected += run.rejected;
        for (std::size_t t = 0; t < b.times.size(); ++t)
            for (std::size_t p = 0; p < b.problem.probes.size(); ++p)
                found.worst = std::max(found.worst, std::abs(run.path.at(static_cast<int>(p), b.times[t]) -
                                                             b.truth[b.place(run.index, t, p)]));
    });
    return found;
}

double best_seconds(int rounds, const auto& work) {
    double best = 1e300;
    for (int k = 0; k < rounds; ++k) {
        const auto start = Clock::now();
        work();
        best = std::min(best, seconds_since(start));
    }
    return best;
}

/// IDA at its fastest: of several orders and shares of absolute tolerance, each at the loosest
/// tolerance that keeps the error, the one that takes least time.
struct Tuned {
    IdaReference::Settings settings;
    double seconds = 1e300;
    long steps = 0;
};
Tuned tune(Bench& b) {
    const std::size_t looked = std::min<std::size_t>(b.values.size(), 32);
    Tuned best;
    for (const int order : {5, 3})
        for (const double share : {0.1, 1.0, 10.0}) {
            double tolerance = 3e-3;
            while (b.ida_error({tolerance, tolerance * share, order}, looked) > allowed && tolerance > 1e-9)
                tolerance /= 1.5;
            const IdaReference::Settings settings{tolerance, tolerance * share, order};
            long steps = 0;
            const double seconds = best_seconds(3,
                                                [&] {
                                                    steps = 0;
                                                    for (std::size_t k = 0; k < looked; ++k)
                                                        steps += b.ida.run(b.values[k], b.rest[k], settings);
                                                }) /
                                   static_cast<double>(looked);
            if (seconds < best.seconds) best = {settings, seconds, steps / static_cast<long>(looked)};
        }
    return best;
}

}  // namespace

int main(int argc, char** argv) {
    const int samples = argc > 1 ? std::atoi(argv[1]) : held_out;
    const double tolerance = argc > 2 ? std::atof(argv[2]) : TransientOptions{}.volts_tolerance;
    bool sound = true;
    std::vector<InstructionSet> sets;
    for (const InstructionSet set : {InstructionSet::baseline, InstructionSet::avx2, InstructionSet::avx512})
        if (runs_here(set)) sets.push_back(set);
    std::vector<double> product(sets.size(), 1.0), least(sets.size(), 1e300);

    for (TimedCircuit& circuit : std::vector{divider_into_clamps(), two_way_fet(), table_into_line()}) {
        Bench b(std::move(circuit), samples);
        b.find_truth();
        const Tuned tuned = tune(b);
        const double ida_time = tuned.seconds;
        fmt::print("{}: IDA at {:.1e}, order up to {}, absolute {} x: {:.1f} us and {} steps a sample\n",
                   b.circuit.name, tuned.settings.relative, tuned.settings.order,
                   tuned.settings.absolute / tuned.settings.relative, ida_time * 1e6, tuned.steps);
        for (std::size_t s = 0; s < sets.size(); ++s) {
            TransientOptions options{
                .volts_tolerance = tolerance,
                .amps_tolerance = argc > 3 ? std::atof(argv[3]) : TransientOptions{}.amps_tolerance,
                .set = sets[s]};
            const Found found = lanes_error(b, options);
            options.keep_paths = false;
            const TransientSolver solver(b.problem, options);
            const auto whole = [&] { solver.run(0, b.values.size(), b.fill(), [](const SampleRun&) {}); };
            const double lane_time = best_seconds(5, whole) / static_cast<double>(b.values.size());
            const double ratio = ida_time / lane_time;
            fmt::print(
                "  {:<9} {:.2f} mV worst, {} failed, {:.0f} steps a sample ({:.0f} % rejected), {:.2f} us a "
                "sample, {:.1f} x\n",
                to_string(sets[s]), found.worst * 1e3, found.failed,
                static_cast<double>(found.steps) / samples,
                100.0 * static_cast<double>(found.rejected) / static_cast<double>(found.steps),
                lane_time * 1e6, ratio);
            sound = sound && found.worst <= allowed && found.failed == 0;
            product[s] *= ratio;
            least[s] = std::min(least[s], ratio);
        }
    }
    for (std::size_t s = 0; s < sets.size(); ++s) {
        const double target = sets[s] == InstructionSet::avx512 ? 50
                              : sets[s] == InstructionSet::avx2 ? 25
                                                                : 12;
        fmt::print("ratio transient-{} {:.1f} {}\n", to_string(sets[s]), std::cbrt(product[s]), target);
        if (sets[s] == InstructionSet::avx512)
            fmt::print("ratio transient-{}-slowest {:.1f} 35\n", to_string(sets[s]), least[s]);
    }
    if (!sound) fmt::print("an answer is off by more than {} mV\n", allowed * 1e3);
    return sound ? 0 : 1;
}
