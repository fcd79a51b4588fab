#include "documents/polyline.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace voltsill::doc {

using drawing::Point;

namespace {

/// From the straight piece between a and b.
double distance(const Point& p, const Point& a, const Point& b) {
    const double dx = b.x - a.x, dy = b.y - a.y, length2 = dx * dx + dy * dy;
    const double along =
        length2 > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / length2, 0.0, 1.0) : 0;
    return std::hypot(p.x - a.x - along * dx, p.y - a.y - along * dy);
}

std::vector<Point> thinned(const std::vector<Point>& curve, double tolerance) {
    std::vector<bool> kept(curve.size());
    kept.front() = kept.back() = true;
    std::vector<std::pair<std::size_t, std::size_t>> open{{0, curve.size() - 1}};
    while (!open.empty()) {
        const auto [a, b] = open.back();
        open.pop_back();
        double farthest = tolerance;
        std::size_t at = a;
        for (std::size_t k = a + 1; k < b; ++k)
            if (const double d = distance(curve[k], curve[a], curve[b]); d > farthest) farthest = d, at = k;
        if (at == a) continue;
        kept[at] = true;
        open.emplace_back(a, at);
        open.emplace_back(at, b);
    }
    std::vector<Point> out;
    for (std::size_t k = 0; k < curve.size(); ++k)
        if (kept[k]) out.push_back(curve[k]);
    return out;
}

}  // namespace

std::vector<Point> column_extremes(const std::vector<Point>& curve, double column) {
    std::vector<Point> out;
    for (std::size_t begin = 0; begin < curve.size();) {
        std::size_t end = begin, low = begin, high = begin;
        const double number = std::floor(curve[begin].x / column);
        for (; end < curve.size() && std::floor(curve[end].x / column) == number; ++end) {
            if (curve[end].y < curve[low].y) low = end;
            if (curve[end].y > curve[high].y) high = end;
        }
        std::size_t last = curve.size();
        for (const std::size_t k : {begin, std::min(low, high), std::max(low, high), end - 1})
            if (std::exchange(last, k) != k) out.push_back(curve[k]);
        begin = end;
    }
    return out;
}

std::vector<Point> simplified(const std::vector<Point>& curve, double tolerance, std::size_t most) {
    if (curve.size() < 3) return curve;
    std::vector<Point> out = thinned(curve, tolerance);
    for (int round = 0; out.size() > std::max<std::size_t>(most, 2) && round < 60; ++round)
        out = thinned(out, tolerance *= 1.4);
    return out;
}

}  // namespace voltsill::doc
