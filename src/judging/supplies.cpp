/// Supplies: every part within its range, one ground, decoupling.
#include <fmt/format.h>

#include <algorithm>

#include "judging/inspection.h"
#include "judging/power_order.h"
#include "quantity/print.h"
#include "wiring/assumed.h"

namespace voltsill {
namespace {

Finding part_finding(const char* code, Verdict verdict, const std::string& part, const std::string& pin,
                     Dimension dimension) {
    Finding f{.code = code, .verdict = verdict, .dimension = dimension};
    f.part = part;
    f.pin = pin;
    f.state = "all rails up";
    return f;
}

void supply_range(Inspection& in, const WiredPart& part, const SupplyPort& port, const Rail& rail) {
    const auto& v = rail.volts.span;
    const bool over_max = port.max.si() > 0 && v.hi > port.max;
    const bool above = v.hi > port.range.hi * (1 + 1e-9), below = v.lo < port.range.lo * (1 - 1e-9);
    if (!over_max && !above && !below) return;
    Finding f = part_finding(over_max || above ? "supply-too-high" : "supply-too-low",
                             over_max || above ? Verdict::harmful : Verdict::unreadable, part.name, port.name,
                             Dimension::voltage);
    const Volts worst = over_max || above ? v.hi : v.lo, limit = over_max ? port.max
                                                                 : above  ? port.range.hi
                                                                          : port.range.lo;
    f.value = Evidence{worst.si(), rail.volts.origin, fmt::format("rail {}", rail.name)};
    f.limit = Evidence{limit.si(), over_max ? port.max_origin : port.origin,
                       over_max ? "absolute maximum supply" : "operating range"};
    f.margin = (over_max || above ? limit - worst : worst - limit).si();
    f.corner = fmt::format("{} {}", rail.name, say(worst));
    f.arithmetic = fmt::format("{} on {}, made for {}", say(worst), port.name, print(port.range));
    f.sentence = over_max ? fmt::format("{} of {} is not allowed above {}; rail {} reaches {}.", port.name,
                                        part.name, say(port.max), rail.name, say(worst))
                 : above  ? fmt::format(
                                "{} ({}) is made for a supply of {}; on rail {} it gets up to {}: out of its "
                                 "range, nothing is promised and it is stressed.",
                                part.name, part.type->name, print(port.range), rail.name, say(worst))
                         : fmt::format("{} ({}) needs {} or more; rail {} can be as low as {}.", part.name,
                                       part.type->name, say(port.range.lo), rail.name, say(worst));
    f.advice = over_max || above ? "Use a rail within its range, or a part made for this supply."
                                 : "Use a higher rail, or a part that works lower.";
    in.add_for_part(f);
}

void at_most(Inspection& in, const WiredPart& part, int port_index) {
    const SupplyPort& port = part.type->supplies[port_index];
    if (port.needs_at_most.empty()) return;
    const auto rail_of = [&](int supply) -> const Rail* {
        for (size_t k = 0; k < part.type->pins.size(); ++k)
            if (part.type->pins[k].role == PinRole::supply && part.type->pins[k].supply == supply &&
                part.net_of_pin[k] >= 0)
                return in.bench.rail(in.wiring.nets[part.net_of_pin[k]].rail);
        return nullptr;
    };
    const Rail *own = rail_of(port_index), *other = rail_of(part.type->supply_index(port.needs_at_most));
    if (!own || !other || own == other || own->volts.span.hi <= other->volts.span.lo) return;
    Finding f = part_finding("supply-order", Verdict::harmful, part.name, port.name, Dimension::voltage);
    f.value = Evidence{own->volts.span.hi.si(), own->volts.origin, port.name};
    f.limit = Evidence{other->volts.span.lo.si(), other->volts.origin, port.needs_at_most};
    f.margin = (other->volts.span.lo - own->volts.span.hi).si();
    f.arithmetic = fmt::format("{} up to {}, {} down to {}", port.name, say(own->volts.span.hi),
                               port.needs_at_most, say(other->volts.span.lo));
    f.sentence = fmt::format("{} of {} may not be above {}: inside diodes would conduct.", port.name,
                             part.name, port.needs_at_most);
    f.advice = "Exchange the two sides.";
    in.add_for_part(f);
}

void common_ground(Inspection& in, const WiredPart& part) {
    const int pin = part.type->ground_pin();
    if (pin < 0) return;
    const NetId net = part.net_of_pin[pin];
    if (net >= 0 && in.wiring.nets[net].ground) return;
    const bool isolated = std::ranges::none_of(in.bench.links, [&](const Link& link) {
        const auto is_here = [&](const PinRef& r) { return r.part == part.name; };
        return std::ranges::any_of(link.from, is_here) || std::ranges::any_of(link.to, is_here);
    });
    if (isolated && !part.added) return;
    Finding f = part_finding("no-common-ground", Verdict::unreadable, part.name, part.type->pins[pin].name,
                             Dimension::resistance);
    f.arithmetic = "no wire from its ground to the common ground";
    f.sentence = fmt::format(
        "{} has no ground in common with the rest: its levels mean nothing to them, and signals become the "
        "return path.",
        part.name);
    f.advice =
        "Join the grounds first, before any supply or signal. Power off, measure ground to ground: below 1 "
        "Ω.";
    in.add_for_part(f);
}

void unsupplied(Inspection& in, const WiredPart& part, const SupplyPort& port) {
    Finding f = part_finding("no-supply", Verdict::unreadable, part.name, port.name, Dimension::voltage);
    f.arithmetic = "no way from " + port.name + " to a rail";
    f.sentence =
        fmt::format("{} of {} is on no rail: the part may half-run from its signals.", port.name, part.name);
    f.advice = "Wire supply and ground pins before any signal.";
    in.add_for_part(f);
}

/// Whether anything on a net that is no rail could feed what hangs there: a diode, a transistor, an output, a small
/// resistor, a regulator. Inputs, capacitors and other supply pins do not.
bool could_feed(const WiredPart& part, const Pin& pin) {
    if (part.type->kind == PartKind::resistor) return !part.value || *part.value <= assumed::supply_ohms.si();
    switch (pin.role) {
        case PinRole::passive:
            return part.type->kind != PartKind::capacitor;
        case PinRole::supply:
            return pin.supply >= 0 && part.type->supplies[pin.supply].provides.has_value();
        case PinRole::input:
        case PinRole::analog_input:
        case PinRole::ground:
        case PinRole::no_connect:
            return false;
        default:
            return true;
    }
}

bool is_fed(const Inspection& in, NetId net) {
    if (net == unconnected) return false;
    if (in.wiring.nets[net].ground || !in.wiring.nets[net].rail.empty()) return true;
    for (const WiredPart& part : in.wiring.parts)
        for (size_t k = 0; k < part.net_of_pin.size(); ++k)
            if (part.net_of_pin[k] == net && could_feed(part, part.type->pins[k])) return true;
    return false;
}

/// Every rail has a net of its own, unless it was joined to another supply: then the stronger feeds the
/// weaker, or one is shorted, and wire alone limits it.
void joined_supply(Inspection& in, const Rail& rail) {
    if (in.wiring.rail(rail.name) != unconnected) return;
    Finding f{.code = "supplies-joined", .verdict = Verdict::harmful, .dimension = Dimension::voltage};
    f.net = "rail " + rail.name;
    f.state = "all rails up";
    f.arithmetic = "no net of its own";
    f.sentence = fmt::format(
        "Rail {} is joined to ground or to another rail: one source feeds or shorts the other.", rail.name);
    f.advice = "Power off; find the wire or the part that joins them.";
    in.add(std::move(f));
}

/// A part the other way round: its ground pin is above its supply pin, and what lies between them in
/// every integrated circuit conducts.
void reversed(Inspection& in, const WiredPart& part, const SupplyPort& port, int port_index) {
    const auto span_at = [&](int pin) -> std::optional<Span<Volts>> {
        if (pin < 0 || part.net_of_pin[pin] < 0) return std::nullopt;
        const Net& net = in.wiring.nets[part.net_of_pin[pin]];
        if (net.ground) return Span<Volts>{};
        const Rail* rail = in.bench.rail(net.rail);
        return rail ? std::optional(rail->volts.span) : std::nullopt;
    };
    int supply = -1;
    for (size_t k = 0; k < part.type->pins.size(); ++k)
        if (part.type->pins[k].role == PinRole::supply && part.type->pins[k].supply == port_index)
            supply = static_cast<int>(k);
    const auto plus = span_at(supply), minus = span_at(part.type->ground_pin());
    if (!plus || !minus || minus->hi <= Volts{}) return;
    const Volts lowest = plus->lo - minus->hi;
    if (lowest >= port.min) return;
    Finding f = part_finding("supply-reversed", Verdict::harmful, part.name, port.name, Dimension::voltage);
    f.value = Evidence{lowest.si(), in.bench.rails.front().volts.origin,
                       port.name + " against ground of " + part.name};
    f.limit = Evidence{port.min.si(), port.max_origin, "absolute minimum supply"};
    f.margin = (lowest - port.min).si();
    f.arithmetic =
        fmt::format("{} on {} against its ground pin, stands {}", say(lowest), port.name, say(port.min));
    f.sentence = fmt::format("{} is supplied the wrong way round: its {} is {} against its ground pin.",
                             part.name, port.name, say(lowest));
    f.advice = "Power off at once; look where the notch is. A circuit that was reversed is not used again.";
    in.add_for_part(f);
}

/// One capacitor from each supply pin of an added integrated circuit to ground.
void decoupling(Inspection& in) {
    if (in.wiring.direct) return;
    for (const RailSite& rail : in.circuit.rails) {
        int wanted = 0, present = 0;
        std::string names;
        for (const WiredPart& part : in.wiring.parts) {
            if (part.type->kind == PartKind::capacitor) {
                const bool here = std::ranges::find(part.net_of_pin, rail.net) != part.net_of_pin.end();
                const bool there =
                    std::ranges::find(part.net_of_pin, in.wiring.ground()) != part.net_of_pin.end();
                present += here && there;
                continue;
            }
            if (part.type->kind == PartKind::module) continue;  // modules carry their own
            for (size_t k = 0; k < part.type->pins.size(); ++k) {
                const Pin& pin = part.type->pins[k];
                if (pin.role != PinRole::supply || part.net_of_pin[k] != rail.net || pin.supply < 0 ||
                    !part.type->supplies[pin.supply].needs_decoupling)
                    continue;
                ++wanted;
                names += (names.empty() ? "" : ", ") + part.name;
                break;
            }
        }
        if (present >= wanted) continue;
        Finding f{.code = "missing-decoupling", .verdict = Verdict::thin, .dimension = Dimension::ratio};
        f.net = "rail " + rail.name;
        f.state = "all rails up";
        f.value = Evidence{
            double(present), {Certainty::guaranteed, "the wiring"}, "capacitors from rail to ground"};
        f.limit = Evidence{double(wanted),
                           {Certainty::common_practice, "common practice, no source"},
                           "100 nF for each integrated circuit"};
        f.margin = present - wanted;
        f.arithmetic = fmt::format("{} of {} capacitors ({})", present, wanted, names);
        f.sentence = fmt::format("Rail {} has {} integrated circuit(s) ({}) and {} decoupling capacitor(s).",
                                 rail.name, wanted, names, present);
        f.advice =
            "100 nF from supply to ground at each circuit's own pins: without it faults make no sense and no "
            "meter shows them.";
        in.add(std::move(f));
    }
}

}  // namespace

void check_supplies(Inspection& in) {
    for (const WiredPart& part : in.wiring.parts) {
        common_ground(in, part);
        for (int s = 0; s < static_cast<int>(part.type->supplies.size()); ++s) {
            const SupplyPort& port = part.type->supplies[s];
            bool wired = false;
            for (size_t k = 0; k < part.type->pins.size(); ++k) {
                const Pin& pin = part.type->pins[k];
                if (pin.role != PinRole::supply || pin.supply != s || !is_fed(in, part.net_of_pin[k])) continue;
                wired = true;
                if (const Rail* rail = in.bench.rail(in.wiring.nets[part.net_of_pin[k]].rail);
                    rail && !port.provides)
                    supply_range(in, part, port, *rail);
            }
            if (!wired && !port.provides) unsupplied(in, part, port);
            at_most(in, part, s);
            reversed(in, part, port, s);
        }
    }
    for (const Rail& rail : in.bench.rails) joined_supply(in, rail);
    if (!in.enough) check_budgets(in);  // a budget harms nothing
    decoupling(in);
}

}  // namespace voltsill
