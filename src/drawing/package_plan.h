#pragma once
/// Package plan: a package in plan view, seen from above with its notch up, pins numbered
/// anticlockwise from the notch (JEDEC MS-001 and its relatives).
///
/// Each used channel is a line through the body from its input to its output, so that an output that
/// does not face its input is seen as a slanted line; a small cross marks the pin straight across, where
/// the signal does not come out. The boxes are those of IEC 60617-12: 1, &, >=1, =1, a circle where
/// the output is inverted. Outside stand the nets, with straps and open pins in words.
#include "drawing/drawing.h"
#include "wiring/wiring.h"

namespace voltsill::drawing {

/// `part`: index in `wiring.parts`. Single rows (headers, leads) are drawn as a column of pins.
Drawing package_plan(const Bench& bench, const Wiring& wiring, int part);

/// Has two rows of pins, numbered anticlockwise from above.
bool two_rows(const Package& package);

}  // namespace voltsill::drawing
