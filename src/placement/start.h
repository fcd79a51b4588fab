#pragma once
/// A first placement, part by part where it costs least: packages down the boards, decoupling at its
/// pins, then what is joined to most of what is there.
#include <string>

#include "placement/layout.h"
#include "placement/spots.h"

namespace voltsill {

/// Boards to take, one after the other; the last as often as needed.
struct BoardSupply {
    std::vector<std::shared_ptr<const BoardKind>> kinds;
    /// Somebody has said which boards these are. Else nobody knows whether their strips are split, and
    /// different rails on the halves of one strip could be joined.
    bool named = true;
    std::shared_ptr<const BoardKind> next(std::size_t taken) const {
        return kinds[std::min(taken, kinds.size() - 1)];
    }
};

/// Why it cannot be done; empty: done.
std::string start(Layout& layout, const std::vector<Home>& homes, const BoardSupply& boards);

/// What a spot costs in 1/16 pitch of wire, roughly: new rows, distance to the nets they join, unlike
/// rails side by side.
long spot_cost(const Layout& layout, int part, const std::vector<Hole>& holes);

/// Rows that nets need for their wires alone, until every net has a tree.
bool add_junctions(Layout& layout);

}  // namespace voltsill
