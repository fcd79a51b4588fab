/// Which slips a hand can make on a placement: ends of wires first, then wires left out, then parts.
#include <algorithm>
#include <set>
#include <tuple>

#include "placement/slip_nets.h"
#include "placement/slips.h"

namespace voltsill {
namespace {

using Key = std::tuple<int, int, int>;
Key key(const Hole& hole) { return {hole.board, hole.row, hole.column}; }

/// An end of a wire, or where it could be.
struct End {
    int wire;
    bool at_from;
    const WireEnd& at;
};

class Listing {
  public:
    Listing(const Bench& bench, const Wiring& wiring, const Placement& placement)
        : bench_(bench),
          wiring_(wiring),
          placement_(placement),
          nets_(bench, wiring),
          base_(nets_.of(placement)) {
        for (const PlacedPart& part : placement.parts)
            for (const Hole& hole : part.holes) taken_.insert(key(hole));
        for (std::size_t w = 0; w < placement.wires.size(); ++w)
            for (const bool from : {true, false}) {
                const WireEnd& end = from ? placement.wires[w].from : placement.wires[w].to;
                ends_.push_back({static_cast<int>(w), from, end});
                if (end.kind == WireEnd::Kind::hole) taken_.insert(key(end.hole));
            }
    }

    std::vector<Slip> run() {
        for (const End& end : ends_) {
            went_.clear();
            if (end.at.kind == WireEnd::Kind::hole)
                from_hole(end);
            else if (end.at.kind == WireEnd::Kind::pin)
                from_header(end);
            else
                from_supply(end);
        }
        swaps();
        for (std::size_t w = 0; w < placement_.wires.size(); ++w)
            take({.kind = SlipKind::wire_missing, .wire = static_cast<int>(w)});
        for (std::size_t p = 0; p < placement_.parts.size(); ++p)
            if (placement_.parts[p].on_board()) of_part(static_cast<int>(p));
        return std::move(out_);
    }

  private:
    const BoardKind& board(const Hole& hole) const { return *placement_.boards[hole.board]; }
    bool free(const Hole& hole) const {
        return board(hole).has_hole(hole.row, hole.column) && !taken_.contains(key(hole));
    }
    int node(const Hole& hole) const { return board(hole).node_of(hole.row, hole.column); }

    void take(Slip slip) {
        if (nets_.of(with_slip(placement_, slip)) != base_) out_.push_back(std::move(slip));
    }
    /// An end in another hole, once for each node it can get to.
    void move(const End& end, SlipKind kind, const Hole& to) {
        if (!free(to) || node(to) == node(end.at.hole)) return;
        if (!went_.insert({to.board, node(to)}).second) return;
        take({.kind = kind,
              .wire = end.wire,
              .at_from = end.at_from,
              .to = {.kind = WireEnd::Kind::hole, .hole = to}});
    }

    void from_hole(const End& end) {
        const Hole& at = end.at.hole;
        const auto& columns = board(at).columns;
        const int last = static_cast<int>(columns.size()) - 1;
        for (const int step : {-1, 1}) {
            Hole next = at;  // strips leave rows out
            next.row += step;
            while (columns[at.column].strip && next.row >= 1 && next.row <= board(at).rows &&
                   !board(at).has_hole(next.row, next.column))
                next.row += step;
            move(end, SlipKind::one_row_off, next);
        }
        for (const int step : {-1, 1})
            if (at.column + step >= 0 && at.column + step <= last) beside(end, at.column + step);
        facing(end);
        if (!columns[at.column].strip) return;
        for (int c = 0; c <= last; ++c)
            if (columns[c].strip && c != at.column) into_strip(end, c, SlipKind::wrong_strip);
    }
    void beside(const End& end, int column) {
        if (board(end.at.hole).columns[column].strip)
            into_strip(end, column, SlipKind::one_column_off);
        else
            move(end, SlipKind::one_column_off, {end.at.hole.board, end.at.hole.row, column});
    }
    /// The hole of a strip that is nearest to a row.
    void into_strip(const End& end, int column, SlipKind kind) {
        constexpr int farthest = 3;
        for (int away = 0; away <= farthest; ++away)
            for (const int row : {end.at.hole.row - away, end.at.hole.row + away})
                if (const Hole to{end.at.hole.board, row, column}; free(to)) return move(end, kind, to);
    }
    /// A pin of the same row: the wire belongs to it, and the pin over the trench faces it.
    void facing(const End& end) {
        const Hole& at = end.at.hole;
        const auto& columns = board(at).columns;
        if (columns[at.column].strip) return;
        const bool at_pin = std::ranges::any_of(placement_.parts, [&](const PlacedPart& part) {
            return part.holes.size() > most_bending_leads &&
                   std::ranges::any_of(
                       part.holes, [&](const Hole& h) { return h.board == at.board && node(h) == node(at); });
        });
        for (std::size_t c = 0; at_pin && c < columns.size(); ++c) {
            const Hole to{at.board, at.row, static_cast<int>(c)};
            if (!columns[c].strip && columns[c].side != columns[at.column].side && free(to))
                return move(end, SlipKind::facing_pin, to);
        }
    }

    /// Pins of a header in the order in which they lie.
    std::vector<int> header(int part) const {
        std::vector<int> pins;
        const WiredPart& wired = wiring_.parts[part];
        if (wired.package)
            for (const int pin : wired.package->pin_of_number) pins.push_back(pin);
        else
            for (std::size_t k = 0; k < wired.type->pins.size(); ++k) pins.push_back(static_cast<int>(k));
        return pins;
    }
    const End* end_at(const WireEnd& at) const {
        const auto found = std::ranges::find_if(ends_, [&](const End& e) { return e.at == at; });
        return found == ends_.end() ? nullptr : &*found;
    }
    void from_header(const End& end) {
        const std::vector<int> pins = header(end.at.part);
        for (std::size_t k = 0; k < pins.size(); ++k) {
            if (pins[k] != end.at.pin) continue;
            for (const int step : {-1, 1}) {
                const std::size_t next = k + step;  // wraps below 0
                if (next >= pins.size() || pins[next] < 0 || pins[next] == end.at.pin) continue;
                const WireEnd to{.kind = WireEnd::Kind::pin, .part = end.at.part, .pin = pins[next]};
                if (const End* there = end_at(to); !there)
                    take({.kind = SlipKind::header_pin_off,
                          .wire = end.wire,
                          .at_from = end.at_from,
                          .to = to});
                else if (step > 0)
                    swap(end, *there);
            }
        }
    }
    /// Terminals of supplies lie side by side and take more than one wire.
    void from_supply(const End& end) {
        for (const Rail& rail : bench_.rails) {
            if (!rail.from.empty()) continue;
            for (const WireEnd::Kind kind : {WireEnd::Kind::supply, WireEnd::Kind::ground}) {
                const WireEnd to{.kind = kind, .rail = rail.name};
                if (to != end.at)
                    take({.kind = SlipKind::wrong_strip, .wire = end.wire, .at_from = end.at_from, .to = to});
            }
            const WireEnd zero{.kind = WireEnd::Kind::ground, .rail = rail.name};
            if (const End* there = end_at(zero);
                there && end.at.kind == WireEnd::Kind::supply && end.at.rail == rail.name)
                swap(end, *there);
        }
    }

    void swap(const End& a, const End& b) {
        if (a.wire == b.wire) return;
        take({.kind = SlipKind::neighbours_swapped,
              .wire = a.wire,
              .at_from = a.at_from,
              .other = b.wire,
              .other_at_from = b.at_from,
              .to = b.at});
    }
    bool side_by_side(const Hole& a, const Hole& b) const {
        if (a.board != b.board || node(a) == node(b)) return false;
        const BoardColumn &x = board(a).columns[a.column], &y = board(b).columns[b.column];
        const int rows = std::abs(a.row - b.row), columns = std::abs(a.column - b.column);
        if (!x.strip && !y.strip) return rows == 1 && x.side == y.side;
        return columns <= 1 && rows <= 1;
    }
    void swaps() {
        for (std::size_t a = 0; a < ends_.size(); ++a)
            for (std::size_t b = a + 1; b < ends_.size(); ++b)
                if (ends_[a].at.kind == WireEnd::Kind::hole && ends_[b].at.kind == WireEnd::Kind::hole &&
                    side_by_side(ends_[a].at.hole, ends_[b].at.hole))
                    swap(ends_[a], ends_[b]);
    }

    void of_part(int p) {
        const std::vector<Hole>& holes = placement_.parts[p].holes;
        if (holes.size() <= most_bending_leads)
            for (std::size_t n = 0; n < holes.size(); ++n)
                for (const int step : {-1, 1}) {
                    Hole to = holes[n];
                    to.row += step;
                    if (free(to))
                        take({.kind = SlipKind::one_row_off,
                              .part = p,
                              .lead = static_cast<int>(n) + 1,
                              .to = {.kind = WireEnd::Kind::hole, .hole = to}});
                }
        for (const int step : {-1, 1}) {
            const bool fits = std::ranges::all_of(holes, [&](Hole hole) {
                hole.row += step;
                return free(hole) || (board(hole).has_hole(hole.row, hole.column) &&
                                      std::ranges::find(holes, hole) != holes.end());
            });
            if (fits) take({.kind = SlipKind::part_one_row_off, .part = p, .rows = step});
        }
        const PartKind kind = wiring_.parts[p].type->kind;
        const bool alike = kind == PartKind::resistor || kind == PartKind::capacitor;  // no polarity here
        if (!alike) take({.kind = SlipKind::part_turned, .part = p});
    }

    const Bench& bench_;
    const Wiring& wiring_;
    const Placement& placement_;
    SlipNets nets_;
    SlipNets::Key base_;
    std::set<Key> taken_;
    std::vector<End> ends_;
    std::set<std::pair<int, int>> went_;  ///< board and node, of the end at hand
    std::vector<Slip> out_;
};

}  // namespace

std::vector<Slip> slips_of(const Bench& bench, const Wiring& wiring, const Placement& placement) {
    return Listing(bench, wiring, placement).run();
}

}  // namespace voltsill
