#include "placement/crossings.h"

#include <algorithm>

namespace voltsill {
namespace {

int turn(const BoardPoint& p, const BoardPoint& q, const BoardPoint& r) {
    const double t = (q.across - p.across) * (r.down - p.down) - (q.down - p.down) * (r.across - p.across);
    return t > 0 ? 1 : t < 0 ? -1 : 0;  // places are whole pitches: exact
}

bool same(const BoardPoint& a, const BoardPoint& b) { return a.across == b.across && a.down == b.down; }

}  // namespace

bool cross(const BoardPoint& a, const BoardPoint& b, const BoardPoint& c, const BoardPoint& d) {
    return turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0;
}

long Crossings::count(const BoardPoint& a, const BoardPoint& b) const {
    const double top = std::min(a.down, b.down), bottom = std::max(a.down, b.down);
    long found = 0;
    for (int s = strip_of(top); s <= strip_of(bottom) && s < static_cast<int>(strips_.size()); ++s)
        for (const Line& line : strips_[s]) {
            const double other_top = std::min(line.a.down, line.b.down);
            // A pair that shares several strips counts in the first of them.
            if (strip_of(std::max(top, other_top)) != s || other_top > bottom ||
                std::max(line.a.down, line.b.down) < top)
                continue;
            found += cross(a, b, line.a, line.b);
        }
    return found;
}

void Crossings::put(const BoardPoint& a, const BoardPoint& b) {
    const int last = strip_of(std::max(a.down, b.down));
    if (last >= static_cast<int>(strips_.size())) strips_.resize(last + 1);
    for (int s = strip_of(std::min(a.down, b.down)); s <= last; ++s) strips_[s].push_back({a, b});
}

void Crossings::take(const BoardPoint& a, const BoardPoint& b) {
    for (int s = strip_of(std::min(a.down, b.down)); s <= strip_of(std::max(a.down, b.down)); ++s) {
        auto& lines = strips_[s];
        const auto found =
            std::ranges::find_if(lines, [&](const Line& l) { return same(l.a, a) && same(l.b, b); });
        if (found == lines.end()) continue;
        *found = lines.back();
        lines.pop_back();
    }
}

}  // namespace voltsill
