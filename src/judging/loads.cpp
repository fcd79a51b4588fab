/// Loads that a signal switches: do they go off, do they come on, and what do they do at reset?
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "judging/inspection.h"
#include "network/excerpt.h"
#include "quantity/print.h"
#include "wiring/assumed.h"

namespace voltsill {
namespace {

struct LoadCheck {
    Inspection& in;
    const Scene& scene;
    const Link& link;
    const Trace& trace;

    Finding finding(const char* code, const PinSite& site, Verdict verdict, double amps,
                    const Figure<Amps>& limit) const {
        Finding f = in.finding(code, link, scene, site, Dimension::current);
        f.verdict = verdict;
        f.value = Evidence{amps,
                           {Certainty::assumed, "worst corner of the network"},
                           "current of the load at " + in.label(site)};
        f.limit = Evidence{limit.span.nominal.si(), limit.origin,
                           code == std::string("load-never-off") || code == std::string("load-at-reset")
                               ? "surely off below"
                               : "surely on above"};
        return f;
    }

    /// Device current flows from the load towards the pin (or ground): positive while on.
    Range current(const Island& island, const Levels& levels, const PinSite& site) const {
        return device_range(island, levels, island.local_device(site.load), in.effort);
    }

    void switching(const Hop& hop) {
        const PinSite& site = in.circuit.pins[hop.site];
        const LoadInput& load = *in.pin(site).load;
        const Island& island = scene.islands[hop.island];
        // Active low: the load is on while the pin is low, so off at the link's high unless inverted on the
        // way.
        const bool off_at_high = load.to_supply != hop.inverted;
        const Range off = current(island, off_at_high ? hop.high : hop.low, site);
        const Range on = current(island, off_at_high ? hop.low : hop.high, site);
        if (!off.solved || !on.solved) return;
        std::vector<double> volts;
        solve(island, off_at_high ? hop.high : hop.low, off.at_hi, volts, in.effort);
        const double pin_volts = volts[island.local(site.node)];
        if (load.inductive) flyback(site, on);
        const double off_limit = load.off_below.span.lo.si(), on_limit = load.on_above.span.hi.si();
        Finding f = finding("load-never-off", site, off.hi > off_limit ? Verdict::unreadable : Verdict::safe,
                            off.hi, load.off_below);
        f.margin = off_limit - off.hi;
        f.corner = corner_words(island, off.at_hi);
        f.bound_exact = off.exact;
        f.arithmetic = fmt::format("{} still flows when \"off\" (pin at {}), surely off below {}",
                                   say(Amps{off.hi}), say(Volts{pin_volts}), print(Amps{off_limit}));
        f.sentence = off.hi > off_limit
                         ? fmt::format("Told to be off, the load at {} still gets {}: {} may never end.",
                                       in.label(site), say(Amps{off.hi}), load.consequence)
                         : fmt::format("Off, the load at {} gets {}.", in.label(site), say(Amps{off.hi}));
        if (off.hi > off_limit)
            f.advice =
                "Drive it from the load's own rail: an open-drain output, a transistor, or a buffer on that "
                "rail.";
        in.add(std::move(f));
        if (load.on_above.known()) {
            Finding g = finding("load-never-on", site, on.lo < on_limit ? Verdict::unreadable : Verdict::safe,
                                on.lo, load.on_above);
            g.margin = on.lo - on_limit;
            g.corner = corner_words(island, on.at_lo);
            g.bound_exact = on.exact;
            g.arithmetic =
                fmt::format("{} when on, surely on above {}", print(Amps{on.lo}), print(Amps{on_limit}));
            g.sentence = on.lo < on_limit ? fmt::format("Told to be on, the load at {} gets only {}.",
                                                        in.label(site), print(Amps{on.lo}))
                                          : fmt::format("On, the load at {} gets {} or more.", in.label(site),
                                                        print(Amps{on.lo}));
            if (on.lo < on_limit)
                g.advice = load.to_supply
                               ? "Use a driver that sinks more."
                               : "Use a driver that gives more, or a transistor that feeds it from its own rail.";
            in.add(std::move(g));
        }
    }

    /// A diode beside the load, its cathode at the plus: a part of its own, or that of a driver array, which stands
    /// the current. What stands less is named.
    bool freewheels(const PinSite& site, double amps, std::string& too_small) const {
        const LoadInput& load = *in.pin(site).load;
        const Node anode = load.to_supply ? site.node : site.ground, cathode = load.to_supply ? site.supply : site.node;
        const auto& devices = in.circuit.netlist.devices;
        const auto beside = [&](const Device& d) {
            return d.kind == DeviceKind::diode && d.nodes[0] == anode && d.nodes[1] == cathode;
        };
        for (const PinSite& other : in.circuit.pins)
            if (other.flyback >= 0 && beside(devices[other.flyback])) return true;
        for (const Device& d : devices) {
            const auto part = in.part_of_name.find(d.name);
            if (!beside(d) || part == in.part_of_name.end()) continue;
            const auto* model = std::get_if<DiodeModel>(&in.wiring.parts[part->second].type->model);
            if (!model || model->led) continue;
            if (!model->current_max.known() || model->current_max.span.hi.si() >= amps) return true;
            too_small = fmt::format("{} stands only {}", d.name, print(model->current_max.span.hi));
        }
        return false;
    }

    /// V = L dI/dt: the current of a coil goes on when its switch opens, and without a path the voltage rises until
    /// something breaks (common practice: a diode beside every switched coil).
    void flyback(const PinSite& site, const Range& on) {
        std::string too_small;
        const bool path = freewheels(site, on.hi, too_small);
        Finding f = in.finding("flyback", link, scene, site, Dimension::current);
        f.verdict = path ? Verdict::safe : Verdict::harmful;
        f.value = Evidence{on.hi, {Certainty::common_practice, "common practice, no source"},
                           "current that goes on when the load at " + in.label(site) + " is switched off"};
        f.margin = path ? on.hi : -on.hi;
        f.arithmetic = path                ? fmt::format("{} go on through a diode beside the load", print(Amps{on.hi}))
                       : too_small.empty() ? fmt::format("{} and no diode beside the load", print(Amps{on.hi}))
                                           : fmt::format("{}, and {}", print(Amps{on.hi}), too_small);
        f.sentence = path ? fmt::format("Switched off, the coil at {} keeps its {} going through a diode.",
                                        in.label(site), print(Amps{on.hi}))
                          : fmt::format(
                                "Switched off, the coil at {} drives its {} on without a path for it: the voltage "
                                "there rises until something breaks.",
                                in.label(site), print(Amps{on.hi}));
        if (!path)
            f.advice =
                "A diode beside the load, its cathode at the plus, of at least the load's current: 1N4148 class for "
                "small relays, 1N4001 class beyond 150 mA (common practice).";
        in.add(std::move(f));
    }

    /// What the driver's pin does until software runs: drives, pulls weakly, or nothing.
    struct Reset {
        std::optional<bool> level;
        bool drives = false;
        const PinSite* site = nullptr;
        Figure<Ohms> pull;
    };

    /// The island with the weak pull that the driver's pin has until software runs; nothing where it has none here.
    std::optional<Island> pulled(const Island& island, const Reset& reset) const {
        if (reset.drives || !reset.level) return std::nullopt;
        const Node pin = island.local(reset.site->node),
                   far = island.local(*reset.level ? reset.site->supply : reset.site->ground);
        if (pin < 0 || far < 0) return std::nullopt;
        Island out = island;
        const auto& ohms = reset.pull.span;
        const std::string name = in.label(*reset.site) + " pull at reset";
        out.net.resistor(name, far, pin,
                         out.net.add_parameter(name, ohms.lo.si(), ohms.nominal.si(), ohms.hi.si(), reset.pull.origin));
        out.device_of.push_back(-1);
        out.nominal = out.net.nominal_values();
        out.varying = varying_parameters(out.net);
        out.partition = Partition(out.net, {});
        out.shape = -1;
        return out;
    }

    /// Nothing drives yet: controller pins are inputs. `level` is what the link then says where the
    /// signal enters this island: high, low, or nobody knows because an input on the way floats.
    void at_reset(const Hop& hop, const Reset& reset, std::optional<bool> level, bool through_channel) {
        const PinSite& site = in.circuit.pins[hop.site];
        const LoadInput& load = *in.pin(site).load;
        const std::optional<Island> with_pull =
            through_channel ? std::nullopt : pulled(scene.islands[hop.island], reset);
        const Island& island = with_pull ? *with_pull : scene.islands[hop.island];
        Levels levels(hop.high.size(), Logic::Z);
        if (through_channel) {
            const bool on_at_low =
                load.to_supply != hop.inverted;  // unknown counts as the level that is worse
            levels = level.value_or(!on_at_low) ? hop.high : hop.low;
        }
        const Range r = current(island, levels, site);
        if (!r.solved) return;
        const double limit = load.off_below.span.lo.si();
        if (r.hi <= limit) return;
        Finding f = finding("load-at-reset", site, Verdict::thin, r.hi, load.off_below);
        f.margin = limit - r.hi;
        f.state = with_pull ? fmt::format("{}; reset, {} pulls {} by {}", scene.words, in.label(*reset.site),
                                          *reset.level ? "up" : "down", print(reset.pull.span.lo))
                            : fmt::format("{}; reset, nothing drives yet", scene.words);
        f.arithmetic = fmt::format("up to {} while pins are inputs, surely off below {}", print(Amps{r.hi}),
                                   print(Amps{limit}));
        f.sentence = fmt::format("Before software runs the load at {} can be on: {}.", in.label(site),
                                 load.consequence);
        f.advice =
            "Add a pull resistor (4.7 kΩ or less against internal pull-ups, common practice) that holds it "
            "off, and unplug what moves at first power-up.";
        in.add(std::move(f));
    }

    /// What an input reads while every driver that can let go has let go; nothing when it floats.
    std::optional<bool> resting(const Hop& hop) {
        const PinSite& site = in.circuit.pins[hop.site];
        const Island& island = scene.islands[hop.island];
        const Pin& pin = in.pin(site);
        Levels levels(hop.high.size(), Logic::Z);
        for (size_t s = 0; s < levels.size(); ++s)
            if (!(scene.reach[island.stage_of[s]] & can_z)) levels[s] = hop.high[s];
        const Node node = island.local(site.node);
        std::vector<double> volts;
        if (!solve(island, levels, island.nominal, volts, in.effort) ||
            resistance_at(island, levels, island.nominal, volts, node) >= open_ohms) {
            if (pin.load && !pin.load->to_supply) return hop.inverted;  // a base that nothing feeds: surely low
            return std::nullopt;
        }
        const Logic read = read_level(pin, Volts{volts[node]}, supply_volts(scene, site));
        if (read == Logic::X) return std::nullopt;
        return (read == Logic::one) != hop.inverted;
    }

    Reset reset_of_driver() const {
        for (const PinRef& end : link.from) {
            const PinSite* site = in.site_of(end);
            if (!site) continue;
            const Pin& pin = in.pin(*site);
            const auto pull = std::ranges::find(pin.pulls, true, &Pull::at_reset);
            const Figure<Ohms> ohms =
                pull != pin.pulls.end() ? pull->ohms : Figure<Ohms>{assumed::reset_pull, assumed::practice};
            if (pin.reset_state == "high" || pin.reset_state == "low")
                return {pin.reset_state == "high", true, site, ohms};
            if (pin.reset_state == "pull-up" || pin.reset_state == "pull-down")
                return {pin.reset_state == "pull-up", false, site, ohms};
            if (pull != pin.pulls.end()) return {pull->up, false, site, ohms};
        }
        return {};
    }

    void run() {
        const Reset reset = reset_of_driver();
        std::optional<bool> level = reset.level;
        bool through_channel = reset.drives;
        for (const Hop& hop : trace.hops) {
            const PinSite& site = in.circuit.pins[hop.site];
            const bool behind_channel = through_channel;
            if (!hop.receiver && !hop.driver && site.input_of_unit >= 0) {
                // A resistor of the build outweighs the weak pull of a pin (common practice: a tenth of it or
                // less).
                if (!through_channel)
                    if (const auto rests = resting(hop)) level = rests;
                through_channel = true;
            }
            if (!in.pin(site).load || hop.driver) continue;
            switching(hop);
            at_reset(hop, reset, level, behind_channel);
        }
    }
};

}  // namespace

void check_loads(Inspection& in) {
    for (size_t k = 0; k < in.bench.links.size(); ++k)
        LoadCheck{in, in.scenes[0], in.bench.links[k], in.traces[k]}.run();
}

}  // namespace voltsill
