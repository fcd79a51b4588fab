#include "placement/moves.h"

#include <algorithm>
#include <limits>

#include "placement/start.h"

namespace voltsill {
namespace {

int half_at(const Layout& layout, const Hole& hole) {
    const BoardColumn& column = layout.boards[hole.board]->columns[hole.column];
    return column.strip ? -1 : layout.half_of(hole.board, hole.row, column.side);
}

}  // namespace

Moves::Moves(Layout& layout, Score& score, const std::vector<Home>& homes, Random& random)
    : layout_(layout), score_(score), homes_(homes), random_(random) {
    for (std::size_t p = 0; p < layout.parts.size(); ++p) {
        const int part = static_cast<int>(p);
        switch (layout.footprints[p].kind) {
            case FootprintKind::beside: modules_.push_back(part); break;
            case FootprintKind::dip: packages_.push_back(part); break;
            default: small_.push_back(part);
        }
    }
    std::ranges::stable_sort(modules_, {}, [&](int p) {
        return std::pair(layout.parts[p].right, layout.parts[p].down);
    });
    for (std::size_t half = 0; half < layout.halves.size(); ++half)
        for (int n = 0; n < layout.halves[half].junctions; ++n)
            junctions_.emplace_back(static_cast<int>(half), layout.halves[half].net);
}

void Moves::lift(int part) {
    lifted_.emplace_back(part, layout_.parts[part].holes);
    for (const NetId net : layout_.lead_nets[part]) score_.touch(net);
    for (const Hole& hole : layout_.parts[part].holes)
        if (const int half = half_at(layout_, hole); half >= 0) score_.touch_half(half);
    layout_.lift(part);
}

void Moves::put(int part, std::vector<Hole> holes) {
    for (const Hole& hole : holes)
        if (const int half = half_at(layout_, hole); half >= 0) score_.touch_half(half);
    layout_.put(part, std::move(holes));
}

bool Moves::fail() {
    undo();
    return false;
}

void Moves::undo() {
    for (const auto& [half, net] : junction_new_) layout_.lift_junction(half);
    for (const auto& [part, holes] : lifted_)
        if (layout_.parts[part].on_board()) layout_.lift(part);
    for (const auto& [part, holes] : lifted_) layout_.put(part, holes);
    for (const auto& [half, net] : junction_gone_) layout_.put_junction(half, net);
    for (const auto& added : junction_new_) std::erase(junctions_, added);
    junctions_.insert(junctions_.end(), junction_gone_.begin(), junction_gone_.end());
    score_.revert();
}

bool Moves::propose() {
    lifted_.clear();
    junction_gone_.clear();
    junction_new_.clear();
    score_.begin();
    const int dice = random_.below(100);
    if (dice < 55 && !small_.empty()) return move_small();
    if (dice < 84 && !packages_.empty()) return move_package();
    if (dice < 90 && packages_.size() > 1) return swap_packages();
    if (!junctions_.empty()) return move_junction();
    return false;
}

/// Half rows where a part may begin: the one it belongs to, those of its nets, those around its place.
std::vector<int> Moves::anchors(int part) {
    if (const int home = home_half(layout_, homes_[part]); home >= 0) return {home};
    std::vector<int> found;
    for (const NetId net : layout_.lead_nets[part])
        if (net != unconnected && layout_.nets[net].halves.size() <= 12)
            found.insert(found.end(), layout_.nets[net].halves.begin(), layout_.nets[net].halves.end());
    return found;
}

bool Moves::move_small() {
    const int part = small_[random_.below(static_cast<int>(small_.size()))];
    const std::vector<Hole> old = layout_.parts[part].holes;
    lift(part);
    const Hole& near = old[random_.below(static_cast<int>(old.size()))];
    const int row = near.row + random_.below(17) - 8, side = random_.below(2);
    std::vector<Hole> holes;
    if (layout_.footprints[part].kind == FootprintKind::row) {
        holes = row_holes(layout_, layout_.footprints[part].leads, near.board, row, side, random_.below(2) == 1);
        if (holes.empty() || !layout_.can_put(part, holes)) return fail();
    } else {
        std::vector<int> from = anchors(part);
        if (home_half(layout_, homes_[part]) < 0 && (from.empty() || random_.below(3) == 0))
            from = {layout_.half_of(near.board, row, side)};
        const int anchor = from[random_.below(static_cast<int>(from.size()))];
        if (anchor < 0) return fail();
        auto spots = spots_at(layout_, part, random_.below(2), anchor);
        if (spots.empty()) return fail();
        holes = std::move(spots[random_.below(static_cast<int>(spots.size()))]);
    }
    if (holes == old) return fail();
    put(part, std::move(holes));
    return true;
}

std::vector<int> Moves::attached_to(int package) const {
    std::vector<int> halves;
    for (const Hole& hole : layout_.parts[package].holes) halves.push_back(half_at(layout_, hole));
    const auto [least, most] = std::ranges::minmax(halves);
    std::vector<int> found;
    for (const int part : small_)
        for (const Hole& hole : layout_.parts[part].holes)
            if (const int half = half_at(layout_, hole); half >= least && half <= most) {
                found.push_back(part);
                break;
            }
    return found;
}

bool Moves::put_near(int part, const std::vector<Hole>& old, int rows_down, int boards_on) {
    std::vector<Hole> holes = old;
    for (Hole& hole : holes) {
        hole.row += rows_down, hole.board += boards_on;
        const BoardKind& board = *layout_.boards[hole.board];
        if (hole.column >= static_cast<int>(board.columns.size()) || !board.has_hole(hole.row, hole.column))
            return put_cheapest(part);
    }
    const int home = home_half(layout_, homes_[part]);
    const bool at_home =
        home < 0 || std::ranges::any_of(holes, [&](const Hole& h) { return half_at(layout_, h) == home; });
    if (!at_home || !layout_.can_put(part, holes)) return put_cheapest(part);
    put(part, std::move(holes));
    return true;
}

bool Moves::put_cheapest(int part) {
    if (layout_.footprints[part].kind != FootprintKind::two) return false;
    long least = std::numeric_limits<long>::max();
    std::vector<Hole> best;
    for (const int anchor : anchors(part))
        for (const int lead : {0, 1})
            for (auto& holes : spots_at(layout_, part, lead, anchor))
                if (const long cost = spot_cost(layout_, part, holes); cost < least)
                    least = cost, best = std::move(holes);
    if (best.empty()) return false;
    put(part, std::move(best));
    return true;
}

bool Moves::move_package() {
    const int part = packages_[random_.below(static_cast<int>(packages_.size()))];
    const std::vector<Hole> old = layout_.parts[part].holes;
    const int leads = static_cast<int>(old.size());
    const int top = std::min(old.front().row, old[leads / 2 - 1].row);
    const bool was_turned = old.front().row > old[leads / 2 - 1].row ||
                            (leads == 2 && old.front().column > old.back().column);
    int board = old.front().board, to = top + random_.below(13) - 6;
    const bool turned = random_.below(4) == 0 ? !was_turned : was_turned;
    if (random_.below(5) == 0) {
        board = random_.below(static_cast<int>(layout_.boards.size()));
        to = 1 + random_.below(layout_.boards[board]->rows);
    }
    if (to < 1 || to + leads / 2 - 1 > layout_.boards[board]->rows) return false;
    const std::vector<int> attached = attached_to(part);
    std::vector<std::vector<Hole>> places;
    for (const int small : attached) places.push_back(layout_.parts[small].holes), lift(small);
    lift(part);
    std::vector<Hole> holes = dip_holes(layout_, leads, board, to, turned);
    if (holes == old || !layout_.can_put(part, holes)) return fail();
    put(part, std::move(holes));
    for (std::size_t k = 0; k < attached.size(); ++k) {
        const bool good = turned == was_turned
                              ? put_near(attached[k], places[k], to - top, board - old.front().board)
                              : put_cheapest(attached[k]);
        if (!good) return fail();
    }
    return true;
}

bool Moves::swap_packages() {
    const int a = packages_[random_.below(static_cast<int>(packages_.size()))],
              b = packages_[random_.below(static_cast<int>(packages_.size()))];
    if (a == b || layout_.footprints[a].leads != layout_.footprints[b].leads) return false;
    struct Follower {
        int part;
        std::vector<Hole> old;
        int down, on;
    };
    std::vector<Follower> followers;
    const Hole at_a = layout_.parts[a].holes.front(), at_b = layout_.parts[b].holes.front();
    for (const int part : attached_to(a))
        followers.push_back({part, layout_.parts[part].holes, at_b.row - at_a.row, at_b.board - at_a.board});
    for (const int part : attached_to(b))
        if (std::ranges::find(followers, part, &Follower::part) == followers.end())
            followers.push_back({part, layout_.parts[part].holes, at_a.row - at_b.row, at_a.board - at_b.board});
    for (const Follower& follower : followers) lift(follower.part);
    const std::vector<Hole> to_a = layout_.parts[b].holes, to_b = layout_.parts[a].holes;
    lift(a);
    lift(b);
    if (!layout_.can_put(a, to_a)) return fail();
    put(a, to_a);
    if (!layout_.can_put(b, to_b)) return fail();
    put(b, to_b);
    for (const Follower& follower : followers)
        if (!put_near(follower.part, follower.old, follower.down, follower.on)) return fail();
    return true;
}

bool Moves::move_junction() {
    const int at = random_.below(static_cast<int>(junctions_.size()));
    const auto [half, net] = junctions_[at];
    const HalfRow h = layout_.halves[half];
    const bool far = random_.below(4) == 0;
    const int board = far ? random_.below(static_cast<int>(layout_.boards.size())) : h.board;
    const int row = far ? 1 + random_.below(layout_.boards[board]->rows) : h.row + random_.below(11) - 5;
    const int to = layout_.half_of(board, row, random_.below(2));
    if (to < 0 || to == half || !layout_.halves[to].free()) return false;
    score_.touch(net);
    score_.touch_half(half);
    score_.touch_half(to);
    layout_.lift_junction(half);
    junction_gone_.emplace_back(half, net);
    junctions_.erase(junctions_.begin() + at);
    layout_.put_junction(to, net);
    junction_new_.emplace_back(to, net);
    junctions_.emplace_back(to, net);
    return true;
}

void Moves::shuffle_modules() {
    modules_before_.clear();
    for (const int p : modules_) modules_before_.emplace_back(p, layout_.parts[p]);
    const int count = static_cast<int>(modules_.size());
    const int a = random_.below(count), b = random_.below(count);
    if (random_.below(3) == 0) {
        PlacedPart& part = layout_.parts[modules_[a]];
        part.right = !part.right;
    } else {
        std::swap(layout_.parts[modules_[a]].right, layout_.parts[modules_[b]].right);
    }
    std::swap(modules_[a], modules_[b]);
    stack_modules();
}

void Moves::unshuffle_modules() {
    modules_.clear();
    for (const auto& [part, place] : modules_before_) {
        modules_.push_back(part);
        layout_.parts[part] = place;
    }
}

/// Below each other, three pitches apart.
void Moves::stack_modules() {
    double down[2] = {1, 1};
    for (const int p : modules_) {
        PlacedPart& part = layout_.parts[p];
        part.down = down[part.right];
        down[part.right] += static_cast<double>(layout_.wiring.parts[p].net_of_pin.size()) + module_gap;
    }
}

}  // namespace voltsill
