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

/// Pins, rails and the ground by net; what hangs on nothing is left out.
struct Joint {
    int part = -1, pin = -1;
    NetId bus = unconnected;  ///< a net of the wiring that is a rail or the ground
};

std::string words(const Wiring& wiring, const Joint& joint) {
    if (joint.part < 0) return wiring.nets[joint.bus].ground ? "ground" : wiring.nets[joint.bus].name;
    const WiredPart& part = wiring.parts[joint.part];
    return part.name + "." + part.type->pins[joint.pin].name;
}

/// For every joint of both wirings, in one order, its net; a joint alone on its net has a net of its own.
struct Joints {
    std::vector<Joint> all;
    std::vector<int> net;
};

Joints joints_of(const Wiring& wiring, const Wiring& names) {
    Joints joints;
    int fresh = static_cast<int>(wiring.nets.size());
    for (std::size_t n = 0; n < names.nets.size(); ++n) {
        const Net& net = names.nets[n];
        if (!net.ground && net.rail.empty()) continue;
        const NetId same = net.ground ? wiring.ground() : wiring.rail(net.rail);
        joints.all.push_back({.bus = static_cast<NetId>(n)});
        joints.net.push_back(same == unconnected ? fresh++ : same);
    }
    for (std::size_t p = 0; p < wiring.parts.size(); ++p)
        for (std::size_t k = 0; k < wiring.parts[p].net_of_pin.size(); ++k) {
            const NetId net = wiring.parts[p].net_of_pin[k];
            joints.all.push_back({static_cast<int>(p), static_cast<int>(k)});
            joints.net.push_back(net == unconnected ? fresh++ : net);
        }
    return joints;
}

/// One pair for every piece into which a net of `whole` falls in `parts`.
std::vector<std::pair<int, int>> splits(const std::vector<int>& whole, const std::vector<int>& parts) {
    std::vector<std::pair<int, int>> found;
    std::map<int, std::map<int, int>> first;  // net of whole -> net of parts -> first joint
    for (std::size_t j = 0; j < whole.size(); ++j) {
        auto& pieces = first[whole[j]];
        const bool fresh = pieces.emplace(parts[j], static_cast<int>(j)).second;
        if (!fresh || pieces.size() == 1) continue;
        int earliest = static_cast<int>(j);
        for (const auto& [piece, joint] : pieces) earliest = std::min(earliest, joint);
        found.emplace_back(earliest, static_cast<int>(j));
    }
    return found;
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

std::vector<std::string> differences(const Wiring& wanted, const Wiring& made) {
    const Joints a = joints_of(wanted, wanted), b = joints_of(made, wanted);
    std::vector<std::string> found;
    if (a.all.size() != b.all.size()) return {"these are not wirings of the same parts"};
    for (const auto& [first, other] : splits(b.net, a.net))
        found.push_back(
            fmt::format("{} and {} are joined", words(wanted, a.all[first]), words(wanted, a.all[other])));
    for (const auto& [first, other] : splits(a.net, b.net))
        found.push_back(fmt::format("{} is not joined with {}", words(wanted, a.all[other]),
                                    words(wanted, a.all[first])));
    return found;
}

}  // namespace voltsill
