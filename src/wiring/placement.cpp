#include "wiring/placement.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "wiring/placed_nodes.h"

namespace voltsill {
namespace {

/// The name of the planned net that most pins of a made net are on; the first of equals.
std::string planned_name(const Wiring& wiring, const std::vector<PlacedNodes::PinAt>& pins) {
    std::map<NetId, int> votes;
    NetId best = unconnected;
    for (const auto& [part, pin] : pins)
        if (const NetId net = wiring.parts[part].net_of_pin[pin]; net != unconnected) ++votes[net];
    for (const auto& [part, pin] : pins) {
        const NetId net = wiring.parts[part].net_of_pin[pin];
        if (net != unconnected && (best == unconnected || votes[net] > votes[best])) best = net;
    }
    return best == unconnected ? "" : wiring.nets[best].name;
}

}  // namespace

std::string board_letters(int board) {
    std::string letters(1, static_cast<char>('A' + board % 26));
    return board < 26 ? letters : board_letters(board / 26 - 1) + letters;
}

std::string words(const Placement& placement, const Hole& hole) {
    const BoardKind& board = *placement.boards[hole.board];
    const std::string place = fmt::format("{}{}", hole.row, board.columns[hole.column].name);
    return placement.boards.size() == 1 ? place : board_letters(hole.board) + " " + place;
}

std::string words(const Placement& placement, const Wiring& wiring, const WireEnd& end) {
    switch (end.kind) {
        case WireEnd::Kind::hole:
            return words(placement, end.hole);
        case WireEnd::Kind::pin:
            return wiring.parts[end.part].name + "." + wiring.parts[end.part].type->pins[end.pin].name;
        case WireEnd::Kind::supply:
            return fmt::format("supply {} +", end.rail);
        case WireEnd::Kind::ground:
            return fmt::format("supply {} 0 V", end.rail);
    }
    return {};
}

Wiring nets_of_holes(const Bench& bench, const Wiring& wiring, const Placement& placement) {
    const PlacedNodes nodes(bench, wiring, placement);
    Wiring made;
    made.direct = wiring.direct;
    made.parts = wiring.parts;
    for (WiredPart& part : made.parts) std::ranges::fill(part.net_of_pin, unconnected);
    made.nets.push_back({.name = "ground", .ground = true});
    std::map<int, NetId> net_of_root;
    if (nodes.ground_root() >= 0) net_of_root[nodes.ground_root()] = 0;
    for (const Rail& rail : bench.rails) {
        const auto id = static_cast<NetId>(made.nets.size());
        made.nets.push_back({.name = "rail " + rail.name, .rail = rail.name});
        // A rail that shares its node with another or the ground keeps a net without pins (`shorts`).
        if (const int root = nodes.rail_root(rail); root >= 0) net_of_root.emplace(root, id);
    }
    for (const auto& [root, pins] : nodes.pins_by_root()) {
        const auto known = net_of_root.find(root);
        if (known == net_of_root.end() && pins.size() < 2) continue;
        NetId net = known == net_of_root.end() ? unconnected : known->second;
        if (net == unconnected) net = made.add_net(planned_name(wiring, pins));
        for (const auto& [part, pin] : pins) made.parts[part].net_of_pin[pin] = net;
    }
    return made;
}

std::vector<std::pair<std::string, std::string>> shorts(const Bench& bench, const Wiring& wiring,
                                                        const Placement& placement) {
    const PlacedNodes nodes(bench, wiring, placement);
    std::vector<std::pair<std::string, std::string>> found;
    std::map<int, std::string> by_root;
    if (nodes.ground_root() >= 0) by_root[nodes.ground_root()] = "ground";
    for (const Rail& rail : bench.rails) {
        const int root = nodes.rail_root(rail);
        if (root < 0) continue;
        const auto [other, fresh] = by_root.emplace(root, "rail " + rail.name);
        if (!fresh) found.emplace_back(other->second, "rail " + rail.name);
    }
    return found;
}

}  // namespace voltsill
