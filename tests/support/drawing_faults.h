#pragma once
/// What no drawing may have, whatever it shows: words over words, words beyond the edge, letters too
/// small to read in print, things without a name for those who do not see them.
#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "drawing/drawing.h"

namespace voltsill::made {

inline void group_faults(const drawing::Group& group, std::vector<std::string>& faults) {
    for (const auto& [key, value] : group.data) {
        const bool good = !key.empty() && std::ranges::all_of(key, [](char c) { return (c >= 'a' && c <= 'z') || c == '-'; });
        if (!good) faults.push_back("bad data key \"" + key + "\"");
    }
    if (!group.data.empty() && group.title.empty()) faults.push_back("a group with data has no title");
    for (const drawing::Item& item : group.items)
        if (const auto* inner = std::get_if<drawing::Group>(&item)) group_faults(*inner, faults);
}

/// Empty: none. Boxes of letters may touch by half a unit: they hold the lowest and highest letters.
inline std::vector<std::string> drawing_faults(const drawing::Drawing& d) {
    std::vector<std::string> faults;
    if (d.title.empty()) faults.push_back("no title");
    if (d.description.empty()) faults.push_back("no description");
    if (!(d.width > 0) || !(d.height > 0)) faults.push_back("no size");
    if (d.width > drawing::page_width) faults.push_back(fmt::format("{} wide, a page is {}", d.width, drawing::page_width));
    const auto labels = drawing::labels_of(d);
    std::vector<drawing::Box> boxes;
    for (const drawing::Label* label : labels) {
        const drawing::Box b = drawing::box_of(*label);
        boxes.push_back(b);
        if (label->size < drawing::smallest_letters) faults.push_back(fmt::format("\"{}\" is {} high", label->text, label->size));
        if (b.x0 < -0.5 || b.y0 < -0.5 || b.x1 > d.width + 0.5 || b.y1 > d.height + 0.5)
            faults.push_back(fmt::format("\"{}\" ends beyond the edge ({:.0f} {:.0f} {:.0f} {:.0f})", label->text, b.x0, b.y0, b.x1, b.y1));
    }
    for (std::size_t i = 0; i < boxes.size(); ++i)
        for (std::size_t k = i + 1; k < boxes.size(); ++k)
            if (boxes[i].touches(boxes[k], 0.5) && !labels[i]->text.empty() && !labels[k]->text.empty())
                faults.push_back(fmt::format("\"{}\" lies on \"{}\" at {:.0f} {:.0f}", labels[i]->text, labels[k]->text, boxes[k].x0, boxes[k].y0));
    for (const drawing::Item& item : d.items)
        if (const auto* group = std::get_if<drawing::Group>(&item)) group_faults(*group, faults);
    return faults;
}

}  // namespace voltsill::made
