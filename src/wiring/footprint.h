#pragma once
/// How a part goes into a solderless board.
///
///     dip   two rows of pins across the trench, 7.62 mm apart (JEDEC MS-001, from memory)
///     row   leads or pins in one line, a row of the board each
///     two   two leads that are bent to the holes, `reach_min` to `reach_max` pitches apart
///     beside  modules with a header, which stay on the bench and are reached by jumpers from their headers
///
/// Reaches are common practice, no source: a resistor of 0.25 W is 6.3 mm long and is bent no closer
/// than to 7.62 mm; leads of discs and cans are spread to 10 mm at most. Surface-mount parts sit on an
/// adapter: those with two rows of pins on one with the pins of a DIP, those with three to six pins on
/// one with a single row (common practice, no source).
#include "wiring/wiring.h"

namespace voltsill {

enum class FootprintKind { beside, dip, row, two };

struct Footprint {
    FootprintKind kind = FootprintKind::beside;
    int leads = 0;
    double reach_min = 0, reach_max = 0;
    bool adapter = false;
};
Footprint footprint_of(const WiredPart& part);

}  // namespace voltsill
