#pragma once
/// The circuit of a link: everything between its ends, with values, drawn from any wiring, planned,
/// given or direct.
///
/// Four steps, each in a file of its own: find the parts (circuit_scheme.h), draw each with its words
/// (circuit_figure.h), place them (circuit_place.h), lay the wires (circuit_route.h).
///
/// Data attributes: `part` (and `link`) of a figure, `pin` of a lead, `rail` and `ground` of the
/// symbols, `wire` (name of the net) of wires. The first path of a `pin`, `rail` or `ground` group is
/// its lead, and ends where it joins. Two things are connected where ends meet, or at a junction; lines
/// that cross without one are not.
#include "bench/bench.h"
#include "drawing/drawing.h"
#include "wiring/wiring.h"

namespace voltsill::drawing {

/// Empty drawing of size 0 when the bench has no such link.
Drawing link_circuit(const Bench& bench, const Wiring& wiring, const std::string& link);

}  // namespace voltsill::drawing
