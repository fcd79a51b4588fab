#pragma once
/// Solderless boards as data: rows of tie points on both sides of a trench, and rail strips along
/// them.
///
/// A row is a number, a column a letter; the tie points of one row on one side of the trench are
/// one node. A rail strip is a column whose tie points are one node along the board, from end to
/// end or, where the strip is split, piece by piece. Pitch 2.54 mm, trench 7.62 mm from row to row of
/// pins of a DIP (JEDEC MS-001, from memory); rows, letters and groups of five holes as boards are
/// commonly made (common practice, no source).
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "records/problem.h"

namespace voltsill {

struct BoardColumn {
    std::string name;                          ///< one letter: "a".."j"; strips "s" "t" "x" "y"
    bool strip = false;                        ///< runs along the board
    std::string mark;                          ///< of a strip, as printed on boards: "+" or "-"
    int side = 0;                              ///< 0: left of the trench, 1: right of it
    double across = 0;                         ///< place across the board, in pitches from its left edge
    std::vector<std::pair<int, int>> segments; ///< of a strip: first and last row of each piece
    std::vector<int> no_holes;                 ///< of a strip: rows of its pieces without a hole
};

/// What a board is, apart from its kind: every board of this trade has these.
inline constexpr double pitch_metres = 2.54e-3;
inline constexpr int trench_pitches = 3;  ///< from the last column left of it to the first one right

struct BoardKind {
    std::string name;   ///< "full split"
    std::string title;  ///< "63 rows, four rail strips, each split in the middle"
    int rows = 0;
    std::vector<BoardColumn> columns;  ///< from left to right
    Place place;

    int column(std::string_view name) const;  ///< -1: none
    bool has_hole(int row, int column) const;
    /// Nodes are numbered from 0 to node_count() - 1: left and right half of each row, then the pieces
    /// of strips. -1 where there is no hole.
    int node_of(int row, int column) const;
    int node_count() const;
};

/// The boards that travel inside the program: "full", "full split", "half", "half one-sided", "mini".
std::span<const std::shared_ptr<const BoardKind>> built_in_boards();
/// Reads the embedded file again, with its problems.
std::vector<std::shared_ptr<const BoardKind>> read_built_in_boards(Problems& problems);

}  // namespace voltsill
