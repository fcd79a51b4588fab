#include "placement/place.h"

#include <fmt/format.h>

#include <algorithm>

#include "placement/lay.h"
#include "placement/start.h"

namespace voltsill {
namespace {

/// The kind that most benches can be built on: strips that end in the middle are bridged, which hurts
/// nobody whose strips do not end.
constexpr const char* usual_board = "full split";

BoardSupply boards_for(const Bench& bench, const PlaceOptions& options, std::string& trouble) {
    BoardSupply boards;
    for (const std::string& name : options.boards) {
        if (auto kind = bench.board_kind(name)) {
            boards.kinds.push_back(std::move(kind));
            continue;
        }
        std::vector<std::string> names;
        for (const auto& kind : bench.board_kinds) names.push_back(kind->name);
        const std::string nearest = nearest_name(name, names);
        trouble = fmt::format("there is no board \"{}\"{}", name,
                              nearest.empty() ? "" : fmt::format("; \"{}\" is near", nearest));
        return boards;
    }
    if (boards.kinds.empty()) boards.kinds = bench.boards;
    boards.named = !boards.kinds.empty();
    if (!boards.named) boards.kinds = {bench.board_kind(usual_board)};
    return boards;
}

std::vector<std::string> adapter_notes(const Layout& layout) {
    std::vector<std::string> notes;
    for (std::size_t p = 0; p < layout.parts.size(); ++p) {
        const Footprint& footprint = layout.footprints[p];
        if (!footprint.adapter || !layout.parts[p].on_board()) continue;
        const WiredPart& part = layout.wiring.parts[p];
        notes.push_back(fmt::format("{} ({}) sits on an adapter with {}.", part.name, part.package->name,
                                    footprint.kind == FootprintKind::dip
                                        ? fmt::format("the pins of a DIP-{}", footprint.leads)
                                        : fmt::format("its {} pins in one row", footprint.leads)));
    }
    return notes;
}

}  // namespace

PlacedWiring place(const Bench& bench, const Wiring& wiring, const PlaceOptions& options,
                   const std::function<bool(double, double)>&) {
    PlacedWiring placed{.wiring = wiring};
    const BoardSupply boards = boards_for(bench, options, placed.trouble);
    if (!placed.trouble.empty()) return placed;
    Layout layout(bench, wiring);
    placed.trouble = start(layout, homes_of(layout), boards);
    if (!placed.trouble.empty()) return placed;
    placed.placement = lay(layout);
    placed.notes = adapter_notes(layout);
    for (const LaidWire& wire : placed.placement.wires) placed.quality.metres += wire.metres;
    placed.quality.crossings = crossings_of(bench, placed.placement);
    return placed;
}

}  // namespace voltsill
