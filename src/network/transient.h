#pragma once
/// A network over time, many samples at once, one per SIMD lane.
///
///     C dv/dt = f(t, v),   v(0) at rest with the levels given
///
/// RODAS4 (rodas.h) with its own dense output. Every lane has its own time, step and stops, so a
/// sample's answer does not depend on the others, on how many there are or on the thread that
/// runs them: it can be replayed alone. Steps never cross a kink of a driver. Logic units and
/// edge accelerators act on the crossings of their inputs, found on the dense output.
///
/// Default tolerance: at most 5 mV off a tight reference at every node and time on the circuits
/// of benchmarks/transient.cpp. Instruction sets agree within a fifth of that.
///
///     TransientSolver solver(problem);
///     solver.run(0, 1024, fill_values, [&](const SampleRun& run) { ... run.path.at(0, 1e-6) ... });
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "network/batch.h"
#include "network/dynamics.h"

namespace voltsill {

/// What a free stage is told, and when.
struct Drive {
    double at = 0;  ///< s, not negative
    StageId stage{};
    Logic level{};
};

struct TransientProblem {
    const Netlist* netlist = nullptr;  ///< must outlive the solver, as `dynamics`
    const Dynamics* dynamics = nullptr;
    State start;                ///< before time 0: levels of free stages, sources, switches
    std::vector<Drive> drives;  ///< in order of time
    double end = 0;             ///< s
    std::vector<Node> probes;
};

struct TransientOptions {
    double volts_tolerance = 5e-4;  ///< error of one step at a node, V
    /// Of an inductor's current, A. Below what `volts_tolerance` is across a line of 150 ohms: what
    /// rings keeps its errors.
    double amps_tolerance = 4e-7;
    int most_steps = 1'000'000;         ///< of one sample
    bool keep_strengths = false;        ///< paths tell how far each side of each stage conducts
    bool keep_paths = true;             ///< false: runs end without a path
    std::optional<InstructionSet> set;  ///< must run here
};

/// A sample's voltages as the cubic pieces of the solver's dense output.
class Path {
  public:
    int pieces() const { return static_cast<int>(length_.size()); }
    int probes() const { return probes_; }
    double start(int piece) const { return start_[piece]; }
    double length(int piece) const { return length_[piece]; }
    double end() const { return length_.empty() ? 0.0 : start_.back() + length_.back(); }
    /// Voltage of a probe at a time, V; before the first and after the last piece: its ends.
    double at(int probe, double seconds) const;
    /// `share` 0 .. 1 of the way through a piece.
    double within(int probe, int piece, double share) const;

    /// Largest distance of a piece from the straight line between its ends, at most, V.
    double bulge(int probe, int piece) const;
    /// How far a side of a stage conducts (TransientSolver::arms), with `keep_strengths`.
    double strength(int arm, int piece, double share) const;

    void clear(int probes);
    /// Room for y0, y1, c2, c3 of every probe.
    std::span<double> add(double start, double length);
    void add_strength(double begin, double end) {
        strengths_.push_back(begin);
        strengths_.push_back(end);
    }

  private:
    int probes_ = 0;
    std::vector<double> start_, length_, numbers_, strengths_;
};

enum class RunEnd {
    finished,
    cancelled,       ///< asked to stop; the path ends early
    no_start,        ///< no steady state to start from
    step_too_small,  ///< the step went below what doubles can tell apart
    too_many_steps,
    bad_values,  ///< a parameter that cannot be
};
std::string_view to_words(RunEnd end);

struct SampleRun {
    std::uint64_t index = 0;
    RunEnd end = RunEnd::finished;
    std::string why;  ///< names the value or the time, unless finished
    int steps = 0, rejected = 0;
    Path path;
    std::span<const double> values;  ///< of the sample, by parameter; valid in the sink only
};

class TransientSolver {
  public:
    explicit TransientSolver(TransientProblem problem, const TransientOptions& options = {});
    TransientSolver(TransientSolver&&) noexcept;
    ~TransientSolver();

    /// Why nothing can be run, whatever the values; empty: it can.
    const std::string& trouble() const;
    InstructionSet instruction_set() const;
    int unknowns() const;
    /// Sides of stages, in the order of Path::strength.
    struct Side {
        StageId stage{};
        bool up = false, strong = false;  ///< strong: its share of the strongest shape
    };
    std::vector<Side> arms() const;

    /// Writes the values of sample `index` over the nominal ones.
    using Fill = std::function<void(std::uint64_t index, std::span<double> values)>;
    /// Called once for every sample, in the order in which they end.
    using Sink = std::function<void(const SampleRun&)>;
    /// Samples first .. first + count - 1. `go_on` is asked now and then; false ends the run, and
    /// the samples under way are handed on as cancelled. Safe to call from several threads.
    void run(std::uint64_t first, std::uint64_t count, const Fill& fill, const Sink& sink,
             const std::function<bool()>& go_on = {}) const;

  private:
    struct Shared;
    std::unique_ptr<const Shared> shared_;
};

}  // namespace voltsill
