#pragma once
/// The same equations in SUNDIALS IDA, written down a second time: a scalar residual with dense,
/// analytic Jacobian, started from a steady state and restarted at every breakpoint. Only for
/// netlists of resistors, held rails, diodes, FETs and stages with straight ramps; no logic units.
#include <functional>
#include <memory>
#include <vector>

#include "network/transient.h"

namespace voltsill::testing {

class IdaReference {
  public:
    explicit IdaReference(const TransientProblem& problem);
    ~IdaReference();

    struct Settings {
        double relative, absolute;
        int order = 5;  ///< highest
    };
    /// Runs one sample from the steady state `volts` (by node). `visit`, if any, is called at each of
    /// `times` (rising, within the problem's span) with the voltages of the probes; without it the
    /// solver only steps. Returns the number of steps; -1 if IDA gave up.
    long run(const std::vector<double>& values, const std::vector<double>& volts, const Settings& settings,
             const std::vector<double>& times = {},
             const std::function<void(std::size_t, const std::vector<double>&)>& visit = {});
    /// Where sources have kinks, without 0 and the end.
    const std::vector<double>& breakpoints() const;

  private:
    struct State;
    std::unique_ptr<State> state_;
};

/// `even` moments evenly over the run, and after every breakpoint ones whose distance doubles from
/// `first_step` (a share of the run) to a hundredth of the run.
std::vector<double> moments(const TransientProblem& problem, const std::vector<double>& breakpoints, int even,
                            double first_step);

}  // namespace voltsill::testing
