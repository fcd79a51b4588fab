/// Rails without supply that signals lift: a dead rail is a node loaded by what hangs on it.
#include <fmt/format.h>

#include <algorithm>

#include "judging/inspection.h"
#include "judging/rail_currents.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// Below this a lifted rail is leakage, not power (common practice: half a diode drop).
constexpr double noticeable = 0.3;

struct Feed {
    int site = -1;
    double amps = 0;
};

/// Which pins feed a node through their protection diodes, pulls or stages, strongest first.
std::vector<Feed> feeds_of(const Inspection& in, const Island& island, const Levels& levels,
                           const std::vector<double>& volts, Node circuit_node) {
    std::vector<Feed> feeds;
    const State state{.levels = levels};
    for (int s : island.pins) {
        const PinSite& site = in.circuit.pins[s];
        if (site.supply != circuit_node) continue;
        double amps = 0;
        const auto through = [&](DeviceId d) {
            return device_current(island.net, island.nominal, state, volts, island.local_device(d));
        };
        if (site.clamp_up >= 0) amps += through(site.clamp_up);
        for (DeviceId pull : site.pulls) amps -= through(pull);
        if (amps > 1e-7) feeds.push_back({s, amps});
    }
    std::ranges::sort(feeds, [](const Feed& a, const Feed& b) { return a.amps > b.amps; });
    return feeds;
}

/// "; 1.854 V there less 274 mV of its protection diode": how the strongest feed comes to the rail's voltage.
std::string way_of(const Inspection& in, const Island& island, const std::vector<double>& volts, const Feed& feed,
                   double reached) {
    const PinSite& site = in.circuit.pins[feed.site];
    const double pin = volts[island.local(site.node)];
    return fmt::format("; {} at {} less {} of its {}", say(Volts{pin}), in.label(site), say(Volts{pin - reached}),
                       site.clamp_up >= 0 ? "protection diode" : "pull-up");
}

struct Rating {
    Volts volts;
    Provenance origin;
    std::string part;
};

/// The lowest absolute maximum supply of the parts on a rail.
std::optional<Rating> lowest_rating(const Inspection& in, const RailSite& rail) {
    std::optional<Rating> lowest;
    for (const WiredPart& part : in.wiring.parts)
        for (size_t k = 0; k < part.type->pins.size(); ++k) {
            const Pin& pin = part.type->pins[k];
            if (pin.role != PinRole::supply || pin.supply < 0 || part.net_of_pin[k] != rail.net) continue;
            const SupplyPort& port = part.type->supplies[pin.supply];
            if (port.max > Volts{} && (!lowest || port.max < lowest->volts))
                lowest = Rating{port.max, port.max_origin, part.name};
        }
    return lowest;
}

void lifted_rail(Inspection& in, const Scene& scene, const RailSite& rail) {
    const Island& island = scene.islands[scene.island_of_node[rail.node]];
    double top = noticeable;
    std::optional<Combination> worst;
    for (const Combination& c : combinations(in.circuit, scene, island)) {
        std::vector<double> volts;
        if (!solve(island, c.levels, island.nominal, volts, in.effort)) continue;
        if (volts[island.local(rail.node)] > top + 1e-9) top = volts[island.local(rail.node)], worst = c;
    }
    if (!worst) return;
    const Range r =
        range_of(island, worst->levels, voltage_of(island.local(rail.node)), in.effort);
    std::vector<double> volts;
    solve(island, worst->levels, island.nominal, volts, in.effort);
    const std::vector<Feed> feeds = feeds_of(in, island, worst->levels, volts, rail.node);
    std::string through;
    for (size_t k = 0; k < feeds.size() && k < 3; ++k)
        through += (through.empty() ? "" : ", ") + in.label(in.circuit.pins[feeds[k].site]);
    if (!feeds.empty() && solve(island, worst->levels, r.at_hi, volts, in.effort))
        through += way_of(in, island, volts, feeds.front(), r.hi);
    const std::optional<Rating> rating = lowest_rating(in, rail);
    const bool beyond = rating && r.hi > rating->volts.si();
    Finding f{.code = "back-powering", .verdict = beyond ? Verdict::harmful : Verdict::thin};
    f.value = Evidence{r.hi,
                       {Certainty::assumed, "network with the rail's source open and no load on it"},
                       "voltage of rail " + rail.name};
    f.limit = beyond
                  ? Evidence{rating->volts.si(), rating->origin, "absolute maximum supply of " + rating->part}
                  : Evidence{noticeable,
                             {Certainty::common_practice, "common practice, no source"},
                             "a rail that is off stays below this"};
    f.margin = f.limit->value - r.hi;
    f.net = "rail " + rail.name;
    f.state = fmt::format("{}; {}", scene.words, worst->words);
    f.corner = corner_words(island, r.at_hi);
    f.bound_exact = r.exact;
    f.arithmetic = fmt::format("rail {} is off and still reaches {}{}", rail.name, say(Volts{r.hi}),
                               through.empty() ? "" : " through " + through);
    f.sentence = fmt::format(
        "With {} the signals feed rail {} up to {}: its parts half-run, hold lines down or latch up.",
        scene.words, rail.name, say(Volts{r.hi}));
    f.advice = "Switch both rails together, or use parts that isolate when unpowered (Ioff).";
    std::vector<std::string> named;
    for (const Feed& feed : feeds)
        for (const std::string& link : in.links_at(in.circuit.pins[feed.site]))
            if (std::ranges::find(named, link) == named.end()) named.push_back(link);
    if (named.empty()) named.push_back({});
    for (const std::string& link : named) {
        Finding copy = f;
        copy.link = link;
        in.add(std::move(copy));
    }
}

/// Current into a rail through the diodes and resistors that end there: protection diodes, clamps, pull-ups. Each at
/// its worst corner; where the nominal solution conducts nothing to speak of, no corner is searched.
double fed_at_worst(Inspection& in, const Island& island, const Levels& levels, Node rail) {
    std::vector<double> volts;
    if (!solve(island, levels, island.nominal, volts, in.effort)) return 0;
    const Node end = island.local(rail);
    double amps = 0;
    for (size_t k = 0; k < island.net.devices.size(); ++k) {
        const auto& device = island.net.devices[k];
        const auto& [from, to] = std::pair{device.nodes[0], device.nodes[1]};
        const bool ends_there = device.kind == DeviceKind::diode      ? to == end
                                : device.kind == DeviceKind::resistor ? (from == end) != (to == end)
                                                                      : false;
        const double inward = to == end ? 1 : -1;  // currents count from the first node
        const auto d = static_cast<DeviceId>(k);
        if (!ends_there ||
            inward * device_current(island.net, island.nominal, State{.levels = levels}, volts, d) < 1e-6)
            continue;
        if (const Range r = device_range(island, levels, d, in.effort); r.solved) amps += inward > 0 ? r.hi : -r.lo;
    }
    return amps;
}

/// A rail that is up but fed by more than its parts draw: regulators source only.
void pumped_rail(Inspection& in, const Scene& scene, const RailSite& rail) {
    if (in.bench.rail(rail.name)->sinks) return;
    double fed = 0, drawn = 0;
    for (const Island& island : scene.islands) {
        if (island.local(rail.node) < 0) continue;
        double top = 0;
        for (const Combination& c : combinations(in.circuit, scene, island))
            top = std::max(top, fed_at_worst(in, island, c.levels, rail.node));
        fed += top;
        if (in.shares && top > 0)
            in.shares->push_back({.site = share_site(in, island), .rail = rail.name, .amps = top});
    }
    if (in.elsewhere)
        if (const auto rest = in.elsewhere->fed_into_rail.find(rail.name);
            rest != in.elsewhere->fed_into_rail.end())
            fed += rest->second;
    if (fed < 10e-6) return;
    for (const SupplyDraw& draw : supply_draws(in.wiring, rail.net))
        drawn += surely_drawn * draw.current.span.lo.si();
    if (fed <= drawn) return;
    Finding f{.code = "rail-pumped", .verdict = Verdict::harmful, .dimension = Dimension::current};
    f.value = Evidence{fed,
                       {Certainty::assumed, "worst corner, strongest outputs assumed"},
                       "current fed into rail " + rail.name};
    f.limit = Evidence{
        drawn, {Certainty::assumed, "a tenth of the current its parts state"}, "current drawn from it"};
    f.margin = drawn - fed;
    f.net = "rail " + rail.name;
    f.state = scene.words;
    f.arithmetic = fmt::format("{} in, {} out", print(Amps{fed}), print(Amps{drawn}));
    f.sentence = fmt::format(
        "Through diodes and pull-ups signals feed {} into rail {}, more than its parts surely draw: the rail rises and "
        "takes every part on it along.",
        print(Amps{fed}), rail.name);
    f.advice = "Take the path away. Measured, the rail would read above its nominal voltage.";
    in.add(std::move(f));
}

}  // namespace

void check_back_powering(Inspection& in) {
    for (const Scene& scene : in.scenes)
        for (size_t r = 0; r < in.circuit.rails.size(); ++r) {
            if (!scene.rail_up[r])
                lifted_rail(in, scene, in.circuit.rails[r]);
            else if (scene.all_up)
                pumped_rail(in, scene, in.circuit.rails[r]);
        }
}

}  // namespace voltsill
