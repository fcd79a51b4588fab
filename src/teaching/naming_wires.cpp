/// Mistakes named by wires: the learner's wires are paired with those of the sheet.
///
/// Wires between the same two nodes are the same. Of the rest, two that share one node are one wire with an
/// end elsewhere, nearest first; what is left is missing or extra. A difference counts only if mending it
/// alone changes the nets, so that a chain in another order is no mistake; and the names hold only if
/// mending all of them makes the wanted nets.
#include <algorithm>
#include <cmath>
#include <map>

#include "teaching/marking_inside.h"
#include "teaching/naming.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

constexpr std::size_t most_differences = 16;  ///< beyond them the build is another one, named by nets

using NodePair = std::pair<int, int>;

struct WireNodes {
    int from = -1, to = -1;
    NodePair sorted() const { return std::minmax(from, to); }
};

class WirePairing {
  public:
    WirePairing(PreparedMarking::Inside& in, const LearnerBuild& build, const SlipNets::Key& key)
        : in_(in), placement_(build.placement), key_(key) {}

    std::optional<std::vector<Mistake>> run() {
        if (!pair_up()) return std::nullopt;
        join_exchanged();
        std::erase_if(found_, [&](const WireMistake& m) { return nets_after({m}) == key_; });
        if (found_.empty() || nets_after(found_) != in_.key) return std::nullopt;
        for (std::size_t k = found_.size(); k-- > 0 && found_.size() > 1;) {  // what need not be mended is no mistake
            std::vector<WireMistake> others = found_;
            others.erase(others.begin() + static_cast<std::ptrdiff_t>(k));
            if (nets_after(others) == in_.key) found_ = std::move(others);
        }
        std::vector<Mistake> out;
        for (const WireMistake& m : found_) out.push_back(named(in_, m));
        return out;
    }

  private:
    /// Tie points by node of their board, pins in holes by their hole, the rest by numbers behind.
    int node(const WireEnd& end) const {
        int first = 0;
        const auto of_hole = [&](const Hole& hole) {
            for (int b = 0; b < hole.board; ++b) first += placement_.boards[b]->node_count();
            return first + placement_.boards[hole.board]->node_of(hole.row, hole.column);
        };
        if (end.kind == WireEnd::Kind::hole) return of_hole(end.hole);
        if (end.kind == WireEnd::Kind::pin) {
            const auto& holes = in_.build.placement.parts;
            const WiredPart& part = in_.build.wiring.parts[end.part];
            if (end.part < static_cast<int>(holes.size()) && holes[end.part].on_board())
                if (const int n = number_of(part, end.pin);
                    n > 0 && n <= static_cast<int>(holes[end.part].holes.size()))
                    return of_hole(holes[end.part].holes[n - 1]);
        }
        for (const auto& board : placement_.boards) first += board->node_count();
        if (end.kind == WireEnd::Kind::pin) return first + in_.joints.pin(end.part, end.pin);
        first += in_.joints.count();
        const auto rail = std::ranges::find(in_.bench.rails, end.rail, &Rail::name);
        return first + 2 * static_cast<int>(rail - in_.bench.rails.begin()) + (end.kind == WireEnd::Kind::ground);
    }
    WireNodes nodes(const LaidWire& wire) const { return {node(wire.from), node(wire.to)}; }

    double distance(const WireEnd& a, const WireEnd& b) const {
        if (a.kind == WireEnd::Kind::hole && b.kind == WireEnd::Kind::hole) {
            const BoardPoint p = point_of(placement_, a.hole), q = point_of(placement_, b.hole);
            return std::hypot(p.across - q.across, p.down - q.down);
        }
        constexpr double elsewhere = 1000, other_part = 500;
        if (a.kind != b.kind) return elsewhere;
        return a.part == b.part ? std::abs(a.pin - b.pin) : other_part;
    }

    bool pair_up() {
        const auto& wanted = in_.build.placement.wires;
        std::multimap<NodePair, int> open;
        for (std::size_t w = 0; w < wanted.size(); ++w) {
            wanted_nodes_.push_back(nodes(wanted[w]));
            open.emplace(wanted_nodes_[w].sorted(), static_cast<int>(w));
        }
        std::vector<int> drawn, missing;
        std::vector<WireNodes> drawn_nodes;
        for (std::size_t w = 0; w < placement_.wires.size(); ++w) {
            const WireNodes at = nodes(placement_.wires[w]);
            if (const auto same = open.find(at.sorted()); same != open.end())
                open.erase(same);
            else if (at.from != at.to)
                drawn.push_back(static_cast<int>(w)), drawn_nodes.push_back(at);
        }
        for (const auto& [at, w] : open) missing.push_back(w);
        std::ranges::sort(missing);
        if (drawn.size() + missing.size() > most_differences) return false;
        shared_ends(missing, drawn, drawn_nodes);
        return true;
    }

    void shared_ends(std::vector<int> missing, std::vector<int> drawn, const std::vector<WireNodes>& drawn_nodes) {
        struct Candidate {
            double away;
            int wire, drawn;
            bool at_from, drawn_at_from;
        };
        std::vector<Candidate> candidates;
        for (const int w : missing)
            for (std::size_t d = 0; d < drawn.size(); ++d)
                for (const bool at_from : {true, false})
                    for (const bool drawn_from : {true, false}) {
                        const WireNodes &a = wanted_nodes_[w], &b = drawn_nodes[d];
                        if ((at_from ? a.to : a.from) != (drawn_from ? b.to : b.from)) continue;
                        const LaidWire& wanted = in_.build.placement.wires[w];
                        const LaidWire& made = placement_.wires[drawn[d]];
                        candidates.push_back(
                            {distance(at_from ? wanted.from : wanted.to, drawn_from ? made.from : made.to), w, drawn[d],
                             at_from, drawn_from});
                    }
        std::ranges::stable_sort(candidates, {}, &Candidate::away);
        for (const Candidate& c : candidates) {
            const auto w = std::ranges::find(missing, c.wire);
            const auto d = std::ranges::find(drawn, c.drawn);
            if (w == missing.end() || d == drawn.end()) continue;
            missing.erase(w), drawn.erase(d);
            const LaidWire& made = placement_.wires[c.drawn];
            found_.push_back({.kind = MistakeKind::wrong_place,
                              .wire = c.wire,
                              .at_from = c.at_from,
                              .is = c.drawn_at_from ? made.from : made.to,
                              .drawn = c.drawn});
        }
        for (const int w : missing) found_.push_back({.kind = MistakeKind::wire_missing, .wire = w});
        for (const int d : drawn)
            found_.push_back({.kind = MistakeKind::extra_wire,
                              .is = placement_.wires[d].from,
                              .far = placement_.wires[d].to,
                              .drawn = d});
    }

    /// Two wires that each have an end where that of the other belongs.
    void join_exchanged() {
        for (std::size_t a = 0; a < found_.size(); ++a)
            for (std::size_t b = a + 1; b < found_.size(); ++b) {
                WireMistake &x = found_[a], &y = found_[b];
                if (x.kind != MistakeKind::wrong_place || y.kind != MistakeKind::wrong_place) continue;
                if (node(x.is) != node(right_end(in_, y.wire, y.at_from)) ||
                    node(y.is) != node(right_end(in_, x.wire, x.at_from)))
                    continue;
                x.kind = MistakeKind::exchanged;
                x.other = y.wire, x.other_at_from = y.at_from, x.other_is = y.is, x.other_drawn = y.drawn;
                found_.erase(found_.begin() + static_cast<std::ptrdiff_t>(b));
                break;
            }
        for (WireMistake& m : found_)
            if (m.kind == MistakeKind::wrong_place) m.kind = kind_of_end(in_, right_end(in_, m.wire, m.at_from), m.is);
    }

    SlipNets::Key nets_after(const std::vector<WireMistake>& mended) const {
        Placement placement = placement_;
        for (const WireMistake& m : mended) mend(placement, m);
        return in_.key_of(placement);
    }
    void mend(Placement& placement, const WireMistake& m) const {
        const auto& wanted = in_.build.placement.wires;
        if (m.kind == MistakeKind::wire_missing) {
            placement.wires.push_back(wanted[m.wire]);
        } else if (m.kind == MistakeKind::extra_wire) {
            placement.wires[m.drawn].to = placement.wires[m.drawn].from;
        } else {
            placement.wires[m.drawn] = wanted[m.wire];
            if (m.other >= 0) placement.wires[m.other_drawn] = wanted[m.other];
        }
    }

    PreparedMarking::Inside& in_;
    const Placement& placement_;
    const SlipNets::Key& key_;
    std::vector<WireNodes> wanted_nodes_;
    std::vector<WireMistake> found_;
};

}  // namespace

std::optional<std::vector<Mistake>> mistakes_by_wires(PreparedMarking::Inside& in, const LearnerBuild& build,
                                                      const SlipNets::Key& key) {
    return WirePairing(in, build, key).run();
}

}  // namespace voltsill
