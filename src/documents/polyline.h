#pragma once
/// A curve with no more points than a drawing shows.
#include <string>
#include <vector>

namespace voltsill::doc {

struct DrawnPoint {
    double x = 0, y = 0;
};

/// First, lowest, highest and last point of every `column` of x, in their order.
std::vector<DrawnPoint> column_extremes(const std::vector<DrawnPoint>& curve, double column);

/// The points of `curve` without those that lie within `tolerance` of the line between their kept
/// neighbours (U. Ramer, Computer Graphics and Image Processing 1, 1972, pp. 244-256, from memory);
/// the tolerance grows until at most `most` are left.
std::vector<DrawnPoint> simplified(const std::vector<DrawnPoint>& curve, double tolerance, std::size_t most);

/// "12.3,45 13,46" for a polyline or polygon.
std::string point_list(const std::vector<DrawnPoint>& points);

}  // namespace voltsill::doc
