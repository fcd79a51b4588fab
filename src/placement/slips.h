#pragma once
/// Slips: every plausible single mistake of a hand on a placement, as the wiring it makes, and which
/// of them harm something, by the judge.
///
/// Harmful means: the judge finds harm that the wiring without the slip does not have.
#include <span>

#include "wiring/placement.h"

namespace voltsill {

enum class SlipKind {
    one_row_off,      ///< an end of a wire or a lead of a part, in the next row
    one_column_off,   ///< an end of a wire across the trench or into a strip beside
    neighbours_swapped,  ///< the ends of two wires that lie side by side
    facing_pin,       ///< an end of a wire at the pin that faces the right one
    wire_missing,
    wrong_strip,      ///< an end meant for one rail strip in another
    part_one_row_off, ///< a whole part one row up or down
    part_turned,      ///< a part the other way round
};
std::string_view to_word(SlipKind kind);  ///< "one row off"

struct Slip {
    SlipKind kind{};
    int wire = -1, part = -1;  ///< index of the wire or part that slips
    int other = -1;            ///< second wire of a swap
    bool at_from = false;      ///< which end of the wire
    Hole to;                   ///< where it goes instead
};

/// Every single slip that changes what is joined.
std::vector<Slip> slips_of(const Wiring& wiring, const Placement& placement);
Placement with_slip(const Wiring& wiring, const Placement& placement, const Slip& slip);
/// "wire 12 in 14c in place of 13c"
std::string words(const Wiring& wiring, const Placement& placement, const Slip& slip);

struct SlipHarm {
    Slip slip;
    bool harmful = false;
    std::string sentence;  ///< what is harmed, as the judge says it; empty: nothing
};
/// One for each slip, in order. Slips that make the same nets are judged once.
std::vector<SlipHarm> judge_slips(const Bench& bench, const Wiring& wiring, const Placement& placement,
                                  std::span<const Slip> slips);

}  // namespace voltsill
