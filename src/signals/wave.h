#pragma once
/// A voltage over time, as points on a time axis that is dense where the signal moves. Between
/// two points the voltage is read off the straight line.
#include <string>
#include <vector>

namespace voltsill {

struct Wave {
    std::vector<double> seconds;  ///< never falling; equal times: a step
    std::vector<double> volts;    ///< as many
};

/// What many samples of one wave have in common on one time axis.
struct Envelope {
    std::vector<double> seconds;
    std::vector<double> lo, median, hi;  ///< volts, as many
};

}  // namespace voltsill
