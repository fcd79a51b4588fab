#pragma once
/// A measured channel against what the wiring predicts for the pin it was probed at.
///
/// Predictions are those of the judge and of the readings of the same wiring; nothing is computed
/// here but differences:
///
///     measured level + doubt >= lowest predicted       measured level - doubt <= highest predicted
///
/// with doubt = `accuracy` x the measured range, at least `least_doubt`.
#include <optional>
#include <string>
#include <vector>

#include "bench/bench.h"
#include "captures/capture.h"
#include "judging/finding.h"

namespace voltsill {

/// What a pin should show.
struct Expectation {
    std::string link, point;                ///< "tank echo", "controller.D2"; link may be empty
    std::optional<Span<double>> high, low;  ///< predicted levels, V
    PinLimits limits;
    std::optional<double> rate;                ///< of the link, bits or clock periods a second
    std::optional<Span<double>> rise, fall;    ///< simulated, s
    Certainty certainty = Certainty::unknown;  ///< of the predicted levels
};

/// Every point that the judge knows levels of, link by link, receivers before drivers.
std::vector<Expectation> expectations(const Bench& bench, const Judgement& judgement);
/// Of a pin that carries no judged level, from steady readings with all rails up; nothing if the pin
/// is on no net.
std::optional<Expectation> expectation_of_pin(const std::string& pin,
                                              const std::vector<StateReading>& readings);

/// A channel, where it was probed, and what came of it.
struct MappedChannel {
    int channel = 0;  ///< index into Capture::channels
    Expectation expected;
    Verdict verdict = Verdict::safe;
    std::vector<Finding> findings;  ///< worst first
};

struct CompareOptions {
    double accuracy = 0.03;     ///< of the range: common practice for instruments of 8 bits, no source
    double least_doubt = 0.02;  ///< V
};

/// Worst first. Codes: docs/captures.md.
std::vector<Finding> hold_against(const ChannelCapture& measured, const Expectation& expected,
                                  const std::string& file, const CompareOptions& options = {});

/// Shortest pulse that the rate of a link leaves: a quarter of its period, s; 0 without a rate.
inline double glitch_limit(const Expectation& expected) {
    return expected.rate && *expected.rate > 0 ? 0.25 / *expected.rate : 0;
}

}  // namespace voltsill
