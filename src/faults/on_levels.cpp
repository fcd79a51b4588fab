/// Faults of outputs, protection, pulls, decoupling and supplies.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "faults/listing.h"
#include "quantity/print.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

/// A transistor or a protection diode that has melted: common practice, no source.
constexpr double melted_ohms = 20;
/// What a module brings along that pulls too hard: half a rail against a keeper of 4 kΩ, and more than a weak
/// driver sinks through a pass-gate (common practice, no source).
constexpr double pull_at_keeper = 4.7e3, pull_at_pass_gate = 1e3;
/// A supply that sags, as through a diode or a thin wire, and one that an adapter without load or an unset
/// converter gives (common practice, no source).
constexpr double low_share = 0.85, high_share = 1.2;

bool can_drive(PinRole role) {
    switch (role) {
        case PinRole::push_pull:
        case PinRole::three_state:
        case PinRole::open_drain:
        case PinRole::open_source:
        case PinRole::io:
        case PinRole::open_drain_io:
        case PinRole::analog_output:
            return true;
        default:
            return false;
    }
}

bool is_pass_gate(ChannelLogic logic) {
    return logic == ChannelLogic::pass_gate || logic == ChannelLogic::auto_open_drain;
}

using Ends = std::set<std::pair<std::string, std::string>>;

/// Pins that links drive.
Ends drivers_of(const Bench& bench) {
    Ends out;
    for (const Link& link : bench.links) {
        for (const PinRef& end : link.from) out.emplace(end.part, end.pin);
        if (link.kind == LinkKind::open_drain || link.kind == LinkKind::two_way)
            for (const PinRef& end : link.to) out.emplace(end.part, end.pin);
    }
    return out;
}

/// Outputs of a part that something on this build follows.
std::set<int> outputs_in_use(const WiredPart& part, const Ends& drivers) {
    std::set<int> out;
    const PartType& type = *part.type;
    for (const Channel& channel : type.channels) {
        if (is_pass_gate(channel.logic)) continue;
        out.insert(channel.output);
        if (channel.logic == ChannelLogic::transceiver) out.insert(channel.inputs.front());
    }
    for (std::size_t k = 0; k < type.pins.size(); ++k)
        if (can_drive(type.pins[k].role) && drivers.contains({part.name, type.pins[k].name}))
            out.insert(static_cast<int>(k));
    return out;
}

/// A resistor from a signal to a rail or ground that is there for nothing but the level at rest.
bool is_pull(const Wiring& wiring, const WiredPart& part) {
    if (part.type->kind != PartKind::resistor || part.net_of_pin.size() != 2) return false;
    const NetId a = part.net_of_pin[0], b = part.net_of_pin[1];
    if (a == unconnected || b == unconnected || is_held(wiring, a) == is_held(wiring, b)) return false;
    if (!part.purpose.empty()) return part.purpose.starts_with("pull");
    return !wiring.nets[is_held(wiring, a) ? a : b].rail.empty();
}

std::string at(const WiredPart& part, int pin) { return part.name + "." + part.type->pins[pin].name; }

/// A rail that a part makes has no plug, no switch and no knob. A supply that is missing lets others feed into what it
/// should hold up: nothing is switched on to find out.
std::string remedy_of_supply(const Rail& rail, FaultKind kind) {
    if (kind == FaultKind::supply_off)
        return rail.from.empty() ? fmt::format(
                                       "with all supplies off, look at the plug, the fuse and the switch of the "
                                       "supply of rail {}, so that it comes on with the others",
                                       rail.name)
                                 : fmt::format(
                                       "with all supplies off, see that {} is joined with its own supply and with "
                                       "ground; else put another one in its place",
                                       rail.from.substr(0, rail.from.find('.')));
    if (rail.from.empty())
        return fmt::format("set rail {} to {} with nothing connected", rail.name, print(rail.volts.span));
    return fmt::format(
        "read {} with nothing but its own supply connected: it gives {}; else put another part in its place", rail.from,
        print(rail.volts.span));
}

}  // namespace

void FaultListing::outputs_and_clamps() {
    const Ends drivers = drivers_of(bench_);
    for (int p = 0; p < parts(); ++p) {
        const std::set<int> outputs = outputs_in_use(part(p), drivers);
        for (int k = 0; k < static_cast<int>(part(p).type->pins.size()); ++k) {
            const Pin& pin = part(p).type->pins[k];
            const NetId net = part(p).net_of_pin[k];
            if (net == unconnected || is_held(wiring(), net) || pins_on(wiring(), net) < 2) continue;
            const std::string label = pin_label(part(p), k), place = at(part(p), k);
            const std::string another = fmt::format("put another {} in as {}", part(p).type->name, part(p).name);
            const auto broken = [&](FaultKind kind, std::string variant, std::string words, double ohms) {
                add({.kind = kind,
                     .id = fmt::format("{}/{}{}{}", to_key(kind), place, variant.empty() ? "" : "/", variant),
                     .words = std::move(words),
                     .remedy = another,
                     .part = p,
                     .pin = k,
                     .variant = std::move(variant),
                     .value = ohms},
                    place);
            };
            const bool powered = own_supply(wiring(), p, k) != unconnected;
            if (outputs.contains(k)) {
                broken(FaultKind::output_dead, "", label + " drives nothing", 0);
                broken(FaultKind::output_stuck_low, "", label + " stuck low", melted_ohms);
                if (powered && pin.role != PinRole::open_drain && pin.role != PinRole::open_drain_io)
                    broken(FaultKind::output_stuck_high, "", label + " stuck high", melted_ohms);
            }
            const std::string diode = "protection diode of " + label;
            if (pin.clamp_to_supply && powered)
                broken(FaultKind::clamp_shorted, "up", diode + " to its supply is a short circuit", melted_ohms);
            if (pin.clamp_to_ground)
                broken(FaultKind::clamp_shorted, "down", diode + " to ground is a short circuit", melted_ohms);
        }
    }
}

void FaultListing::pulls() {
    const auto pull_fault = [&](FaultKind kind, int p, int k, std::string place, std::string words,
                                std::string remedy, std::string variant, double ohms) {
        add({.kind = kind,
             .id = fmt::format("{}/{}{}{}", to_key(kind), place, variant.empty() ? "" : "/", variant),
             .words = std::move(words),
             .remedy = std::move(remedy),
             .seen_by_eye = k < 0,
             .part = p,
             .pin = k,
             .variant = std::move(variant),
             .value = ohms},
            place);
    };
    for (int p = 0; p < parts(); ++p) {
        const WiredPart& wired = part(p);
        if (is_pull(wiring(), wired)) {
            const std::string what = wired.purpose.empty() ? "pull-up" : wired.purpose;
            pull_fault(FaultKind::pull_missing, p, -1, wired.name, fmt::format("{} missing ({})", wired.name, what),
                       fmt::format("put {} in", part_words(wired)), "", 0);
            pull_fault(FaultKind::pull_doubled, p, -1, wired.name,
                       fmt::format("a second resistor beside {} ({})", wired.name, what),
                       fmt::format("take one of the two away; {} alone is wanted", wired.name), "", 0);
        }
        for (int k = 0; k < static_cast<int>(wired.type->pins.size()); ++k) {
            const Pin& pin = wired.type->pins[k];
            const NetId net = wired.net_of_pin[k], supply = own_supply(wiring(), p, k);
            if (net == unconnected || is_held(wiring(), net)) continue;
            const bool off = std::ranges::find(wired.pulls_removed, pin.name) != wired.pulls_removed.end();
            for (const Pull& pull : pin.pulls) {
                if (pull.at_reset || !pull.removable || off || (pull.up && supply == unconnected)) continue;
                const std::string label = pin_label(wired, k), name = pull.up ? "pull-up" : "pull-down";
                pull_fault(FaultKind::pull_missing, p, k, at(wired, k), fmt::format("{} of {} missing", name, label),
                           fmt::format("put {} on {} again", name, wired.name), "", 0);
                pull_fault(FaultKind::pull_doubled, p, k, at(wired, k),
                           fmt::format("a second {} at {}, as of another module", name, label),
                           fmt::format("take off all {}s of this line but one", name), pull.up ? "up" : "down",
                           pull.ohms.span.nominal.si());
            }
        }
        for (const Channel& channel : wired.type->channels) {
            const bool keeper = channel.logic == ChannelLogic::auto_push_pull;
            if (!keeper && channel.logic != ChannelLogic::auto_open_drain) continue;
            for (const int k : {channel.inputs.front(), channel.output}) {
                const NetId net = wired.net_of_pin[k];
                if (net == unconnected || is_held(wiring(), net) || pins_on(wiring(), net) < 2) continue;
                const double ohms = keeper ? pull_at_keeper : pull_at_pass_gate;
                for (const bool up : {true, false}) {
                    if (up && own_supply(wiring(), p, k) == unconnected) continue;
                    pull_fault(FaultKind::strong_pull, p, k, at(wired, k),
                               fmt::format("{} {} at {}", print(Ohms{ohms}), up ? "up" : "down", pin_label(wired, k)),
                               "take the resistor away: this part holds its lines by itself", up ? "up" : "down", ohms);
                }
            }
        }
    }
}

void FaultListing::capacitors() {
    for (int p = 0; p < parts(); ++p) {
        const WiredPart& wired = part(p);
        const bool decouples = wired.type->kind == PartKind::capacitor &&
                               std::ranges::all_of(wired.net_of_pin, [&](NetId n) { return is_held(wiring(), n); });
        if (decouples)
            add({.kind = FaultKind::decoupling_missing,
                 .id = "decoupling-missing/" + wired.name,
                 .words = fmt::format("{} missing{}{}", wired.name, wired.purpose.empty() ? "" : ": ", wired.purpose),
                 .remedy = fmt::format("put {} in, close to the supply pin", part_words(wired)),
                 .seen_by_eye = true,
                 .part = p},
                wired.name);
    }
}

void FaultListing::supplies() {
    for (const Rail& rail : bench_.rails) {
        if (pins_on(wiring(), wiring().rail(rail.name)) == 0) continue;
        const double volts = rail.volts.span.nominal.si();
        const auto supply = [&](FaultKind kind, double v, std::string words) {
            std::string variant = kind == FaultKind::supply_off ? "" : print(Volts{v});
            std::string key = variant.empty() ? "" : "/" + variant;
            std::ranges::replace(key, ' ', '-');
            add({.kind = kind,
                 .id = fmt::format("{}/{}{}", to_key(kind), rail.name, key),
                 .words = std::move(words),
                 .remedy = remedy_of_supply(rail, kind),
                 .rail = rail.name,
                 .variant = std::move(variant),
                 .value = v},
                rail.name);
        };
        supply(FaultKind::supply_off, 0,
               fmt::format("rail {} gets nothing from {}", rail.name, rail.from.empty() ? "its supply" : rail.from));
        for (const double share : {low_share, high_share})
            supply(share < 1 ? FaultKind::supply_low : FaultKind::supply_high, volts * share,
                   fmt::format("rail {} at {} in place of {}", rail.name, print(Volts{volts * share}),
                               print(Volts{volts})));
        std::set<double> others;  // a supply or a jumper that is set for another rail
        for (const Rail& other : bench_.rails) others.insert(other.volts.span.nominal.si());
        for (const double v : others)
            if (v > volts * high_share * 1.05)
                supply(
                    FaultKind::supply_high, v,
                    fmt::format("rail {} set to {} in place of {}", rail.name, print(Volts{v}), print(Volts{volts})));
    }
}

}  // namespace voltsill
