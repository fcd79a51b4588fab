/// Faults of parts: pins without contact, parts of a near name, wrong values, parts the wrong way round, control
/// pins.
#include <fmt/format.h>

#include <algorithm>

#include "faults/listing.h"
#include "quantity/print.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

constexpr double ohms_at_supply_pin = 10, ohms_at_signal_pin = 1e3;  ///< as of wires (on_placement.cpp)

bool is_power(const Pin& pin) { return pin.role == PinRole::supply || pin.role == PinRole::ground; }

bool decouples(const Wiring& wiring, const WiredPart& part) {
    return part.type->kind == PartKind::capacitor &&
           std::ranges::all_of(part.net_of_pin, [&](NetId net) { return is_held(wiring, net); });
}

/// The 0 V of a module: without it the module has no ground in common with the rest.
bool is_only_ground(const PartType& type, int pin) {
    const auto is_ground = [](const Pin& p) { return p.role == PinRole::ground; };
    return type.kind == PartKind::module && is_ground(type.pins[pin]) &&
           std::ranges::count_if(type.pins, is_ground) == 1;
}

int leads_of(const WiredPart& part, int pin) {
    return part.package ? static_cast<int>(std::ranges::count(part.package->pin_of_number, pin)) : 1;
}

}  // namespace

std::vector<int> control_pins(const PartType& type) {
    std::vector<int> out;
    const auto take = [&](int pin) {
        if (pin >= 0 && std::ranges::find(out, pin) == out.end()) out.push_back(pin);
    };
    for (const Channel& channel : type.channels) {
        for (const int pin : channel.enables) take(pin);
        take(channel.direction);
    }
    return out;
}

NetId supply_net(const Wiring& wiring, int part, int port) {
    const WiredPart& wired = wiring.parts[part];
    for (std::size_t k = 0; k < wired.type->pins.size(); ++k)
        if (wired.type->pins[k].role == PinRole::supply && wired.type->pins[k].supply == port)
            return wired.net_of_pin[k];
    return unconnected;
}

NetId own_supply(const Wiring& wiring, int part, int pin) {
    const PartType& type = *wiring.parts[part].type;
    if (type.pins[pin].supply >= 0) return supply_net(wiring, part, type.pins[pin].supply);
    for (const Channel& channel : type.channels) {
        if (channel.output == pin) return supply_net(wiring, part, 1);
        if (std::ranges::find(channel.inputs, pin) != channel.inputs.end()) return supply_net(wiring, part, 0);
    }
    return unconnected;
}

int pins_on(const Wiring& wiring, NetId net) {
    int count = 0;
    for (const WiredPart& part : wiring.parts)
        count += static_cast<int>(std::ranges::count(part.net_of_pin, net));
    return net == unconnected ? 0 : count;
}

bool is_held(const Wiring& wiring, NetId net) {
    return net != unconnected && (wiring.nets[net].ground || !wiring.nets[net].rail.empty());
}

/// On boards: leads under a body that folded. Without a placement: every pin, in place of its wire, and its
/// contact. A pin alone on its net, and one of several leads, joins nothing by itself.
void FaultListing::open_pins() {
    const bool placed = is_placed(build_);
    for (int p = 0; p < parts(); ++p) {
        const WiredPart& wired = part(p);
        if (placed && !build_.placement.parts[p].on_board()) continue;
        if (decouples(wiring(), wired)) continue;
        const std::vector<int> control = control_pins(*wired.type);
        const bool two_leads = wired.type->pins.size() == 2;
        for (int k = 0; k < static_cast<int>(wired.type->pins.size()); ++k) {
            const NetId net = wired.net_of_pin[k];
            const bool alone = !is_held(wiring(), net) && pins_on(wiring(), net) < 2;
            if (net == unconnected || alone || leads_of(wired, k) != 1 || (two_leads && k > 0)) continue;
            const std::string label = pin_label(wired, k), at = wired.name + "." + wired.type->pins[k].name;
            const FaultKind kind = std::ranges::find(control, k) != control.end() ? FaultKind::control_open
                                   : is_only_ground(*wired.type, k)                ? FaultKind::ground_not_common
                                                                                   : FaultKind::pin_open;
            add({.kind = kind,
                 .id = fmt::format("{}/{}", to_key(kind), at),
                 .words = fmt::format("{} without contact{}", label,
                                      kind == FaultKind::control_open ? ": it decides nothing, it floats" : ""),
                 .remedy = placed ? fmt::format("take {} out, straighten the pin, put it back", wired.name)
                                  : fmt::format("give {} its wire again", label),
                 .part = p,
                 .pin = k},
                at);
            if (placed) continue;
            const double ohms = is_power(wired.type->pins[k]) ? ohms_at_supply_pin : ohms_at_signal_pin;
            add({.kind = FaultKind::contact_resistance,
                 .id = "contact-resistance/" + at,
                 .words = fmt::format("{} with a bad contact of {:g} Ω", label, ohms),
                 .remedy = fmt::format("put another wire at {}", label),
                 .part = p,
                 .pin = k,
                 .variant = "ohms",
                 .value = ohms},
                at);
        }
    }
}

void FaultListing::parts_of_near_names() {
    if (!bench_.catalogue) return;
    for (int p = 0; p < parts(); ++p)
        for (const Namesake& other : namesakes_of(*bench_.catalogue, part(p))) {
            const std::string& name = part(p).name;
            std::string key = other.type->name;
            std::ranges::replace(key, ' ', '-');
            add({.kind = FaultKind::near_namesake,
                 .id = fmt::format("near-namesake/{}/{}", name, key),
                 .words = fmt::format("{} in place of {} as {}", other.type->name, part(p).type->name, name),
                 .remedy = fmt::format("put {} in as {}, the same way round", part(p).type->name, name),
                 .seen_by_eye = true,
                 .by_print = true,
                 .part = p,
                 .variant = other.type->name},
                name);
        }
}

void FaultListing::wrong_values() {
    for (int p = 0; p < parts(); ++p) {
        const auto* model = std::get_if<ResistorModel>(&part(p).type->model);
        if (!model || !part(p).value) continue;
        const double right = *part(p).value;
        for (const Misreading& wrong : misreadings_of(right, part(p).tolerance.value_or(model->tolerance))) {
            const std::string& name = part(p).name;
            const std::string value = print(Ohms{wrong.ohms});
            std::string key = value;
            std::ranges::replace(key, ' ', '-');
            add({.kind = FaultKind::wrong_value,
                 .id = fmt::format("wrong-value/{}/{}", name, key),
                 .words = fmt::format("{} is {} in place of {} ({})", name, value, print(Ohms{right}), wrong.how),
                 .remedy = fmt::format("put {} in as {}", print(Ohms{right}), name),
                 .seen_by_eye = true,
                 .by_print = true,
                 .part = p,
                 .variant = value,
                 .value = wrong.ohms},
                name);
        }
    }
}

void FaultListing::turned_parts() {
    for (int p = 0; p < parts(); ++p) {
        const WiredPart& wired = part(p);
        const std::string& name = wired.name;
        if (wired.type->kind == PartKind::diode)
            add({.kind = FaultKind::diode_reversed,
                 .id = "diode-reversed/" + name,
                 .words = name + " the other way round",
                 .remedy = fmt::format("turn {}: its band is the cathode", name),
                 .seen_by_eye = true,
                 .part = p},
                name);
        const bool mosfet = wired.type->kind == PartKind::mosfet, bjt = wired.type->kind == PartKind::bjt;
        if (!mosfet && !bjt) continue;
        add({.kind = FaultKind::drain_source_swapped,
             .id = "drain-source-swapped/" + name,
             .words = fmt::format("{} of {} exchanged", mosfet ? "drain and source" : "collector and emitter", name),
             .remedy = fmt::format("exchange the two outer leads of {} as its own sheet shows them", name),
             .seen_by_eye = true,
             .part = p},
            name);
        const int gate = wired.type->pin_index("G");
        const NetId net = gate < 0 ? unconnected : wired.net_of_pin[gate];
        if (net == unconnected || wiring().nets[net].rail.empty()) continue;
        for (const Rail& rail : bench_.rails)
            if (rail.name != wiring().nets[net].rail && wiring().rail(rail.name) != unconnected)
                add({.kind = FaultKind::gate_on_wrong_rail,
                     .id = fmt::format("gate-on-wrong-rail/{}/{}", name, rail.name),
                     .words = fmt::format("gate of {} on rail {} in place of rail {}", name, rail.name,
                                          wiring().nets[net].rail),
                     .remedy = fmt::format("put the gate of {} on rail {}", name, wiring().nets[net].rail),
                     .seen_by_eye = true,
                     .part = p,
                     .pin = gate,
                     .rail = rail.name},
                    name);
    }
}

/// A strap at the other end: ground for a rail, and the pin's own supply for ground; a strap at a rail may also
/// be on another rail.
void FaultListing::controls() {
    for (int p = 0; p < parts(); ++p)
        for (const int k : control_pins(*part(p).type)) {
            const NetId net = part(p).net_of_pin[k];
            if (!is_held(wiring(), net)) continue;
            const std::string label = pin_label(part(p), k);
            const std::string at = part(p).name + "." + part(p).type->pins[k].name;
            const auto wrong = [&](const std::string& where, const std::string& rail) {
                add({.kind = FaultKind::control_wrong_level,
                     .id = fmt::format("control-wrong-level/{}/{}", at, rail.empty() ? "ground" : rail),
                     .words = fmt::format("{} on {} in place of {}", label, where, wiring().nets[net].name),
                     .remedy = fmt::format("put {} on {}", label, wiring().nets[net].name),
                     .seen_by_eye = true,
                     .part = p,
                     .pin = k,
                     .rail = rail},
                    at);
            };
            if (!wiring().nets[net].ground) wrong("ground", "");
            const NetId own = own_supply(wiring(), p, k);
            for (const Rail& rail : bench_.rails) {
                const NetId there = wiring().rail(rail.name);
                if (there == unconnected || there == net) continue;
                if (!wiring().nets[net].ground || there == own) wrong("rail " + rail.name, rail.name);
            }
        }
}

}  // namespace voltsill
