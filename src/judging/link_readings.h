#pragma once
/// Readings along links: which of all readings belong to a driver that says one thing.
#include <optional>
#include <string>
#include <vector>

#include "judging/finding.h"

namespace voltsill {

/// What a link shows when one of its drivers says something: each is one of `readings`, in the scene
/// with all rails up.
struct LinkReading {
    std::string link, driver;  ///< "tank echo", "gauge.ECHO"
    char set = '1';            ///< what the driver says: '0', '1', 'Z' lets go; 'A' any voltage it can give
    bool receiver = false;     ///< read at a receiver of the link; else at the driver or on the way
    StateReading reading;
    std::optional<double> threshold;  ///< V: VIH min or VIL max of the point, for the level expected there
};
/// In the order of the links: driver first, then along its way.
std::vector<LinkReading> link_readings(const Bench& bench, const Wiring& wiring);

}  // namespace voltsill
