#include "placement/slips.h"

#include <fmt/format.h>

#include <algorithm>

namespace voltsill {
namespace {

WireEnd& end_of(LaidWire& wire, bool from) { return from ? wire.from : wire.to; }
const WireEnd& end_of(const LaidWire& wire, bool from) { return from ? wire.from : wire.to; }

/// A package on both sides of the trench is turned by half its pins; one in a line lies the other way.
void turn(std::vector<Hole>& holes) {
    const std::size_t n = holes.size();
    const bool in_line = n <= most_bending_leads || std::ranges::all_of(holes, [&](const Hole& h) {
                             return h.column == holes[0].column;
                         });
    if (in_line)
        std::ranges::reverse(holes);
    else
        std::ranges::rotate(holes, holes.begin() + static_cast<std::ptrdiff_t>(n / 2));
}

}  // namespace

std::string_view to_word(SlipKind kind) {
    switch (kind) {
        case SlipKind::one_row_off:
            return "one row off";
        case SlipKind::one_column_off:
            return "one column off";
        case SlipKind::neighbours_swapped:
            return "neighbours swapped";
        case SlipKind::facing_pin:
            return "facing pin";
        case SlipKind::wire_missing:
            return "wire missing";
        case SlipKind::wrong_strip:
            return "wrong strip";
        case SlipKind::header_pin_off:
            return "one header pin off";
        case SlipKind::part_one_row_off:
            return "part one row off";
        case SlipKind::part_turned:
            return "part turned";
    }
    return {};
}

Placement with_slip(const Placement& placement, const Slip& slip) {
    Placement out = placement;
    if (slip.kind == SlipKind::wire_missing) {
        out.wires.erase(out.wires.begin() + slip.wire);
    } else if (slip.kind == SlipKind::neighbours_swapped) {
        std::swap(end_of(out.wires[slip.wire], slip.at_from),
                  end_of(out.wires[slip.other], slip.other_at_from));
    } else if (slip.wire >= 0) {
        end_of(out.wires[slip.wire], slip.at_from) = slip.to;
    } else if (slip.kind == SlipKind::part_turned) {
        turn(out.parts[slip.part].holes);
    } else if (slip.lead > 0) {
        out.parts[slip.part].holes[slip.lead - 1] = slip.to.hole;
    } else {
        for (Hole& hole : out.parts[slip.part].holes) hole.row += slip.rows;
    }
    return out;
}

std::string words(const Wiring& wiring, const Placement& placement, const Slip& slip) {
    const auto at = [&](const WireEnd& end) {
        return (end.kind == WireEnd::Kind::hole ? "in " : "on ") + words(placement, wiring, end);
    };
    const auto bare = [&](const WireEnd& end) { return words(placement, wiring, end); };
    if (slip.wire >= 0) {
        const LaidWire& wire = placement.wires[slip.wire];
        if (slip.kind == SlipKind::wire_missing) return fmt::format("wire {} left out", wire.number);
        const WireEnd& was = end_of(wire, slip.at_from);
        if (slip.kind == SlipKind::neighbours_swapped)
            return fmt::format("wires {} and {} exchanged at {} and {}", wire.number,
                               placement.wires[slip.other].number, bare(was), bare(slip.to));
        return fmt::format("wire {} {} in place of {}", wire.number, at(slip.to), bare(was));
    }
    const std::string& name = wiring.parts[slip.part].name;
    if (slip.kind == SlipKind::part_turned) return name + " the other way round";
    if (slip.lead > 0)
        return fmt::format("lead {} of {} in {} in place of {}", slip.lead, name,
                           words(placement, slip.to.hole),
                           words(placement, placement.parts[slip.part].holes[slip.lead - 1]));
    Hole first = placement.parts[slip.part].holes[0];
    first.row += slip.rows;
    return fmt::format("{} one row {} (pin 1 in {})", name, slip.rows < 0 ? "up" : "down",
                       words(placement, first));
}

}  // namespace voltsill
