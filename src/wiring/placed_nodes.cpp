#include "wiring/placed_nodes.h"

#include <algorithm>
#include <numeric>
#include <tuple>

namespace voltsill {

PlacedNodes::PlacedNodes(const Bench& bench, const Wiring& wiring, const Placement& placement)
    : placement_(placement) {
    int count = 0;
    for (const auto& board : placement.boards) {
        board_first_.push_back(count);
        count += board->node_count();
    }
    for (const WiredPart& part : wiring.parts) {
        auto& elements = pin_element_.emplace_back(part.net_of_pin.size());
        for (int& element : elements) element = count++;
    }
    for (const Rail& rail : bench.rails) {
        if (!rail.from.empty()) continue;
        supply_[rail.name] = count++;
        zero_[rail.name] = count++;
    }
    above_.resize(count);
    std::iota(above_.begin(), above_.end(), 0);
    join_leads(wiring, placement);
    for (const LaidWire& wire : placement.wires) join(element(wire.from), element(wire.to));
    for (const Rail& rail : bench.rails) {
        const std::size_t dot = rail.from.find('.');
        const int part = dot == std::string::npos ? -1 : wiring.part(rail.from.substr(0, dot));
        if (part < 0) continue;
        const PartType& type = *wiring.parts[part].type;
        const int port = type.supply_index(rail.from.substr(dot + 1));
        // The pins of one output of a maker are one node inside it.
        for (std::size_t k = 0; k < type.pins.size(); ++k) {
            if (type.pins[k].role != PinRole::supply || type.pins[k].supply != port) continue;
            const auto [first, fresh] = made_.emplace(rail.name, pin_element_[part][k]);
            if (!fresh) join(first->second, pin_element_[part][k]);
        }
    }
    std::map<int, std::size_t> at;
    for (std::size_t p = 0; p < pin_element_.size(); ++p)
        for (std::size_t k = 0; k < pin_element_[p].size(); ++k) {
            const int root = find(pin_element_[p][k]);
            const auto [found, fresh] = at.emplace(root, pins_.size());
            if (fresh) pins_.push_back({root, {}});
            pins_[found->second].second.emplace_back(static_cast<int>(p), static_cast<int>(k));
        }
    find_ground(bench, wiring);
}

int PlacedNodes::find(int element) const {
    while (above_[element] != element) element = above_[element] = above_[above_[element]];
    return element;
}

void PlacedNodes::join(int a, int b) {
    if (a >= 0 && b >= 0) above_[find(a)] = find(b);
}

int PlacedNodes::element(const Hole& hole) const {
    if (hole.board < 0 || hole.board >= static_cast<int>(board_first_.size())) return -1;
    const int node = placement_.boards[hole.board]->node_of(hole.row, hole.column);
    return node < 0 ? -1 : board_first_[hole.board] + node;
}

int PlacedNodes::element(const WireEnd& end) const {
    const auto terminal = [&](const std::map<std::string, int>& of) {
        const auto found = of.find(end.rail);
        return found == of.end() ? -1 : found->second;
    };
    switch (end.kind) {
        case WireEnd::Kind::hole:
            return element(end.hole);
        case WireEnd::Kind::pin:
            return pin_element_[end.part][end.pin];
        case WireEnd::Kind::supply:
            return terminal(supply_);
        case WireEnd::Kind::ground:
            return terminal(zero_);
    }
    return -1;
}

int PlacedNodes::root_of(const WireEnd& end) const {
    const int at = element(end);
    return at < 0 ? -1 : find(at);
}

/// A pin that has several numbers joins the rows of all of them.
void PlacedNodes::join_leads(const Wiring& wiring, const Placement& placement) {
    for (std::size_t p = 0; p < placement.parts.size(); ++p) {
        const auto& holes = placement.parts[p].holes;
        const Package* package = wiring.parts[p].package;
        if (!package) continue;
        for (std::size_t n = 0; n < std::min(holes.size(), package->pin_of_number.size()); ++n)
            if (const int pin = package->pin_of_number[n]; pin >= 0)
                join(pin_element_[p][pin], element(holes[n]));
    }
}

void PlacedNodes::find_ground(const Bench& bench, const Wiring& wiring) {
    std::map<int, std::pair<int, int>> votes;  // by node: zeros of supplies, ground pins
    std::vector<int> order;
    const auto vote = [&](int root, int zeros, int pins) {
        auto& [z, p] = votes[root];
        if (z + p == 0) order.push_back(root);
        z += zeros, p += pins;
    };
    for (const Rail& rail : bench.rails)
        if (const auto zero = zero_.find(rail.name); zero != zero_.end()) vote(find(zero->second), 1, 0);
    for (const auto& [root, pins] : pins_)
        for (const auto& [part, pin] : pins)
            if (wiring.parts[part].type->pins[pin].role == PinRole::ground) vote(root, 0, 1);
    for (const int root : order)
        if (ground_ < 0 || votes[root] > votes[ground_]) ground_ = root;
}

int PlacedNodes::rail_root(const Rail& rail) const {
    if (const auto supply = supply_.find(rail.name); supply != supply_.end())
        return find(zero_.at(rail.name)) == ground_ ? find(supply->second) : -1;
    const auto made = made_.find(rail.name);
    return made == made_.end() ? -1 : find(made->second);
}

}  // namespace voltsill
