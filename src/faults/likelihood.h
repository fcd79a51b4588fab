#pragma once
/// How likely a reading is under a prediction: the density of diagnosis.h, over volts, decades of ohms or
/// seconds, or two answers. All densities are over the whole span a meter can show, so that likelihoods of
/// different hypotheses compare.
#include "faults/diagnosis.h"

namespace voltsill {

class Likelihood {
  public:
    Likelihood(const Bench& bench, const DiagnosisOptions& options);

    double of(const Reading& reading, const Question& question, const Prediction& prediction) const;
    /// Under "something else": whatever a meter can show.
    double of_something_else(const Reading& reading, const Question& question) const;
    /// The reading lies in the predicted range, widened by its error.
    bool fits(const Reading& reading, const Prediction& prediction) const;
    /// A voltage that nothing on this bench gives, by much: a slip of the hand or of the range.
    bool beyond(const Reading& reading) const;
    /// ± of a reading, V, Ω or s.
    double error_of(const Reading& reading, Prediction::Kind kind) const;

    /// An answer as it can come out, for planning: a stretch of the scale or one of the answers that are no
    /// number, each with its chance. `edges` cut the scale.
    std::vector<double> chances(const Prediction& prediction, const std::vector<double>& edges) const;
    /// Chances of an answer to a look: as planned, then each of these sights.
    std::vector<double> chances_of_sights(const Prediction& prediction, const std::vector<int>& sights) const;
    /// Windows of a prediction on its scale, widened by the meter's error.
    std::vector<std::pair<double, double>> ends(const Prediction& prediction) const;
    /// The scale: volts, decades of ohms, decades of seconds.
    std::pair<double, double> scale(Prediction::Kind kind) const;

  private:
    double of_sight(int sight, const Prediction& prediction) const;
    double flat(double x, double lo, double hi, double soft) const;
    double on_scale(Prediction::Kind kind, double value) const;

    const DiagnosisOptions& options_;
    double lowest_ = -1, highest_ = 1;  ///< V
};

}  // namespace voltsill
