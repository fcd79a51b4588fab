#include "teaching/naming.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "wiring/part_words.h"

namespace voltsill {
namespace {

std::string at_words(const PreparedMarking::Inside& in, const WireEnd& end) {
    return words(in.build.placement, in.build.wiring, end);
}

int net_at(const PreparedMarking::Inside& in, const WireEnd& end) {
    if (end.kind == WireEnd::Kind::pin) return in.wanted.net[in.joints.pin(end.part, end.pin)];
    if (end.kind != WireEnd::Kind::hole) {
        if (end.kind == WireEnd::Kind::ground) return in.wanted.net[in.joints.ground()];
        const auto rail = std::ranges::find(in.bench.rails, end.rail, &Rail::name);
        return in.wanted.net[in.joints.rail(static_cast<int>(rail - in.bench.rails.begin()))];
    }
    return -1;
}

/// Placed wires know their net by the name the plan gave it: any pin on that net leads to the wanted one.
int net_of_wire(const PreparedMarking::Inside& in, int wire) {
    const LaidWire& laid = in.build.placement.wires[wire];
    for (std::size_t p = 0; p < in.build.wiring.parts.size(); ++p)
        for (std::size_t k = 0; k < in.build.wiring.parts[p].net_of_pin.size(); ++k)
            if (laid.net >= 0 && in.build.wiring.parts[p].net_of_pin[k] == laid.net)
                return in.wanted.net[in.joints.pin(static_cast<int>(p), static_cast<int>(k))];
    return net_at(in, laid.from);
}

}  // namespace

const WireEnd& right_end(const PreparedMarking::Inside& in, int wire, bool at_from) {
    const LaidWire& laid = in.build.placement.wires[wire];
    return at_from ? laid.from : laid.to;
}

MistakeKind kind_of_end(const PreparedMarking::Inside& in, const WireEnd& right, const WireEnd& is) {
    const Placement& placement = in.build.placement;
    if (right.kind == WireEnd::Kind::hole && is.kind == WireEnd::Kind::hole) {
        if (right.hole.board != is.hole.board) return MistakeKind::wrong_place;
        const auto& columns = placement.boards[is.hole.board]->columns;
        const BoardColumn &was = columns[right.hole.column], &now = columns[is.hole.column];
        const int rows = std::abs(right.hole.row - is.hole.row), across = std::abs(right.hole.column - is.hole.column);
        if (was.strip && now.strip) return across == 0 ? MistakeKind::one_row_off : MistakeKind::wrong_strip;
        constexpr int near = 3;
        if (was.strip != now.strip)
            return rows <= near && across <= 2 ? MistakeKind::one_column_off : MistakeKind::wrong_place;
        if (rows == 1 && was.side == now.side) return MistakeKind::one_row_off;
        if (rows != 0) return MistakeKind::wrong_place;
        const bool at_package = std::ranges::any_of(placement.parts, [&](const PlacedPart& part) {
            return part.holes.size() > 3 && std::ranges::any_of(part.holes, [&](const Hole& h) {
                return h.board == right.hole.board && h.row == right.hole.row;
            });
        });
        return at_package ? MistakeKind::facing_pin : MistakeKind::one_column_off;
    }
    const bool terminals = right.kind != WireEnd::Kind::hole && right.kind != WireEnd::Kind::pin;
    if (terminals && is.kind != WireEnd::Kind::hole && is.kind != WireEnd::Kind::pin) return MistakeKind::wrong_strip;
    if (right.kind == WireEnd::Kind::pin && is.kind == WireEnd::Kind::pin && right.part == is.part) {
        const WiredPart& part = in.build.wiring.parts[is.part];
        const int a = number_of(part, right.pin), b = number_of(part, is.pin);
        if ((a > 0 && b > 0 ? std::abs(a - b) : std::abs(right.pin - is.pin)) == 1) return MistakeKind::header_pin_off;
    }
    return MistakeKind::wrong_place;
}

Mistake named(PreparedMarking::Inside& in, const WireMistake& m) {
    Placement changed = in.build.placement;
    Mistake out{.kind = m.kind};
    std::vector<int> nets;
    const auto number = [&](int wire) { return in.build.placement.wires[wire].number; };
    const auto at = [&](const WireEnd& end) { return at_words(in, end); };
    if (m.kind == MistakeKind::extra_wire) {
        LaidWire wire{.from = m.is, .to = m.far};
        for (const WireEnd* end : {&m.is, &m.far})
            if (const int net = net_at(in, *end); net >= 0) nets.push_back(net);
        changed.wires.push_back(std::move(wire));
        out.words = fmt::format("extra wire joins {} and {}", at(m.is), at(m.far));
        out.remedy = fmt::format("Take out the wire from {} to {}.", at(m.is), at(m.far));
    } else {
        const LaidWire& wire = in.build.placement.wires[m.wire];
        out.wires = {wire.number};
        nets.push_back(net_of_wire(in, m.wire));
        if (m.kind == MistakeKind::wire_missing) {
            changed.wires.erase(changed.wires.begin() + m.wire);
            out.words = fmt::format("wire {} missing: {} to {}", wire.number, at(wire.from), at(wire.to));
            out.remedy = fmt::format("Put wire {} from {} to {}.", wire.number, at(wire.from), at(wire.to));
        } else {
            const WireEnd& right = right_end(in, m.wire, m.at_from);
            (m.at_from ? changed.wires[m.wire].from : changed.wires[m.wire].to) = m.is;
            if (const int net = net_at(in, m.is); net >= 0) nets.push_back(net);
            if (m.other >= 0) {
                const WireEnd& other = right_end(in, m.other, m.other_at_from);
                (m.other_at_from ? changed.wires[m.other].from : changed.wires[m.other].to) = m.other_is;
                nets.push_back(net_of_wire(in, m.other));
                out.wires.push_back(number(m.other));
                out.words = fmt::format("wires {} and {} exchanged at {} and {}", wire.number, number(m.other),
                                        at(right), at(other));
                out.remedy = fmt::format("Put wire {} into {} and wire {} into {}.", wire.number, at(right),
                                         number(m.other), at(other));
            } else {
                out.words =
                    fmt::format("wire {} {}: {} in place of {}", wire.number, to_word(m.kind), at(m.is), at(right));
                out.remedy = fmt::format("Move this end of wire {} from {} to {}.", wire.number, at(m.is), at(right));
            }
        }
    }
    const auto harm = in.harm_of(in.key_of(changed), [&] { return wiring_of(in.bench, in.build.wiring, changed); });
    set_harm(in, out, *harm, nets);
    return out;
}

void set_harm(const PreparedMarking::Inside& in, Mistake& mistake, const WhatHarms& harm,
              const std::vector<int>& nets) {
    mistake.harm = harm.verdict;
    mistake.part = harm.part, mistake.pin = harm.pin, mistake.code = harm.code, mistake.sentence = harm.sentence;
    mistake.links = in.links_on(nets);
    mistake.gate = gate_of(in, nets, harm.verdict);
}

std::optional<std::vector<Mistake>> mistake_by_slip(PreparedMarking::Inside& in, const SlipNets::Key& key) {
    const auto found = in.slips.find(key);
    if (found == in.slips.end()) return std::nullopt;
    const Slip& slip = found->second;
    WireMistake m{.wire = slip.wire, .at_from = slip.at_from, .is = slip.to};
    if (slip.wire >= 0) {
        if (slip.kind == SlipKind::wire_missing) {
            m.kind = MistakeKind::wire_missing;
        } else if (slip.kind == SlipKind::neighbours_swapped) {
            m.kind = MistakeKind::exchanged;
            m.is = right_end(in, slip.other, slip.other_at_from);
            m.other = slip.other, m.other_at_from = slip.other_at_from;
            m.other_is = right_end(in, slip.wire, slip.at_from);
        } else {
            m.kind = kind_of_end(in, right_end(in, slip.wire, slip.at_from), slip.to);
        }
        return std::vector{named(in, m)};
    }
    Mistake out{.kind = slip.kind == SlipKind::part_turned ? MistakeKind::part_turned
                        : slip.lead > 0                    ? MistakeKind::one_row_off
                                                           : MistakeKind::part_one_row_off};
    const Placement changed = with_slip(in.build.placement, slip);
    const std::string& name = in.build.wiring.parts[slip.part].name;
    out.words = words(in.build.wiring, in.build.placement, slip);
    out.remedy = fmt::format("Put pin 1 of {} into {}.", name,
                             words(in.build.placement, in.build.placement.parts[slip.part].holes.front()));
    if (slip.lead > 0)
        out.remedy = fmt::format("Put lead {} of {} into {}.", slip.lead, name,
                                 words(in.build.placement, in.build.placement.parts[slip.part].holes[slip.lead - 1]));
    std::vector<int> nets;
    for (std::size_t k = 0; k < in.build.wiring.parts[slip.part].net_of_pin.size(); ++k)
        nets.push_back(in.wanted.net[in.joints.pin(slip.part, static_cast<int>(k))]);
    const auto harm = in.harm_of(key, [&] { return wiring_of(in.bench, in.build.wiring, changed); });
    set_harm(in, out, *harm, nets);
    return std::vector{std::move(out)};
}

}  // namespace voltsill
