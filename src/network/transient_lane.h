#pragma once
/// One sample on its way: what is due when, and how its stages stand. The solver's host side.
#include "network/transient.h"
#include "network/transient_plan.h"

namespace voltsill::batch {

/// What all lanes of a run share.
struct LaneContext {
    const Netlist& netlist;
    const Dynamics& dynamics;
    const TransientProblem& problem;
    const TransientPlan& plan;
    const std::vector<Logic>& levels;  ///< of all stages at rest
    const std::vector<char>& reads;    ///< of all watches at rest
    const std::vector<char>& powered;  ///< of all units; the others never switch
};

/// Strength of an arm from `since` on: cubic in the time since then, until `until`.
struct ArmPiece {
    double since = 0, until = 0;
    double k[4] = {0, 0, 0, 0};
    double target = 0;
    int curve = -1, step = 0;  ///< on its way along a switching curve: which, and how far
    double start = 0, duration = 0;
    double at(double t) const {
        const double s = t - since;
        return k[0] + s * (k[1] + s * (k[2] + s * k[3]));
    }
};

class SampleLane {
  public:
    explicit SampleLane(const LaneContext& context);

    std::uint64_t index = 0;
    std::vector<double> values;
    SampleRun out;
    bool running = false;

    /// Puts the sample at time 0, at rest.
    void start();
    /// Does all that is due at `now`; true if something has a kink there.
    bool arrive(double now);
    /// When the next thing is due after `now`.
    double next_stop(double now) const;
    /// Input `watch` crossed its switch point at `when`; what follows is scheduled. Returns when the
    /// first of it is due (infinity: nothing).
    double cross(int watch, double when);
    const ArmPiece& arm(int k) const { return arms_[k]; }
    /// +1 waits for a rise, -1 for a fall.
    double sign(int watch) const { return reads_[watch] ? -1.0 : 1.0; }
    double threshold(int watch) const;

  private:
    struct Due {
        double at;
        StageId stage;
        Logic level;
    };
    double value(ParamId p, double otherwise) const { return p == no_param ? otherwise : values[p]; }
    void schedule(double at, StageId stage, Logic level);
    double schedule_unit(int unit, double when);
    void set_level(StageId stage, Logic level, double now);
    void follow_curve(ArmPiece& arm, bool up, double now);
    Logic last_told(StageId stage) const;

    const LaneContext& context_;
    std::vector<ArmPiece> arms_;
    std::vector<char> reads_;    ///< by watch
    std::vector<Logic> levels_;  ///< by stage
    std::vector<Due> due_;       ///< in order of time
    std::size_t next_drive_ = 0;
};

}  // namespace voltsill::batch
