#pragma once
/// Tie-point plan: a solderless board in plan view, rows running down the page, with its parts and
/// numbered wires; modules, supplies and other boards stand beside it as rows of pins.
///
/// A hole is found by two signs: the number of its row stands on both sides and its column's letter is
/// repeated in every fifth row in place of the holes. An end of a wire is its number in a capsule
/// on the hole, a lead of a part a small square. Lines run beside the holes, never through a number
/// (tie_point_routes.h).
#include <set>

#include "drawing/drawing.h"
#include "wiring/placement.h"

namespace voltsill::drawing {

struct TiePointOptions {
    std::set<int> highlight;  ///< numbers of wires drawn heavy, the others pale; empty: all alike
};

/// A wire with an end in this board appears on it, with its number at both ends; an end elsewhere is a
/// pin beside the board. Wires that touch no board are on the plan of board 0.
Drawing tie_point_plan(const Bench& bench, const Wiring& wiring, const Placement& placement, int board,
                       const TiePointOptions& options = {});
/// What the signs of the plans mean, with the rails of this placement.
Drawing tie_point_key(const Bench& bench, const Wiring& wiring, const Placement& placement);

}  // namespace voltsill::drawing
