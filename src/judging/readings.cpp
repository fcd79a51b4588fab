/// What every point shows in every state.
///
/// A rail that is down joins all that hangs on it to one island, and a corner of each of its nodes would
/// be a solve of the whole. Where that island is taken apart (scene.h) only the rails themselves
/// are bounded in the whole; a node inside a branch rises with the rail it hangs on, as with any source in
/// a network of monotone elements, so its bounds are those of the branch with the rail held at its own
/// bounds. They may be a little wide, never too narrow, and the work grows with the number of branches.
#include <algorithm>
#include <map>

#include "judging/inspection.h"

namespace voltsill {
namespace {

/// Ranges of the nodes of one island at one combination of levels, each computed once.
class NodeRanges {
  public:
    NodeRanges(Inspection& in, const Scene& scene, int island, const Combination& combination)
        : in_(in),
          scene_(scene),
          index_(island),
          island_(scene.islands[island]),
          levels_(combination.levels),
          apart_(scene.apart[island]) {
        solved_ = solve(island_, levels_, island_.nominal, volts_, in.effort);
        if (!solved_) return;
        ohms_ = resistances(island_, levels_, island_.nominal, volts_);
        if (apart_) bound_rails(), hold_branches();
    }

    /// At a node of the circuit; `solved` is false where the network did not converge.
    const Range& of(Node node) {
        const auto [at, fresh] = known_.try_emplace(node);
        if (!fresh) return at->second;
        at->second = solved_ ? ranged(node) : Range{.solved = false};
        return at->second;
    }
    bool floats(Node node) const { return solved_ && ohms_[island_.local(node)] >= open_ohms; }

  private:
    struct Branch {
        Island low, high;  ///< with the rails that are down at either end of their range
        Levels levels;
        bool bounded = true;  ///< so are all of these rails
    };

    void bound_rails() {
        for (const RailSite& rail : in_.circuit.rails)
            if (scene_.island_of_node[rail.node] == index_) known_[rail.node] = whole(rail.node);
    }

    void hold_branches() {
        for (const Island& piece : scene_.branches) {
            if (scene_.island_of_node[piece.node_of.at(1)] != index_) continue;
            if (std::ranges::any_of(piece.stand_ins, [](const auto& s) { return !s.lifted; })) continue;
            Branch branch{.low = piece, .high = piece, .levels = {}};
            for (const Island::StandIn& s : piece.stand_ins) {
                const Range& rail = known_.at(in_.circuit.rails[s.rail].node);
                branch.low.set_stand_in(s, rail.lo), branch.high.set_stand_in(s, rail.hi);
                branch.bounded = branch.bounded && rail.solved;
            }
            for (const StageId s : piece.stage_of) branch.levels.push_back(levels_[island_.local_stage(s)]);
            for (size_t n = 1; n < piece.node_of.size(); ++n)
                branch_of_.try_emplace(piece.node_of[n], branches_.size());
            branches_.push_back(std::move(branch));
        }
    }

    Range whole(Node node) {
        return leaky_range(in_, scene_, island_, levels_, island_.local(node));
    }

    Range ranged(Node node) {
        const auto at = branch_of_.find(node);
        if (at == branch_of_.end()) return whole(node);
        const Branch& b = branches_[at->second];
        if (!b.bounded) return {.solved = false};
        const Functional here = voltage_of(b.low.local(node));
        const Range low = range_of(b.low, b.levels, here, in_.effort),
                    high = range_of(b.high, b.levels, here, in_.effort);
        const double nominal = volts_[island_.local(node)];
        return {.lo = std::min(low.lo, nominal),
                .nominal = nominal,
                .hi = std::max(high.hi, nominal),
                .exact = false,
                .solved = low.solved && high.solved};
    }

    Inspection& in_;
    const Scene& scene_;
    int index_;
    const Island& island_;
    const Levels& levels_;
    bool apart_, solved_ = false;
    std::vector<double> volts_, ohms_;
    std::map<Node, Range> known_;
    std::map<Node, size_t> branch_of_;
    std::vector<Branch> branches_;
};

void rails_that_are_up(const Bench& bench, const Circuit& circuit, const Scene& scene,
                       std::vector<StateReading>& out) {
    for (const RailSite& rail : circuit.rails) {
        if (scene.island_of_node[rail.node] >= 0) continue;
        const auto& v = bench.rail(rail.name)->volts.span;
        out.push_back({.point = "rail " + rail.name,
                       .net = "rail " + rail.name,
                       .state = scene.words,
                       .lo = v.lo.si(),
                       .nominal = v.nominal.si(),
                       .hi = v.hi.si(),
                       .level = '1'});
    }
}

}  // namespace

std::vector<StateReading> readings(const Bench& bench, const Wiring& wiring) {
    Inspection in{.bench = bench, .wiring = wiring, .circuit = lower(bench, wiring)};
    in.scenes = scenes_of(bench, in.circuit, in.effort);
    std::vector<StateReading> out;
    for (const Scene& scene : in.scenes) {
        rails_that_are_up(bench, in.circuit, scene, out);
        for (size_t i = 0; i < scene.islands.size(); ++i)
            for (const Combination& c : combinations(in.circuit, scene, scene.islands[i])) {
                NodeRanges ranges(in, scene, static_cast<int>(i), c);
                for (const int s : scene.islands[i].pins) {
                    const PinSite& site = in.circuit.pins[s];
                    if (auto r =
                            reading_of(in, scene, c, site, ranges.of(site.node), ranges.floats(site.node)))
                        out.push_back(std::move(*r));
                }
            }
    }
    return out;
}

}  // namespace voltsill
