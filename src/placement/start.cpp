#include "placement/start.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace voltsill {
namespace {

constexpr std::size_t most_boards = 64;
constexpr int rows_between = 3;  ///< of packages: room for small parts and for rows of nets

constexpr long far = std::numeric_limits<long>::max();
constexpr long pitch = 16;  // costs are in 1/16 pitch

bool is_bus(const Layout& layout, NetId net) {
    return net != unconnected && (layout.wiring.nets[net].ground || !layout.wiring.nets[net].rail.empty());
}

/// From a place to what a net has already; far when it has nothing.
long to_net(const Layout& layout, NetId net, const BoardPoint& at) {
    long least = far;
    for (const int k : layout.nets[net].pieces)
        least = std::min(least, sixteenths(at, layout.point({TreeNode::Kind::piece, k}, at)));
    for (const int half : layout.nets[net].halves) least = std::min(least, sixteenths(at, layout.middle(half)));
    if (least < far) return least;
    for (const TreeNode& node : layout.nets[net].outside)
        least = std::min(least, sixteenths(at, layout.point(node, at)));
    return least < far ? least : 0;
}

long row_cost(const Layout& layout, int half, NetId net) {
    const HalfRow& h = layout.halves[half];
    long cost = 4 * pitch + to_net(layout, net, layout.middle(half));
    for (const int by : {-1, 1}) {
        const int beside = layout.half_of(h.board, h.row + by, h.side);
        if (beside < 0 || layout.halves[beside].free()) continue;
        const NetId other = layout.halves[beside].net;
        if (other == net) continue;
        cost += is_bus(layout, net) && is_bus(layout, other) ? 20 * pitch : pitch;
    }
    return cost;
}

std::vector<NetId> rails_by_need(const Layout& layout) {
    std::vector<std::pair<int, NetId>> needs;
    for (std::size_t n = 0; n < layout.nets.size(); ++n) {
        if (layout.wiring.nets[n].rail.empty()) continue;
        int need = static_cast<int>(layout.nets[n].outside.size());
        for (const auto& leads : layout.lead_nets)
            need += static_cast<int>(std::ranges::count(leads, static_cast<NetId>(n)));
        needs.emplace_back(-need, static_cast<NetId>(n));
    }
    std::ranges::sort(needs);
    std::vector<NetId> rails;
    for (const auto& [need, net] : needs)
        if (need < -2 || rails.empty()) rails.push_back(net);
    return rails;
}

class Starter {
  public:
    Starter(Layout& layout, const std::vector<Home>& homes, const BoardSupply& boards)
        : layout_(layout), homes_(homes), boards_(boards), rails_(rails_by_need(layout)) {}

    std::string run() {
        add_board();
        layout_.put_beside();
        for (std::size_t p = 0; p < layout_.parts.size(); ++p)
            if (layout_.footprints[p].kind == FootprintKind::dip && !put_dip(static_cast<int>(p)))
                return no_room(p);
        for (const bool at_home : {true, false})
            for (std::size_t p = 0; p < layout_.parts.size(); ++p) {
                const FootprintKind kind = layout_.footprints[p].kind;
                if (kind != FootprintKind::two && kind != FootprintKind::row) continue;
                if ((homes_[p].part >= 0) != at_home || layout_.parts[p].on_board()) continue;
                if (!put_small(static_cast<int>(p))) return no_room(p);
            }
        while (!add_junctions(layout_))
            if (!add_board()) return "the nets need more rows than the boards have";
        layout_.put_beside();
        for (std::size_t n = 0; n < layout_.nets.size(); ++n) layout_.grow(static_cast<NetId>(n));
        return {};
    }

  private:
    std::string no_room(std::size_t part) const {
        const WiredPart& of = layout_.wiring.parts[part];
        return fmt::format("{} ({}) fits nowhere on a board \"{}\"", of.name,
                           of.package ? of.package->name : of.type->name, layout_.boards.back()->name);
    }

    bool add_board() {
        if (layout_.boards.size() == most_boards) return false;
        layout_.add_board(boards_.next(layout_.boards.size()));
        layout_.give_strips(static_cast<int>(layout_.boards.size()) - 1, rails_, boards_.named);
        next_row_ = 2;
        return true;
    }

    bool put_dip(int part) {
        const int leads = layout_.footprints[part].leads;
        for (int tries = 0; tries < 2; ++tries) {
            const int board = static_cast<int>(layout_.boards.size()) - 1;
            if (next_row_ + leads / 2 - 1 <= layout_.boards[board]->rows) {
                layout_.put(part, dip_holes(layout_, leads, board, next_row_, false));
                next_row_ += leads / 2 + rows_between;
                return true;
            }
            if (leads / 2 + 1 > layout_.boards[board]->rows && tries > 0) return false;
            if (!add_board()) return false;
        }
        return false;
    }

    void consider(int part, std::vector<Hole> holes, long& least, std::vector<Hole>& best) const {
        if (holes.empty() || !layout_.can_put(part, holes)) return;
        const long cost = spot_cost(layout_, part, holes);
        if (cost < least) least = cost, best = std::move(holes);
    }

    bool put_small(int part) {
        const Footprint& footprint = layout_.footprints[part];
        for (int tries = 0; tries < 2; ++tries) {
            long least = far;
            std::vector<Hole> best;
            if (const int home = home_half(layout_, homes_[part]); home >= 0)
                for (const int lead : {0, 1})
                    for (auto& holes : spots_at(layout_, part, lead, home))
                        consider(part, std::move(holes), least, best);
            if (best.empty())
                for (const int half : anchors(part)) visit(part, footprint, half, least, best);
            if (!best.empty()) {
                layout_.put(part, std::move(best));
                return true;
            }
            if (!add_board()) return false;
        }
        return false;
    }

    /// Half rows of its nets, and those of the last two boards.
    std::vector<int> anchors(int part) const {
        std::vector<int> found;
        for (const NetId net : layout_.lead_nets[part])
            if (net != unconnected)
                found.insert(found.end(), layout_.nets[net].halves.begin(), layout_.nets[net].halves.end());
        const int last = static_cast<int>(layout_.boards.size()) - 1;
        for (std::size_t half = 0; half < layout_.halves.size(); ++half)
            if (layout_.halves[half].board + 1 >= last) found.push_back(static_cast<int>(half));
        std::ranges::sort(found);
        found.erase(std::ranges::unique(found).begin(), found.end());
        return found;
    }

    void visit(int part, const Footprint& footprint, int half, long& least, std::vector<Hole>& best) const {
        const HalfRow& h = layout_.halves[half];
        if (footprint.kind == FootprintKind::row) {
            for (const bool turned : {false, true})
                consider(part, row_holes(layout_, footprint.leads, h.board, h.row, h.side, turned), least, best);
            return;
        }
        for (const int lead : {0, 1})
            for (auto& holes : spots_at(layout_, part, lead, half)) consider(part, std::move(holes), least, best);
    }

    Layout& layout_;
    const std::vector<Home>& homes_;
    const BoardSupply& boards_;
    const std::vector<NetId> rails_;
    int next_row_ = 2;
};

}  // namespace

std::string start(Layout& layout, const std::vector<Home>& homes, const BoardSupply& boards) {
    return Starter(layout, homes, boards).run();
}

long spot_cost(const Layout& layout, int part, const std::vector<Hole>& holes) {
    long cost = 0;
    for (std::size_t n = 0; n < holes.size(); ++n) {
        const NetId net = layout.lead_nets[part][n];
        const Hole& hole = holes[n];
        const BoardColumn& column = layout.boards[hole.board]->columns[hole.column];
        if (column.strip || net == unconnected) continue;
        const int half = layout.half_of(hole.board, hole.row, column.side);
        if (layout.halves[half].free())
            cost += row_cost(layout, half, net);
        else if (layout.holes_left(half) < 3)
            cost += 6 * pitch;  // leaves no hole for a second wire
    }
    if (holes.size() == 2) {
        const auto& columns = layout.boards[holes[0].board]->columns;
        cost += sixteenths({columns[holes[0].column].across, double(holes[0].row)},
                           {columns[holes[1].column].across, double(holes[1].row)}) / 3;
    }
    return cost;
}

bool add_junctions(Layout& layout) {
    for (std::size_t n = 0; n < layout.nets.size(); ++n) {
        const auto net = static_cast<NetId>(n);
        layout.grow(net);
        while (layout.nets[net].broken) {
            int best = -1;
            long least = far;
            for (std::size_t half = 0; half < layout.halves.size(); ++half) {
                if (!layout.halves[half].free()) continue;
                const long cost = row_cost(layout, static_cast<int>(half), net);
                if (cost < least) least = cost, best = static_cast<int>(half);
            }
            if (best < 0 || !layout.nets[net].pieces.empty()) return false;
            layout.put_junction(best, net);
            layout.grow(net);
        }
    }
    return true;
}

}  // namespace voltsill
