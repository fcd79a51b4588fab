/// The wires of every net, as trees.
#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include "placement/layout.h"

namespace voltsill {
namespace {

constexpr long unreached = std::numeric_limits<long>::max();

}  // namespace

long sixteenths(const BoardPoint& a, const BoardPoint& b) {
    const double across = a.across - b.across, down = a.down - b.down;
    return std::lround(16 * std::sqrt(across * across + down * down));
}

void Layout::set_tree(NetId net, std::vector<Branch> tree, long length, bool broken) {
    count_ends(net, -1);
    nets[net].tree = std::move(tree);
    nets[net].length = length;
    nets[net].broken = broken;
    count_ends(net, +1);
}

void Layout::add_branch(NetState& net, const TreeNode& a, const TreeNode& b, long length) {
    net.tree.push_back({a, b});
    net.length += length;
}

void Layout::count_ends(NetId net, int by) {
    for (const Branch& branch : nets[net].tree)
        for (const TreeNode* node : {&branch.a, &branch.b})
            if (node->kind == TreeNode::Kind::half) halves[node->index].ends += by;
}

void Layout::grow(NetId net) {
    NetState& state = nets[net];
    count_ends(net, -1);
    state.tree.clear();
    state.length = 0;
    state.broken = false;
    if (state.pieces.empty())
        grow_tree(net);
    else
        grow_from_strips(net);
    count_ends(net, +1);
}

/// Pieces that are used, in one tree. Pieces of one strip are bridged from end to end.
void Layout::bridge(NetState& net, const std::vector<int>& used) {
    const auto gap = [&](int a, int b) {
        const Piece &p = pieces[a], &q = pieces[b];
        const double top_p = tops_[p.board], top_q = tops_[q.board];
        const double down = std::max({0.0, top_q + q.first - top_p - p.last, top_p + p.first - top_q - q.last});
        return sixteenths({boards[p.board]->columns[p.column].across, down},
                          {boards[q.board]->columns[q.column].across, 0});
    };
    std::vector<bool> in(used.size());
    std::vector<std::pair<long, int>> best(used.size(), {unreached, -1});
    for (std::size_t step = 0, at = 0; step < used.size(); ++step) {
        in[at] = true;
        if (best[at].second >= 0)
            add_branch(net, {TreeNode::Kind::piece, used[best[at].second]}, {TreeNode::Kind::piece, used[at]},
                       best[at].first);
        std::size_t next = at;
        long least = unreached;
        for (std::size_t k = 0; k < used.size(); ++k) {
            if (in[k]) continue;
            if (const long d = gap(used[at], used[k]); d < best[k].first) best[k] = {d, static_cast<int>(at)};
            if (best[k].first < least) least = best[k].first, next = k;
        }
        at = next;
    }
}

void Layout::grow_from_strips(NetId id) {
    NetState& net = nets[id];
    std::vector<int> room(net.pieces.size());
    std::vector<bool> used(net.pieces.size());
    // Some holes of every piece are kept for bridges.
    for (std::size_t k = 0; k < room.size(); ++k) {
        const Piece& piece = pieces[net.pieces[k]];
        room[k] = piece.holes - piece.leads - 4;
        used[k] = piece.leads > 0;
    }
    const auto nearest = [&](const BoardPoint& from, std::size_t first, std::size_t last) {
        int best = -1;
        long least = unreached;
        for (std::size_t k = first; k < last; ++k) {
            if (room[k] <= 0) continue;
            const long d = sixteenths(from, point({TreeNode::Kind::piece, net.pieces[k]}, from));
            if (d < least) least = d, best = static_cast<int>(k);
        }
        return std::pair(best, least);
    };
    // The strips of the board beside it, or any where those are full.
    const auto attach = [&](const TreeNode& node, const BoardPoint& from, int board) {
        const auto of = [&](int b) {
            return static_cast<std::size_t>(std::ranges::lower_bound(net.pieces, b, {}, [&](int k) {
                                                return pieces[k].board;
                                            }) - net.pieces.begin());
        };
        auto [best, least] = nearest(from, of(board), of(board + 1));
        if (best < 0) std::tie(best, least) = nearest(from, 0, room.size());
        if (best < 0) {
            net.broken = true;
            return;
        }
        --room[best];
        used[best] = true;
        add_branch(net, {TreeNode::Kind::piece, net.pieces[best]}, node, least);
    };
    for (const TreeNode& node : net.outside) {
        const BoardPoint at = point(node, {});
        const auto board = std::ranges::upper_bound(tops_, at.down) - tops_.begin() - 1;
        attach(node, at, std::max(0, static_cast<int>(board)));
    }
    for (const int half : net.halves) {
        if (holes_left(half) < 1) net.broken = true;
        attach({TreeNode::Kind::half, half}, middle(half), halves[half].board);
    }
    bridge(net, strips_in_use(net, used));
}

/// All pieces of the strips of which one is used: nobody shall find a strip dead at its other end.
std::vector<int> Layout::strips_in_use(const NetState& net, const std::vector<bool>& used) const {
    std::vector<int> found;
    for (std::size_t k = 0, first = 0; k < used.size(); ++k) {
        const Piece &piece = pieces[net.pieces[k]], &start = pieces[net.pieces[first]];
        if (piece.board != start.board || piece.column != start.column) first = k;
        bool wanted = false;
        for (std::size_t j = first; j < used.size(); ++j) {
            const Piece& other = pieces[net.pieces[j]];
            if (other.board != piece.board || other.column != piece.column) break;
            wanted = wanted || used[j];
        }
        if (wanted) found.push_back(net.pieces[k]);
    }
    return found;
}

/// Prim's tree over half rows, with as many wires at each as it has holes; those with one hole left are
/// leaves. What is beside the boards takes one wire each.
void Layout::grow_tree(NetId id) {
    NetState& net = nets[id];
    const auto& members = net.halves;
    if (members.empty()) {
        if (net.outside.size() == 2) {
            const BoardPoint a = point(net.outside[0], {});
            add_branch(net, net.outside[0], net.outside[1], sixteenths(a, point(net.outside[1], a)));
        } else if (net.outside.size() > 2) {
            net.broken = true;
        }
        return;
    }
    std::vector<int> room;
    for (const int half : members) room.push_back(holes_left(half));
    std::vector<bool> in(members.size());
    const auto link = [&](bool leaves) {
        for (;;) {
            long least = unreached;
            int from = -1, to = -1;
            for (std::size_t j = 0; j < members.size(); ++j) {
                if (in[j] || (room[j] < 2) != leaves || room[j] < 1) continue;
                for (std::size_t i = 0; i < members.size(); ++i) {
                    if (!in[i] || room[i] < 1) continue;
                    const long d = sixteenths(middle(members[i]), middle(members[j]));
                    if (d < least) least = d, from = static_cast<int>(i), to = static_cast<int>(j);
                }
            }
            if (to < 0) return;
            in[to] = true;
            --room[from], --room[to];
            add_branch(net, {TreeNode::Kind::half, members[from]}, {TreeNode::Kind::half, members[to]}, least);
        }
    };
    const auto first = std::ranges::max_element(room) - room.begin();
    in[first] = true;
    link(false);
    link(true);
    if (std::ranges::find(in, false) != in.end()) net.broken = true;
    for (const TreeNode& node : net.outside) {
        const BoardPoint at = point(node, {});
        long least = unreached;
        int to = -1;
        for (std::size_t i = 0; i < members.size(); ++i)
            if (const long d = sixteenths(at, middle(members[i])); in[i] && room[i] > 0 && d < least)
                least = d, to = static_cast<int>(i);
        if (to < 0) {
            net.broken = true;
            continue;
        }
        --room[to];
        add_branch(net, {TreeNode::Kind::half, members[to]}, node, least);
    }
}

}  // namespace voltsill
