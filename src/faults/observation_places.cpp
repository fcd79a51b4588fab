/// Where a probe gets to on a build, which wires are looked at together, and the states that are asked for.
#include <algorithm>
#include <array>
#include <set>

#include "faults/observation.h"
#include "wiring/part_words.h"
#include "wiring/placed_nodes.h"

namespace voltsill {

void Questions::find_points() {
    const Wiring& wiring = build_.wiring;
    const Placement& placement = build_.placement;
    points_.push_back({.kind = ProbePoint::Kind::ground, .label = "ground"});
    for (const Rail& rail : bench_.rails)
        points_.push_back(
            {.kind = ProbePoint::Kind::rail, .rail = rail.name, .label = "rail " + rail.name});
    for (std::size_t p = 0; p < wiring.parts.size(); ++p) {
        const WiredPart& part = wiring.parts[p];
        const bool on_board = p < placement.parts.size() && placement.parts[p].on_board() && part.package;
        auto& of_pin = point_of_pin_.emplace_back(part.type->pins.size(), -1);
        for (std::size_t k = 0; k < of_pin.size(); ++k) {
            ProbePoint point{.part = static_cast<int>(p), .pin = static_cast<int>(k)};
            point.label = pin_label(part, point.pin);
            if (on_board) {
                const auto& numbers = part.package->pin_of_number;
                const auto lead = std::ranges::find(numbers, point.pin) - numbers.begin();
                if (lead >= std::ssize(placement.parts[p].holes)) continue;
                point.place = voltsill::words(placement, placement.parts[p].holes[lead]);
            } else {
                if (part.net_of_pin[k] < 0) continue;
                point.place = "header of " + part.name;
            }
            of_pin[k] = static_cast<int>(points_.size());
            for (ProbePoint& rail : points_)  // a rail is read at the first of its pins that a probe gets to
                if (rail.kind == ProbePoint::Kind::rail && rail.part < 0 && part.net_of_pin[k] >= 0 &&
                    wiring.nets[part.net_of_pin[k]].rail == rail.rail)
                    rail.part = point.part, rail.pin = point.pin, rail.place = point.label;
            points_.push_back(std::move(point));
        }
    }
}

/// Where several leads leave one post, none of them is read alone.
void Questions::find_posts() {
    const auto& wires = build_.placement.wires;
    for (const Rail& rail : bench_.rails)
        for (const WireEnd::Kind end : {WireEnd::Kind::supply, WireEnd::Kind::ground}) {
            const auto leaves = [&](const LaidWire& wire) {
                return std::ranges::any_of(std::array{wire.from, wire.to},
                                           [&](const WireEnd& e) { return e.kind == end && e.rail == rail.name; });
            };
            if (std::ranges::count_if(wires, leaves) != 1) continue;
            const bool plus = end == WireEnd::Kind::supply;
            points_.push_back({.kind = plus ? ProbePoint::Kind::plus : ProbePoint::Kind::zero,
                               .lead = std::ranges::find_if(wires, leaves)->number,
                               .rail = rail.name,
                               .label = (plus ? "plus of " : "0 V of ") + rail.name,
                               .place = "at the supply"});
        }
}

void Questions::find_wires_along() {
    const Placement& placement = build_.placement;
    wires_along_.resize(1 + bench_.rails.size());
    if (placement.boards.empty()) return;
    const PlacedNodes nodes(bench_, build_.wiring, placement);
    for (std::size_t k = 0; k < wires_along_.size(); ++k) {
        const int root = k == 0 ? nodes.ground_root() : nodes.rail_root(bench_.rails[k - 1]);
        for (const LaidWire& wire : placement.wires)
            if (root >= 0 && nodes.root_of(wire.from) == root) wires_along_[k].push_back(wire.number);
    }
}

/// At pins beside the boards, and in the rows of leads: what else is in a strip is no wire of the part.
void Questions::find_wires_around() {
    const Placement& placement = build_.placement;
    wires_around_.resize(build_.wiring.parts.size());
    const auto half_row = [&](const Hole& hole) {
        return std::pair(hole.board, placement.boards[hole.board]->node_of(hole.row, hole.column));
    };
    for (std::size_t p = 0; p < placement.parts.size() && p < wires_around_.size(); ++p) {
        std::set<std::pair<int, int>> own;
        for (const Hole& hole : placement.parts[p].holes)
            if (const auto node = half_row(hole); node.second < 2 * placement.boards[hole.board]->rows)
                own.insert(node);
        const auto ends_here = [&](const WireEnd& end) {
            return end.kind == WireEnd::Kind::pin ? end.part == static_cast<int>(p)
                                                  : end.kind == WireEnd::Kind::hole && own.contains(half_row(end.hole));
        };
        for (const LaidWire& wire : placement.wires)
            if (ends_here(wire.from) || ends_here(wire.to)) wires_around_[p].push_back(wire.number);
    }
}

void Questions::find_states() {
    state({.powered = false});
    state({});
    const Wiring& wiring = build_.wiring;
    for (const Link& link : bench_.links)
        for (const bool high : {false, true}) {
            const int part = link.from.empty() ? -1 : wiring.part(link.from.front().part);
            const int pin = part < 0 ? -1 : wiring.parts[part].type->pin_index(link.from.front().pin);
            const bool told = pin >= 0 && link.kind != LinkKind::analog &&
                              can_be_told(wiring.parts[part].type->pins[pin]);
            state_of_link_.push_back(
                told ? state({.told = {{link.from.front().part, link.from.front().pin, high}}}) : -1);
        }
}

}  // namespace voltsill
