#include "drawing/label_room.h"

#include <algorithm>
#include <cmath>

namespace voltsill::drawing {

bool LabelRoom::is_free(const Box& box) const {
    if (box.x0 < within_.x0 || box.y0 < within_.y0 || box.x1 > within_.x1 || box.y1 > within_.y1) return false;
    return std::ranges::none_of(taken_, [&](const Box& other) { return box.touches(other); });
}

int LabelRoom::hits(const Box& box) const {
    return static_cast<int>(std::ranges::count_if(taken_, [&](const Box& other) { return box.touches(other); }));
}

std::optional<LabelRoom::Spot> LabelRoom::find(const Label& label, Point centre, double clear_x,
                                              double clear_y) const {
    Spot spot{label};
    spot.label.anchor = Anchor::middle;
    const Box own = box_of(spot.label);
    const double half_x = (own.x1 - own.x0) / 2, half_y = (own.y1 - own.y0) / 2;
    // From the middle of the letters to the anchor on the base line.
    const double down = label.at.y - (own.y0 + own.y1) / 2, across = label.at.x - (own.x0 + own.x1) / 2;
    double best = 1e18;
    constexpr double step = 1.75, reach = 154;
    for (double dy = -reach; dy <= reach; dy += step)
        for (double dx = -reach; dx <= reach; dx += step) {
            if (std::abs(dx) < clear_x + half_x && std::abs(dy) < clear_y + half_y) continue;
            // Distance of the words' edge; beside is read more easily than above, right than left.
            const double to_x = std::max(0.0, std::abs(dx) - half_x), to_y = std::max(0.0, std::abs(dy) - half_y);
            const double far = std::hypot(to_x, 1.3 * to_y) + 0.05 * std::abs(dy) + (dx < 0 ? 0.5 : 0);
            if (far >= best) continue;
            const Point middle{centre.x + dx, centre.y + dy};
            if (!is_free(Box{middle.x - half_x, middle.y - half_y, middle.x + half_x, middle.y + half_y})) continue;
            best = far;
            spot.label.at = {middle.x + across, middle.y + down};
        }
    if (best > 1e17) return std::nullopt;
    spot.far = best;
    return spot;
}

}  // namespace voltsill::drawing
