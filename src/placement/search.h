#pragma once
/// Threshold accepting (G. Dueck, T. Scheuer, J. Comput. Phys. 90, 1990): a change is kept if it costs no
/// more than a threshold that sinks to nothing. Whole numbers only, so that a seed means one placement.
#include "placement/moves.h"

namespace voltsill {

/// What the search may change.
struct Snapshot {
    std::vector<PlacedPart> parts;
    std::vector<std::pair<int, NetId>> junctions;
    std::vector<std::vector<NetId>> net_of_pin;
    long cost = 0;
};
Snapshot snapshot(const Layout& layout, long cost);
void restore(Layout& layout, const Snapshot& snapshot);

struct SearchWork {
    long moves = 0;
    std::uint64_t seed = 1;
    /// Moves done so far; false: stop at the best so far.
    std::function<bool(long)> progress;
};

/// The cheapest placement met; `layout` is left at it.
Snapshot search(Layout& layout, const std::vector<Home>& homes, const NetPairHarm& harm, const SearchWork& work);

}  // namespace voltsill
