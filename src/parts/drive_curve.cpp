/// What an output loses over its load current, from the few points that a sheet prints.
///
/// Rows of one supply range form a group, and a group is a curve: straight lines from (0 A, 0 V)
/// through its points, the last one continued. Between two groups the curves are interpolated over
/// the supply. A group whose range holds that of another ("2..6 V" at 20 µA beside "4.5 V" at 4 mA)
/// adds its points everywhere in its range instead. Above all groups the highest one is kept as it
/// is: more supply never weakens an output, which is why sheets print the lowest.
#include <algorithm>
#include <vector>

#include "parts/model.h"

namespace voltsill {
namespace {

struct Group {
    Span<Volts> supply;
    std::vector<const DriveRow*> rows;
};

bool holds(const Group& outer, const Group& inner) {
    return outer.supply.contains(inner.supply) && !inner.supply.contains(outer.supply);
}

std::vector<Group> groups_of(const std::vector<DriveRow>& rows) {
    std::vector<Group> groups;
    for (const DriveRow& row : rows) {
        const auto same = [&](const Group& g) {
            return g.supply.lo == row.supply.lo && g.supply.hi == row.supply.hi;
        };
        auto group = std::ranges::find_if(groups, same);
        if (group == groups.end()) group = groups.insert(groups.end(), Group{row.supply, {}});
        group->rows.push_back(&row);
    }
    return groups;
}

using Points = std::vector<DrivePoint>;

/// In order of current, one point each, drops that never fall.
void tidy(Points& points) {
    std::ranges::sort(points, {}, [](const DrivePoint& p) { return std::pair(p.current, p.drop); });
    Points kept{{Amps{}, Volts{}}};
    for (const DrivePoint& p : points) {
        const Volts drop = std::max(p.drop, kept.back().drop);
        if (p.current == kept.back().current)
            kept.back().drop = kept.size() == 1 ? Volts{} : drop;
        else
            kept.push_back({p.current, drop});
    }
    points = std::move(kept);
}

Points points_of(const Group& group, bool high_side, Volts supply) {
    const Volts v = std::clamp(supply, group.supply.lo, group.supply.hi);
    Points points;
    for (const DriveRow* row : group.rows)
        points.push_back({row->at, std::max(high_side ? v - row->level.at(v) : row->level.at(v), Volts{})});
    tidy(points);
    return points;
}

/// `points` are tidy; beyond the last the last line goes on.
Volts drop_at(const Points& points, Amps current) {
    if (points.size() < 2) return Volts{};
    auto above = std::ranges::lower_bound(points, current, {}, &DrivePoint::current);
    if (above == points.end()) --above;
    if (above == points.begin()) ++above;
    const DrivePoint &b = *above, &a = *(above - 1);
    return a.drop + (b.drop - a.drop) * ((current - a.current) / (b.current - a.current));
}

Points between(const Points& below, const Points& above, double t) {
    Points points;
    for (const Points* side : {&below, &above})
        for (const DrivePoint& p : *side)
            points.push_back(
                {p.current, drop_at(below, p.current) * (1.0 - t) + drop_at(above, p.current) * t});
    tidy(points);
    return points;
}

}  // namespace

std::optional<DriveCurve> drive_curve(const Pin& pin, bool high_side, Volts supply) {
    const std::vector<DriveRow>& rows = high_side ? pin.high : pin.low;
    if (rows.empty()) return std::nullopt;
    const std::vector<Group> groups = groups_of(rows);
    DriveCurve curve{.origin = {Certainty::guaranteed, {}}};
    const auto add = [&](const Group& group, const Points& points) {
        curve.points.insert(curve.points.end(), points.begin(), points.end());
        for (const DriveRow* row : group.rows)
            curve.origin = curve.origin.source.empty() ? row->origin : weakest(curve.origin, row->origin);
    };

    const Group *below = nullptr, *above = nullptr;
    bool direct = false;
    for (const Group& group : groups) {
        const bool outer =
            std::ranges::any_of(groups, [&](const Group& other) { return holds(group, other); });
        if (covers(group.supply, supply)) {
            add(group, points_of(group, high_side, supply));
            direct = direct || !outer;
        } else if (outer) {
            continue;
        } else if (group.supply.hi < supply) {
            if (!below || group.supply.hi > below->supply.hi) below = &group;
        } else if (!above || group.supply.lo < above->supply.lo) {
            above = &group;
        }
    }
    if (!direct && below && above) {
        const Points low = points_of(*below, high_side, supply), high = points_of(*above, high_side, supply);
        const double t = (supply - below->supply.hi) / (above->supply.lo - below->supply.hi);
        add(*below, between(low, high, t));
        add(*above, {});
    } else if (!direct && (below || above)) {
        const Group& group = below ? *below : *above;
        add(group, points_of(group, high_side, supply));
        if (!below) {
            curve.exact = false;
            curve.origin.certainty = std::max(curve.origin.certainty, Certainty::assumed);
        }
    }
    tidy(curve.points);
    return curve;
}

}  // namespace voltsill
