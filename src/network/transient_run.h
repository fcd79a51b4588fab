#pragma once
/// One thread's run of a transient: the lanes, their arrays, and the samples on them. The kernel steps
/// (transient_kernel.h); here samples are put on lanes, what is due is done, and paths are kept.
#include <optional>

#include "network/lane_array.h"
#include "network/transient_lane.h"

namespace voltsill::batch {

/// What all threads share, fixed once the solver is made.
struct TransientSetting {
    TransientProblem problem;
    TransientOptions options;
    InstructionSet set{};
    Partition partition;
    TransientPlan plan;
    std::vector<double> nominal;
    State at_rest;  ///< levels of all stages
    std::vector<char> reads, powered;
    std::optional<BatchSolver> steady;
};

class TransientRun {
  public:
    explicit TransientRun(const TransientSetting& setting);
    /// Runs samples first .. first + count - 1 and hands each to the sink; asks now and then whether to go
    /// on.
    void samples(std::uint64_t first, std::uint64_t count, const TransientSolver::Fill& fill,
                 const TransientSolver::Sink& sink, const std::function<bool()>& go_on);

  private:
    double& number(const LaneArray& array, int index, int lane) const {
        return array.data()[index * w_ + lane];
    }
    double& time(int lane) const { return number(clock_, 0, lane); }
    double& step(int lane) const { return number(clock_, 1, lane); }
    double& stop(int lane) const { return number(clock_, 2, lane); }
    double& growth(int lane) const { return number(clock_, 3, lane); }
    double& active(int lane) const { return number(clock_, 4, lane); }
    double& attention(int lane) const { return number(clock_, 5, lane); }
    double& rejected(int lane) const { return number(clock_, 6, lane); }
    double& fresh(int lane) const { return number(clock_, 7, lane); }
    double record(int k, int index, int lane) const {
        return log_.data()[(static_cast<std::size_t>(k) * record_size(tape_.unknowns) + index) * w_ + lane];
    }

    TransientLanes lane_arrays();

    /// Devices without lane form: bipolar, optocoupler, amplifier (devices.h).
    static void evaluate(void* context, const double* volts, double* current, double* conductance,
                         bool slopes);

    void idle(int lane);

    /// Values and steady states of the next samples, one for every lane.
    void prepare(const TransientSolver::Fill& fill);

    void load(int lane, const TransientSolver::Fill& fill, const TransientSolver::Sink& sink);

    std::string value_trouble(const std::vector<double>& values) const;

    void begin(int lane, const double* volts);

    /// Everything due at the lane's time; then the stop and the step after it.
    void arrive(int lane);
    void write_arms(int lane);
    void write_watches(int lane);

    void write_coefficients(int lane, const std::vector<double>& values);

    /// G, C and b of the lane; currents of inductors at rest.
    void write_equations(int lane, const std::vector<double>& values, const double* volts);

    void look_at(int lane, int records, const TransientSolver::Fill& fill, const TransientSolver::Sink& sink);

    void keep(int lane, int k);

    /// Voltage of a slot within a record.
    double within(int k, int slot, int lane, double s) const;
    /// Share of the step at which a watch crosses; 0 if it is past its threshold from the start.
    double crossing(int k, int watch, int lane) const;

    /// What crossings in the last step lead to. If something is due before its end the step is taken
    /// back, to be done again up to there. True if it was.
    bool handle_crossings(int lane, int k);

    void finish(int lane, RunEnd end, const TransientSolver::Sink& sink);
    void end_lane(int lane, RunEnd end, const TransientSolver::Fill& fill, const TransientSolver::Sink& sink);

    /// Steady states of a row of samples, as many as there are lanes, found together.
    struct Start {
        std::vector<std::vector<double>> values;
        std::uint64_t first = 0, count = 0, next = 0;
    };

    const TransientProblem& problem_;
    const TransientOptions& options_;
    const Partition& partition_;
    const TransientPlan& plan_;
    const std::vector<double>& nominal_;
    const State& at_rest_;
    const BatchSolver& steady_;
    const TransientKernel& kernel_;
    const TransientTape tape_;
    const int w_;
    LaneContext context_;
    std::vector<SampleLane> lanes_;
    LaneArray coefficients_, volts_, trial_, linear_, charge_, steady_in_, arms_, watch_at_, watch_sign_,
        clock_, current_, conductance_, by_time_, strength_, matrix_, inverse_, stage_, mixed_, log_;
    std::vector<double> held_;
    Start start_;
    std::vector<std::vector<ValueChange>> changes_;
    std::vector<BatchCase> cases_;
    BatchResult steady_result_;
    std::vector<std::pair<double, int>> crossings_;
    std::uint64_t end_ = 0;
    int running_ = 0;
};

}  // namespace voltsill::batch
