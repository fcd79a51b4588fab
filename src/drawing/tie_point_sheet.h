#pragma once
/// Where everything of a tie-point plan lies on the page: holes, headers beside the board, ends of wires.
#include "drawing/net_signs.h"
#include "drawing/tie_point_routes.h"
#include "wiring/placement.h"

namespace voltsill::drawing {

/// A row of pins beside the board: a module, the terminals of a supply, or holes of another board.
struct SideHeader {
    std::string title;     ///< "gauge", "supply usb", "board B"
    int part = -1;         ///< of the wiring; -1: none
    struct Pin {
        std::string number, name;
        WireEnd end;
        int wire = -1;     ///< index into Placement::wires; -1: none goes to this board
        bool again = false;  ///< the same pin as the line above: a second wire from it
    };
    std::vector<Pin> pins;
    bool left = true;
    int slot = 0;          ///< line of its title, from 0 beside row 1; pins follow
    int lines() const { return 1 + static_cast<int>(pins.size()); }
};

/// One end of a wire on this plan.
struct EndSpot {
    int wire = -1;         ///< index into Placement::wires
    bool from = true;
    Point at;
};

struct Sheet {
    const BoardKind* kind = nullptr;
    int board = 0;
    double pitch = 10, top = 46;       ///< row to row; y of row 1
    std::vector<double> column_x;      ///< by column
    double left = 0, right = 0;        ///< edges of the board
    double bottom = 0, height = 0;     ///< of the board, of the page
    double capsule_width = 11.6, capsule_height = 8.2;
    std::vector<SideHeader> headers;
    std::vector<EndSpot> ends;

    Point at(int row, int column) const { return {column_x[column], top + pitch * (row - 1)}; }
    Point at(const Hole& hole) const { return at(hole.row, hole.column); }
    double line_y(int slot) const { return top + pitch * slot; }
    /// Middle of the capsules of a side, and the outer edge of its headers.
    double header_x(bool on_left) const { return on_left ? 77 : page_width - 77; }
    Box capsule(Point p) const {
        return {p.x - capsule_width / 2, p.y - capsule_height / 2, p.x + capsule_width / 2, p.y + capsule_height / 2};
    }
    /// First and last column between strips; -1: none.
    int first_inner() const;
    int last_inner() const;
    /// Lines for wires, ends included.
    void add_lines(Terrain& terrain) const;
};

Sheet sheet_of(const Wiring& wiring, const Placement& placement, int board);
/// Does this wire belong on the plan of this board?
bool belongs(const LaidWire& wire, int board);

}  // namespace voltsill::drawing
