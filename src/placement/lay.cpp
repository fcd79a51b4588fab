#include "placement/lay.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

namespace voltsill {
namespace {

// Ends of a wire are stripped 8 mm each, wires are cut to whole centimetres; jumpers come in a few
// lengths and want a tenth of slack; test leads are half a metre (common practice, no source).
constexpr double stripped = 8e-3, cut_step = 10e-3, slack = 1.1, lead_metres = 0.5;
constexpr double jumper_lengths[] = {0.1, 0.15, 0.2, 0.3, 0.4, 0.5};

/// Holes that are still free while wires are laid.
class FreeHoles {
  public:
    explicit FreeHoles(const Layout& layout) : layout_(layout) {
        for (const HalfRow& half : layout.halves) taken_.push_back(half.taken);
        for (const Piece& piece : layout.pieces) strips_.push_back(piece.taken);
    }

    Hole in_half(int half, double across) {
        const HalfRow& h = layout_.halves[half];
        const auto& columns = layout_.boards[h.board]->columns;
        int best = -1;
        for (const int c : layout_.columns(h.board, h.side)) {
            if (taken_[half] >> c & 1u) continue;
            if (best < 0 || std::abs(columns[c].across - across) < std::abs(columns[best].across - across))
                best = c;
        }
        taken_[half] |= 1u << best;
        return {h.board, h.row, best};
    }

    /// The hole of a strip nearest to a place down the boards.
    Hole in_piece(int piece, double down) {
        const Piece& p = layout_.pieces[piece];
        int best = -1;
        double least = std::numeric_limits<double>::infinity();
        for (std::size_t k = 0; k < strips_[piece].size(); ++k) {
            const double d = std::abs(layout_.top(p.board) + p.first + static_cast<double>(k) - down);
            if (!strips_[piece][k] && d < least) least = d, best = static_cast<int>(k);
        }
        strips_[piece][best] = true;
        return {p.board, p.first + best, p.column};
    }

  private:
    const Layout& layout_;
    std::vector<unsigned> taken_;
    std::vector<std::vector<bool>> strips_;
};

WireEnd end_of(const Layout& layout, const TreeNode& node, const BoardPoint& own, const BoardPoint& other,
               FreeHoles& holes) {
    WireEnd end;
    switch (node.kind) {
        case TreeNode::Kind::half:
            end.hole = holes.in_half(node.index, other.across);
            break;
        case TreeNode::Kind::piece:
            end.hole = holes.in_piece(node.index, own.down);
            break;
        case TreeNode::Kind::pin:
            end.kind = WireEnd::Kind::pin, end.part = node.index, end.pin = node.pin;
            break;
        case TreeNode::Kind::plus:
        case TreeNode::Kind::zero:
            end.kind = node.kind == TreeNode::Kind::plus ? WireEnd::Kind::supply : WireEnd::Kind::ground;
            end.rail = layout.bench->rails[node.index].name;
            break;
    }
    return end;
}

double metres_of(const Layout& layout, const Placement& placement, const Branch& branch, const LaidWire& wire) {
    using Kind = WireEnd::Kind;
    const auto at = [&](const WireEnd& end, const TreeNode& node) {
        return end.kind == Kind::hole ? point_of(placement, end.hole) : layout.point(node, {});
    };
    const BoardPoint a = at(wire.from, branch.a), b = at(wire.to, branch.b);
    const double straight = std::hypot(a.across - b.across, a.down - b.down) * pitch_metres;
    if (wire.from.kind == Kind::hole && wire.to.kind == Kind::hole)
        return std::ceil((straight + 2 * stripped) / cut_step - 1e-9) * cut_step;
    for (const WireEnd* end : {&wire.from, &wire.to})
        if (end->kind == Kind::supply || end->kind == Kind::ground) return lead_metres;
    for (const double length : jumper_lengths)
        if (straight * slack <= length) return length;
    return std::ceil(straight * slack / 0.1) * 0.1;
}

/// The pin that makes a half row what it is: of a package before leads of small parts.
struct Owner {
    int part = -1, pin = -1;
};

std::vector<Owner> owners_of(const Layout& layout) {
    std::vector<Owner> owners(layout.halves.size());
    for (std::size_t p = 0; p < layout.parts.size(); ++p)
        for (std::size_t n = 0; n < layout.parts[p].holes.size(); ++n) {
            const Hole& hole = layout.parts[p].holes[n];
            const BoardColumn& column = layout.boards[hole.board]->columns[hole.column];
            const int pin = layout.wiring.parts[p].package->pin_of_number[n];
            if (column.strip || pin < 0) continue;
            Owner& owner = owners[layout.half_of(hole.board, hole.row, column.side)];
            if (owner.part < 0 || layout.footprints[p].kind == FootprintKind::dip)
                owner = {static_cast<int>(p), pin};
        }
    return owners;
}

void say_use(const Layout& layout, const std::vector<Owner>& owners, const Branch& branch, LaidWire& wire) {
    const Net& net = layout.wiring.nets[wire.net];
    const auto owner = [&](const TreeNode& node) -> Owner {
        if (node.kind == TreeNode::Kind::pin) return {node.index, node.pin};
        return node.kind == TreeNode::Kind::half ? owners[node.index] : Owner{};
    };
    if (!net.ground && net.rail.empty()) {
        wire.use = WireUse::signal;
        wire.reason = net.name;
        return;
    }
    wire.use = net.ground ? WireUse::ground : WireUse::supply;
    if (branch.a.kind == TreeNode::Kind::piece && branch.b.kind == TreeNode::Kind::piece) {
        wire.use = WireUse::bridge;
        wire.reason = "bridges strips: " + net.name;
        return;
    }
    for (const TreeNode* node : {&branch.b, &branch.a}) {
        if (node->kind == TreeNode::Kind::plus || node->kind == TreeNode::Kind::zero)
            wire.reason = net.name + " from its supply";
        const auto [part, pin] = owner(*node);
        if (part < 0 || !wire.reason.empty()) continue;
        const WiredPart& of = layout.wiring.parts[part];
        const Pin& at = of.type->pins[pin];
        wire.reason = fmt::format("{} of {}.{}", net.name, of.name, at.name);
        if (at.role != PinRole::ground && at.role != PinRole::supply) wire.use = WireUse::strap;
    }
    if (wire.reason.empty()) wire.reason = net.name;
}

bool crosses(const BoardPoint& a, const BoardPoint& b, const BoardPoint& c, const BoardPoint& d) {
    const auto turn = [](const BoardPoint& p, const BoardPoint& q, const BoardPoint& r) {
        const double t = (q.across - p.across) * (r.down - p.down) - (q.down - p.down) * (r.across - p.across);
        return t > 1e-9 ? 1 : t < -1e-9 ? -1 : 0;
    };
    return turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0;
}

}  // namespace

std::vector<std::string> colours_of(const Bench& bench, const Wiring& wiring) {
    static constexpr std::pair<double, const char*> by_volts[] = {
        {1.5, "PK"}, {2.2, "VT"}, {2.8, "TQ"}, {4.0, "OG"}, {6.0, "RD"}, {10.5, "GY"}, {15.0, "BN"}, {1e9, "WH"}};
    std::vector<std::string> colours(wiring.nets.size());
    std::set<std::string> used;
    for (std::size_t n = 0; n < wiring.nets.size(); ++n) {
        if (wiring.nets[n].ground) colours[n] = "BK";
        const Rail* rail = wiring.nets[n].rail.empty() ? nullptr : bench.rail(wiring.nets[n].rail);
        if (!rail) continue;
        const double volts = std::abs(rail->volts.span.nominal.si());
        colours[n] = std::ranges::find_if(by_volts, [&](const auto& row) { return volts <= row.first; })->second;
        used.insert(colours[n]);
    }
    std::vector<std::string> left;
    for (const char* code : {"YE", "GN", "BU", "WH", "GY", "PK", "TQ"})
        if (!used.contains(code)) left.push_back(code);
    std::size_t next = 0;
    for (std::string& colour : colours)
        if (colour.empty()) colour = left[next++ % left.size()];
    return colours;
}

Placement lay(const Layout& layout) {
    Placement placement{layout.boards, layout.parts, {}};
    struct Task {
        Branch branch;
        NetId net;
        double length;
    };
    std::vector<Task> tasks;
    for (std::size_t n = 0; n < layout.nets.size(); ++n)
        for (const Branch& branch : layout.nets[n].tree) {
            const auto [a, b] = layout.points(branch);
            tasks.push_back({branch, static_cast<NetId>(n), std::hypot(a.across - b.across, a.down - b.down)});
        }
    // Short wires first: they gain most from the hole next door.
    std::ranges::stable_sort(tasks, {}, &Task::length);
    const std::vector<Owner> owners = owners_of(layout);
    const std::vector<std::string> colours = colours_of(*layout.bench, layout.wiring);
    FreeHoles holes(layout);
    for (const auto& [branch, net, length] : tasks) {
        LaidWire wire{.net = net, .colour = colours[net]};
        const auto [a, b] = layout.points(branch);
        wire.from = end_of(layout, branch.a, a, b, holes);
        wire.to = end_of(layout, branch.b, b, a, holes);
        say_use(layout, owners, branch, wire);
        wire.metres = metres_of(layout, placement, branch, wire);
        placement.wires.push_back(std::move(wire));
    }
    const auto order = [](const LaidWire& w) {
        const Hole& hole = w.to.kind == WireEnd::Kind::hole ? w.to.hole : w.from.hole;
        return std::tuple(w.use, w.net, hole.board, hole.row, hole.column);
    };
    std::ranges::stable_sort(placement.wires, {}, order);
    int number = 0;
    for (LaidWire& wire : placement.wires) wire.number = ++number;
    return placement;
}

int crossings_of(const Bench& bench, const Placement& placement) {
    std::vector<std::pair<BoardPoint, BoardPoint>> lines;
    for (const LaidWire& wire : placement.wires)
        lines.emplace_back(point_of(placement, bench, wire.from), point_of(placement, bench, wire.to));
    int count = 0;
    for (std::size_t i = 0; i < lines.size(); ++i)
        for (std::size_t j = 0; j < i; ++j)
            count += crosses(lines[i].first, lines[i].second, lines[j].first, lines[j].second);
    return count;
}

}  // namespace voltsill
