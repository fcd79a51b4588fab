/// Faults of hands on a placement: its slips, named by what they leave undone, and bad contacts of wires.
#include <fmt/format.h>

#include <algorithm>

#include "faults/listing.h"

namespace voltsill {
namespace {

/// A contact that barely touches has something between an ohm and none at all: here so many that the rail or
/// the signal behind it shows them (common practice, no source: a good contact has below 0.1 Ω).
constexpr double ohms_in_supply = 10, ohms_in_signal = 1e3;

bool carries_supply(WireUse use) {
    return use == WireUse::ground || use == WireUse::supply || use == WireUse::bridge;
}

/// Where supplies and modules have their 0 V: without this wire they have no common ground with the rest.
bool joins_grounds(const LaidWire& wire) {
    const auto outside = [](const WireEnd& end) {
        return end.kind == WireEnd::Kind::ground || end.kind == WireEnd::Kind::pin;
    };
    return wire.use == WireUse::ground && (outside(wire.from) || outside(wire.to));
}

FaultKind kind_of(const Slip& slip, const Placement& placement) {
    switch (slip.kind) {
        case SlipKind::one_row_off:
            return FaultKind::one_row_off;
        case SlipKind::one_column_off:
            return FaultKind::one_column_off;
        case SlipKind::neighbours_swapped:
            return FaultKind::neighbours_swapped;
        case SlipKind::facing_pin:
            return FaultKind::facing_pin;
        case SlipKind::wrong_strip:
            return FaultKind::wrong_strip;
        case SlipKind::header_pin_off:
            return FaultKind::header_pin_off;
        case SlipKind::part_one_row_off:
            return FaultKind::part_one_row_off;
        case SlipKind::part_turned:
            return FaultKind::part_turned;
        case SlipKind::wire_missing:
            break;
    }
    const LaidWire& wire = placement.wires[slip.wire];
    return wire.use == WireUse::bridge ? FaultKind::strip_gap_open
           : joins_grounds(wire)       ? FaultKind::ground_not_common
                                       : FaultKind::wire_missing;
}

std::string without_spaces(std::string text) {
    std::ranges::replace(text, ' ', '-');
    return text;
}

/// A diode turned, and a transistor whose gate or base stays in the middle, are kinds of their own.
bool listed_elsewhere(const Slip& slip, const WiredPart& part) {
    if (slip.kind != SlipKind::part_turned || !part.package) return false;
    if (part.type->kind == PartKind::diode) return true;
    const auto& leads = part.package->pin_of_number;
    if (leads.size() != 3 || leads[1] < 0) return false;
    const std::string& middle = part.type->pins[leads[1]].name;
    return (part.type->kind == PartKind::mosfet && middle == "G") ||
           (part.type->kind == PartKind::bjt && middle == "B");
}

struct Naming {
    const Wiring& wiring;
    const Placement& placement;

    std::string wire(int w) const { return fmt::format("wire {}", placement.wires[w].number); }
    const WireEnd& end(int w, bool from) const {
        return from ? placement.wires[w].from : placement.wires[w].to;
    }
    std::string at(const WireEnd& e) const { return words(placement, wiring, e); }

    std::string id(const Slip& s) const {
        const auto end_key = [&](int w, bool from) {
            return fmt::format("{}{}", placement.wires[w].number, from ? "a" : "b");
        };
        if (s.kind == SlipKind::wire_missing) return std::to_string(placement.wires[s.wire].number);
        if (s.kind == SlipKind::neighbours_swapped)
            return end_key(s.wire, s.at_from) + "-" + end_key(s.other, s.other_at_from);
        if (s.wire >= 0) return end_key(s.wire, s.at_from) + "/" + without_spaces(at(s.to));
        const std::string& name = wiring.parts[s.part].name;
        if (s.kind == SlipKind::part_turned) return name;
        if (s.lead > 0) return fmt::format("{}.{}/{}", name, s.lead, without_spaces(at(s.to)));
        return fmt::format("{}/{}", name, s.rows < 0 ? "up" : "down");
    }
    std::string place(const Slip& s) const {
        if (s.wire >= 0) return fmt::format("{}{}", placement.wires[s.wire].number, s.at_from ? "a" : "b");
        return fmt::format("{}.{}", wiring.parts[s.part].name, s.lead);
    }
    std::string remedy(const Slip& s) const {
        if (s.kind == SlipKind::wire_missing)
            return fmt::format("put {} from {} to {}", wire(s.wire), at(end(s.wire, true)),
                               at(end(s.wire, false)));
        if (s.kind == SlipKind::neighbours_swapped)
            return fmt::format("put {} in {} and {} in {}", wire(s.wire), at(end(s.wire, s.at_from)),
                               wire(s.other), at(end(s.other, s.other_at_from)));
        if (s.wire >= 0)
            return fmt::format("put that end of {} in {}", wire(s.wire), at(end(s.wire, s.at_from)));
        const std::string& name = wiring.parts[s.part].name;
        const auto& holes = placement.parts[s.part].holes;
        if (s.lead > 0)
            return fmt::format("put lead {} of {} in {}", s.lead, name, words(placement, holes[s.lead - 1]));
        return fmt::format("put {} with pin 1 in {}", name, words(placement, holes[0]));
    }
    std::string where(const WireEnd& e) const { return (e.kind == WireEnd::Kind::hole ? "in " : "on ") + at(e); }
    /// What a look at the wires or the part shows.
    std::vector<Sight> sights(const Slip& s) const {
        const auto number = [&](int w) { return placement.wires[w].number; };
        if (s.kind == SlipKind::wire_missing) return {{number(s.wire), "missing"}};
        if (s.kind == SlipKind::neighbours_swapped)
            return {{number(s.wire), where(end(s.other, s.other_at_from))},
                    {number(s.other), where(end(s.wire, s.at_from))}};
        if (s.wire >= 0) return {{number(s.wire), where(s.to)}};
        if (s.kind == SlipKind::part_turned) return {{.text = "turned"}};
        if (s.lead > 0) return {{.text = fmt::format("lead {} {}", s.lead, where(s.to))}};
        Hole first = placement.parts[s.part].holes[0];
        first.row += s.rows;
        return {{.text = "pin 1 in " + words(placement, first)}};
    }
    std::string words_of(const Slip& s) const {
        std::string text = words(wiring, placement, s);
        if (s.kind == SlipKind::wire_missing) text += fmt::format(" ({})", placement.wires[s.wire].reason);
        return text;
    }
};

}  // namespace

bool is_placed(const PlacedWiring& build) {
    return build.trouble.empty() && !build.placement.boards.empty() &&
           build.placement.parts.size() == build.wiring.parts.size();
}

void FaultListing::slips_and_wires() {
    const Placement& placement = build_.placement;
    const Naming naming{wiring(), placement};
    for (const Slip& slip : slips_of(bench_, wiring(), placement)) {
        if (slip.part >= 0 && listed_elsewhere(slip, part(slip.part))) continue;
        Fault fault{.kind = kind_of(slip, placement), .seen_by_eye = true, .part = slip.part, .slip = slip};
        fault.id = fmt::format("{}/{}", to_key(fault.kind), naming.id(slip));
        fault.words = naming.words_of(slip);
        fault.remedy = naming.remedy(slip);
        fault.sights = naming.sights(slip);
        for (const int w : {slip.wire, slip.other})
            if (w >= 0) fault.wires.push_back(placement.wires[w].number);
        add(std::move(fault), naming.place(slip));
        if (slip.kind != SlipKind::wire_missing) continue;
        // A wire whose loss changes nothing is doubled, and its contacts do not matter.
        const LaidWire& wire = placement.wires[slip.wire];
        const double ohms = carries_supply(wire.use) ? ohms_in_supply : ohms_in_signal;
        for (const bool broken : {false, true})
            add({.kind = FaultKind::contact_resistance,
                 .id = fmt::format("contact-resistance/{}/{}", wire.number, broken ? "open" : "ohms"),
                 .words = broken ? fmt::format("wire {} broken inside ({})", wire.number, wire.reason)
                                 : fmt::format("wire {} with a bad contact of {:g} Ω ({})", wire.number, ohms,
                                               wire.reason),
                 .remedy = fmt::format("put another wire in place of wire {}, in other holes of the same rows",
                                       wire.number),
                 .wires = {wire.number},
                 .variant = broken ? "open" : "ohms",
                 .value = broken ? 0 : ohms},
                std::to_string(wire.number));
    }
}

}  // namespace voltsill
