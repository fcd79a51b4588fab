#include "placement/slip_nets.h"

#include <algorithm>
#include <unordered_map>

namespace voltsill {

bool is_reversed(const PlacedNodes& nodes, const Rail& rail) {
    if (!rail.from.empty()) return false;
    const int plus = nodes.root_of({.kind = WireEnd::Kind::supply, .rail = rail.name});
    const int zero = nodes.root_of({.kind = WireEnd::Kind::ground, .rail = rail.name});
    const auto feeds = [&](const auto& at) { return at.first == zero && !at.second.empty(); };
    return plus >= 0 && plus == nodes.ground_root() && zero != plus &&
           std::ranges::any_of(nodes.pins_by_root(), feeds);
}

SlipNets::Key SlipNets::of(const Placement& placement) const {
    return of(PlacedNodes(bench_, wiring_, placement), false);
}
SlipNets::Key SlipNets::with_terminals(const Placement& placement) const {
    return of(PlacedNodes(bench_, wiring_, placement), true);
}

SlipNets::Key SlipNets::of(const PlacedNodes& nodes, bool terminals) const {
    std::unordered_map<int, int> label;  // ground -2, rails -3 and below
    if (nodes.ground_root() >= 0) label.emplace(nodes.ground_root(), -2);
    Key key, shorted;
    for (std::size_t r = 0; r < bench_.rails.size(); ++r) {
        const int root = nodes.rail_root(bench_.rails[r]), own = -3 - static_cast<int>(r);
        shorted.push_back(is_reversed(nodes, bench_.rails[r]) ? 0
                          : root < 0                          ? -1
                                                              : label.emplace(root, own).first->second);
    }
    std::vector<int> first;
    int count = 0;
    for (const WiredPart& part : wiring_.parts) {
        first.push_back(count);
        count += static_cast<int>(part.net_of_pin.size());
    }
    key.assign(count, -1);
    for (const auto& [root, pins] : nodes.pins_by_root()) {
        const auto known = label.find(root);
        if (known == label.end() && pins.size() < 2) continue;
        const auto& [part, pin] = pins.front();
        const int name = known == label.end() ? first[part] + pin : known->second;
        for (const auto& [p, k] : pins) key[first[p] + k] = name;
    }
    key.insert(key.end(), shorted.begin(), shorted.end());
    if (!terminals) return key;
    std::unordered_map<int, int> name;  // of a node without a label: its first pin
    for (const auto& [root, pins] : nodes.pins_by_root())
        name.emplace(root, first[pins.front().first] + pins.front().second);
    for (const auto& [root, own] : label) name[root] = own;
    for (const Rail& rail : bench_.rails)
        for (const WireEnd::Kind kind : {WireEnd::Kind::supply, WireEnd::Kind::ground}) {
            if (!rail.from.empty()) continue;
            const auto known = name.find(nodes.root_of({.kind = kind, .rail = rail.name}));
            key.push_back(known == name.end() ? -1 : known->second);
        }
    return key;
}

}  // namespace voltsill
