/// Wire list, parts list and the wires to write down of a wiring.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "quantity/print.h"
#include "wiring/spares.h"

namespace voltsill {

std::string_view to_word(WireUse use) {
    switch (use) {
        case WireUse::ground:
            return "ground";
        case WireUse::supply:
            return "supply";
        case WireUse::bridge:
            return "bridge";
        case WireUse::strap:
            return "strap";
        case WireUse::signal:
            break;
    }
    return "signal";
}

int number_of(const WiredPart& part, int pin) {
    if (!part.package) return 0;
    const auto& numbers = part.package->pin_of_number;
    const auto at = std::ranges::find(numbers, pin);
    return at == numbers.end() ? 0 : static_cast<int>(at - numbers.begin()) + 1;
}

int pin_of_lead(const WiredPart& part, int lead) {
    const std::size_t n = static_cast<std::size_t>(lead);
    if (!part.package) return n < part.type->pins.size() ? lead : -1;
    return n < part.package->pin_of_number.size() ? part.package->pin_of_number[n] : -1;
}

std::string pin_label(const WiredPart& part, int pin, std::string_view more) {
    const std::string& name = part.type->pins[pin].name;
    const int number = part.added ? number_of(part, pin) : 0;
    return number == 0 || std::to_string(number) == name
               ? fmt::format("{}.{}{}", part.name, name, number == 0 ? "" : more)
               : fmt::format("{}.{} ({}{})", part.name, number, name, more);
}

std::string strap_reason(const WiredPart& part, int pin) {
    for (const Channel& c : part.type->channels) {
        if (c.direction == pin) return "direction";
        if (std::ranges::find(c.enables, pin) != c.enables.end()) return "enable";
    }
    for (const Channel& c : part.type->channels)
        if (std::ranges::find(c.inputs, pin) != c.inputs.end() || c.output == pin) return "unused input";
    return part.purpose.empty() ? "strap" : part.purpose;
}

namespace {

std::string end_code(const WiredPart& part, int pin) {
    return fmt::format("{}.{}", part.name, part.type->pins[pin].name);
}

/// Wires are laid in this order: what makes the board safe to power comes first.
enum class Step { ground, supply, decoupling, strap, signal };

Step step_of(const WiredPart& part, int pin, const Net& net) {
    const PinRole role = part.type->pins[pin].role;
    if (part.type->kind == PartKind::capacitor) return Step::decoupling;
    if (net.ground && role == PinRole::ground) return Step::ground;
    if (!net.rail.empty() && role == PinRole::supply) return Step::supply;
    return net.ground || !net.rail.empty() ? Step::strap : Step::signal;
}

/// A capacitor hangs on a rail or on a signal.
WireUse use_of(Step step, bool bus) {
    switch (step) {
        case Step::ground:
            return WireUse::ground;
        case Step::supply:
            return WireUse::supply;
        default:
            return bus ? WireUse::strap : WireUse::signal;
    }
}

std::string reason_of(Step step, const WiredPart& part, int pin, const Net& net) {
    switch (step) {
        case Step::ground:
            return "common ground";
        case Step::supply:
            return "supply";
        case Step::decoupling:
            return part.purpose;
        case Step::strap:
            return strap_reason(part, pin);
        case Step::signal:
            return net.name;
    }
    return {};
}

}  // namespace

std::vector<WireListEntry> wire_list(const Wiring& wiring) {
    struct Entry {
        Step step;
        int order;
        WireListEntry wire;
    };
    std::vector<Entry> entries;
    int order = 0;
    for (size_t n = 0; n < wiring.nets.size(); ++n) {
        const Net& net = wiring.nets[n];
        const bool bus = net.ground || !net.rail.empty();
        std::string from = bus ? net.name : "";
        for (const WiredPart& part : wiring.parts)
            for (size_t k = 0; k < part.net_of_pin.size(); ++k) {
                if (part.net_of_pin[k] != static_cast<NetId>(n)) continue;
                const std::string end = pin_label(part, static_cast<int>(k));
                if (from.empty()) {  // signals run from pin to pin, one after the other
                    from = end;
                    continue;
                }
                const Step step = step_of(part, static_cast<int>(k), net);
                entries.push_back({step,
                                   order++,
                                   {from, end, net.name, reason_of(step, part, static_cast<int>(k), net),
                                    use_of(step, bus)}});
                if (!bus) from = end;
            }
    }
    std::ranges::stable_sort(entries, [](const Entry& a, const Entry& b) { return a.step < b.step; });
    std::vector<WireListEntry> out;
    for (Entry& e : entries) out.push_back(std::move(e.wire));
    return out;
}

namespace {

double share_of(const PartType& type, const SpareRates& rates) {
    switch (type.kind) {
        case PartKind::logic:
        case PartKind::translator:
        case PartKind::comparator:
        case PartKind::op_amp:
        case PartKind::opto:
            return rates.integrated_circuit;
        case PartKind::mosfet:
        case PartKind::bjt:
            return rates.transistor;
        case PartKind::diode:
            return rates.diode;
        case PartKind::resistor:
            return rates.resistor;
        case PartKind::capacitor:
            return rates.capacitor;
        case PartKind::module:
            return rates.module;
    }
    return rates.module;
}

}  // namespace

int spares_of(double share, int count) { return static_cast<int>(std::ceil(share * count - 1e-9)); }
int spares_of(const PartType& type, int count) { return spares_of(type, count, SpareRates{}); }
int spares_of(const PartType& type, int count, const SpareRates& rates) {
    return spares_of(share_of(type, rates), count);
}

std::string part_words(const WiredPart& part) {
    if (part.type->kind == PartKind::resistor && part.value)
        return fmt::format(
            "resistor {} {}", print(Ohms{*part.value}),
            print_percent(part.tolerance.value_or(std::get<ResistorModel>(part.type->model).tolerance)));
    if (part.type->kind == PartKind::capacitor && part.value)
        return fmt::format("capacitor {}", print(Farads{*part.value}));
    if (part.package && part.type->kind != PartKind::module &&
        part.type->name.find(part.package->name) == std::string::npos)
        return fmt::format("{} {}", part.type->name, part.package->name);
    return part.type->name;
}

std::vector<PartsListEntry> parts_list(const Wiring& wiring) {
    std::map<std::string, PartsListEntry> by_what;
    for (const WiredPart& part : wiring.parts) {
        PartsListEntry& entry = by_what[part_words(part)];
        entry.what = part_words(part);
        ++entry.count;
        entry.names.push_back(part.name);
        entry.spares = spares_of(*part.type, entry.count);
    }
    std::vector<PartsListEntry> out;
    for (auto& [what, entry] : by_what) out.push_back(std::move(entry));
    return out;
}

GivenWiring given_wiring(const Wiring& wiring) {
    GivenWiring given;
    for (const WiredPart& part : wiring.parts) {
        if (!part.added) continue;
        BenchPart written{.name = part.name,
                          .type_name = part.type->name,
                          .type = part.type,
                          .package = part.package,
                          .value = part.value};
        if (part.package && !part.type->name.ends_with(part.package->name))
            written.type_name += " " + part.package->name;
        given.parts.push_back(std::move(written));
    }
    for (size_t n = 0; n < wiring.nets.size(); ++n) {
        const Net& net = wiring.nets[n];
        const bool bus = net.ground || !net.rail.empty();
        std::string from = net.ground ? "ground" : !net.rail.empty() ? "rail " + net.rail : "";
        for (const WiredPart& part : wiring.parts)
            for (size_t k = 0; k < part.net_of_pin.size(); ++k) {
                if (part.net_of_pin[k] != static_cast<NetId>(n)) continue;
                const std::string end = end_code(part, static_cast<int>(k));
                if (!from.empty()) given.wires.push_back({.from = from, .to = end});
                if (from.empty() || !bus) from = end;
            }
    }
    return given;
}

std::vector<std::string> facing_pin_notes(const Wiring& wiring) {
    std::vector<std::string> notes;
    for (const WiredPart& part : wiring.parts) {
        if (!part.added || !part.package) continue;
        const int pins = static_cast<int>(part.package->pin_of_number.size());
        for (const Channel& c : part.type->channels) {
            if (part.net_of_pin[c.inputs[0]] == unconnected) continue;
            if (part.net_of_pin[c.output] == unconnected) continue;
            const int in = number_of(part, c.inputs[0]), out = number_of(part, c.output),
                      facing = pins + 1 - in;
            const bool same_side = (in <= pins / 2) == (out <= pins / 2);
            if (in == 0 || out == 0 || facing == out || same_side) continue;
            const int faced = part.package->pin_of_number[facing - 1];
            notes.push_back(fmt::format(
                "{}: the signal into pin {} ({}) leaves on pin {} ({}), not on pin {} ({}), which faces it.",
                part.name, in, part.type->pins[c.inputs[0]].name, out, part.type->pins[c.output].name, facing,
                faced < 0 ? "no connection" : part.type->pins[faced].name));
        }
    }
    return notes;
}

}  // namespace voltsill
