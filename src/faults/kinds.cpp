/// The kinds of faults by name, and how often each is met.
#include <algorithm>
#include <array>

#include "faults/fault.h"

namespace voltsill {
namespace {

struct KindRow {
    FaultKind kind;
    std::string_view key, word;
    double weight;
};

/// Weights: what instructors of first courses name most often comes first, as wiring before parts before
/// supplies (common practice, no source).
constexpr std::array<KindRow, 31> kind_rows{{
    {FaultKind::wire_missing, "wire-missing", "wire left out", 12},
    {FaultKind::one_row_off, "one-row-off", "one row off", 16},
    {FaultKind::one_column_off, "one-column-off", "one column off", 5},
    {FaultKind::neighbours_swapped, "neighbours-swapped", "neighbours exchanged", 5},
    {FaultKind::facing_pin, "facing-pin", "at the facing pin", 6},
    {FaultKind::wrong_strip, "wrong-strip", "in the wrong strip", 6},
    {FaultKind::header_pin_off, "header-pin-off", "one header pin off", 5},
    {FaultKind::part_one_row_off, "part-one-row-off", "part one row off", 3},
    {FaultKind::part_turned, "part-turned", "part the other way round", 3},
    {FaultKind::strip_gap_open, "strip-gap-open", "rail strip not bridged", 4},
    {FaultKind::ground_not_common, "ground-not-common", "ground not joined", 5},
    {FaultKind::pin_open, "pin-open", "pin without contact", 4},
    {FaultKind::contact_resistance, "contact-resistance", "bad contact", 5},
    {FaultKind::near_namesake, "near-namesake", "part of a near name", 4},
    {FaultKind::wrong_value, "wrong-value", "resistor of another value", 5},
    {FaultKind::diode_reversed, "diode-reversed", "diode reversed", 2},
    {FaultKind::drain_source_swapped, "drain-source-swapped", "drain and source exchanged", 2},
    {FaultKind::gate_on_wrong_rail, "gate-on-wrong-rail", "gate on the wrong rail", 1},
    {FaultKind::control_open, "control-open", "control pin on nothing", 3},
    {FaultKind::control_wrong_level, "control-wrong-level", "control pin at the wrong level", 3},
    {FaultKind::supply_off, "supply-off", "supply off", 6},
    {FaultKind::supply_low, "supply-low", "supply too low", 2},
    {FaultKind::supply_high, "supply-high", "supply too high", 1},
    {FaultKind::output_dead, "output-dead", "dead output", 2},
    {FaultKind::output_stuck_low, "output-stuck-low", "output stuck low", 1},
    {FaultKind::output_stuck_high, "output-stuck-high", "output stuck high", 1},
    {FaultKind::clamp_shorted, "clamp-shorted", "protection diode shorted", 1},
    {FaultKind::pull_missing, "pull-missing", "pull resistor missing", 2},
    {FaultKind::pull_doubled, "pull-doubled", "pull resistor doubled", 2},
    {FaultKind::strong_pull, "strong-pull", "strong pull at an auto-direction part", 1},
    {FaultKind::decoupling_missing, "decoupling-missing", "decoupling capacitor missing", 3},
}};

constexpr auto kinds_in_order = [] {
    std::array<FaultKind, kind_rows.size()> kinds{};
    for (std::size_t k = 0; k < kinds.size(); ++k) kinds[k] = kind_rows[k].kind;
    return kinds;
}();

const KindRow& row_of(FaultKind kind) { return *std::ranges::find(kind_rows, kind, &KindRow::kind); }

}  // namespace

std::string_view to_word(FaultKind kind) { return row_of(kind).word; }
std::string_view to_key(FaultKind kind) { return row_of(kind).key; }
double usual_weight(FaultKind kind) { return row_of(kind).weight; }
std::span<const FaultKind> fault_kinds() { return kinds_in_order; }

std::optional<FaultKind> fault_kind(std::string_view key) {
    const auto found = std::ranges::find(kind_rows, key, &KindRow::key);
    return found == kind_rows.end() ? std::nullopt : std::optional(found->kind);
}

}  // namespace voltsill
