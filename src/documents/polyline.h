#pragma once
/// A curve with no more points than a drawing shows.
#include <vector>

#include "drawing/drawing.h"

namespace voltsill::doc {

/// First, lowest, highest and last point of every `column` of x, in their order.
std::vector<drawing::Point> column_extremes(const std::vector<drawing::Point>& curve, double column);

/// The points of `curve` without those that lie within `tolerance` of the line between their kept
/// neighbours (U. Ramer, Computer Graphics and Image Processing 1, 1972, pp. 244-256, from memory);
/// the tolerance grows until at most `most` are left.
std::vector<drawing::Point> simplified(const std::vector<drawing::Point>& curve, double tolerance, std::size_t most);

}  // namespace voltsill::doc
