#include "placement/search.h"

namespace voltsill {
namespace {

/// What may be lost by one change at the beginning: about three harmful slips (our choice, by trials).
constexpr long first_threshold = 3 * slip_cost;
constexpr int report_each = 512;
constexpr int module_share = 64;  ///< one move of so many is one of modules

}  // namespace

Snapshot snapshot(const Layout& layout, long cost) {
    Snapshot snap{layout.parts, {}, {}, cost};
    for (std::size_t half = 0; half < layout.halves.size(); ++half)
        for (int n = 0; n < layout.halves[half].junctions; ++n)
            snap.junctions.emplace_back(static_cast<int>(half), layout.halves[half].net);
    for (const WiredPart& part : layout.wiring.parts) snap.net_of_pin.push_back(part.net_of_pin);
    return snap;
}

void restore(Layout& layout, const Snapshot& snap) {
    for (std::size_t p = 0; p < layout.parts.size(); ++p) layout.lift(static_cast<int>(p));
    for (std::size_t half = 0; half < layout.halves.size(); ++half)
        while (layout.halves[half].junctions > 0) layout.lift_junction(static_cast<int>(half));
    for (std::size_t p = 0; p < layout.parts.size(); ++p) {
        WiredPart& part = layout.wiring.parts[p];
        part.net_of_pin = snap.net_of_pin[p];
        for (std::size_t n = 0; n < layout.lead_nets[p].size(); ++n) {
            const int pin = part.package->pin_of_number[n];
            layout.lead_nets[p][n] = pin < 0 ? unconnected : part.net_of_pin[pin];
        }
    }
    for (std::size_t p = 0; p < layout.parts.size(); ++p) {
        layout.put(static_cast<int>(p), snap.parts[p].holes);
        layout.parts[p].right = snap.parts[p].right;
        layout.parts[p].down = snap.parts[p].down;
    }
    for (const auto& [half, net] : snap.junctions) layout.put_junction(half, net);
    for (std::size_t n = 0; n < layout.nets.size(); ++n) layout.grow(static_cast<NetId>(n));
}

Snapshot search(Layout& layout, const std::vector<Home>& homes, const NetPairHarm& harm, const SearchWork& work) {
    Score score(layout, harm);
    Random random(work.seed);
    Moves moves(layout, score, homes, random);
    long cost = score.cost();
    Snapshot best = snapshot(layout, cost);
    bool fresh = false;  // cheaper than `best` and not kept yet: it may get cheaper still
    const auto keep = [&] {
        if (fresh) best = snapshot(layout, cost);
        fresh = false;
    };
    for (long step = 0; step < work.moves; ++step) {
        if (step % report_each == 0 && work.progress && !work.progress(step)) break;
        const long left = work.moves - step;
        const long allowed = first_threshold * left / work.moves * left / work.moves;
        if (moves.has_modules() && random.below(module_share) == 0) {
            keep();
            moves.shuffle_modules();
            const long changed = score.rebuild();
            if (changed - cost <= allowed) {
                cost = changed;
                fresh = cost < best.cost;
                continue;
            }
            moves.unshuffle_modules();
            score.rebuild();
            continue;
        }
        if (!moves.propose()) continue;
        const long changed = score.settle();
        if (changed - cost > allowed || (fresh && changed > cost)) {
            moves.undo();
            keep();  // what is about to be left
            continue;
        }
        cost = changed;
        fresh = fresh || cost < best.cost;
    }
    keep();
    restore(layout, best);
    return best;
}

}  // namespace voltsill
