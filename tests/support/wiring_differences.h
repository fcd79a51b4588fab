#pragma once
/// The nets of two wirings held against each other.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "wiring/wiring.h"

namespace voltsill::test {

/// Pins, rails and the ground by net; what hangs on nothing is left out.
struct Joint {
    int part = -1, pin = -1;
    NetId bus = unconnected;  ///< a net of the wiring that is a rail or the ground
};

inline std::string words(const Wiring& wiring, const Joint& joint) {
    if (joint.part < 0) return wiring.nets[joint.bus].ground ? "ground" : wiring.nets[joint.bus].name;
    const WiredPart& part = wiring.parts[joint.part];
    return part.name + "." + part.type->pins[joint.pin].name;
}

/// For every joint of both wirings, in one order, its net; a joint alone on its net has a net of its own.
struct Joints {
    std::vector<Joint> all;
    std::vector<int> net;
};

inline Joints joints_of(const Wiring& wiring, const Wiring& names) {
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
inline std::vector<std::pair<int, int>> splits(const std::vector<int>& whole, const std::vector<int>& parts) {
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

/// What differs between the nets of two wirings of the same parts: "U1.2 and U1.3 are joined", "R1.1 is
/// not joined with U2.4". Empty: the same nets.
inline std::vector<std::string> differences(const Wiring& wanted, const Wiring& made) {
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

}  // namespace voltsill::test
