#pragma once
/// A placement while it is sought: leads are in holes, wires are not laid yet but drawn as a tree for
/// every net, from half row to half row, strip and header.
///
/// Every half row has one net at most, so whatever the search does the holes realise the wiring.
/// Distances are in pitches. A net without rail strips is a tree grown from its nearest members
/// (R. C. Prim, Bell Syst. Tech. J. 36, 1957), never with more wires than a half row has holes; on a
/// net with strips every member goes to the nearest strip, and the strips are bridged.
#include <array>
#include <vector>

#include "placement/place.h"
#include "wiring/footprint.h"

namespace voltsill {

/// Costs are whole numbers and places whole pitches, so that the search takes the same decisions on
/// every machine: the square root of a whole number is rounded in one way (IEEE 754).
long sixteenths(const BoardPoint& a, const BoardPoint& b);  ///< distance in 1/16 pitch

/// What a wire can end on.
struct TreeNode {
    enum class Kind { half, piece, pin, plus, zero } kind = Kind::half;
    int index = -1;  ///< half row, piece; of a pin its part; of a terminal its rail in the bench
    int pin = -1;
    bool operator==(const TreeNode&) const = default;
};

struct Branch {
    TreeNode a, b;
};

struct HalfRow {
    int board = 0, row = 0, side = 0;
    NetId net = unconnected;
    int leads = 0;         ///< that are in it
    int loose = 0;         ///< of parts that can slip alone: not of packages across the trench
    int junctions = 0;     ///< rows that a net has for its wires alone
    unsigned taken = 0;    ///< columns of the board, by bit
    int ends = 0;          ///< of wires
    bool free() const { return leads == 0 && junctions == 0; }
};

struct Piece {
    int board = 0, column = 0, first = 0, last = 0;
    NetId net = unconnected;
    int holes = 0;               ///< that it has
    std::vector<bool> taken;     ///< by row - first; true where there is no hole
    int leads = 0;
};

struct NetState {
    std::vector<int> halves, pieces;  ///< in rising order
    std::vector<TreeNode> outside;        ///< pins beside the boards, terminals
    std::vector<Branch> tree;
    long length = 0;      ///< in 1/16 pitch
    bool broken = false;  ///< no tree: too few holes
};

inline constexpr double module_gap = 3;  ///< pitches between modules beside the boards (our choice)

class Layout {
  public:
    Layout(const Bench& bench, Wiring wiring);

    void add_board(std::shared_ptr<const BoardKind> kind);
    /// Rails the most wanted first. `differ`: pieces of one split strip may carry different rails.
    void give_strips(int board, const std::vector<NetId>& rails, bool differ);
    void put_beside();  ///< modules into columns left and right; boards must be there

    bool can_put(int part, const std::vector<Hole>& holes) const;
    void put(int part, std::vector<Hole> holes);
    void lift(int part);
    bool can_join(int half, NetId net) const { return halves[half].free() || halves[half].net == net; }
    void put_junction(int half, NetId net);
    void lift_junction(int half);
    /// Where a net's pin beside the boards, a strip or a half row is, seen from `near`.
    BoardPoint point(const TreeNode& node, const BoardPoint& near) const;
    BoardPoint middle(int half) const;
    std::pair<BoardPoint, BoardPoint> points(const Branch& branch) const;
    void grow(NetId net);  ///< its tree anew
    void set_tree(NetId net, std::vector<Branch> tree, long length, bool broken);
    int half_of(int board, int row, int side) const;  ///< -1: none
    int holes_left(int half) const;
    int columns_of(int board, int side) const { return static_cast<int>(sides_[board][side].size()); }
    const std::vector<int>& columns(int board, int side) const { return sides_[board][side]; }
    int piece_at(const Hole& hole) const;  ///< -1: no strip
    double top(int board) const { return tops_[board]; }
    double width() const;
    double height() const;

    const Bench* bench;
    Wiring wiring;
    std::vector<std::shared_ptr<const BoardKind>> boards;
    std::vector<HalfRow> halves;
    std::vector<Piece> pieces;
    std::vector<NetState> nets;
    std::vector<PlacedPart> parts;
    std::vector<Footprint> footprints;
    std::vector<std::vector<NetId>> lead_nets;  ///< by part and number - 1

  private:
    void count_ends(NetId net, int by);
    void grow_from_strips(NetId net);
    void grow_tree(NetId net);
    std::vector<int> strips_in_use(const NetState& net, const std::vector<bool>& used) const;
    void bridge(NetState& net, const std::vector<int>& used);
    void add_branch(NetState& net, const TreeNode& a, const TreeNode& b, long length);
    void put_lead(const Hole& hole, NetId net, bool loose);
    void lift_lead(const Hole& hole, bool loose);
    void join(int half, NetId net);
    void leave(int half);

    std::vector<int> first_half_;                    ///< by board
    std::vector<double> tops_;                       ///< by board, in pitches
    std::vector<std::array<std::vector<int>, 2>> sides_;  ///< columns by board and side, trench outwards
};

}  // namespace voltsill
