#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "judging/inspection.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// What shows in millivolts, V.
constexpr double noticed = 0.5e-3;
/// What counts as lifting a line at all, V: across a FET that is off nothing does.
constexpr double reaches = 1e-5;

struct Amount {
    double lo = 0, hi = 0;  ///< A into the line
    Provenance origin{};
};

/// `level`: what the pin reads; X where that is not known.
Amount amount_of(const Pin& pin, Logic level) {
    if (!pin.input_low.known() && !pin.input_high.known()) {
        const double most = pin.leakage.known() ? pin.leakage.span.hi.si() : 0.0;
        return {-most, most, pin.leakage.origin};
    }
    const auto most = [](const Figure<Amps>& f) { return f.known() ? f.span.hi.si() : 0.0; };
    if (level == Logic::zero) return {0.0, most(pin.input_low), pin.input_low.origin};
    if (level == Logic::one) return {-most(pin.input_high), 0.0, pin.input_high.origin};
    return {-most(pin.input_high), most(pin.input_low), weakest(pin.input_low.origin, pin.input_high.origin)};
}

bool drives(const Island& island, const Levels& levels, StageId stage) {
    const int local = stage < 0 ? -1 : island.local_stage(stage);
    return local >= 0 && levels[local] != Logic::Z;
}

}  // namespace

double Leaks::shift(std::span<const double> per_amp, std::span<const double> volts, bool up) const {
    if (!(std::abs(per_amp[at]) < open_ohms)) return 0.0;
    double sum = 0;
    for (const Inflow& i : inflows) {
        const double low = per_amp[i.node] * i.lo, high = per_amp[i.node] * i.hi;
        sum += up ? std::max(low, high) : std::min(low, high);
    }
    return up ? std::min(sum, std::max(top(per_amp) - volts[at], 0.0))
              : std::max(sum, std::min(bottom - volts[at], 0.0));
}

double Leaks::top(std::span<const double> per_amp) const {
    double highest = 0;
    for (const Inflow& i : inflows)
        if (std::abs(per_amp[i.node]) * i.hi > reaches) highest = std::max(highest, i.top);
    return highest;
}

std::vector<double> Leaks::amps(std::span<const double> per_amp, bool up) const {
    std::vector<double> out(per_amp.size(), 0.0);
    for (const Inflow& i : inflows) out[i.node] += (per_amp[i.node] > 0) == up ? i.hi : i.lo;
    return out;
}

std::optional<double> Leaks::pushed(const Island& island, const Levels& levels, const Functional& sum,
                                    std::vector<double> values, std::span<const double> per_amp,
                                    std::span<const double> volts, bool up, Effort& effort) const {
    if (!(std::abs(per_amp[at]) < open_ohms)) return std::nullopt;
    const std::vector<double> by_node = amps(per_amp, up);
    Island with = island;
    with.shape = -1;
    for (const Inflow& i : inflows) {
        with.net.add({.kind = DeviceKind::current,
                      .nodes = {ground_node, i.node},
                      .params = {with.net.add_constant(by_node[i.node])}});
        values.push_back(by_node[i.node]);
    }
    with.partition = Partition(with.net, {});
    std::vector<double> moved;
    Effort own{.failures = effort.failures};
    if (!solve(with, levels, values, moved, own, volts)) return std::nullopt;
    const double beyond = up ? std::max(moved[at] - std::max(top(per_amp), volts[at]), 0.0)
                             : std::min(moved[at] - std::min(bottom, volts[at]), 0.0);
    return value_of(sum, moved) - beyond;
}

double highest_volts(const Bench& bench, const Circuit& circuit, std::span<const double> held, Node node) {
    for (const RailSite& rail : circuit.rails)
        if (rail.node == node) return bench.rail(rail.name)->volts.span.hi.si();
    return held[node];
}

Leaks leaks_in(const Circuit& circuit, const Island& island, const Levels& levels, const LeakSupplies& supplies,
               const std::function<std::vector<double>()>& nominal_volts) {
    Leaks out;
    std::vector<double> volts;
    for (const int s : island.pins) {
        const PinSite& site = circuit.pins[s];
        const Pin& pin = circuit.pin(site);
        const bool by_level = pin.input_low.known() || pin.input_high.known();
        if (!by_level && !pin.leakage.known()) continue;
        const Node node = island.local(site.node);
        if (island.partition.held(node) || !supplies.works(site.supply) || drives(island, levels, site.stage)) continue;
        const double supply = supplies.highest(site.supply);
        if (by_level && volts.empty()) volts = nominal_volts();
        const Logic level =
            by_level && !volts.empty() ? read_level(pin, Volts{volts[node]}, Volts{supply}) : Logic::X;
        const Amount amount = amount_of(pin, level);
        if (amount.lo == 0.0 && amount.hi == 0.0) continue;
        const auto same = std::ranges::find(out.inflows, node, &Inflow::node);
        if (same == out.inflows.end()) {
            out.inflows.push_back({node, amount.lo, amount.hi, amount.origin, by_level, supply});
        } else {
            same->lo += amount.lo, same->hi += amount.hi, same->bipolar |= by_level;
            same->top = std::max(same->top, supply);
            same->origin = weakest(same->origin, amount.origin);
        }
    }
    return out;
}

LeakWords leak_words(const Island& island, const Levels& levels, std::span<const double> values,
                     std::span<const double> volts, const Leaks& leaks, double shifted) {
    const double at_rest = volts[leaks.at];
    if (std::abs(shifted - at_rest) <= noticed) return {};
    const bool up = shifted > at_rest;
    const Linearized linear(island.net, island.partition, values, State{.levels = levels}, volts);
    std::vector<double> weights(island.net.node_names.size(), 0.0);
    weights[leaks.at] = 1.0;
    const std::vector<double> per_amp = linear.transfer(weights), amps = leaks.amps(per_amp, up);
    LeakWords out{.sum = say(Volts{at_rest})};
    double reached = at_rest;
    for (const Inflow& i : leaks.inflows) {
        const double more = per_amp[i.node] * amps[i.node];
        if (std::abs(more) <= noticed) continue;
        out.origin = reached == at_rest ? i.origin : weakest(out.origin, i.origin);
        out.sum += fmt::format(" {} {} of {} * {}", up ? "+" : "-", print(Amps{std::abs(amps[i.node])}),
                               i.bipolar ? "input current" : "leakage",
                               print(Ohms{std::abs(per_amp[i.node])}, {.digits = 4}));
        reached += more;
    }
    const bool stopped = std::abs(shifted - (up ? leaks.top(per_amp) : leaks.bottom)) < noticed,
               bent = std::abs(reached - shifted) > 2 * noticed;
    out.sum += fmt::format("{} = {}",
                           !bent     ? ""
                           : stopped ? fmt::format(", no further than {}", up ? "the supply" : "ground")
                                     : ", where diodes bend the line",
                           say(Volts{shifted}));
    return out;
}

std::vector<double> at_highest_resistors(const Island& island, std::vector<double> values) {
    for (const Device& d : island.net.devices)
        if (d.kind == DeviceKind::resistor) values[d.params[0]] = island.net.parameters[d.params[0]].hi;
    return values;
}

Leaks leaks_at(Inspection& in, const Scene& scene, const Island& island, const Levels& levels, Node node) {
    if (!scene.all_up) return {.at = node};
    const LeakSupplies supplies{[&](Node supply) { return scene.works(supply); },
                                [&](Node supply) { return highest_volts(in.bench, in.circuit, scene.held, supply); }};
    Leaks out = leaks_in(in.circuit, island, levels, supplies, [&] {
        std::vector<double> volts;
        return solve(island, levels, island.nominal, volts, in.effort) ? volts : std::vector<double>{};
    });
    out.at = node;
    return out;
}

Range leaky_range(Inspection& in, const Scene& scene, const Island& island, const Levels& levels, Node node) {
    const Leaks leaks = leaks_at(in, scene, island, levels, node);
    return range_of(island, levels, voltage_of(node), in.effort, &leaks);
}

}  // namespace voltsill
