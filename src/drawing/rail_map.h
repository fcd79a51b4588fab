#pragma once
/// Map of rails: one band per rail, the highest voltage on top, parts in the band of the rail that
/// their pins follow, and every link as a line from part to part that meets its interface circuit on
/// the way. Links that run alike share a line.
///
/// Lines are laid as in channel routing: every line has a row of its own for its circuit, its ports
/// have rows of their own at the parts, and upright runs share tracks where they do not overlap (left
/// edge algorithm, A. Hashimoto, J. Stevens, Proc. 8th Design Automation Workshop (1971) 155-169).
///
/// Data attributes: `rail` of a band, `part` of a box, `link` of a line (names, separated by ", "),
/// `verdict`.
#include "bench/bench.h"
#include "drawing/drawing.h"
#include "judging/finding.h"
#include "wiring/wiring.h"

namespace voltsill::drawing {

/// Never wider than `page_width`; as tall as it takes. `wiring` null: no circuits are named;
/// `judgement` null: no verdicts.
Drawing rail_map(const Bench& bench, const Wiring* wiring, const Judgement* judgement);

/// The same for pages: one map, or as many as it takes for each to be no taller than `page_height`. Each
/// has an equal share of the lines, from the highest rail down, and the parts they run between; a part
/// without a line stands on the first.
std::vector<Drawing> rail_maps(const Bench& bench, const Wiring* wiring, const Judgement* judgement);

}  // namespace voltsill::drawing
