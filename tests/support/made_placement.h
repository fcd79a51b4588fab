#pragma once
/// A placement of any wiring, right but not good: packages down the trench, small parts below them, wires
/// from net to net as they come. For tests of what is done with placements.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "drawing/package_plan.h"
#include "wiring/placement.h"

namespace voltsill::made {

/// 63 rows, four strips in groups of five holes, split in the middle, as boards are commonly made.
inline std::shared_ptr<const BoardKind> board(int rows = 63, bool strips = true) {
    BoardKind kind{.name = "made", .title = "made for tests", .rows = rows};
    const auto strip = [&](const char* name, int side, const char* mark) {
        BoardColumn column{.name = name, .strip = true, .mark = mark, .side = side};
        const int half = rows / 2;
        column.segments = {{1, half}, {half + 2, rows}};
        for (const auto& [first, last] : column.segments)
            for (int row = first + 5; row <= last; row += 6) column.no_holes.push_back(row);
        kind.columns.push_back(column);
    };
    if (strips) strip("s", 0, "-"), strip("t", 0, "+");
    for (const char* name : {"a", "b", "c", "d", "e", "f", "g", "h", "i", "j"})
        kind.columns.push_back({.name = name, .side = *name < 'f' ? 0 : 1});
    if (strips) strip("x", 1, "-"), strip("y", 1, "+");
    return std::make_shared<const BoardKind>(std::move(kind));
}

class Placer {
  public:
    Placer(const Wiring& wiring, std::shared_ptr<const BoardKind> kind) : wiring_(wiring), kind_(std::move(kind)) {
        out_.parts.resize(wiring.parts.size());
        add_board();
        for (const bool large : {true, false})
            for (std::size_t p = 0; p < wiring.parts.size(); ++p) {
                const WiredPart& part = wiring.parts[p];
                const std::size_t pins = part.package ? part.package->pin_of_number.size() : 0;
                if (part.type->kind == PartKind::module || pins < 2) continue;
                if ((pins > 3) == large) place_part(int(p));
            }
        for (std::size_t n = 0; n < wiring.nets.size(); ++n) lay_net(NetId(n));
        return_numbers();
    }
    Placement placement() && { return std::move(out_); }

  private:
    void add_board() {
        out_.boards.push_back(kind_);
        row_ = 1;
    }
    int column(const char* name) const {
        for (std::size_t c = 0; c < kind_->columns.size(); ++c)
            if (kind_->columns[c].name == name) return int(c);
        return -1;
    }
    void place_part(int p) {
        const WiredPart& part = wiring_.parts[p];
        const int pins = int(part.package->pin_of_number.size());
        const bool dual = pins > 3 && drawing::two_rows(*part.package);
        const int high = dual ? (pins + 1) / 2 : pins == 2 ? (p % 3 == 0 ? 5 : 1) : pins;
        if (row_ + high > kind_->rows) add_board();
        std::vector<Hole> holes;
        for (int n = 0; n < pins; ++n) {
            Hole hole{.board = int(out_.boards.size()) - 1};
            if (dual && n >= high)
                hole.row = row_ + pins - 1 - n, hole.column = column("f");
            else if (dual)
                hole.row = row_ + n, hole.column = column("e");
            else if (pins == 2 && high == 1)
                hole.row = row_, hole.column = column(n == 0 ? "d" : "g");
            else
                hole.row = row_ + (pins == 2 ? n * (high - 1) : n), hole.column = column("c");
            holes.push_back(hole);
            used_.insert(key(hole));
        }
        out_.parts[p].holes = holes;
        row_ += high + (dual ? 1 : 0);
    }
    static std::tuple<int, int, int> key(const Hole& h) { return {h.board, h.row, h.column}; }

    /// A free hole of the node that `near` lies in, if there is one.
    std::optional<Hole> beside(const Hole& near) const {
        const BoardColumn& at = kind_->columns[near.column];
        for (int step = 0; step < kind_->rows; ++step)
            for (std::size_t c = 0; c < kind_->columns.size(); ++c)
                for (const int row : {near.row + step, near.row - step}) {
                    const Hole hole{near.board, row, int(c)};
                    if (kind_->columns[c].strip != at.strip || (at.strip && int(c) != near.column)) continue;
                    if (!kind_->has_hole(row, int(c)) || used_.contains(key(hole))) continue;
                    if (kind_->node_of(row, int(c)) == kind_->node_of(near.row, near.column)) return hole;
                }
        return std::nullopt;
    }
    std::optional<WireEnd> end_at(const WireEnd& point) {
        if (point.kind != WireEnd::Kind::hole) return point;
        const auto hole = beside(point.hole);
        if (!hole) return std::nullopt;
        used_.insert(key(*hole));
        return WireEnd{.kind = WireEnd::Kind::hole, .hole = *hole};
    }
    WireEnd fresh_node(bool strip_wanted) {
        if (strip_wanted) {
            for (std::size_t c = 0; c < kind_->columns.size(); ++c)
                for (const auto& [first, last] : kind_->columns[c].segments) {
                    const Hole hole{0, first, int(c)};
                    if (strips_.insert(key(hole)).second) return {.kind = WireEnd::Kind::hole, .hole = hole};
                }
        }
        if (row_ > kind_->rows) add_board();
        return {.kind = WireEnd::Kind::hole, .hole = {int(out_.boards.size()) - 1, row_++, column("b")}};
    }
    void join(const WireEnd& a, const WireEnd& b, NetId net, WireUse use) {
        const auto from = end_at(a), to = end_at(b);
        if (!from || !to) return;
        out_.wires.push_back({.from = *from, .to = *to, .net = net, .use = use, .metres = 0.1,
                              .colour = use == WireUse::ground ? "BK" : use == WireUse::supply ? "RD" : "BU",
                              .reason = wiring_.nets[net].name});
    }
    void lay_net(NetId net) {
        const Net& n = wiring_.nets[net];
        std::vector<WireEnd> points;
        if (!n.rail.empty() && wiring_.nets[net].name.starts_with("rail"))
            points.push_back({.kind = WireEnd::Kind::supply, .hole = {}, .rail = n.rail});
        if (n.ground) points.push_back({.kind = WireEnd::Kind::ground, .hole = {}, .rail = "bench"});
        for (std::size_t p = 0; p < wiring_.parts.size(); ++p)
            for (std::size_t k = 0; k < wiring_.parts[p].net_of_pin.size(); ++k) {
                if (wiring_.parts[p].net_of_pin[k] != net) continue;
                if (!out_.parts[p].on_board()) {
                    points.push_back(
                        {.kind = WireEnd::Kind::pin, .hole = {}, .part = int(p), .pin = int(k), .rail = {}});
                    continue;
                }
                const auto& numbers = wiring_.parts[p].package->pin_of_number;
                for (std::size_t i = 0; i < numbers.size(); ++i)
                    if (numbers[i] == int(k))
                        points.push_back({.kind = WireEnd::Kind::hole, .hole = out_.parts[p].holes[i]});
            }
        if (points.size() < 2) return;
        const bool shared = n.ground || !n.rail.empty();
        const WireUse use = n.ground ? WireUse::ground : shared ? WireUse::supply : WireUse::signal;
        if (!shared && points.size() == 2) return join(points[0], points[1], net, use);
        WireEnd hub = fresh_node(shared);
        int free = 4;
        for (std::size_t k = 0; k < points.size(); ++k) {
            if (!shared && --free == 0) {  // a row has five holes
                const WireEnd next = fresh_node(false);
                join(hub, next, net, use);
                hub = next;
                free = 3;
            }
            join(hub, points[k], net, use);
        }
    }
    void return_numbers() {
        std::ranges::stable_sort(out_.wires, {}, &LaidWire::use);
        for (std::size_t w = 0; w < out_.wires.size(); ++w) out_.wires[w].number = int(w) + 1;
    }

    const Wiring& wiring_;
    std::shared_ptr<const BoardKind> kind_;
    Placement out_;
    std::set<std::tuple<int, int, int>> used_, strips_;
    int row_ = 1;
};

inline Placement placement(const Wiring& wiring, std::shared_ptr<const BoardKind> kind = board()) {
    return Placer(wiring, std::move(kind)).placement();
}

}  // namespace voltsill::made
