#pragma once
/// Solderless boards as data: rows of tie points on both sides of a trench, and rail strips along
/// them.
///
/// A row is a number, a column a letter; the tie points of one row on one side of the trench are
/// one node. A rail strip is a column whose tie points are one node along the board, from end to
/// end or, where the strip is split, segment by segment. Pitch 2.54 mm, trench 7.62 mm from row to
/// row of pins of a DIP (JEDEC MS-001); rows and columns as makers number them (common practice).
#include <string>
#include <utility>
#include <vector>

#include "records/problem.h"

namespace voltsill {

struct BoardColumn {
    std::string name;                          ///< one letter: "a".."j"; strips "w" "x" "y" "z"
    bool strip = false;                        ///< runs along the board
    std::string mark;                          ///< of a strip, as printed on boards: "+" or "-"
    int side = 0;                              ///< 0: left of the trench, 1: right of it
    double across = 0;                         ///< place across the board, in pitches from its left edge
    std::vector<std::pair<int, int>> segments; ///< of a strip: first and last row of each piece
    std::vector<int> no_holes;                 ///< of a strip: rows without a hole
};

struct BoardKind {
    std::string name;   ///< "full split"
    std::string title;  ///< "63 rows, four rail strips, each split in the middle"
    int rows = 0;
    std::vector<BoardColumn> columns;  ///< from left to right
    Place place;

    int column(std::string_view name) const;  ///< -1: none
    bool has_hole(int row, int column) const;
    /// Nodes are numbered from 0 to node_count() - 1: left and right half of each row, then segments.
    int node_of(int row, int column) const;
    int node_count() const;
};

}  // namespace voltsill
