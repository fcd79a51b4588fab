#pragma once
/// Parts on a board in plan view: outlines with pin 1, parts with two legs as small symbols.
#include "drawing/label_room.h"
#include "drawing/tie_point_sheet.h"

namespace voltsill::drawing {

inline constexpr double small_letters = 7;

/// What one part adds to a plan.
struct BoardFigure {
    Group group;
    std::vector<Box> bodies;  ///< wires go round them where they can
    std::vector<Box> legs;    ///< thin, but words keep off
    Label name;               ///< still to be placed beside the part; empty text: stands in the body
    std::string short_name;   ///< where there is no room near for the whole; empty: then nothing
    Point middle;             ///< of the body
    double clear_x = 5, clear_y = 5;  ///< half of the body
};
/// Words that stand in the body are taken in `room`; those that find none there are left in `name`.
BoardFigure part_figure(const Wiring& wiring, const Placement& placement, int part, const Sheet& sheet,
                       LabelRoom& room);

}  // namespace voltsill::drawing
