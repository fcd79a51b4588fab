#pragma once
/// The reading that is worth most: expected information of its answer per effort (diagnosis.h).
#include "faults/likelihood.h"

namespace voltsill {

/// Mutual information of the answer to a question and the hypothesis, bits. `share` by hypothesis; what is
/// not on the list of the dictionary has no part in it.
double expected_bits(const Dictionary& dictionary, const Likelihood& likelihood, int question,
                     const std::vector<double>& share);

/// The best of what may be asked, the best of each means among them, best first. `power` false: only what needs none.
std::vector<NextReading> next_readings(const Dictionary& dictionary, const Likelihood& likelihood,
                                       const std::vector<double>& share, std::span<const Reading> taken,
                                       bool power, const DiagnosisOptions& options);

/// Needs a bench that is on.
inline bool needs_power(const Question& question) {
    return (question.means == Means::voltmeter && !question.alone) || question.means == Means::scope ||
           question.means == Means::behaviour;
}

}  // namespace voltsill
