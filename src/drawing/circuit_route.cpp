#include "drawing/circuit_route.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <limits>
#include <map>
#include <queue>

namespace voltsill::drawing {
namespace {

constexpr int border = 4;  ///< cells around the figures
constexpr std::array<int, 4> step_x{1, 0, -1, 0}, step_y{0, 1, 0, -1};
constexpr double bend_cost = 4, crossing_cost = 8, close_cost = 1.5, near_cost = 0.6;

struct Port {
    int cell;
    int inward;  ///< direction of its lead, seen from the cell
};

struct Router {
    int columns = 0, rows = 0;
    double left = 0, top = 0;
    std::vector<char> blocked, near;
    std::vector<int> owner;            ///< of a cell with a lead: net + 1
    std::vector<int> along[2], fixed;  ///< net + 1 of the wire lying level, upright; with a bend or end
    std::map<NetId, std::vector<Port>> ports;
    std::map<NetId, std::vector<std::array<bool, 4>>> unused;
    std::map<NetId, std::map<int, unsigned>> arms;  ///< ways out of every cell of a net, bits by direction

    int cell(int x, int y) const { return y * columns + x; }
    int cell_at(Point p) const {
        return cell(static_cast<int>(std::lround((p.x - left) / grid)),
                    static_cast<int>(std::lround((p.y - top) / grid)));
    }
    Point point(int c) const { return {left + grid * (c % columns), top + grid * (c / columns)}; }

    explicit Router(const std::vector<PartFigure>& figures) {
        Box all{1e9, 1e9, -1e9, -1e9};
        for (const PartFigure& f : figures) {
            const Box b = f.bounds();
            all = {std::min(all.x0, b.x0), std::min(all.y0, b.y0), std::max(all.x1, b.x1),
                   std::max(all.y1, b.y1)};
        }
        left = (std::floor(all.x0 / grid) - border) * grid;
        top = (std::floor(all.y0 / grid) - border) * grid;
        columns = static_cast<int>(std::ceil((all.x1 - left) / grid)) + border + 1;
        rows = static_cast<int>(std::ceil((all.y1 - top) / grid)) + border + 1;
        const size_t n = static_cast<size_t>(columns) * rows;
        blocked.assign(n, 0), near.assign(n, 0), owner.assign(n, 0), fixed.assign(n, 0);
        for (auto& a : along) a.assign(n, 0);
        for (const PartFigure& f : figures)
            for (const Box& b : f.solid) mark(b, 1.5, blocked), mark(b, 6, near);
        for (const PartFigure& f : figures)
            for (const OpenLead& l : f.leads) {
                const int inward = l.facing.x > 0 ? 2 : l.facing.x < 0 ? 0 : l.facing.y > 0 ? 3 : 1;
                const int c = cell_at(l.at);
                owner[c] = l.net + 1;
                ports[l.net].push_back({c, inward});
            }
    }

    void mark(const Box& b, double by, std::vector<char>& where) const {
        const auto low = [](double v) { return static_cast<int>(std::ceil(v - 1e-9)); };
        const auto high = [](double v) { return static_cast<int>(std::floor(v + 1e-9)); };
        for (int y = std::max(0, low((b.y0 - by - top) / grid));
             y <= std::min(rows - 1, high((b.y1 + by - top) / grid)); ++y)
            for (int x = std::max(0, low((b.x0 - by - left) / grid));
                 x <= std::min(columns - 1, high((b.x1 + by - left) / grid)); ++x)
                where[cell(x, y)] = 1;
    }

    bool inside(int x, int y) const { return x >= 0 && y >= 0 && x < columns && y < rows; }

    /// Cost of going on from a cell in a direction; negative: not allowed.
    double step_cost(NetId net, int from, int heading, int direction) const {
        const int x = from % columns + step_x[direction], y = from / columns + step_y[direction];
        if (!inside(x, y)) return -1;
        const int to = cell(x, y), lying = direction % 2;
        if (owner[to] != 0 ? owner[to] != net + 1 : blocked[to] != 0) return -1;
        // A crossing is passed straight: no bend on another's wire, none of another's bends on ours.
        const auto foreign = [&](int owner_of) { return owner_of != 0 && owner_of != net + 1; };
        if (foreign(along[lying][to]) || foreign(fixed[to])) return -1;
        if (heading >= 0 && heading != direction && foreign(along[heading % 2 == 0 ? 1 : 0][from])) return -1;
        double cost = 1 + (near[to] ? near_cost : 0);
        if (heading >= 0 && heading != direction) cost += heading == (direction + 2) % 4 ? 1e6 : bend_cost;
        if (foreign(along[1 - lying][to])) cost += crossing_cost;
        for (const int side : {1, -1}) {
            const int sx = x + (lying == 1 ? side : 0), sy = y + (lying == 0 ? side : 0);
            if (inside(sx, sy) && foreign(along[lying][cell(sx, sy)])) cost += close_cost;
        }
        return cost;
    }

    /// A cell where a wire of the net may end or begin: not in the middle of a crossing.
    bool may_join(NetId net, int c) const {
        for (const auto& a : along)
            if (a[c] != 0 && a[c] != net + 1) return false;
        return true;
    }

    /// Grows the tree by the cheapest way to any lead not in it.
    bool grow(NetId net, std::map<int, unsigned>& tree, std::vector<Port>& waiting) {
        const size_t states = static_cast<size_t>(columns) * rows * 4;
        std::vector<double> best(states, std::numeric_limits<double>::infinity());
        std::vector<int> came(states, -1);
        using Entry = std::pair<double, int>;
        std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
        for (const auto& [c, ways] : tree)
            if (may_join(net, c))
                for (int d = 0; d < 4; ++d) {
                    if (ways & (1u << d)) continue;
                    const double cost = step_cost(net, c, -1, d);
                    if (cost < 0) continue;
                    const int to = c + step_x[d] + columns * step_y[d], state = to * 4 + d;
                    // Fewer four-way junctions: going straight on from an end is best.
                    const int count = std::popcount(ways);
                    const double start = cost + (count == 3 ? 6 : count == 2 ? 1 : 0);
                    if (start < best[state])
                        best[state] = start, came[state] = -2 - c, queue.push({start, state});
                }
        int end = -1;
        while (!queue.empty() && end < 0) {
            const auto [cost, state] = queue.top();
            queue.pop();
            if (cost > best[state]) continue;
            const int c = state / 4, heading = state % 4;
            if (std::ranges::find(waiting, c, &Port::cell) != waiting.end()) {
                end = state;
                break;
            }
            if (tree.contains(c)) continue;
            for (int d = 0; d < 4; ++d) {
                const double step = step_cost(net, c, heading, d);
                if (step < 0) continue;
                const int next = (c + step_x[d] + columns * step_y[d]) * 4 + d;
                if (cost + step < best[next])
                    best[next] = cost + step, came[next] = state, queue.push({cost + step, next});
            }
        }
        if (end < 0) return false;
        for (int state = end; state >= 0; state = came[state]) {
            const int c = state / 4, d = state % 4, from = c - step_x[d] - columns * step_y[d];
            tree[c] |= 1u << ((d + 2) % 4);
            tree[from] |= 1u << d;
        }
        for (auto p = waiting.begin(); p != waiting.end();)
            if (tree.contains(p->cell))
                tree[p->cell] |= 1u << p->inward, p = waiting.erase(p);
            else
                ++p;
        return true;
    }

    bool route_net(NetId net) {
        std::vector<Port> waiting = ports[net];
        std::map<int, unsigned>& tree = arms[net];
        tree[waiting.front().cell] |= 1u << waiting.front().inward;
        waiting.erase(waiting.begin());
        while (!waiting.empty())
            if (!grow(net, tree, waiting)) return false;
        for (const auto& [c, ways] : tree) {
            if (ways & 0b0101u) along[0][c] = net + 1;
            if (ways & 0b1010u) along[1][c] = net + 1;
            if (ways != 0b0101u && ways != 0b1010u) fixed[c] = net + 1;
        }
        return true;
    }

    void forget(NetId net) {
        for (const auto& [c, ways] : arms[net]) along[0][c] = along[1][c] = fixed[c] = 0;
        arms.erase(net);
    }

    RoutedNet lines_of_net(NetId net) const {
        RoutedNet out{.net = net};
        const auto& tree = arms.at(net);
        std::map<int, unsigned> leads;
        for (const Port& p : ports.at(net)) leads[p.cell] |= 1u << p.inward;
        const auto drawn = [&](int c, int d) {
            const auto at = tree.find(c);
            const auto lead = leads.find(c);
            return at != tree.end() && (at->second & (1u << d)) &&
                   !(lead != leads.end() && (lead->second & (1u << d)));
        };
        for (const auto& [c, ways] : tree) {
            if (std::popcount(ways) > 2) out.junctions.push_back(point(c));
            for (const int d : {0, 1}) {  // lines begin where no line of their direction comes in
                const bool straight = ways == (d == 0 ? 0b0101u : 0b1010u);
                if (!drawn(c, d) || (straight && drawn(c, d + 2))) continue;
                int end = c;
                do end += step_x[d] + columns * step_y[d];
                while (drawn(end, d) && tree.at(end) == (d == 0 ? 0b0101u : 0b1010u));
                out.lines.emplace_back(point(c), point(end));
            }
        }
        return out;
    }

    double extent(NetId net) const {
        int x0 = columns, x1 = 0, y0 = rows, y1 = 0;
        for (const Port& p : ports.at(net)) {
            x0 = std::min(x0, p.cell % columns), x1 = std::max(x1, p.cell % columns);
            y0 = std::min(y0, p.cell / columns), y1 = std::max(y1, p.cell / columns);
        }
        return (x1 - x0) + (y1 - y0);
    }
};

}  // namespace

std::optional<std::vector<RoutedNet>> route(const std::vector<PartFigure>& figures) {
    Router router(figures);
    std::vector<NetId> order;
    for (const auto& [net, ports] : router.ports) order.push_back(net);
    std::ranges::stable_sort(order, {}, [&](NetId net) { return router.extent(net); });
    // A net that finds no way goes first in the next round.
    for (size_t round = 0, done = 0; done < order.size(); ++round) {
        if (round > order.size() + 2) return std::nullopt;
        for (done = 0; done < order.size() && router.route_net(order[done]); ++done) {
        }
        if (done == order.size()) break;
        const NetId stuck = order[done];
        for (size_t k = 0; k <= done; ++k) router.forget(order[k]);
        order.erase(order.begin() + static_cast<long>(done));
        order.insert(order.begin(), stuck);
        done = 0;
    }
    std::vector<RoutedNet> out;
    for (const NetId net : order) out.push_back(router.lines_of_net(net));
    return out;
}

}  // namespace voltsill::drawing
