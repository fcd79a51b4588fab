/// The way of a link: from its driver's island through channels to its receivers.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <deque>
#include <set>

#include "judging/steady.h"

namespace voltsill {
namespace {

struct Carrier {
    StageId stage = -1;
    DeviceId source = -1;  ///< analogue source instead of a stage
    bool inverted = false;
};

struct Tracing {
    Inspection& in;
    const Scene& scene;
    const Link& link;
    Trace trace;
    std::deque<Carrier> queue;
    std::set<StageId> seen;

    bool is_end(const std::vector<PinRef>& ends, const PinSite& site) const {
        return std::ranges::any_of(ends, [&](const PinRef& end) { return in.site_of(end) == &site; });
    }

    /// Everyone but the carrier is released where it can be; what cannot keeps its first level.
    Levels around(const Island& island, StageId carrier, Logic level) const {
        Levels levels(island.stage_of.size(), Logic::Z);
        for (size_t s = 0; s < levels.size(); ++s) {
            const StageId stage = island.stage_of[s];
            const LevelSet set = scene.reach[stage];
            if (stage == carrier)
                levels[s] = level;
            else if (!(set & can_z))
                levels[s] = opposing(set, level);
        }
        return levels;
    }
    /// A driver that never lets go is taken at the level that hinders most.
    static Logic opposing(LevelSet set, Logic level) {
        if (level == Logic::zero && (set & can_one)) return Logic::one;
        if (level != Logic::zero && (set & can_zero)) return Logic::zero;
        return set & can_one ? Logic::one : Logic::zero;
    }

    Logic high_of(StageId s) const { return in.circuit.stages[s].can_pull_up ? Logic::one : Logic::Z; }
    Logic low_of(StageId s) const { return in.circuit.stages[s].can_pull_down ? Logic::zero : Logic::Z; }

    void visit(const Carrier& c) {
        const StageSite& owner = in.circuit.stages[c.stage];
        const PinSite& out = in.circuit.site(owner.part, owner.pin);
        const int index = scene.island_of_node[out.node];
        if (index < 0) return;
        const Island& island = scene.islands[index];
        if (std::ranges::find(trace.islands, index) == trace.islands.end()) trace.islands.push_back(index);
        Levels high = around(island, c.stage, high_of(c.stage)),
               low = around(island, c.stage, low_of(c.stage));
        if (c.inverted) std::swap(high, low);
        std::vector<double> vh, vl;
        if (!solve(island, high, island.nominal, vh, in.effort) ||
            !solve(island, low, island.nominal, vl, in.effort))
            return;
        for (int s : island.pins) {
            const PinSite& site = in.circuit.pins[s];
            const Node n = island.local(site.node);
            Hop hop{.site = s, .island = index, .high = high, .low = low, .inverted = vh[n] < vl[n] - 0.05};
            hop.driver = &site == &out;
            const bool both_ways = link.kind == LinkKind::open_drain || link.kind == LinkKind::two_way;
            hop.receiver = is_end(link.to, site) || (both_ways && !hop.driver && is_end(link.from, site));
            const bool read = site.input_of_unit >= 0 && !hop.driver;
            if (!hop.driver && !hop.receiver && !read) continue;
            trace.hops.push_back(hop);
            if (hop.receiver && !hop.driver) trace.reached.push_back(s);  // who talks to itself is not reached
            if (read) pass_on(site, hop.inverted);
        }
    }

    /// A channel that turns over what it is told at this pin: an exclusive-or does while its other input is high.
    bool flips(const Channel& channel, const PinSite& site) {
        const auto high = [&](int pin) {
            return pin != site.pin && steady_level(in, scene, in.circuit.site(site.part, pin)) == Logic::one;
        };
        switch (channel.logic) {
            case ChannelLogic::inverter:
            case ChannelLogic::nand:
            case ChannelLogic::nor:
                return true;
            case ChannelLogic::xor_:
                return std::ranges::any_of(channel.inputs, high);
            default:
                return false;
        }
    }

    /// Follows the channels that read this pin.
    void pass_on(const PinSite& site, bool inverted) {
        const PartType& type = *in.part(site).type;
        for (int u : in.units_of_part[site.part]) {
            const LogicUnit& unit = in.circuit.netlist.units[u];
            const Channel& channel = type.channels[in.circuit.units[u].channel];
            const bool signal = std::ranges::find(channel.inputs, site.pin) != channel.inputs.end() ||
                                channel.output == site.pin;
            const bool reads =
                std::ranges::any_of(unit.inputs, [&](const LogicInput& i) { return i.pin == site.node; });
            if (!signal || !reads) continue;
            for (StageId s : unit.outputs) {
                if (in.circuit.stages[s].pin == site.pin || seen.contains(s)) continue;
                const LevelSet set = scene.reach[s];
                if ((set & (can_zero | can_one)) == 0) {
                    const StageSite& owner = in.circuit.stages[s];
                    trace.disabled.push_back(in.label(in.circuit.site(owner.part, owner.pin)));
                    continue;
                }
                seen.insert(s);
                queue.push_back({.stage = s, .inverted = inverted != flips(channel, site)});
            }
        }
    }

    Trace run() {
        auto starts = link.from;
        if (link.kind == LinkKind::open_drain || link.kind == LinkKind::two_way)
            starts.insert(starts.end(), link.to.begin(), link.to.end());
        for (const PinRef& ref : starts) {
            const PinSite* site = in.site_of(ref);
            if (!site || site->stage < 0 || !scene.works(site->supply)) continue;
            seen = {site->stage};
            queue.push_back({.stage = site->stage});
            while (!queue.empty()) {
                const Carrier next = queue.front();
                queue.pop_front();
                visit(next);
            }
        }
        return std::move(trace);
    }
};

}  // namespace

Trace trace_link(Inspection& in, const Scene& scene, const Link& link) {
    return Tracing{in, scene, link, {}, {}, {}}.run();
}

}  // namespace voltsill
