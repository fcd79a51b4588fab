#pragma once
/// Routes for the wires of a plan: along the gaps between holes, never through the number of another wire.
///
/// A search of least cost on a grid of lines (Dijkstra 1959, guided by the distance left as in Hart,
/// Nilsson and Raphael 1968): length, bends, crossings, and lines already taken cost; nodes in the capsule of
/// another wire are closed. Wires that share a line are taken up and laid again once the rest lie.
#include <vector>

#include "drawing/drawing.h"

namespace voltsill::drawing {

/// The lines that wires may follow, and what lies about.
struct Terrain {
    std::vector<double> xs, ys;  ///< rising; hold the coordinates of every end
    struct Hindrance {
        Box box;
        double cost = 0;  ///< for each node within
    };
    std::vector<Hindrance> hindrances;
};

struct RouteEnd {
    Point at;
    Box number;  ///< closed to all other wires
};
struct RouteRequest {
    RouteEnd from, to;
    int net = -1;  ///< wires of one net may share a line at less cost
};

/// One polyline for each request, from end to end, without points in line. The same for the same input.
std::vector<std::vector<Point>> routes(const Terrain& terrain, const std::vector<RouteRequest>& requests);

}  // namespace voltsill::drawing
