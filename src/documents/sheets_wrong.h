#pragma once
/// What a wrong reading of a static level means, beside the readings of a sheet.
///
/// The meter stands where the reading stands, its driver is told what the reading says, and every likely
/// single mistake of the build is made (placement/wrong_readings.h). A mistake that reads inside the
/// expected window is not told by this reading, so it is left out here.
#include <string>
#include <vector>

#include "judging/link_readings.h"
#include "placement/place.h"
#include "placement/wrong_readings.h"

namespace voltsill {

/// One list for each of `levels`, in order, by rising volts; empty without holes, of a voltage that any
/// value may have, and where no likely mistake shows.
std::vector<std::vector<WrongReading>> wrong_levels(const Bench& bench, const PlacedWiring& placed,
                                                    const std::vector<LinkReading>& levels);

/// "0 V", "2.1 V to 2.4 V", "drifts", "no steady value"
std::string wrong_words(const MeterReading& reading);
/// The first few causes, and how many more.
std::string cause_words(const std::vector<std::string>& causes);

}  // namespace voltsill
