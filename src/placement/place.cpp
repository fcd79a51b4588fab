#include "placement/place.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>

#include "placement/join_harm.h"
#include "placement/lay.h"
#include "placement/net_classes.h"
#include "placement/search.h"
#include "placement/start.h"
#include "wiring/ground_notes.h"

namespace voltsill {
namespace {

/// Moves of the first round, for every part (by trials: see benchmarks/placement.cpp).
constexpr long moves_each = 250;

/// The kind that most benches can be built on: strips that end in the middle are bridged, which hurts
/// nobody whose strips do not end.
constexpr const char* usual_board = "full split";

/// Of names that are known.
BoardSupply boards_for(const Bench& bench, const PlaceOptions& options) {
    BoardSupply boards;
    for (const std::string& name : options.boards) boards.kinds.push_back(bench.board_kind(name));
    if (boards.kinds.empty()) boards.kinds = bench.boards;
    boards.named = !boards.kinds.empty();
    if (!boards.named) boards.kinds = {bench.board_kind(usual_board)};
    return boards;
}

/// One note for all parts that need the same adapter.
std::vector<std::string> adapter_notes(const Layout& layout) {
    std::vector<std::pair<std::string, std::vector<std::string>>> names;  // by adapter, in order of parts
    for (std::size_t p = 0; p < layout.parts.size(); ++p) {
        const Footprint& footprint = layout.footprints[p];
        if (!footprint.adapter || !layout.parts[p].on_board()) continue;
        const WiredPart& part = layout.wiring.parts[p];
        std::string adapter = fmt::format("{}, on an adapter with {}", part.package->name,
                                          footprint.kind == FootprintKind::dip
                                              ? fmt::format("the pins of a DIP-{}", footprint.leads)
                                              : fmt::format("{} pins in one row", footprint.leads));
        auto at = std::ranges::find(names, adapter, &decltype(names)::value_type::first);
        if (at == names.end()) at = names.insert(at, {std::move(adapter), {}});
        at->second.push_back(part.name);
    }
    std::vector<std::string> notes;
    for (const auto& [adapter, parts] : names)
        notes.push_back(fmt::format("{}: {}{}.", fmt::join(parts, ", "), parts.size() > 1 ? "each " : "", adapter));
    return notes;
}

/// Whether joining two nets harms, asked once for nets of a kind.
NetPairHarm harm_of_joins(const Bench& bench, const Wiring& wiring) {
    struct Known {
        Known(const Bench& b, const Wiring& w) : judge(b, w), classes(net_classes(w)) {}
        JoinHarm judge;
        std::vector<int> classes;
        std::map<std::pair<int, int>, bool> harmful;
    };
    return [known = std::make_shared<Known>(bench, wiring)](NetId a, NetId b) {
        const auto [low, high] = std::minmax(known->classes[a], known->classes[b]);
        const auto [found, fresh] = known->harmful.try_emplace({low, high}, false);
        if (fresh) found->second = known->judge.harmful(a, b);
        return found->second;
    };
}

PlacedWiring placed_as(const Bench& bench, Layout& layout, const NetPairHarm& harm) {
    PlacedWiring placed{.wiring = layout.wiring, .placement = lay(layout)};
    placed.notes = adapter_notes(layout);
    for (std::string& note : ground_notes(placed.wiring)) placed.notes.push_back(std::move(note));
    PlacementQuality& quality = placed.quality;
    for (const LaidWire& wire : placed.placement.wires) quality.metres += wire.metres;
    quality.crossings = crossings_of(bench, placed.placement);
    const Score score(layout, harm);
    quality.near_harm = static_cast<int>(score.slips());
    quality.cost = static_cast<double>(score.cost()) / slip_cost;
    return placed;
}

}  // namespace

Problems unknown_boards(const Bench& bench, const std::vector<std::string>& wanted) {
    std::vector<std::string> names;
    for (const auto& kind : bench.board_kinds) names.push_back(kind->name);
    Problems unknown;
    for (const std::string& name : wanted)
        if (!bench.board_kind(name))
            unknown.push_back({.code = "unknown-board",
                               .place = {.file = "--boards"},
                               .message = fmt::format("there is no kind of board named \"{}\"", name),
                               .expected = fmt::format("one of {}", fmt::join(names, ", ")),
                               .nearest = nearest_name(name, names)});
    return unknown;
}

PlacedWiring place(const Bench& bench, const Wiring& wiring, const PlaceOptions& options,
                   const std::function<bool(double, double)>& progress) {
    PlacedWiring best{.wiring = wiring};
    if (const Problems unknown = unknown_boards(bench, options.boards); !unknown.empty()) {
        const std::string& nearest = unknown.front().nearest;
        best.trouble = unknown.front().message +
                       (nearest.empty() ? "" : fmt::format("; \"{}\" is near", nearest));
        return best;
    }
    const BoardSupply boards = boards_for(bench, options);
    Layout layout(bench, wiring);
    const std::vector<Home> homes = homes_of(layout);
    best.trouble = start(layout, homes, boards);
    if (!best.trouble.empty()) return best;
    const NetPairHarm harm = harm_of_joins(bench, wiring);
    best = placed_as(bench, layout, harm);
    // Rounds of one, two, four ... units of work: more effort means more rounds, never other ones.
    int rounds = 0;
    while ((2 << rounds) - 1 <= options.effort) ++rounds;
    const long unit = moves_each * static_cast<long>(wiring.parts.size() + 8);
    const double all = static_cast<double>(unit) * ((1 << rounds) - 1);
    const Snapshot first = snapshot(layout, 0);
    double done = 0;
    bool stopped = false;
    for (int round = 0; round < rounds && !stopped; ++round) {
        restore(layout, first);
        SearchWork work{.moves = unit << round, .seed = options.seed + static_cast<std::uint64_t>(round)};
        if (progress)
            work.progress = [&](long moves) { return !(stopped = !progress(done + double(moves), all)); };
        search(layout, homes, harm, work);
        done += static_cast<double>(work.moves);
        PlacedWiring placed = placed_as(bench, layout, harm);
        if (placed.quality.cost < best.quality.cost) best = std::move(placed);
    }
    return best;
}

}  // namespace voltsill
