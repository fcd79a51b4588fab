/// Pull-ups and edges.
///
///     rise time 30..70 % = 0.8473 Rp Cb,  Rp min = (VDD - VOL max) / IOL     UM10204 rev 7, 7.1
///     10..90 % = 2.1972 R C;  edge in ns/V = 10..90 % time / (0.8 swing)     exact for an RC edge
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <span>

#include "judging/bus_modes.h"
#include "judging/edge_times.h"
#include "quantity/print.h"
#include "quantity/rise.h"
#include "signals/link_setup.h"
#include "wiring/assumed.h"

namespace voltsill {
namespace {

const Provenance um10204{Certainty::standard, "UM10204 rev 7.0, tables 10 and 11"};
/// Sheets print rates for short tracks; what a part manages between jumper wires is in none of them.
const Provenance board_rate{Certainty::common_practice, "common practice: useful rate on a solderless board"};

/// Share of a bit from which the way is run over time: below it, twice the estimate would still leave more
/// than what counts as comfortable.
constexpr double worth_simulating = 0.3;

/// Share of an input's transition limit from which an edge is run over time: near a threshold it is slower than
/// on average, and figures have tolerances.
constexpr double worth_timing = 0.5;

/// Digits of a factor whose product is printed to three.
constexpr PrintStyle four{.digits = 4};

struct EdgeCheck {
    Inspection& in;
    const Scene& scene;
    const Link& link;
    const Trace& trace;
    double lateness = 0;  ///< s, first estimate: edges and delays on the way, added up
    std::vector<SlowedEdge> slowed{};

    double rate() const { return link.rate ? link.rate->si() : 0.0; }
    const BusMode* mode() const { return bus_mode(link); }

    /// What no one can read at rest need not be run over time.
    bool readable_at_rest() const {
        return std::ranges::none_of(in.out.findings, [&](const Finding& f) {
            return f.link == link.name && f.verdict >= Verdict::unreadable &&
                   f.dimension == Dimension::voltage;
        });
    }

    void bus_rise(const PinSite& site, double ohms, const LineCharge& line, const BusMode& m, bool helped) {
        const double farads = line.farads, rise = std::log(7.0 / 3.0) * ohms * farads;
        Finding f = in.finding("bus-rise-time", link, scene, site, Dimension::time);
        f.verdict = rise > m.rise_max && !helped ? Verdict::unreadable
                    : rise > 0.8 * m.rise_max    ? Verdict::thin
                                                 : Verdict::safe;
        f.value = Evidence{
            rise,
            {Certainty::assumed, line.parts + "; common practice where no figure is given"},
            "rise time 30..70 % at " + in.label(site)};
        f.limit = Evidence{m.rise_max, um10204, fmt::format("tr max, {}", m.name)};
        f.margin = m.rise_max - rise;
        f.arithmetic = fmt::format("0.8473 * {} * {} = {}, allowed {}", print(Ohms{ohms}, four),
                                   print(Farads{farads}), print(Seconds{rise}), print(Seconds{m.rise_max}));
        f.sentence = fmt::format("All pull-ups together, at most {}, charge the bus ({}) in {}; {} allows {}.",
                                 print(Ohms{ohms}), print(Farads{farads}), print(Seconds{rise}), m.name,
                                 print(Seconds{m.rise_max}));
        if (helped && f.verdict != Verdict::safe)
            f.sentence +=
                " The edge accelerators of the part between make it faster by what its sheet does not promise.";
        if (f.verdict != Verdict::safe)
            f.advice = fmt::format("Use {} or less in all, their tolerance included, shorter wires, or a lower rate.",
                                   print(Ohms{m.rise_max / 0.8473 / farads}));
        in.add(std::move(f));
        if (farads > m.capacitance_max) {
            Finding c = in.finding("bus-capacitance", link, scene, site, Dimension::capacitance);
            c.verdict = Verdict::unreadable;
            c.value =
                Evidence{farads, {Certainty::assumed, line.parts}, "capacitance of the bus"};
            c.limit = Evidence{m.capacitance_max, um10204, "Cb max"};
            c.margin = m.capacitance_max - farads;
            c.arithmetic =
                fmt::format("{} against {}", print(Farads{farads}), print(Farads{m.capacitance_max}));
            c.sentence = "The bus has more capacitance than its standard allows.";
            c.advice = "Split it with a bus repeater.";
            in.add(std::move(c));
        }
    }

    /// Rp min = (VDD - VOL max) / IOL asks what flows at VOL max: the sink at its guaranteed strength.
    static Island at_guaranteed_strength(const Island& island, int stage) {
        Island weak = island;
        const ParamId p = weak.net.stages[stage].down_strength;
        Parameter& strength = weak.net.parameters[p];
        strength.nominal = strength.hi = weak.nominal[p] = strength.lo;
        std::erase(weak.varying, p);
        return weak;
    }

    /// What an open-drain driver must sink, from every pull-up on every side.
    void sink(const Hop& hop, const BusMode* m) {
        const PinSite& site = in.circuit.pins[hop.site];
        const Island& island = scene.islands[hop.island];
        const int stage = island.local_stage(site.stage);
        const Island weak = at_guaranteed_strength(island, stage);
        const Range r = stage_range(weak, hop.low, stage, in.effort);
        if (!r.solved) return;
        const double amps = -r.lo;  // into the pin
        if (amps < 1e-9) return;  // nothing pulls; what is left is the solver's
        const Pin& pin = in.pin(site);
        double limit = m ? m->sink : 0;
        Provenance origin = m ? um10204 : Provenance{};
        for (const DriveRow& row : pin.low)
            if (row.at.si() > limit && !m) limit = row.at.si(), origin = row.origin;
        if (limit == 0) return;
        Finding f = in.finding("sink-current", link, scene, site, Dimension::current);
        f.verdict = amps > limit ? Verdict::unreadable : amps > 0.9 * limit ? Verdict::thin : Verdict::safe;
        // Currents are told finer than the voltage they make across the sink.
        const Functional tenfold{.terms = {{weak.local(site.node), 10.0}}};
        f.value = Evidence{amps, origin_of(weak, hop.low, r.at_lo, tenfold, in.effort),
                           "current into " + in.label(site) + " when low"};
        f.limit =
            Evidence{limit, origin,
                     m ? fmt::format("IOL, {}", m->name) : "highest current its low level is printed for"};
        f.margin = limit - amps;
        f.corner = corner_words(island, r.at_lo);
        f.bound_exact = r.exact;
        f.arithmetic = fmt::format("{} from all pull-ups, {} allowed", print(Amps{amps}), print(Amps{limit}));
        f.sentence =
            fmt::format("Pulling low, {} must take {} from all pull-ups together; {} is what it is made for.",
                        in.label(site), print(Amps{amps}), print(Amps{limit}));
        if (f.verdict != Verdict::safe)
            f.advice =
                "Take pull-ups off: modules often carry one each. Power off, measure line to rail in ohms.";
        in.add(std::move(f));
    }

    /// Edges on this node are made by an auto-direction part, faster than what rests there would.
    bool accelerated(const Island& island, Node local) const {
        for (int s : island.pins) {
            const PinSite& site = in.circuit.pins[s];
            if (island.local(site.node) != local) continue;
            for (const Channel& c : in.part(site).type->channels)
                if ((c.logic == ChannelLogic::auto_push_pull || c.logic == ChannelLogic::auto_open_drain) &&
                    (c.output == site.pin || std::ranges::find(c.inputs, site.pin) != c.inputs.end()))
                    return true;
        }
        return false;
    }

    /// An edge at a pin: of its own net, and what has to move before it.
    struct Arrival {
        double own = 0, edges = 0, all = 0;  ///< s: of the net, with what moves before it, with what waits as well
        double farads = 0;                   ///< of the net
        std::string arithmetic;
        Provenance computed{};
        std::size_t steps = 0;
    };
    Arrival arrival(const Hop& hop, double ohms, const LineCharge& line) {
        const double own = rise_time(ohms, line.farads);
        Arrival a{.own = own,
                  .edges = own,
                  .all = own,
                  .farads = line.farads,
                  .computed = {Certainty::assumed, "typical drive; " + line.parts}};
        const std::vector<WayStep> steps = steps_before(in, scene, trace, hop);
        for (const WayStep& s : steps) {
            part_rate(in.circuit.site(s.part, s.pin));
            a.edges += s.edge;
            a.all += s.edge + s.wait;
            a.arithmetic += s.arithmetic + "; ";
        }
        a.steps = steps.size();
        a.arithmetic += rise_arithmetic(ohms, line.farads);
        if (a.steps > 0)
            a.arithmetic +=
                fmt::format(" at {}; together {}", in.label(in.circuit.pins[hop.site]), print(Seconds{a.all}));
        return a;
    }

    void edge(const Hop& hop) {
        const PinSite& site = in.circuit.pins[hop.site];
        const Island& island = scene.islands[hop.island];
        const Node node = island.local(site.node);
        std::vector<double> vh, vl;
        const double slow = edge_resistance(in, island, hop, node, island.nominal);
        if (!solve(island, hop.high, island.nominal, vh, in.effort) ||
            !solve(island, hop.low, island.nominal, vl, in.effort))
            return;
        if (slow >= open_ohms) return;
        const double swing = std::abs(vh[node] - vl[node]);
        if (swing < 0.1) return;
        const Arrival a = arrival(hop, slow, charge_at(in, island, node));
        lateness += a.edges;
        if (accelerated(island, node)) return;  // run over time instead, by check_setup
        edge_rate(site, slow, swing, a);
        if (rate() > 0 && !mode()) bit_time(site, a);
    }

    void edge_rate(const PinSite& site, double ohms, double swing, const Arrival& a) {
        const Pin& pin = in.pin(site);
        const auto limit = edge_limit_at(pin, supply_volts(scene, site));
        if (!limit || pin.schmitt) return;
        const double per_volt = a.own / (0.8 * swing), with_way = a.edges / (0.8 * swing),
                     allowed = limit->per_volt.si();
        if (per_volt <= allowed && with_way > worth_timing * allowed)
            slowed.push_back({.site = &site, .allowed = allowed, .origin = limit->origin});
        if (per_volt <= allowed && with_way > allowed) return;  // its own net says nothing of it
        Finding f = in.finding("edge-rate", link, scene, site, Dimension::time_per_voltage);
        f.verdict = per_volt > 2 * allowed ? Verdict::unreadable : per_volt > allowed ? Verdict::thin : Verdict::safe;
        f.value = Evidence{per_volt, a.computed, "slowest edge at " + in.label(site)};
        f.limit = Evidence{allowed, limit->origin, "input transition limit"};
        f.margin = allowed - per_volt;
        f.arithmetic = fmt::format("{} over 80 % of {} = {}; allowed {}", rise_arithmetic(ohms, a.farads),
                                   say(Volts{swing}), print(SecondsPerVolt{per_volt}), print(SecondsPerVolt{allowed}));
        f.sentence = f.verdict == Verdict::safe
                         ? fmt::format("Edges at {} are fast enough for its input.", in.label(site))
                         : fmt::format(
                               "Edges at {} take {}: slower than its input allows, so it may chatter or "
                               "oscillate.",
                               in.label(site), print(Seconds{a.own}));
        if (f.verdict != Verdict::safe) f.advice = "Lower the resistance, or use a Schmitt-trigger input.";
        in.add(std::move(f));
    }

    /// A level must be there for at least half a bit; a tenth is comfortable (common practice). What moves before
    /// a receiver that reads is run over time (check_setup): here it must only not outlast the bit. A load reads
    /// nothing: its whole edge counts.
    void bit_time(const PinSite& site, const Arrival& a) {
        const double bit = 1 / rate(), edge = in.pin(site).load ? a.all : a.own;
        const bool outlasts = a.all > bit, of_way = a.steps > 0;
        Finding f = in.finding("bit-time", link, scene, site, Dimension::time);
        f.verdict = outlasts || edge > 0.5 * bit ? Verdict::unreadable
                    : edge > 0.25 * bit          ? Verdict::thin
                                                 : Verdict::safe;
        const bool whole = of_way && !in.pin(site).load && (outlasts || edge <= 0.25 * bit);
        const double value = of_way ? (whole ? a.all : edge) : a.own, limit = whole ? bit : 0.25 * bit;
        f.value = Evidence{
            value, a.computed,
            fmt::format("{} at {}", of_way && value > a.own ? "time until an edge is over" : "edge time 10..90 %",
                        in.label(site))};
        f.limit = Evidence{
            limit, {Certainty::common_practice, "common practice, no source"}, whole ? "a bit" : "a quarter of a bit"};
        f.margin = limit - value;
        f.arithmetic = fmt::format("{}, a bit lasts {}", a.arithmetic, print(Seconds{bit}));
        f.sentence =
            fmt::format("An edge takes {} of the {} a bit lasts{}.", print(Seconds{value}), print(Seconds{bit}),
                        of_way && value > a.own ? ", with all that has to move before it" : "");
        if (f.verdict != Verdict::safe) f.advice = "Lower the resistance, shorten the wires, or lower the rate.";
        in.add(std::move(f));
    }

    /// A part between the ends of the link.
    void part_rate(const PinSite& site) {
        const PartType& type = *in.part(site).type;
        if (type.rate_max.si() <= 0 || rate() <= type.rate_max.si()) return;
        Finding f = in.finding("too-fast", link, scene, site, Dimension::frequency);
        f.verdict = Verdict::unreadable;
        f.value = Evidence{
            rate(), {Certainty::guaranteed, "rate stated in the bench file"}, "rate of " + link.name};
        f.limit =
            Evidence{type.rate_max.si(), weakest(type.origin, board_rate), "highest rate of " + type.name};
        f.margin = type.rate_max.si() - rate();
        f.arithmetic = fmt::format("{} against {}", print(Hertz{rate()}), print(type.rate_max));
        f.sentence = fmt::format("{} is too slow for {}.", type.name, print(Hertz{rate()}));
        f.advice = "Use a faster part.";
        in.add(std::move(f));
    }

    void run() {
        const BusMode* m = mode();
        std::vector<std::pair<int, Node>> risen;
        for (const Hop& hop : trace.hops) {
            const PinSite& site = in.circuit.pins[hop.site];
            const Island& island = scene.islands[hop.island];
            const Node node = island.local(site.node);
            if (in.part(site).added) part_rate(site);
            const bool released = std::ranges::all_of(hop.high, [](Logic l) { return l == Logic::Z; });
            if (hop.driver && released) sink(hop, m);
            if (m && released && std::ranges::find(risen, std::pair{hop.island, node}) == risen.end()) {
                risen.emplace_back(hop.island, node);
                const double ohms =
                    edge_resistance(in, island, hop, node, at_highest_resistors(island, island.nominal));
                if (ohms < open_ohms) bus_rise(site, ohms, charge_at(in, island, node), *m, accelerated(island, node));
            }
            if (!hop.driver) edge(hop);
            if (hop.driver && in.part(site).added)
                lateness += in.pin(site).delay_max.value_or(Seconds{assumed::delay_seconds.hi}).si();
        }
        lateness += hidden_on_way(in, scene, trace);
        if (!readable_at_rest()) return;
        if (rate() > 0 && lateness > worth_simulating * bit_rate(link).bit_time()) check_setup(in, link);
        // Long enough for every edge to be seen whole: what a bit leaves no time for is said above.
        if (!slowed.empty()) check_slowed_edges(in, link, slowed, std::max(bit_rate(link).bit_time(), 3 * lateness));
    }
};

}  // namespace

void check_buses(Inspection& in) {
    for (size_t k = 0; k < in.bench.links.size(); ++k)
        if (in.bench.links[k].kind != LinkKind::analog)
            EdgeCheck{.in = in, .scene = in.scenes[0], .link = in.bench.links[k], .trace = in.traces[k]}
                .run();
}

}  // namespace voltsill
