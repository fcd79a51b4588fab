#include "drawing/tie_point_routes.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <queue>

namespace voltsill::drawing {
namespace {

// Costs in units of length: a bend is as bad as 5 more units of line, and so on.
constexpr double bend = 5, crossing = 4, taken_by_same_net = 8, taken_by_other = 40;

int index_of(const std::vector<double>& lines, double value) {
    const auto at = std::ranges::lower_bound(lines, value - 1e-6);
    return static_cast<int>(std::min<std::ptrdiff_t>(at - lines.begin(), std::ptrdiff_t(lines.size()) - 1));
}

/// Nodes of the grid, each twice: reached along x (0) or along y (1).
class Grid {
  public:
    Grid(const Terrain& terrain, const std::vector<RouteRequest>& requests)
        : xs_(terrain.xs), ys_(terrain.ys), width_(int(xs_.size())), height_(int(ys_.size())),
          cost_(std::size_t(width_) * height_, 0.0), owner_(cost_.size(), -1), edge_(2 * cost_.size()),
          best_(2 * cost_.size()), came_(2 * cost_.size()) {
        for (const Terrain::Hindrance& h : terrain.hindrances)
            within(h.box, [&](int node) { cost_[node] += h.cost; });
        for (std::size_t r = 0; r < requests.size(); ++r) {
            within(requests[r].from.number, [&](int node) { owner_[node] = int(r); });
            within(requests[r].to.number, [&](int node) { owner_[node] = int(r); });
        }
        for (std::size_t r = 0; r < requests.size(); ++r)  // numbers wider than a column overlap
            owner_[node_at(requests[r].from.at)] = owner_[node_at(requests[r].to.at)] = int(r);
    }

    std::vector<int> search(const RouteRequest& request, int wire);
    void lay(const std::vector<int>& nodes, int net, int by);
    double shared(const std::vector<int>& nodes) const;
    Point point(int node) const { return {xs_[node % width_], ys_[node / width_]}; }

  private:
    struct Taken {
        int net = -1;
        int count = 0;
    };

    void within(const Box& box, const auto& act) {
        for (int j = index_of(ys_, box.y0); j < height_ && ys_[j] < box.y1; ++j)
            for (int i = index_of(xs_, box.x0); i < width_ && xs_[i] < box.x1; ++i)
                if (xs_[i] > box.x0 && ys_[j] > box.y0) act(j * width_ + i);
    }
    int node_at(Point p) const { return index_of(ys_, p.y) * width_ + index_of(xs_, p.x); }
    /// Of the edge between two neighbours: that of the left or upper node.
    std::size_t edge_of(int a, int b) const {
        const int first = std::min(a, b);
        return 2 * std::size_t(first) + (std::abs(a - b) == 1 ? 0 : 1);
    }
    double toll(int from, int to, int net) const;

    const std::vector<double>&xs_, &ys_;
    int width_, height_;
    std::vector<double> cost_;
    std::vector<int> owner_;
    std::vector<Taken> edge_;
    std::vector<double> best_;
    std::vector<int> came_;
};

/// What lies on the way from a node to its neighbour.
double Grid::toll(int from, int to, int net) const {
    const bool along_x = std::abs(to - from) == 1;
    double cost = cost_[to];
    const Taken& here = edge_[edge_of(from, to)];
    if (here.count > 0) cost += (here.net == net ? taken_by_same_net : taken_by_other) * here.count;
    // A wire that passes the node the other way is crossed.
    const int step = along_x ? width_ : 1;
    const bool before = along_x ? to - step >= 0 : to % width_ > 0;
    const std::size_t onward = 2 * std::size_t(to) + (along_x ? 1 : 0);
    if (before && edge_[edge_of(to - step, to)].count > 0 && edge_[onward].count > 0) cost += crossing;
    return cost;
}

std::vector<int> Grid::search(const RouteRequest& request, int wire) {
    constexpr double never = 1e18;
    std::ranges::fill(best_, never);
    const int start = node_at(request.from.at), goal = node_at(request.to.at);
    const Point aim = point(goal);
    const auto left = [&](int node) {
        const Point p = point(node);
        return std::abs(p.x - aim.x) + std::abs(p.y - aim.y);
    };
    using Entry = std::pair<double, int>;  // cost so far and left; state
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
    for (int way = 0; way < 2; ++way) {
        best_[2 * start + way] = 0;
        came_[2 * start + way] = -1;
        open.emplace(left(start), 2 * start + way);
    }
    int at = -1;
    while (!open.empty()) {
        const auto [total, state] = open.top();
        open.pop();
        const int node = state / 2, way = state % 2, i = node % width_, j = node / width_;
        if (node == goal) {
            at = state;
            break;
        }
        if (total > best_[state] + left(node) + 1e-9) continue;
        const auto visit = [&](int next, int next_way, double length) {
            if (owner_[next] >= 0 && owner_[next] != wire) return;
            const double cost = best_[state] + length + toll(node, next, request.net) + (way != next_way ? bend : 0);
            if (cost >= best_[2 * next + next_way] - 1e-9) return;
            best_[2 * next + next_way] = cost;
            came_[2 * next + next_way] = state;
            open.emplace(cost + left(next), 2 * next + next_way);
        };
        if (i > 0) visit(node - 1, 0, xs_[i] - xs_[i - 1]);
        if (i + 1 < width_) visit(node + 1, 0, xs_[i + 1] - xs_[i]);
        if (j > 0) visit(node - width_, 1, ys_[j] - ys_[j - 1]);
        if (j + 1 < height_) visit(node + width_, 1, ys_[j + 1] - ys_[j]);
    }
    std::vector<int> nodes;
    for (; at >= 0; at = came_[at])
        if (nodes.empty() || nodes.back() != at / 2) nodes.push_back(at / 2);
    std::ranges::reverse(nodes);
    return nodes;
}

void Grid::lay(const std::vector<int>& nodes, int net, int by) {
    for (std::size_t k = 1; k < nodes.size(); ++k) {
        Taken& edge = edge_[edge_of(nodes[k - 1], nodes[k])];
        edge.count += by;
        if (by > 0) edge.net = edge.count == by || edge.net == net ? net : -2;
    }
}

/// Length of what a wire shares with others.
double Grid::shared(const std::vector<int>& nodes) const {
    double sum = 0;
    for (std::size_t k = 1; k < nodes.size(); ++k) {
        const Point a = point(nodes[k - 1]), b = point(nodes[k]);
        if (edge_[edge_of(nodes[k - 1], nodes[k])].count > 1) sum += std::abs(a.x - b.x) + std::abs(a.y - b.y);
    }
    return sum;
}

std::vector<Point> without_points_in_line(const Grid& grid, const std::vector<int>& nodes) {
    std::vector<Point> out;
    for (const int node : nodes) {
        const Point p = grid.point(node);
        if (out.size() > 1) {
            const Point &a = out[out.size() - 2], &b = out.back();
            if ((a.x == b.x && b.x == p.x) || (a.y == b.y && b.y == p.y)) out.pop_back();
        }
        out.push_back(p);
    }
    return out;
}

}  // namespace

std::vector<std::vector<Point>> routes(const Terrain& terrain, const std::vector<RouteRequest>& requests) {
    Grid grid(terrain, requests);
    const auto span = [&](int r) {
        const Point a = requests[r].from.at, b = requests[r].to.at;
        return std::abs(a.x - b.x) + std::abs(a.y - b.y);
    };
    std::vector<int> order(requests.size());
    std::iota(order.begin(), order.end(), 0);
    std::ranges::stable_sort(order, {}, span);  // short wires have fewer ways round
    std::vector<std::vector<int>> laid(requests.size());
    for (const int r : order) {
        laid[r] = grid.search(requests[r], r);
        grid.lay(laid[r], requests[r].net, +1);
    }
    for (int pass = 0; pass < 2; ++pass)
        for (const int r : order) {
            if (grid.shared(laid[r]) == 0) continue;
            grid.lay(laid[r], requests[r].net, -1);
            laid[r] = grid.search(requests[r], r);
            grid.lay(laid[r], requests[r].net, +1);
        }
    std::vector<std::vector<Point>> out;
    for (std::size_t r = 0; r < requests.size(); ++r)
        out.push_back(laid[r].empty() ? std::vector{requests[r].from.at, requests[r].to.at}  // walled in
                                      : without_points_in_line(grid, laid[r]));
    return out;
}

}  // namespace voltsill::drawing
