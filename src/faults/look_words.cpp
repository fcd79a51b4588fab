/// How to look: what a wire or a part should be like, for who holds the build in one hand and no sheet in the other.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "faults/observation.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

/// As many wires are told with both ends; of a controller with forty nobody would read them.
constexpr std::size_t most_told = 16;

std::string ends_of(const PlacedWiring& build, int wire) {
    const auto& wires = build.placement.wires;
    const auto found = std::ranges::find(wires, wire, &LaidWire::number);
    if (found == wires.end()) return {};
    return fmt::format("from {} to {}", words(build.placement, build.wiring, found->from),
                       words(build.placement, build.wiring, found->to));
}

/// "right part (HC 4050 DIP-16), pin 1 in 4e, every leg in its hole"; a module beside the boards has no holes.
std::string as_it_should_be(const PlacedWiring& build, int part) {
    std::string should = fmt::format("right part ({})", part_words(build.wiring.parts[part]));
    const auto& places = build.placement.parts;
    if (part >= std::ssize(places) || !places[part].on_board()) return should;
    const std::vector<Hole>& holes = places[part].holes;
    constexpr std::size_t few = 3;
    if (holes.size() > few)
        return should + fmt::format(", right way round with pin 1 in {}, every leg in its hole",
                                    words(build.placement, holes[0]));
    for (std::size_t lead = 0; lead < holes.size(); ++lead)
        should += fmt::format(", lead {} in {}", lead + 1, words(build.placement, holes[lead]));
    return should;
}

}  // namespace

std::string Questions::how_to_look(const Question& q) const {
    if (q.wire >= 0) {
        const std::string ends = ends_of(build_, q.wire);
        return fmt::format("Follow wire {} from end to end: does it go {}?", q.wire,
                           ends.empty() ? "as on the sheet" : ends);
    }
    const auto told_wires = [&] {
        const std::vector<int>& wires = wires_in(q);
        const bool few = wires.size() <= most_told;
        std::vector<std::string> told;
        for (const int wire : wires)
            told.push_back(few ? fmt::format("{} {}", wire, ends_of(build_, wire)) : std::to_string(wire));
        return fmt::format("{} in all: {}.", wires.size(), fmt::join(told, few ? "; " : ", "));
    };
    if (q.part < 0)
        return fmt::format("Follow every wire that is on {}, from end to end, {}", points_[q.point].label,
                           told_wires());
    const std::string& name = build_.wiring.parts[q.part].name;
    const std::string should = as_it_should_be(build_, q.part);
    if (!q.around) return fmt::format("Look at {}: {}?", name, should);
    return fmt::format("Look at {}: {}? Then follow every wire that ends at it, {}", name, should, told_wires());
}

std::string Questions::put_right(int question, int sight) const {
    const Question& q = questions_[question];
    const KnownSight seen = sight < 0 ? KnownSight{} : sights_[sight];
    const int wire = seen.wire >= 0 ? seen.wire : q.wire;
    if (wire >= 0) return fmt::format("put wire {} {}", wire, ends_of(build_, wire));
    const int part = seen.part >= 0 ? seen.part : q.part;
    if (part < 0) return fmt::format("put every wire of {} as on the sheet", points_[q.point].label);
    const std::string should = as_it_should_be(build_, part);
    return fmt::format("put {} in: {}{}", build_.wiring.parts[part].name, should,
                       q.around && sight < 0 ? ", and every wire at it as on the sheet" : "");
}

}  // namespace voltsill
