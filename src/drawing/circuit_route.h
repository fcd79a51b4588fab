#pragma once
/// Wires between the open leads of placed figures, on the grid.
///
/// Each net grows as a tree: the cheapest way from what is joined already to the nearest lead, by
/// Dijkstra's method over cells and directions (C. Y. Lee, IRE Trans. EC-10 (1961) 346-365, with
/// costs for bends, crossings and closeness). Nets cross only at right angles and never at a bend or
/// a junction.
#include <optional>

#include "drawing/circuit_figure.h"

namespace voltsill::drawing {

struct RoutedNet {
    NetId net = unconnected;
    std::vector<std::pair<Point, Point>> lines;  ///< level or upright; split where they join
    std::vector<Point> junctions;                ///< three ways or more, leads counted
};

/// nullopt: some lead cannot be reached; more space between the figures may help.
std::optional<std::vector<RoutedNet>> route(const std::vector<PartFigure>& figures);

}  // namespace voltsill::drawing
