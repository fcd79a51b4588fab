/// Pull-ups and edges.
///
///     rise time 30..70 % = 0.8473 Rp Cb,  Rp min = (VDD - VOL max) / IOL     UM10204 rev 7, 7.1
///     10..90 % = 2.1972 R C;  edge in ns/V = 10..90 % time / (0.8 swing)     exact for an RC edge
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <span>

#include "judging/inspection.h"
#include "quantity/print.h"
#include "quantity/rise.h"
#include "signals/link_setup.h"
#include "wiring/assumed.h"

namespace voltsill {
namespace {

/// UM10204 rev 7.0 (1 Oct 2021), tables 10 and 11.
struct BusMode {
    const char* name;
    double rate, rise_max, sink, capacitance_max;
};
constexpr BusMode i2c_modes[] = {{"I2C Standard-mode", 100e3, 1000e-9, 3e-3, 400e-12},
                                 {"I2C Fast-mode", 400e3, 300e-9, 3e-3, 400e-12},
                                 {"I2C Fast-mode Plus", 1000e3, 120e-9, 20e-3, 550e-12}};
const Provenance um10204{Certainty::standard, "UM10204 rev 7.0, tables 10 and 11"};
/// Sheets print rates for short tracks; what a part manages between jumper wires is in none of them.
const Provenance board_rate{Certainty::common_practice, "common practice: useful rate on a solderless board"};

/// Share of a bit from which the way is run over time: below it, twice the estimate would still leave more
/// than what counts as comfortable.
constexpr double worth_simulating = 0.3;

/// Digits of a factor whose product is printed to three.
constexpr PrintStyle four{.digits = 4};

struct EdgeCheck {
    Inspection& in;
    const Scene& scene;
    const Link& link;
    const Trace& trace;
    double lateness = 0;  ///< s, first estimate: edges and delays on the way, added up

    double rate() const { return link.rate ? link.rate->si() : 0.0; }
    const BusMode* mode() const {
        if (link.bus != "I2C") return nullptr;
        for (const BusMode& m : i2c_modes)
            if (rate() <= m.rate) return &m;
        return nullptr;
    }

    /// What no one can read at rest need not be run over time.
    bool readable_at_rest() const {
        return std::ranges::none_of(in.out.findings, [&](const Finding& f) {
            return f.link == link.name && f.verdict >= Verdict::unreadable &&
                   f.dimension == Dimension::voltage;
        });
    }

    /// A resistor brings next to nothing, a capacitor its value.
    static double capacitance_of(const WiredPart& part, const Pin& pin) {
        if (part.type->kind == PartKind::resistor) return 0.0;
        if (part.type->kind == PartKind::capacitor) return part.value.value_or(0.0);
        return pin.capacitance.known() ? pin.capacitance.span.hi.si() : assumed::pin_capacitance.si();
    }

    struct Capacitance {
        double farads = 0;
        std::string parts;  ///< "15 pF wires, 10 pF controller.SDA": what it is the sum of
        void add(double more, const std::string& of) {
            farads += more;
            if (more > 0) parts += fmt::format("{}{} {}", parts.empty() ? "" : ", ", print(Farads{more}), of);
        }
    };

    /// Pins on the net and its wire: each island node is one net here (a FET that is off parts nets).
    Capacitance capacitance(const Island& island, Node local) const {
        Capacitance c;
        c.add(in.bench.wishes.wire_capacitance.si(), "wires");
        for (int s : island.pins) {
            const PinSite& site = in.circuit.pins[s];
            if (island.local(site.node) == local) c.add(capacitance_of(in.part(site), in.pin(site)), in.label(site));
        }
        return c;
    }

    void bus_rise(const PinSite& site, double ohms, const Capacitance& line, const BusMode& m, bool helped) {
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

    /// Within the swing, at half and at 70 % of the way: an output that has to move a line drives with its
    /// strength, not with the resistance it shows near its rail, nor with that of a diode that conducts at
    /// the end; a two-way FET has left the line to its pull-up by then.
    double edge_resistance(const Island& island, const Hop& hop, Node node, std::span<const double> values) {
        std::vector<double> vh, vl;
        if (!solve(island, hop.high, values, vh, in.effort) || !solve(island, hop.low, values, vl, in.effort))
            return open_ohms;
        const bool released = std::ranges::all_of(hop.high, [](Logic l) { return l == Logic::Z; });
        double slowest = 0;
        for (const double share : {0.5, 0.7}) {
            std::vector<double> rising(vh.size()), falling(vh.size());
            for (size_t n = 0; n < vh.size(); ++n) {
                rising[n] = vl[n] + share * (vh[n] - vl[n]);
                falling[n] = vh[n] + share * (vl[n] - vh[n]);
            }
            slowest = std::max(slowest, resistance_at(island, hop.high, values, rising, node));
            if (!released) slowest = std::max(slowest, resistance_at(island, hop.low, values, falling, node));
        }
        return slowest;
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

    void edge(const Hop& hop) {
        const PinSite& site = in.circuit.pins[hop.site];
        const Island& island = scene.islands[hop.island];
        const Node node = island.local(site.node);
        std::vector<double> vh, vl;
        const double slow = edge_resistance(island, hop, node, island.nominal);
        if (!solve(island, hop.high, island.nominal, vh, in.effort) ||
            !solve(island, hop.low, island.nominal, vl, in.effort))
            return;
        if (slow >= open_ohms) return;
        const Capacitance line = capacitance(island, node);
        const double farads = line.farads, edge_time = rise_time(slow, farads);
        const Volts supply = supply_volts(scene, site);
        const double swing = std::abs(vh[node] - vl[node]);
        if (swing < 0.1) return;
        lateness += edge_time;
        const Pin& pin = in.pin(site);
        const Provenance computed{Certainty::assumed, "typical drive; " + line.parts};
        if (accelerated(island, node)) return;  // run over time instead, by check_setup
        if (const auto limit = edge_limit_at(pin, supply); limit && !pin.schmitt) {
            const double per_volt = edge_time / (0.8 * swing), allowed = limit->per_volt.si();
            Finding f = in.finding("edge-rate", link, scene, site, Dimension::time_per_voltage);
            f.verdict = per_volt > 2 * allowed ? Verdict::unreadable
                        : per_volt > allowed   ? Verdict::thin
                                               : Verdict::safe;
            f.value = Evidence{per_volt, computed, "slowest edge at " + in.label(site)};
            f.limit = Evidence{allowed, limit->origin, "input transition limit"};
            f.margin = allowed - per_volt;
            f.arithmetic =
                fmt::format("{} over 80 % of {} = {}; allowed {}", rise_arithmetic(slow, farads), say(Volts{swing}),
                            print(SecondsPerVolt{per_volt}), print(SecondsPerVolt{allowed}));
            f.sentence = f.verdict == Verdict::safe
                             ? fmt::format("Edges at {} are fast enough for its input.", in.label(site))
                             : fmt::format(
                                   "Edges at {} take {}: slower than its input allows, so it may chatter or "
                                   "oscillate.",
                                   in.label(site), print(Seconds{edge_time}));
            if (f.verdict != Verdict::safe)
                f.advice = "Lower the resistance, or use a Schmitt-trigger input.";
            in.add(std::move(f));
        }
        if (rate() > 0 && !mode()) {
            // A level must be there for at least half a bit; a tenth is comfortable (common practice).
            const double share = edge_time * rate();
            Finding f = in.finding("bit-time", link, scene, site, Dimension::time);
            f.verdict = share > 0.5 ? Verdict::unreadable : share > 0.25 ? Verdict::thin : Verdict::safe;
            f.value = Evidence{edge_time, computed, "edge time 10..90 % at " + in.label(site)};
            f.limit = Evidence{0.25 / rate(),
                               {Certainty::common_practice, "common practice, no source"},
                               "a quarter of a bit"};
            f.margin = 0.25 / rate() - edge_time;
            f.arithmetic =
                fmt::format("{}, a bit lasts {}", rise_arithmetic(slow, farads), print(Seconds{1 / rate()}));
            f.sentence = fmt::format("An edge takes {} of the {} a bit lasts.", print(Seconds{edge_time}),
                                     print(Seconds{1 / rate()}));
            if (f.verdict != Verdict::safe)
                f.advice = "Lower the resistance, shorten the wires, or lower the rate.";
            in.add(std::move(f));
        }
    }

    void part_rate(const Hop& hop) {
        const PinSite& site = in.circuit.pins[hop.site];
        const PartType& type = *in.part(site).type;
        if (type.rate_max.si() <= 0 || !in.part(site).added || rate() <= type.rate_max.si()) return;
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
            part_rate(hop);
            const bool released = std::ranges::all_of(hop.high, [](Logic l) { return l == Logic::Z; });
            if (hop.driver && released) sink(hop, m);
            if (m && released && std::ranges::find(risen, std::pair{hop.island, node}) == risen.end()) {
                risen.emplace_back(hop.island, node);
                const double ohms = edge_resistance(island, hop, node, at_highest_resistors(island, island.nominal));
                if (ohms < open_ohms)
                    bus_rise(site, ohms, capacitance(island, node), *m, accelerated(island, node));
            }
            if (!hop.driver) edge(hop);
            if (hop.driver && in.part(site).added)
                lateness += in.pin(site).delay_max.value_or(Seconds{assumed::delay_seconds.hi}).si();
        }
        if (rate() > 0 && lateness > worth_simulating * bit_rate(link).bit_time() && readable_at_rest())
            check_setup(in, link);
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
