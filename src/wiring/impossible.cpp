/// What no board allows.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "wiring/placement.h"

namespace voltsill {
namespace {

using HoleKey = std::tuple<int, int, int>;
HoleKey key(const Hole& hole) { return {hole.board, hole.row, hole.column}; }

bool is_there(const Placement& placement, const Hole& hole) {
    return hole.board >= 0 && hole.board < static_cast<int>(placement.boards.size()) &&
           placement.boards[hole.board]->has_hole(hole.row, hole.column);
}

/// Two rows of pins, one on each side of the trench and as far apart as that is wide, numbered down one
/// side and up the other.
bool straddles(const Placement& placement, const std::vector<Hole>& holes) {
    const std::size_t count = holes.size(), half = count / 2;
    const auto& columns = placement.boards[holes[0].board]->columns;
    const Hole &first = holes[0], &facing = holes[count - 1];
    const int step = half < 2 ? 1 : holes[1].row - first.row;
    if (columns[first.column].side == columns[facing.column].side || std::abs(step) != 1 ||
        std::abs(columns[first.column].across - columns[facing.column].across) != trench_pitches)
        return false;
    for (std::size_t k = 0; k < half; ++k) {
        const int row = first.row + step * static_cast<int>(k);
        if (holes[k] != Hole{first.board, row, first.column} ||
            holes[count - 1 - k] != Hole{first.board, row, facing.column})
            return false;
    }
    return true;
}

}  // namespace

BoardPoint point_of(const Placement& placement, const Hole& hole) {
    double down = hole.row;
    for (int b = 0; b < hole.board; ++b) down += placement.boards[b]->rows + board_gap;
    return {placement.boards[hole.board]->columns[hole.column].across, down};
}

BoardPoint point_of(const Placement& placement, const Bench& bench, const WireEnd& end) {
    if (end.kind == WireEnd::Kind::hole) return point_of(placement, end.hole);
    if (end.kind == WireEnd::Kind::pin) {
        double width = 0;
        for (const auto& board : placement.boards) width = std::max(width, board->columns.back().across + 1);
        const PlacedPart& part = placement.parts[end.part];
        return {part.right ? width + beside_gap : -beside_gap, part.down + end.pin};
    }
    const auto rail = std::ranges::find(bench.rails, end.rail, &Rail::name) - bench.rails.begin();
    return {static_cast<double>(rail) * 4 + (end.kind == WireEnd::Kind::ground ? 2 : 0), -beside_gap};
}

std::vector<std::string> impossible(const Wiring& wiring, const Placement& placement) {
    std::vector<std::string> found;
    std::map<HoleKey, std::string> taken;
    const auto take = [&](const Hole& hole, const std::string& what) {
        if (!is_there(placement, hole)) {
            found.push_back(fmt::format("{} is in a hole that is not there", what));
            return;
        }
        const auto [other, fresh] = taken.emplace(key(hole), what);
        if (!fresh)
            found.push_back(fmt::format("{} and {} are both in {}", other->second, what, words(placement, hole)));
    };
    for (std::size_t p = 0; p < placement.parts.size(); ++p) {
        const WiredPart& part = wiring.parts[p];
        const std::vector<Hole>& holes = placement.parts[p].holes;
        if (holes.empty()) continue;
        for (std::size_t n = 0; n < holes.size(); ++n) take(holes[n], fmt::format("pin {} of {}", n + 1, part.name));
        if (!part.package || part.package->pin_of_number.size() != holes.size())
            found.push_back(fmt::format("{} has not as many leads as holes", part.name));
        else if (std::ranges::all_of(holes, [&](const Hole& h) { return is_there(placement, h); }) &&
                 part.package->name.starts_with("DIP-") && !straddles(placement, holes))
            found.push_back(fmt::format("{} does not straddle the trench", part.name));
    }
    std::set<std::pair<int, int>> jumpers;
    for (const LaidWire& wire : placement.wires) {
        const std::string name = fmt::format("wire {}", wire.number);
        for (const WireEnd* end : {&wire.from, &wire.to}) {
            if (end->kind == WireEnd::Kind::hole) take(end->hole, name);
            if (end->kind != WireEnd::Kind::pin) continue;
            if (placement.parts[end->part].on_board())
                found.push_back(fmt::format("{} ends on {}, which is on a board", name,
                                            words(placement, wiring, *end)));
            else if (!jumpers.emplace(end->part, end->pin).second)
                found.push_back(fmt::format("{} has two wires", words(placement, wiring, *end)));
        }
        if (wire.from == wire.to) found.push_back(name + " begins where it ends");
        if (!(wire.metres > 0)) found.push_back(name + " has no length");
    }
    return found;
}

}  // namespace voltsill
