#include "drawing/circuit_place.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace voltsill::drawing {
namespace {

using Kind = Element::Kind;
constexpr double band_apart = 1e5;  ///< bands lie this far apart while rows are sought

double on_grid(double x) { return std::ceil(x / grid - 1e-9) * grid; }

bool hangs(const Element& e, const PartFigure& f) {
    const bool upright = e.kind == Kind::two_leads || e.kind == Kind::pull || e.kind == Kind::load;
    return upright && f.leads.size() == 1;
}

/// What a figure or the line of a net takes; exactly one of `figure` and `net` is set.
struct Space {
    Box box;
    long figure = -1;
    NetId net = unconnected;
};

/// Figures with the space they and the lines to them take; they keep their rows against each other.
struct Placed {
    std::vector<size_t> members;
    std::vector<Space> spaces;

    void add(Placed&& more) {
        members.insert(members.end(), more.members.begin(), more.members.end());
        spaces.insert(spaces.end(), more.spaces.begin(), more.spaces.end());
    }
};

struct Placer {
    const Scheme& scheme;
    std::vector<PartFigure>& figures;
    const Spacing& spacing;
    std::vector<double> column_x;  ///< left edge by column
    std::vector<double> column_end;
    std::vector<int> column_of;  ///< by figure
    std::vector<double> slot;    ///< by figure that hangs: from its zone's left edge to its lead
    std::set<NetId> placed_nets;
    std::vector<bool> placed;
    int last_column = 0;

    int depth_of(size_t k) const {
        int depth = -1;
        for (const OpenLead& l : figures[k].leads)
            if (const int d = scheme.depth.at(l.net); depth < 0 || d < depth) depth = d;
        return std::max(depth, 0);
    }

    void assign_columns() {
        int deepest = 0;
        for (const auto& [net, d] : scheme.depth) deepest = std::max(deepest, d);
        last_column = 2 * deepest + 3;
        for (size_t k = 0; k < figures.size(); ++k) {
            const Element& e = scheme.elements[k];
            const int d = depth_of(k);
            column_of.push_back(e.kind == Kind::end    ? (e.driver ? 0 : last_column)
                                : hangs(e, figures[k]) ? 1 + 2 * d
                                                       : 2 + 2 * d);
        }
    }

    /// A net that begins here: nothing comes from the left, so what is over and what is under its line
    /// may share a place.
    bool begins(NetId net) const {
        for (size_t k = 0; k < figures.size(); ++k)
            for (const OpenLead& l : figures[k].leads)
                if (l.net == net && (scheme.elements[k].driver || l.facing.x > 0)) return false;
        return true;
    }

    /// Places side by side in the zone of a net; where it begins, one over and one under the line share.
    void assign_slots() {
        slot.assign(figures.size(), 0);
        struct Used {
            std::vector<size_t> over, under;
            double end = 0;
        };
        std::map<NetId, Used> used;
        for (size_t k = 0; k < figures.size(); ++k) {
            if (!hangs(scheme.elements[k], figures[k])) continue;
            const OpenLead& lead = figures[k].leads[0];
            Used& u = used[lead.net];
            auto &mine = lead.facing.y > 0 ? u.over : u.under, &other = lead.facing.y > 0 ? u.under : u.over;
            const auto reach = [&](size_t f, bool to_left) {
                const Box b = figures[f].bounds();
                return to_left ? figures[f].leads[0].at.x - b.x0 : b.x1 - figures[f].leads[0].at.x;
            };
            const size_t n = mine.size();
            const bool shared = begins(lead.net) && n < other.size();
            const double before =
                shared ? (n == 0 ? 0 : slot[mine[n - 1]] + reach(mine[n - 1], false) + 6) : u.end;
            slot[k] = on_grid(before + reach(k, true));
            if (shared) slot[k] = slot[other[n]] = std::max(slot[k], slot[other[n]]);
            u.end = std::max(u.end, slot[k] + reach(k, false) + 6);
            if (shared) u.end = std::max(u.end, slot[k] + reach(other[n], false) + 6);
            mine.push_back(k);
            column_end[column_of[k]] = std::max(column_end[column_of[k]], u.end);
        }
    }

    /// Left edges; a column that would pass the edge of the page begins a new band.
    void assign_x() {
        column_x.assign(last_column + 1, 0);
        column_end.assign(last_column + 1, 0);
        assign_slots();
        for (size_t k = 0; k < figures.size(); ++k)
            if (!hangs(scheme.elements[k], figures[k])) {
                const Box b = figures[k].bounds();
                column_end[column_of[k]] = std::max(column_end[column_of[k]], b.x1 - b.x0);
            }
        double x = 0;
        int band = 0;
        for (int c = 0; c <= last_column; ++c) {
            const double width = column_end[c];
            if (width > 0 && x > 0 && x + width > spacing.width) ++band, x = 4 * grid;
            column_x[c] = band * band_apart + x;
            column_end[c] = column_x[c] + width;
            if (width > 0) x = on_grid(x + width + spacing.gap);
        }
    }

    /// A line is no obstacle to its own net, nor to a figure that has a lead on it.
    bool may_meet(const Space& p, const Space& q, double dy) const {
        if (p.figure >= 0 && q.figure >= 0) return false;
        if (p.figure < 0 && q.figure < 0) return p.net == q.net;
        const Space &line = p.figure < 0 ? p : q, &other = p.figure < 0 ? q : p;
        const double y = (line.box.y0 + line.box.y1) / 2 + (&line == &q ? dy : -dy);
        return std::ranges::any_of(figures[other.figure].leads, [&](const OpenLead& l) {
            return l.net == line.net && std::abs(l.at.y - y) < grid / 2;
        });
    }

    bool collide(const Placed& a, const Placed& b, double dy) const {
        const double clear = spacing.clear;
        for (const Space& p : a.spaces)
            for (const Space& q : b.spaces)
                if (p.box.touches(
                        {q.box.x0 - clear, q.box.y0 + dy - clear, q.box.x1 + clear, q.box.y1 + dy + clear}) &&
                    !may_meet(p, q, dy))
                    return true;
        return false;
    }

    void join(Placed& into, Placed&& more) const {
        double dy = 0;
        while (collide(into, more, dy)) dy += grid;
        for (const size_t k : more.members) figures[k].shift(0, dy);
        for (Space& s : more.spaces) s.box.y0 += dy, s.box.y1 += dy;
        into.add(std::move(more));
    }

    /// Puts a figure so that its lead `l` is in row y; x from its column.
    Placed put(size_t k, size_t l, double y) {
        PartFigure& f = figures[k];
        const Box b = f.bounds();
        const int c = column_of[k];
        double dx = column_x[c] - b.x0;
        if (hangs(scheme.elements[k], f))
            dx = column_x[c] + slot[k] - f.leads[0].at.x;
        else if (c == 0)
            dx = column_end[c] - b.x1;
        const double at = f.leads.empty() ? 0 : f.leads[l].at.x;
        f.shift(std::round((dx + at) / grid) * grid - at, y - (f.leads.empty() ? 0 : f.leads[l].at.y));
        placed[k] = true;
        Placed out{{k}, {}};
        for (const Box& box : f.solid) out.spaces.push_back({box, static_cast<long>(k)});
        return out;
    }

    static Space lane(NetId net, double xa, double xb, double y) {
        return {{std::min(xa, xb), y - 3, std::max(xa, xb), y + 3}, -1, net};
    }

    /// What stands behind a net first goes on with its line: what leads on to receivers, then the rest.
    int rank(size_t k) const {
        const Element& e = scheme.elements[k];
        if (e.driver) return 0;
        return e.kind == Kind::end ? 3 : figures[k].leads.size() > 1 ? 1 : 2;
    }

    Placed place_net(NetId net, double y) {
        placed_nets.insert(net);
        const int zone = 1 + 2 * scheme.depth.at(net);
        Placed out;
        std::vector<std::pair<size_t, size_t>> behind;
        double hung = column_x[zone];
        for (size_t k = 0; k < figures.size(); ++k)
            for (size_t l = 0; l < figures[k].leads.size(); ++l) {
                if (placed[k] || figures[k].leads[l].net != net) continue;
                if (hangs(scheme.elements[k], figures[k])) {
                    Placed c = put(k, l, y);
                    hung = std::max(hung, figures[k].leads[l].at.x);
                    c.spaces.push_back(lane(net, column_x[zone], hung, y));
                    out.add(std::move(c));
                } else {
                    behind.emplace_back(k, l);
                }
            }
        std::ranges::stable_sort(behind, {}, [&](const auto& b) {
            return std::tuple(rank(b.first), figures[b.first].leads[b.second].facing.x);
        });
        bool first = true;
        for (const auto& [k, l] : behind) {
            if (placed[k]) continue;
            Placed c = place_element(k, l, net, y);
            const double from = first && !scheme.elements[k].driver ? column_x[zone] : column_end[zone];
            if (!scheme.elements[k].driver) first = false;
            c.spaces.push_back(lane(net, from, figures[k].leads[l].at.x, figures[k].leads[l].at.y));
            join(out, std::move(c));
        }
        return out;
    }

    Placed place_element(size_t k, size_t l, NetId from, double y) {
        Placed out = put(k, l, y);
        std::vector<OpenLead> leads = figures[k].leads;  // the way of the signal first
        std::ranges::stable_sort(leads, std::greater{}, [](const OpenLead& o) { return o.facing.x; });
        for (const OpenLead& lead : leads) {
            if (lead.net == from || placed_nets.contains(lead.net)) continue;
            Placed next = place_net(lead.net, lead.at.y);
            next.spaces.push_back(
                lane(lead.net, lead.at.x, column_x[1 + 2 * scheme.depth.at(lead.net)], lead.at.y));
            join(out, std::move(next));
        }
        return out;
    }

    /// Bands below each other, everything from (0, 0) on.
    void settle() {
        std::map<int, Box> bands;
        const auto band_of = [&](size_t k) {
            return static_cast<int>((figures[k].bounds().x0 + band_apart / 2) / band_apart);
        };
        for (size_t k = 0; k < figures.size(); ++k) {
            const Box b = figures[k].bounds();
            const auto [at, is_new] = bands.emplace(band_of(k), b);
            Box& all = at->second;
            if (!is_new)
                all = {std::min(all.x0, b.x0), std::min(all.y0, b.y0), std::max(all.x1, b.x1),
                       std::max(all.y1, b.y1)};
        }
        double left = 1e9, y = 0;
        std::map<int, double> down;
        for (const auto& [band, b] : bands) {
            down[band] = on_grid(y - b.y0);
            y += on_grid(b.y1 - b.y0) + 2 * spacing.gap + 2 * grid;
            left = std::min(left, b.x0 - band * band_apart);
        }
        for (size_t k = 0; k < figures.size(); ++k) {
            const int band = band_of(k);
            figures[k].shift(on_grid(-left) - band * band_apart, down[band]);
        }
    }

    void run() {
        placed.assign(figures.size(), false);
        assign_columns();
        assign_x();
        Placed all;
        std::vector<std::pair<int, NetId>> order;
        for (const auto& [net, d] : scheme.depth) order.emplace_back(d, net);
        std::ranges::sort(order);
        for (const Element& e : scheme.elements)  // drivers' nets first, as the link lists them
            if (e.driver && scheme.drawn(e.joints[0].net) && !placed_nets.contains(e.joints[0].net))
                join(all, place_net(e.joints[0].net, 0));
        for (const auto& [d, net] : order)
            if (!placed_nets.contains(net)) join(all, place_net(net, 0));
        for (size_t k = 0; k < figures.size(); ++k)
            if (!placed[k]) join(all, put(k, 0, 0));
        settle();
    }
};

}  // namespace

void place(const Scheme& scheme, std::vector<PartFigure>& figures, const Spacing& spacing) {
    if (!figures.empty()) Placer{scheme, figures, spacing, {}, {}, {}, {}, {}, {}, 0}.run();
}

}  // namespace voltsill::drawing
