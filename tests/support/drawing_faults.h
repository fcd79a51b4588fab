#pragma once
/// What no drawing may have, whatever it shows: words over words, words under shapes, words beyond the edge, letters
/// too small to read in print, things without a name for those who do not see them.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "drawing/drawing.h"

namespace voltsill::made {

inline void group_faults(const drawing::Group& group, std::vector<std::string>& faults) {
    for (const auto& [key, value] : group.data) {
        const bool good =
            !key.empty() && std::ranges::all_of(key, [](char c) { return (c >= 'a' && c <= 'z') || c == '-'; });
        if (!good) faults.push_back("bad data key \"" + key + "\"");
    }
    if (!group.data.empty() && group.title.empty()) faults.push_back("a group with data has no title");
    for (const drawing::Item& item : group.items)
        if (const auto* inner = std::get_if<drawing::Group>(&item)) group_faults(*inner, faults);
}

/// Corners of a shape that is filled and has no bay: what lies under it cannot be read.
inline std::vector<drawing::Point> corners_of(const drawing::Path& path) {
    std::vector<drawing::Point> out;
    if (path.fill.tone == drawing::Tone::none) return out;
    for (const drawing::Step& step : path.steps)
        if (step.kind != drawing::Step::Kind::close) out.push_back(step.to);
    return out;
}

/// Does a shape reach more than `by` into a box? By the separating axes of both.
inline bool reaches(const std::vector<drawing::Point>& shape, const drawing::Box& box, double by) {
    const std::vector<drawing::Point> other{{box.x0, box.y0}, {box.x1, box.y0}, {box.x1, box.y1}, {box.x0, box.y1}};
    for (const auto* sides : {&shape, &other})
        for (std::size_t k = 0; k < sides->size(); ++k) {
            const drawing::Point &a = (*sides)[k], &b = (*sides)[(k + 1) % sides->size()];
            const double length = std::hypot(b.x - a.x, b.y - a.y);
            if (length < 1e-9) continue;
            const auto span = [&](const std::vector<drawing::Point>& points) {
                std::pair out{1e9, -1e9};
                for (const drawing::Point& p : points) {
                    const double along = (p.x * (b.y - a.y) - p.y * (b.x - a.x)) / length;
                    out = {std::min(out.first, along), std::max(out.second, along)};
                }
                return out;
            };
            const auto [lo, hi] = span(shape);
            const auto [from, to] = span(other);
            if (lo > to - by || from > hi - by) return false;
        }
    return true;
}

/// Words that something filled was drawn over, in the order of drawing.
struct Hiding {
    std::vector<const drawing::Label*> labels = {};
    std::vector<std::string> faults = {};
    void under(const std::vector<drawing::Point>& shape) {
        if (shape.size() < 3) return;
        for (const drawing::Label* label : labels)
            if (reaches(shape, drawing::box_of(*label), 1))
                faults.push_back(
                    fmt::format("\"{}\" is hidden at {:.0f} {:.0f}", label->text, label->at.x, label->at.y));
    }
    void items(const std::vector<drawing::Item>& all) {
        for (const drawing::Item& item : all) {
            if (const auto* path = std::get_if<drawing::Path>(&item)) under(corners_of(*path));
            if (const auto* label = std::get_if<drawing::Label>(&item)) labels.push_back(label);
            if (const auto* group = std::get_if<drawing::Group>(&item)) items(group->items);
        }
    }
};

/// Empty: none. Boxes of letters may touch by half a unit: they hold the lowest and highest letters.
inline std::vector<std::string> drawing_faults(const drawing::Drawing& d) {
    std::vector<std::string> faults;
    if (d.title.empty()) faults.push_back("no title");
    if (d.description.empty()) faults.push_back("no description");
    if (!(d.width > 0) || !(d.height > 0)) faults.push_back("no size");
    if (d.width > drawing::page_width)
        faults.push_back(fmt::format("{} wide, a page is {}", d.width, drawing::page_width));
    const auto labels = drawing::labels_of(d);
    std::vector<drawing::Box> boxes;
    for (const drawing::Label* label : labels) {
        const drawing::Box b = drawing::box_of(*label);
        boxes.push_back(b);
        if (label->size < drawing::smallest_letters)
            faults.push_back(fmt::format("\"{}\" is {} high", label->text, label->size));
        if (b.x0 < -0.5 || b.y0 < -0.5 || b.x1 > d.width + 0.5 || b.y1 > d.height + 0.5)
            faults.push_back(fmt::format("\"{}\" ends beyond the edge ({:.0f} {:.0f} {:.0f} {:.0f})", label->text, b.x0,
                                         b.y0, b.x1, b.y1));
    }
    for (std::size_t i = 0; i < boxes.size(); ++i)
        for (std::size_t k = i + 1; k < boxes.size(); ++k)
            if (boxes[i].touches(boxes[k], 0.5) && !labels[i]->text.empty() && !labels[k]->text.empty())
                faults.push_back(fmt::format("\"{}\" lies on \"{}\" at {:.0f} {:.0f}", labels[i]->text, labels[k]->text,
                                             boxes[k].x0, boxes[k].y0));
    for (const drawing::Item& item : d.items)
        if (const auto* group = std::get_if<drawing::Group>(&item)) group_faults(*group, faults);
    Hiding hiding;
    hiding.items(d.items);
    faults.insert(faults.end(), hiding.faults.begin(), hiding.faults.end());
    return faults;
}

}  // namespace voltsill::made
