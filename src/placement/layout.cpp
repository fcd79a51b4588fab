#include "placement/layout.h"

#include <algorithm>

namespace voltsill {
Layout::Layout(const Bench& b, Wiring w) : bench(&b), wiring(std::move(w)) {
    nets.resize(wiring.nets.size());
    parts.resize(wiring.parts.size());
    for (std::size_t p = 0; p < wiring.parts.size(); ++p) {
        const WiredPart& part = wiring.parts[p];
        footprints.push_back(footprint_of(part));
        std::vector<NetId>& of_lead = lead_nets.emplace_back();
        if (footprints[p].kind == FootprintKind::beside) {
            for (std::size_t k = 0; k < part.net_of_pin.size(); ++k)
                if (const NetId net = part.net_of_pin[k]; net != unconnected)
                    nets[net].outside.push_back(
                        {TreeNode::Kind::pin, static_cast<int>(p), static_cast<int>(k)});
            continue;
        }
        for (const int pin : part.package->pin_of_number)
            of_lead.push_back(pin < 0 ? unconnected : part.net_of_pin[pin]);
    }
    for (std::size_t r = 0; r < b.rails.size(); ++r) {
        if (!b.rails[r].from.empty()) continue;
        const NetId net = wiring.rail(b.rails[r].name);
        if (net != unconnected) nets[net].outside.push_back({TreeNode::Kind::plus, static_cast<int>(r)});
        if (wiring.ground() != unconnected)
            nets[wiring.ground()].outside.push_back({TreeNode::Kind::zero, static_cast<int>(r)});
    }
}

void Layout::add_board(std::shared_ptr<const BoardKind> kind) {
    const int board = static_cast<int>(boards.size());
    first_half_.push_back(static_cast<int>(halves.size()));
    tops_.push_back(boards.empty() ? 0 : tops_.back() + boards.back()->rows + board_gap);
    for (int row = 1; row <= kind->rows; ++row)
        for (int side : {0, 1}) halves.push_back({.board = board, .row = row, .side = side});
    auto& sides = sides_.emplace_back();
    for (std::size_t c = 0; c < kind->columns.size(); ++c) {
        const BoardColumn& column = kind->columns[c];
        if (!column.strip) {
            auto& side = sides[column.side];
            side.insert(column.side == 0 ? side.begin() : side.end(), static_cast<int>(c));
            continue;
        }
        for (const auto& [first, last] : column.segments) {
            Piece piece{.board = board, .column = static_cast<int>(c), .first = first, .last = last};
            for (int row = first; row <= last; ++row) {
                const bool hole = kind->has_hole(row, static_cast<int>(c));
                piece.taken.push_back(!hole);
                piece.holes += hole;
            }
            pieces.push_back(std::move(piece));
        }
    }
    boards.push_back(std::move(kind));
}

/// "-" strips and strips without a mark left of it are ground; the others carry the rails, the most
/// wanted first. A third rail may get the lower piece of the last strip if that is split.
void Layout::give_strips(int board, const std::vector<NetId>& rails, bool differ) {
    std::vector<std::vector<int>> plus;  // pieces by strip
    int last_column = -1;
    for (std::size_t k = 0; k < pieces.size(); ++k) {
        Piece& piece = pieces[k];
        if (piece.board != board) continue;
        if (boards[board]->columns[piece.column].mark == "-") {
            piece.net = wiring.ground();
            continue;
        }
        if (piece.column != last_column) plus.emplace_back();
        last_column = piece.column;
        plus.back().push_back(static_cast<int>(k));
    }
    for (std::size_t s = 0; s < plus.size() && !rails.empty(); ++s) {
        const std::size_t first = std::min(s, rails.size() - 1);
        for (const int k : plus[s]) pieces[k].net = rails[first];
        if (differ && s + 1 == plus.size() && rails.size() > plus.size() && plus[s].size() > 1)
            for (std::size_t k = 1; k < plus[s].size() && first + k < rails.size(); ++k)
                pieces[plus[s][k]].net = rails[first + k];
    }
    for (std::size_t k = 0; k < pieces.size(); ++k)
        if (pieces[k].board == board && pieces[k].net != unconnected)
            nets[pieces[k].net].pieces.push_back(static_cast<int>(k));
}

/// As far down as the rows they lead to, the largest first while nothing is placed, always to the
/// shorter column.
void Layout::put_beside() {
    struct Module {
        int part;
        double down;
    };
    std::vector<Module> modules;
    for (std::size_t p = 0; p < parts.size(); ++p) {
        if (footprints[p].kind != FootprintKind::beside) continue;
        double sum = 0;
        int rows = 0;
        for (const NetId net : wiring.parts[p].net_of_pin) {
            if (net == unconnected || !nets[net].pieces.empty()) continue;
            for (const int half : nets[net].halves) sum += middle(half).down, ++rows;
        }
        modules.push_back({static_cast<int>(p), rows == 0 ? 0 : sum / rows});
    }
    std::ranges::stable_sort(modules, [&](const Module& a, const Module& b) {
        return a.down != b.down ? a.down < b.down
                                : wiring.parts[a.part].net_of_pin.size() > wiring.parts[b.part].net_of_pin.size();
    });
    double down[2] = {1, 1};
    for (const Module& module : modules) {
        const int side = down[1] < down[0] ? 1 : 0;
        parts[module.part].right = side == 1;
        parts[module.part].down = down[side];
        down[side] += static_cast<double>(wiring.parts[module.part].net_of_pin.size()) + module_gap;
    }
}

double Layout::width() const {
    double width = 0;
    for (const auto& board : boards) width = std::max(width, board->columns.back().across + 1);
    return width;
}

double Layout::height() const { return tops_.back() + boards.back()->rows; }

int Layout::half_of(int board, int row, int side) const {
    if (row < 1 || row > boards[board]->rows) return -1;
    return first_half_[board] + 2 * (row - 1) + side;
}

int Layout::holes_left(int half) const {
    const HalfRow& h = halves[half];
    return columns_of(h.board, h.side) - h.leads;
}

int Layout::piece_at(const Hole& hole) const {
    for (std::size_t k = 0; k < pieces.size(); ++k)
        if (pieces[k].board == hole.board && pieces[k].column == hole.column && hole.row >= pieces[k].first &&
            hole.row <= pieces[k].last)
            return static_cast<int>(k);
    return -1;
}

bool Layout::can_put(int part, const std::vector<Hole>& holes) const {
    for (std::size_t n = 0; n < holes.size(); ++n) {
        const Hole& hole = holes[n];
        const NetId net = lead_nets[part][n];
        const BoardColumn& column = boards[hole.board]->columns[hole.column];
        if (column.strip) {
            const int k = piece_at(hole);
            if (k < 0 || pieces[k].net != net || net == unconnected || pieces[k].taken[hole.row - pieces[k].first])
                return false;
            continue;
        }
        const int half = half_of(hole.board, hole.row, column.side);
        if (half < 0 || halves[half].taken >> hole.column & 1u) return false;
        if (!halves[half].free() && (net == unconnected || halves[half].net != net)) return false;
        if (!halves[half].free() && holes_left(half) < 2) return false;  // one hole is for its wire
        for (std::size_t m = 0; m < n; ++m) {  // leads of one part that would share a fresh half row
            const BoardColumn& other = boards[holes[m].board]->columns[holes[m].column];
            if (holes[m].board == hole.board && holes[m].row == hole.row && !other.strip &&
                other.side == column.side && (net == unconnected || lead_nets[part][m] != net))
                return false;
        }
    }
    return true;
}

void Layout::join(int half, NetId net) {
    HalfRow& h = halves[half];
    if (!h.free()) return;
    h.net = net;
    if (net == unconnected) return;
    auto& members = nets[net].halves;
    members.insert(std::ranges::lower_bound(members, half), half);
}

void Layout::leave(int half) {
    HalfRow& h = halves[half];
    if (!h.free() || h.net == unconnected) return;
    std::erase(nets[h.net].halves, half);
    h.net = unconnected;
}

void Layout::put_lead(const Hole& hole, NetId net, bool loose) {
    const BoardColumn& column = boards[hole.board]->columns[hole.column];
    if (column.strip) {
        Piece& piece = pieces[piece_at(hole)];
        piece.taken[hole.row - piece.first] = true;
        ++piece.leads;
        return;
    }
    const int half = half_of(hole.board, hole.row, column.side);
    join(half, net);
    ++halves[half].leads;
    halves[half].loose += loose;
    halves[half].taken |= 1u << hole.column;
}

void Layout::lift_lead(const Hole& hole, bool loose) {
    const BoardColumn& column = boards[hole.board]->columns[hole.column];
    if (column.strip) {
        Piece& piece = pieces[piece_at(hole)];
        piece.taken[hole.row - piece.first] = false;
        --piece.leads;
        return;
    }
    const int half = half_of(hole.board, hole.row, column.side);
    --halves[half].leads;
    halves[half].loose -= loose;
    halves[half].taken &= ~(1u << hole.column);
    leave(half);
}

void Layout::put(int part, std::vector<Hole> holes) {
    const bool loose = footprints[part].kind != FootprintKind::dip;
    for (std::size_t n = 0; n < holes.size(); ++n) put_lead(holes[n], lead_nets[part][n], loose);
    parts[part].holes = std::move(holes);
}

void Layout::lift(int part) {
    const bool loose = footprints[part].kind != FootprintKind::dip;
    for (const Hole& hole : parts[part].holes) lift_lead(hole, loose);
    parts[part].holes.clear();
}

void Layout::put_junction(int half, NetId net) {
    join(half, net);
    ++halves[half].junctions;
}

void Layout::lift_junction(int half) {
    --halves[half].junctions;
    leave(half);
}

BoardPoint Layout::middle(int half) const {
    const HalfRow& h = halves[half];
    const auto& columns = sides_[h.board][h.side];
    return {boards[h.board]->columns[columns[columns.size() / 2]].across, tops_[h.board] + h.row};
}

BoardPoint Layout::point(const TreeNode& node, const BoardPoint& near) const {
    switch (node.kind) {
        case TreeNode::Kind::half:
            return middle(node.index);
        case TreeNode::Kind::piece: {
            const Piece& piece = pieces[node.index];
            const double top = tops_[piece.board];
            return {boards[piece.board]->columns[piece.column].across,
                    std::clamp(near.down, top + piece.first, top + piece.last)};
        }
        case TreeNode::Kind::pin:
            return {parts[node.index].right ? width() + beside_gap : -beside_gap, parts[node.index].down + node.pin};
        case TreeNode::Kind::plus:
        case TreeNode::Kind::zero:
            return {node.index * 4.0 + (node.kind == TreeNode::Kind::zero ? 2.0 : 0.0), -beside_gap};
    }
    return {};
}

/// Bridges meet where the pieces face each other, else at their upper ends.
std::pair<BoardPoint, BoardPoint> Layout::points(const Branch& branch) const {
    BoardPoint a = point(branch.a, {}), b = point(branch.b, a);
    a = point(branch.a, b);
    if (branch.a.kind != TreeNode::Kind::piece || branch.b.kind != TreeNode::Kind::piece) return {a, b};
    const auto ends = [&](const TreeNode& node) {
        const Piece& piece = pieces[node.index];
        return std::pair(tops_[piece.board] + piece.first, tops_[piece.board] + piece.last);
    };
    const auto [first_a, last_a] = ends(branch.a);
    const auto [first_b, last_b] = ends(branch.b);
    if (last_a < first_b)
        a.down = last_a, b.down = first_b;
    else if (last_b < first_a)
        a.down = first_a, b.down = last_b;
    else
        a.down = b.down = std::max(first_a, first_b);
    return {a, b};
}

}  // namespace voltsill
