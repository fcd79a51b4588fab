#pragma once
/// Slips: every plausible single mistake of a hand on a placement, as the wiring it makes, and what it
/// does, by the judge.
///
///     slip = a placement with one thing changed;  its wiring = nets_of_holes(that placement)
///
/// Harmful means: the judge finds harm that the wiring without the slip does not have. The kinds are
/// those that teachers of digital laboratories report: one row off, the facing pin, a chip the other way
/// round, the wrong strip (common practice, no source).
#include <functional>
#include <span>

#include "judging/finding.h"
#include "wiring/placement.h"

namespace voltsill {

enum class SlipKind {
    one_row_off,         ///< an end of a wire or a lead of a part, in the next row
    one_column_off,      ///< an end of a wire across the trench or in a strip beside
    neighbours_swapped,  ///< the ends of two wires that lie side by side
    facing_pin,          ///< an end of a wire at the pin that faces the right one: N + 1 - n
    wire_missing,
    wrong_strip,       ///< an end meant for one rail strip or supply in another
    header_pin_off,    ///< an end on the next pin of a header
    part_one_row_off,  ///< a whole part one row up or down
    part_turned,       ///< a part the other way round
};
std::string_view to_word(SlipKind kind);  ///< "one row off"

struct Slip {
    SlipKind kind{};
    int wire = -1, part = -1;  ///< index of the wire or part that slips
    bool at_from = false;      ///< which end of the wire
    int other = -1;            ///< second wire of a swap
    bool other_at_from = false;
    int lead = -1;  ///< number of the lead that slips, from 1; -1: the whole part
    int rows = 0;   ///< by which a whole part is off
    WireEnd to;     ///< where the end or lead goes instead
};

/// Leads that bend: a hand can put each in a row of its own.
inline constexpr std::size_t most_bending_leads = 3;

/// Every single slip that changes what is joined: none into a hole that is taken, unless two are swapped.
std::vector<Slip> slips_of(const Bench& bench, const Wiring& wiring, const Placement& placement);
Placement with_slip(const Placement& placement, const Slip& slip);
/// The wiring a slip makes. Of two rails that it joins the later has no net, so that the judge sees it.
Wiring wiring_of(const Bench& bench, const Wiring& wiring, const Placement& placement);
/// "wire 12 in 14c in place of 13c"
std::string words(const Wiring& wiring, const Placement& placement, const Slip& slip);

struct SlipHarm {
    Slip slip;
    /// harmful; unknown: nobody has said what a pin stands, or the network has no solution, so it may
    /// harm; unreadable: something does not work; thin: works with less margin; safe: works all the same.
    Verdict verdict = Verdict::safe;
    std::string part, pin, code;  ///< of the worst finding; may be empty
    std::string sentence;         ///< of the judge; empty: nothing changes for the worse
};

struct SlipOptions {
    bool only_harm = false;                           ///< do not ask what else happens: much faster
    int threads = 1;                                  ///< the result is the same for any number
    std::function<bool(int done, int all)> progress;  ///< false ends early; the rest is left out
};

/// One for each slip, in order. Slips that make the same nets are judged once.
std::vector<SlipHarm> judge_slips(const Bench& bench, const Wiring& wiring, const Placement& placement,
                                  std::span<const Slip> slips, const SlipOptions& options = {});

/// Half a row, or a strip, at which a slip would harm.
struct RowToCheck {
    int board = 0, row = 0;
    int side = 0;       ///< 0: left of the trench, 1: right of it
    std::string strip;  ///< of a rail strip: its letter
    std::string words;  ///< "row 12, a to e"
    int harmful = 0, unknown = 0;
};

struct SlipReport {
    int slips = 0, harmful = 0, unknown = 0, fails = 0, thin = 0, same = 0;
    std::vector<SlipHarm> worst;   ///< all but those that work all the same, worst first
    std::vector<RowToCheck> rows;  ///< most harmful first
    std::string sentence;          ///< "Of 812 possible single slips 31 could harm something."
};
SlipReport slip_report(const Bench& bench, const Wiring& wiring, const Placement& placement,
                       const SlipOptions& options = {});

}  // namespace voltsill
