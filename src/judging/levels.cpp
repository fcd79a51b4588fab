/// High and low margins at every input a link meets, worst corner against guaranteed limits.
///
///     high margin = V(pin) - VIH min        low margin = VIL max - V(pin)
///
/// JESD8C.01 and family data sheets name the limits; the wanted margin is the bench's
/// (default 0.4 V, the noise margin of 5 V TTL: SDLS029, VOH 2.4 - VIH 2.0).
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "judging/inspection.h"
#include "parts/stretched.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

struct LevelCheck {
    Inspection& in;
    const Scene& scene;
    const Link& link;
    const Trace& trace;
    LinkJudgement& judged;

    void band(const Hop& hop, bool high, const Range& v, const std::optional<double>& threshold,
              Certainty certainty, bool floats) {
        const PinSite& site = in.circuit.pins[hop.site];
        const Pin& pin = in.pin(site);
        const Volts supply = supply_volts(scene, site);
        LevelBand b{.point = in.label(site),
                    .high = high,
                    .lo = v.lo,
                    .nominal = v.nominal,
                    .hi = v.hi,
                    .threshold = threshold,
                    .certainty = certainty,
                    .floats = floats};
        if (pin.max) b.limit_max = pin.max->at(supply).si();
        if (pin.min) b.limit_min = pin.min->at(supply).si();
        for (LevelBand& old : judged.levels)
            if (old.point == b.point &&
                old.high == b.high) {  // several drivers: whatever any of them makes of it
                old.lo = std::min(old.lo, b.lo);
                old.hi = std::max(old.hi, b.hi);
                old.floats = old.floats && b.floats;
                return;
            }
        judged.levels.push_back(std::move(b));
    }

    /// Only where an output has let go is there anything to ask.
    bool floats(const Island& island, const Levels& levels, const PinSite& site) {
        return std::ranges::find(levels, Logic::Z) != levels.end() &&
               resistance_at(island, levels, island.local(site.node), in.effort) >= open_ohms;
    }

    void unknown_threshold(const PinSite& site, const Range& high, const Range& low,
                           const Provenance& origin) {
        Finding f = in.finding("threshold-unknown", link, scene, site);
        f.verdict = Verdict::unknown;
        f.value = Evidence{high.lo, origin, "lowest high at " + in.label(site)};
        f.arithmetic =
            fmt::format("high {} or more, low {} or less", say(Volts{high.lo}), say(Volts{low.hi}));
        f.sentence = fmt::format("Nobody has said which voltages {} reads as high and low.", in.label(site));
        f.advice = fmt::format(
            "It would do if VIH is {} or less and VIL {} or more. Raise its input slowly from 0 V and note "
            "where it turns high, then lower it and note where it turns low.",
            say(Volts{high.lo - in.bench.wishes.margin.si()}),
            say(Volts{low.hi + in.bench.wishes.margin.si()}));
        in.add(std::move(f));
    }

    /// Its rows are for supplies far from the one it has.
    void stretched_too_far(const PinSite& site, const Range& high, const Range& low, const Stretch& stretch,
                           const Provenance& origin) {
        Finding f = in.finding("threshold-unknown", link, scene, site);
        f.verdict = Verdict::unknown;
        f.value = Evidence{high.lo, origin, "lowest high at " + in.label(site)};
        const Volts supply = supply_volts(scene, site);
        f.arithmetic = fmt::format("thresholds for a supply of {}, supply {}", print(stretch.row), say(supply));
        f.sentence = fmt::format(
            "The thresholds of {} are given for a supply of {}; at {} nobody has said what it reads as high and low.",
            in.label(site), print(stretch.row), say(supply));
        f.advice = fmt::format(
            "Give rows for this supply, or raise its input slowly from 0 V and note where it turns high, lower it and "
            "note "
            "where it turns low: it would do if VIH is {} "
            "or less and VIL {} or more.",
            say(Volts{high.lo - in.bench.wishes.margin.si()}), say(Volts{low.hi + in.bench.wishes.margin.si()}));
        in.add(std::move(f));
    }

    void margin(const Hop& hop, const Island& island, bool high, const Thresholds& limits,
                const std::optional<Stretch>& stretch) {
        const PinSite& site = in.circuit.pins[hop.site];
        const Level& level = high ? limits.high : limits.low;
        Functional f = above(in.circuit, island, site, level);
        const Levels& levels = high != hop.inverted ? hop.high : hop.low;
        const Leaks leaks = leaks_at(in, scene, island, levels, island.local(site.node));
        const Range r = range_of(island, levels, f, in.effort, &leaks);
        if (!r.solved) return;
        const double worst = high ? r.lo : -r.hi;
        const std::vector<double>& corner = high ? r.at_lo : r.at_hi;
        std::vector<double> volts;
        solve(island, levels, corner, volts, in.effort);
        const double at_rest = volts[island.local(site.node)], limit = at_rest - value_of(f, volts),
                     v = high ? limit + worst : limit - worst;
        const Node supply_node = island.local(site.supply);
        const Volts supply{supply_node > 0 ? volts[supply_node] : supply_volts(scene, site).si()};
        auto& best = high ? judged.high_margin : judged.low_margin;
        best = best ? std::min(*best, worst) : worst;
        const double wanted = in.bench.wishes.margin.si();
        Finding out = in.finding("high-level", link, scene, site);
        if (!high) out.code = "low-level";
        out.verdict = worst < 0 ? Verdict::unreadable : worst < wanted - 1e-9 ? Verdict::thin : Verdict::safe;
        if (const NetId n = in.net(site); n >= 0) out.net = in.wiring.nets[n].name;
        out.value = Evidence{
            v, origin_of(island, levels, corner, voltage_at(island, site), in.effort),
            fmt::format("{} {} at {}", high ? "lowest" : "highest", high ? "high" : "low", in.label(site))};
        out.limit = Evidence{
            limit, limits.origin,
            fmt::format("{} of {} at {}{}", high ? "VIH min" : "VIL max", in.label(site), say(supply),
                        stretch ? ", stretched from its row for " + print(stretch->row) : "")};
        if (!limits.exact)
            out.limit->origin.certainty = std::max(out.limit->origin.certainty, Certainty::assumed);
        out.margin = worst;
        out.state = fmt::format("{}; {} {}", scene.words, link.name, high != hop.inverted ? "high" : "low");
        out.corner = corner_words(island, corner);
        out.bound_exact = r.exact;
        out.arithmetic =
            high ? fmt::format("{} - {} = {}", say(Volts{v}), say(Volts{limit}), say(Volts{worst}))
                 : fmt::format("{} - {} = {}", say(Volts{limit}), say(Volts{v}), say(Volts{worst}));
        if (const LeakWords leak = leak_words(island, levels, corner, volts, leaks, v); !leak.sum.empty()) {
            out.value->origin = weakest(out.value->origin, leak.origin);
            out.arithmetic += "; " + leak.sum;
        }
        const char* word = high ? "high" : "low";
        if (worst < 0)
            out.sentence =
                fmt::format("A {} can arrive at {} as {}; it needs {} {} to be read for sure.", word,
                            in.label(site), say(Volts{v}), say(Volts{limit}), high ? "or more" : "or less");
        else
            out.sentence =
                fmt::format("A {} arrives at {} as {} at worst and is read {} {}: {} to spare.", word, in.label(site),
                            say(Volts{v}), high ? "from" : "up to", say(Volts{limit}), say(Volts{worst}));
        if (stretch)
            out.sentence += fmt::format(" Its thresholds are given for a supply of {} and stretched to {}.",
                                        print(stretch->row), say(supply));
        if (out.verdict == Verdict::thin)
            out.advice = fmt::format("{} is wanted: measure the {} at {} in the built circuit.",
                                     say(in.bench.wishes.margin), word, in.label(site));
        if (out.verdict == Verdict::unreadable)
            out.advice = high ? "Lift the level: a part with a lower threshold, or one that drives from the "
                                "receiver's rail."
                              : "Lower the level: a stronger sink or less resistance to ground.";
        in.add(std::move(out));
    }

    void at_hop(const Hop& hop) {
        const Island& island = scene.islands[hop.island];
        const PinSite& site = in.circuit.pins[hop.site];
        const Pin& pin = in.pin(site);
        const Functional volts_here = voltage_at(island, site);
        const auto ranged = [&](const Levels& levels) {
            return leaky_range(in, scene, island, levels, island.local(site.node));
        };
        const Range high = ranged(hop.inverted ? hop.low : hop.high), low = ranged(hop.inverted ? hop.high : hop.low);
        if (!high.solved || !low.solved) return;
        const Volts supply = supply_volts(scene, site);
        const Span<Volts> span = supply_span(in, scene, site);
        const auto stretch = threshold_stretch(pin, span);
        const bool reads = !hop.driver && !pin.load && supply.si() > 0 && !(stretch && stretch->factor > most_stretch);
        const auto limits = reads ? thresholds_over(pin, span) : std::nullopt;
        const auto shown = [&](const Level& l) { return std::optional<double>(l.at(supply).si()); };
        const Levels &up = hop.inverted ? hop.low : hop.high, &down = hop.inverted ? hop.high : hop.low;
        const Provenance of_high = origin_of(island, up, high.at_lo, volts_here, in.effort),
                         of_low = origin_of(island, down, low.at_hi, volts_here, in.effort);
        band(hop, true, high, limits ? shown(limits->high) : std::nullopt, of_high.certainty,
             floats(island, up, site));
        band(hop, false, low, limits ? shown(limits->low) : std::nullopt, of_low.certainty, floats(island, down, site));
        if (hop.driver || pin.load || pin.role == PinRole::analog_input) return;
        if (supply.si() <= 0) {
            // Without any supply a part cannot be told from one that is off: its thresholds follow none.
            if (in.part(site).type->supplies.empty() && !pin.thresholds.empty())
                unknown_threshold(site, high, low, of_high);
            return;
        }
        if (pull_missing(hop, island, site)) return;
        if (high.nominal - low.nominal < 0.1) {
            no_swing(site, high, low, weakest(of_high, of_low));
            return;
        }
        if (!limits) {
            if (stretch)
                stretched_too_far(site, high, low, *stretch, of_high);
            else
                unknown_threshold(site, high, low, of_high);
            return;
        }
        margin(hop, island, true, *limits, stretch);
        margin(hop, island, false, *limits, stretch);
    }

    /// An open-drain driver that lets go of a net nothing pulls.
    bool pull_missing(const Hop& hop, const Island& island, const PinSite& site) {
        const bool released = std::ranges::all_of(hop.high, [](Logic l) { return l == Logic::Z; });
        if (!released || resistance_at(island, hop.high, island.local(site.node), in.effort) < open_ohms)
            return false;
        Finding f = in.finding("missing-pull-up", link, scene, site, Dimension::resistance);
        f.verdict = Verdict::unreadable;
        f.state = fmt::format("{}; nothing pulls low", scene.words);
        f.arithmetic = "no path to any rail: the level is not defined";
        f.sentence = fmt::format(
            "Nothing drives {} high: an open-drain output can only pull low, and no pull-up is there.",
            in.label(site));
        f.advice = "Add a pull-up of 4.7 kΩ to 10 kΩ to the receiver's own rail (common practice).";
        in.add(std::move(f));
        return true;
    }

    void no_swing(const PinSite& site, const Range& high, const Range& low, const Provenance& origin) {
        Finding f = in.finding("no-swing", link, scene, site);
        f.verdict = Verdict::unreadable;
        f.value = Evidence{high.nominal - low.nominal, origin,
                           "difference between high and low at " + in.label(site)};
        f.margin = high.nominal - low.nominal - 0.1;
        f.arithmetic =
            fmt::format("{} when high, {} when low", say(Volts{high.nominal}), say(Volts{low.nominal}));
        f.sentence = fmt::format("The signal does not move {}: it stays at {}.", in.label(site),
                                 say(Volts{high.nominal}));
        f.advice = "Look for a second driver, a wrong direction pin, or a missing path.";
        in.add(std::move(f));
    }

    void not_reached(const PinRef& end) {
        Finding f{.code = "not-reached", .verdict = Verdict::unreadable};
        f.link = link.name;
        f.part = end.part;
        f.pin = end.pin;
        f.state = scene.words;
        std::string why;
        for (const std::string& d : trace.disabled) why += (why.empty() ? "" : ", ") + d;
        f.arithmetic = why.empty() ? "no path" : fmt::format("stopped before {}", why);
        f.sentence = why.empty() ? fmt::format("The signal does not get to {}.{}: there is no path.",
                                               end.part, end.pin)
                                 : fmt::format("The signal does not get to {}.{}: {} does not pass it on.",
                                               end.part, end.pin, why);
        f.advice = "Check enable and direction pins, and follow the wires pin by pin.";
        in.add(std::move(f));
    }

    /// One driver of several, all alone: where others reach every end, that this one does not shows nowhere else.
    bool reaches_anybody(const PinRef& driver) const {
        Link alone = link;
        alone.kind = LinkKind::logic;
        alone.from = {driver};
        alone.to.insert(alone.to.end(), link.from.begin(), link.from.end());
        std::erase(alone.to, driver);
        return !trace_link(in, scene, alone).reached.empty();
    }

    void not_reached_from(const PinRef& driver, bool open) {
        Finding f{.code = "not-reached", .verdict = Verdict::unreadable};
        f.link = link.name;
        f.part = driver.part;
        f.pin = driver.pin;
        f.state = scene.words;
        f.arithmetic = open ? "on no net" : "no path";
        f.sentence = open ? fmt::format("{}.{} is open: what it says gets to no other end of the link.", driver.part,
                                        driver.pin)
                          : fmt::format("What {}.{} says gets to no other end of the link: there is no path.",
                                        driver.part, driver.pin);
        f.advice = "Follow its wire from end to end, then the wires after it pin by pin.";
        in.add(std::move(f));
    }

    /// Ends that talk, of links with several of these: each has to be heard or at least to hear.
    void drivers() {
        const bool both_ways = link.kind == LinkKind::open_drain || link.kind == LinkKind::two_way;
        if (!both_ways && link.from.size() < 2) return;  // its receivers say it
        for (const PinRef& end : link.from) {
            const PinSite* site = in.site_of(end);
            if (!site || std::ranges::find(trace.reached, site - in.circuit.pins.data()) != trace.reached.end())
                continue;
            const bool open = site->node < 0;
            if (!open && (site->stage < 0 || !scene.works(site->supply))) continue;
            if (open || !reaches_anybody(end)) not_reached_from(end, open);
        }
    }

    void polarity(const Hop& hop) {
        if (!hop.inverted || !hop.receiver) return;
        const auto says = [&](Logic level) { return std::ranges::find(hop.high, level) != hop.high.end(); };
        if (says(Logic::one) && says(Logic::zero)) return;  // outputs that fight: contention says it
        const PinSite& site = in.circuit.pins[hop.site];
        // A load that hangs on its supply is on while its pin is low: switched there by a transistor, it is on when the
        // driver says high, which is what is meant.
        if (in.pin(site).load && in.pin(site).load->to_supply) return;
        judged.inverted = true;
        if (link.invert_allowed) return;
        Finding f = in.finding("inverted", link, scene, site, Dimension::ratio);
        f.verdict = Verdict::unreadable;
        f.arithmetic = "high at the driver is low at the receiver";
        f.sentence = fmt::format("{} sees the signal upside down.", in.label(site));
        f.advice =
            "Allow it with `invert = true` on the link if software can turn it round, or invert a second "
            "time.";
        in.add(std::move(f));
    }

    void run() {
        std::set<std::pair<int, Levels>> done;
        for (const Hop& hop : trace.hops) {
            if (!done.emplace(hop.site, hop.low).second) continue;
            at_hop(hop);
            polarity(hop);
        }
        for (const PinRef& end : link.to) {
            const PinSite* site = in.site_of(end);
            if (!site ||
                std::ranges::find(trace.reached, site - in.circuit.pins.data()) != trace.reached.end())
                continue;
            if (link.kind != LinkKind::analog) not_reached(end);
        }
        drivers();
    }
};

}  // namespace

void check_levels(Inspection& in) {
    for (size_t k = 0; k < in.bench.links.size(); ++k)
        if (in.bench.links[k].kind != LinkKind::analog)
            LevelCheck{in, in.scenes[0], in.bench.links[k], in.traces[k], in.out.links[k]}.run();
}

}  // namespace voltsill
