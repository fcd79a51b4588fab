#include "engine/places.h"

#include <algorithm>

namespace voltsill {
namespace {

template <class Named>
const Place* find_place(const std::vector<Named>& items, std::string_view name) {
    const auto found = std::ranges::find(items, name, &Named::name);
    return found == items.end() || found->place.line == 0 ? nullptr : &found->place;
}

}  // namespace

Place place_of(const Finding& finding, const Bench& bench) {
    constexpr std::string_view rail = "rail ";
    if (const Place* place = find_place(bench.links, finding.link)) return *place;
    if (const Place* place = find_place(bench.parts, finding.part)) return *place;
    if (bench.wiring)
        if (const Place* place = find_place(bench.wiring->parts, finding.part)) return *place;
    if (finding.net.starts_with(rail))
        if (const Place* place = find_place(bench.rails, std::string_view(finding.net).substr(rail.size())))
            return *place;
    return {};
}

}  // namespace voltsill
