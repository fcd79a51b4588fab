#pragma once
/// How many spares a course keeps, by what breaks in it.
///
///     spares = ceil(share * count)
#include "wiring/part_words.h"

namespace voltsill {

/// Which share breaks or gets lost in a course, after common practice, no source. A course may have its own.
struct SpareRates {
    double integrated_circuit = 0.2, transistor = 0.2, diode = 0.5, module = 0.1, resistor = 0.1, capacitor = 0.1,
           board = 0.1, wire = 1.0;
};
/// `spares_of` (part_words.h) with a course's own rates.
int spares_of(const PartType& type, int count, const SpareRates& rates);

}  // namespace voltsill
