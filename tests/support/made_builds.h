#pragma once
/// Learners' files made from a placement: as planned, with slips, or wired in another way that is as good.
#include <fmt/format.h>

#include <algorithm>
#include <random>

#include "teaching/marking.h"
#include "placement/slips.h"

namespace voltsill::made {

inline std::string file_of(const PlacedWiring& build, const Placement& placement) {
    std::string out = "kind,from,to,value,note\n";
    for (std::size_t p = 0; p < placement.parts.size(); ++p) {
        const auto &now = placement.parts[p].holes, &then = build.placement.parts[p].holes;
        if (now == then) continue;
        for (std::size_t n = 0; n < now.size(); ++n)
            out += fmt::format("part,{}.{},{},,\n", build.wiring.parts[p].name, n + 1, words(placement, now[n]));
    }
    for (const LaidWire& wire : placement.wires)
        out += fmt::format("wire,{},{},,{}\n", words(placement, build.wiring, wire.from),
                           words(placement, build.wiring, wire.to), wire.colour);
    return out;
}

/// Wires in another order, their ends exchanged, holes of the same node, and each net's wires along another
/// tree.
inline Placement rewired(const PlacedWiring& build, std::mt19937_64& random) {
    Placement out = build.placement;
    std::vector<std::vector<bool>> taken;
    const auto at = [&](const Hole& h) -> std::vector<bool>::reference {
        return taken[h.board][static_cast<std::size_t>(h.row) * out.boards[h.board]->columns.size() + h.column];
    };
    for (const auto& board : out.boards) taken.emplace_back((board->rows + 1) * board->columns.size(), false);
    for (const PlacedPart& part : out.parts)
        for (const Hole& hole : part.holes) at(hole) = true;
    for (const LaidWire& wire : out.wires)
        for (const WireEnd* end : {&wire.from, &wire.to})
            if (end->kind == WireEnd::Kind::hole) at(end->hole) = true;
    const auto elsewhere = [&](WireEnd& end) {
        if (end.kind != WireEnd::Kind::hole || random() % 3) return;
        const BoardKind& board = *out.boards[end.hole.board];
        std::vector<Hole> free;
        for (int row = 1; row <= board.rows; ++row)
            for (int c = 0; c < static_cast<int>(board.columns.size()); ++c)
                if (const Hole h{end.hole.board, row, c};
                    board.has_hole(row, c) && !at(h) &&
                    board.node_of(row, c) == board.node_of(end.hole.row, end.hole.column))
                    free.push_back(h);
        if (free.empty()) return;
        end.hole = free[random() % free.size()];
        at(end.hole) = true;
    };
    // A wire's end goes to the other end of a wire that begins where it does: a chain in another order.
    for (std::size_t w = 0; w + 1 < out.wires.size(); ++w)
        for (std::size_t v = w + 1; v < out.wires.size(); ++v)
            if (out.wires[w].from.kind != WireEnd::Kind::hole && out.wires[w].from == out.wires[v].from && random() % 2)
                out.wires[v].from = out.wires[w].to;
    for (LaidWire& wire : out.wires) {
        elsewhere(wire.from), elsewhere(wire.to);
        if (random() % 2) std::swap(wire.from, wire.to);
    }
    std::ranges::shuffle(out.wires, random);
    return out;
}

}  // namespace voltsill::made
