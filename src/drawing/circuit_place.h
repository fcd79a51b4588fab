#pragma once
/// Places for the figures of a circuit, left to right with the signal.
///
/// Nets and elements take turns as columns in the order of the nets' depth: what only hangs on a net
/// stands over or under its line in the net's own zone, what passes a signal on stands between two
/// zones, ends of the link stand at the edges. Rows come from walking the nets as a tree: the first
/// element behind a net goes on with its line, every other moves down until it is clear of what is
/// placed (layered drawing after K. Sugiyama, S. Tagawa, M. Toda, IEEE Trans. SMC 11 (1981) 109-125,
/// with a tree in place of crossing reduction). A row of columns wider than the page goes on below.
#include "drawing/circuit_figure.h"

namespace voltsill::drawing {

struct Spacing {
    double gap = 15;   ///< between columns
    double clear = 8;  ///< between figures, up and down
    double width = page_width;
};

/// Shifts `figures`, one for each element of the scheme, to places on the grid, from (0, 0) on.
void place(const Scheme& scheme, std::vector<PartFigure>& figures, const Spacing& spacing);

}  // namespace voltsill::drawing
