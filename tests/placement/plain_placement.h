#pragma once
/// A placement without any art, so that tests of slips do not lean on the search: parts one below the
/// other, each header pin on a row of its own, the members of a net chained by wires; supplies come in over
/// a strip. `gap` rows are left free between rows in use.
#include <algorithm>
#include <map>
#include <set>

#include "wiring/placement.h"

namespace voltsill::plain {

/// A board of 60 rows, columns a to e and f to j, with two strips on each side.
inline std::shared_ptr<const BoardKind> board(int rows = 60) {
    auto kind = std::make_shared<BoardKind>();
    kind->name = "sixty";
    kind->rows = rows;
    double across = 0;
    const auto strip = [&](const char* name, const char* mark, int side) {
        kind->columns.push_back({.name = name,
                                 .strip = true,
                                 .mark = mark,
                                 .side = side,
                                 .across = across++,
                                 .segments = {{1, rows}}});
    };
    strip("w", "-", 0), strip("x", "+", 0);
    for (const char* name : {"a", "b", "c", "d", "e"})
        kind->columns.push_back({.name = name, .side = 0, .across = across++});
    across += 2;
    for (const char* name : {"f", "g", "h", "i", "j"})
        kind->columns.push_back({.name = name, .side = 1, .across = across++});
    strip("y", "-", 1), strip("z", "+", 1);
    return kind;
}

class Placing {
  public:
    Placing(const Bench& bench, const Wiring& wiring, int gap) : bench_(bench), wiring_(wiring), gap_(gap) {}

    Placement run() {
        out_.parts.resize(wiring_.parts.size());
        members_.resize(wiring_.nets.size());
        for (std::size_t p = 0; p < wiring_.parts.size(); ++p) place(static_cast<int>(p));
        for (const Rail& rail : bench_.rails) {
            if (!rail.from.empty()) continue;
            land({.kind = WireEnd::Kind::ground, .rail = rail.name}, wiring_.ground(), WireUse::ground);
            land({.kind = WireEnd::Kind::supply, .rail = rail.name}, wiring_.rail(rail.name),
                 WireUse::supply);
        }
        for (std::size_t n = 0; n < members_.size(); ++n)
            for (std::size_t k = 1; k < members_[n].size(); ++k)
                wire(in_row(members_[n][k - 1]), in_row(members_[n][k]), static_cast<NetId>(n),
                     WireUse::signal);
        return std::move(out_);
    }

  private:
    struct Half {
        int board, row, side;
        auto operator<=>(const Half&) const = default;
    };
    /// `count` rows, free on both sides.
    Half rows(int count) {
        if (board_ < 0 || row_ + count - 1 > out_.boards[board_]->rows) {
            out_.boards.push_back(board());
            ++board_;
            row_ = 1;
        }
        const Half first{board_, row_, 0};
        row_ += count + gap_;
        return first;
    }
    Hole hole(const Half& half, const char* column) const {
        return {half.board, half.row, out_.boards[half.board]->column(column)};
    }
    WireEnd in_row(const Half& half) {
        static const std::vector<const char*> left{"a", "b", "c", "d"}, right{"j", "i", "h", "g"};
        return {.kind = WireEnd::Kind::hole,
                .hole = hole(half, (half.side == 0 ? left : right).at(used_[half]++))};
    }
    void wire(WireEnd from, WireEnd to, NetId net, WireUse use) {
        out_.wires.push_back({.number = static_cast<int>(out_.wires.size()) + 1,
                              .from = std::move(from),
                              .to = std::move(to),
                              .net = net,
                              .use = use,
                              .metres = 0.1});
    }
    void land(WireEnd end, NetId net, WireUse use) {
        if (net < 0) return;
        const Half half = rows(1);
        if (use == WireUse::signal) {
            wire(std::move(end), in_row(half), net, use);
        } else {  // by way of a strip
            const char* strip = use == WireUse::ground ? "w" : "x";
            const Hole out = hole(half, strip), back{out.board, out.row == 1 ? 2 : out.row - 1, out.column};
            const bool shared =
                !strips_.insert({half.board, net}).second || strips_of_[{half.board, use}]++ > 0;
            if (shared) {
                wire(std::move(end), in_row(half), net, use);
            } else {
                wire(std::move(end), {.kind = WireEnd::Kind::hole, .hole = out}, net, use);
                wire({.kind = WireEnd::Kind::hole, .hole = back}, in_row(half), net, use);
            }
        }
        members_[net].push_back(half);
    }
    void place(int p) {
        const WiredPart& part = wiring_.parts[p];
        if (!part.package || part.type->kind == PartKind::module) {
            for (std::size_t k = 0; k < part.net_of_pin.size(); ++k)
                land({.kind = WireEnd::Kind::pin, .part = p, .pin = static_cast<int>(k)}, part.net_of_pin[k],
                     WireUse::signal);
            return;
        }
        const auto& numbers = part.package->pin_of_number;
        const int count = static_cast<int>(numbers.size());
        const bool dip = count > 3;
        const Half first = rows(dip ? count / 2 : count);
        for (int n = 0; n < count; ++n) {
            const bool right = dip && n >= count / 2;
            const Half half{first.board, first.row + (right ? count - 1 - n : n), right};
            out_.parts[p].holes.push_back(hole(half, right ? "f" : "e"));
            const NetId net = numbers[n] < 0 ? unconnected : part.net_of_pin[numbers[n]];
            if (net >= 0) members_[net].push_back(half);
        }
    }

    const Bench& bench_;
    const Wiring& wiring_;
    int gap_, board_ = -1, row_ = 1;
    Placement out_;
    std::vector<std::vector<Half>> members_;
    std::map<Half, int> used_;
    std::set<std::pair<int, NetId>> strips_;
    std::map<std::pair<int, WireUse>, int> strips_of_;
};

inline Placement place(const Bench& bench, const Wiring& wiring, int gap = 0) {
    return Placing(bench, wiring, gap).run();
}

}  // namespace voltsill::plain
