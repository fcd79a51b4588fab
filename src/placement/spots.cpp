#include "placement/spots.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "wiring/decoupling.h"

namespace voltsill {
namespace {

/// The pair of columns with the shortest legal distance between leads in a half row and a second place.
struct Pair {
    Hole at, other;
    double apart = std::numeric_limits<double>::infinity();
};

std::vector<int> free_columns(const Layout& layout, int half) {
    const HalfRow& h = layout.halves[half];
    std::vector<int> columns;
    for (const int c : layout.columns(h.board, h.side))
        if (!(h.taken >> c & 1u)) columns.push_back(c);
    return columns;
}

double across(const Layout& layout, int board, int column) {
    return layout.boards[board]->columns[column].across;
}

void try_pair(const Layout& layout, const Footprint& footprint, const Hole& at, const Hole& other, Pair& best) {
    const double d = std::hypot(across(layout, at.board, at.column) - across(layout, at.board, other.column),
                                at.row - other.row);
    // A lead that lies longer than it must is worse; a hair in favour of outer columns keeps equals apart.
    if (d + 1e-9 < footprint.reach_min || d > footprint.reach_max + 1e-9 || d >= best.apart - 1e-9) return;
    best = {at, other, d};
}

}  // namespace

std::vector<Hole> dip_holes(const Layout& layout, int leads, int board, int top, bool turned) {
    const int left = layout.columns(board, 0).front(), right = layout.columns(board, 1).front();
    const int half = leads / 2, bottom = top + half - 1;
    std::vector<Hole> holes;
    for (int n = 1; n <= leads; ++n) {
        const bool first = n <= half;
        const int k = first ? n - 1 : leads - n;  // rows from pin 1
        holes.push_back({board, turned ? bottom - k : top + k, first != turned ? left : right});
    }
    return holes;
}

std::vector<Hole> row_holes(const Layout& layout, int leads, int board, int top, int side, bool turned) {
    const auto& columns = layout.columns(board, side);
    for (std::size_t k = columns.size(); k-- > 0;) {
        std::vector<Hole> holes;
        for (int n = 0; n < leads; ++n) {
            const int row = turned ? top + leads - 1 - n : top + n;
            const int half = layout.half_of(board, row, side);
            if (half < 0) return {};
            if (layout.halves[half].taken >> columns[k] & 1u) break;
            holes.push_back({board, row, columns[k]});
        }
        if (static_cast<int>(holes.size()) == leads) return holes;
    }
    return {};
}

std::vector<std::vector<Hole>> spots_at(const Layout& layout, int part, int lead, int half) {
    const Footprint& footprint = layout.footprints[part];
    const HalfRow& h = layout.halves[half];
    const NetId other_net = layout.lead_nets[part][1 - lead];
    std::vector<std::vector<Hole>> found;
    if (!layout.can_join(half, layout.lead_nets[part][lead])) return found;
    const std::vector<int> own = free_columns(layout, half);
    const auto keep = [&](const Pair& pair) {
        if (!std::isfinite(pair.apart)) return;
        std::vector<Hole> holes = lead == 0 ? std::vector{pair.at, pair.other} : std::vector{pair.other, pair.at};
        if (layout.can_put(part, holes)) found.push_back(std::move(holes));
    };
    const int reach = static_cast<int>(footprint.reach_max);
    for (int row = h.row - reach; row <= h.row + reach; ++row)
        for (const int side : {0, 1}) {
            const int target = layout.half_of(h.board, row, side);
            if (target < 0 || target == half || !layout.can_join(target, other_net)) continue;
            Pair best;
            for (const int c : free_columns(layout, target))
                for (const int mine : own)
                    try_pair(layout, footprint, {h.board, h.row, mine}, {h.board, row, c}, best);
            keep(best);
        }
    for (const int k : layout.nets[std::max(other_net, 0)].pieces) {
        const Piece& piece = layout.pieces[k];
        if (other_net < 0 || piece.board != h.board) continue;
        Pair best;
        for (int row = std::max(piece.first, h.row - reach); row <= std::min(piece.last, h.row + reach); ++row)
            for (const int mine : own)
                if (!piece.taken[row - piece.first])
                    try_pair(layout, footprint, {h.board, h.row, mine}, {h.board, row, piece.column}, best);
        keep(best);
    }
    return found;
}

std::vector<Home> homes_of(const Layout& layout) {
    const Wiring& wiring = layout.wiring;
    std::vector<Home> homes(wiring.parts.size());
    std::set<std::pair<int, int>> has;
    const auto is_decoupling = [&](std::size_t p) {
        if (wiring.parts[p].type->kind != PartKind::capacitor || layout.footprints[p].leads != 2) return false;
        const NetId a = layout.lead_nets[p][0], b = layout.lead_nets[p][1];
        if (a == unconnected || b == unconnected || a == b) return false;
        return (wiring.nets[a].ground && !wiring.nets[b].rail.empty()) ||
               (wiring.nets[b].ground && !wiring.nets[a].rail.empty());
    };
    const auto settle = [&](bool by_purpose) {
        for (std::size_t p = 0; p < homes.size(); ++p) {
            if (!is_decoupling(p) || homes[p].part >= 0) continue;
            const NetId rail = layout.lead_nets[p][wiring.nets[layout.lead_nets[p][0]].ground ? 1 : 0];
            for (std::size_t q = 0; q < homes.size() && homes[p].part < 0; ++q) {
                const WiredPart& of = wiring.parts[q];
                if (layout.footprints[q].leads < 3) continue;
                if (by_purpose && !is_decoupling_of(wiring.parts[p], of.name)) continue;
                for (int n = 1; n <= layout.footprints[q].leads; ++n) {
                    const int pin = of.package->pin_of_number[n - 1];
                    if (pin < 0 || of.type->pins[pin].role != PinRole::supply || of.net_of_pin[pin] != rail ||
                        !has.emplace(static_cast<int>(q), n).second)
                        continue;
                    homes[p] = {static_cast<int>(q), n};
                    break;
                }
            }
        }
    };
    settle(true);
    settle(false);
    return homes;
}

int home_half(const Layout& layout, const Home& home) {
    if (home.part < 0 || layout.parts[home.part].holes.empty()) return -1;
    const Hole& hole = layout.parts[home.part].holes[home.number - 1];
    const BoardColumn& column = layout.boards[hole.board]->columns[hole.column];
    return column.strip ? -1 : layout.half_of(hole.board, hole.row, column.side);
}

}  // namespace voltsill
