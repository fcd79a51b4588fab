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

/// Weights per thousand places: one wire in a hundred is left out, one supply in twenty-five is not switched on, a
/// new part fails once in some hundreds (common practice, no source: instructors name wiring before parts).
constexpr std::array<KindRow, 31> kind_rows{{
    {FaultKind::wire_missing, "wire-missing", "wire left out", 10},
    {FaultKind::one_row_off, "one-row-off", "one row off", 8},
    {FaultKind::one_column_off, "one-column-off", "one column off", 1.5},
    {FaultKind::neighbours_swapped, "neighbours-swapped", "neighbours exchanged", 1},
    {FaultKind::facing_pin, "facing-pin", "at the facing pin", 2},
    {FaultKind::wrong_strip, "wrong-strip", "in the wrong strip", 3},
    {FaultKind::header_pin_off, "header-pin-off", "one header pin off", 4},
    {FaultKind::part_one_row_off, "part-one-row-off", "part one row off", 5},
    {FaultKind::part_turned, "part-turned", "part the other way round", 8},
    {FaultKind::strip_gap_open, "strip-gap-open", "rail strip not bridged", 30},
    {FaultKind::ground_not_common, "ground-not-common", "ground not joined", 20},
    {FaultKind::pin_open, "pin-open", "pin without contact", 2},
    {FaultKind::contact_resistance, "contact-resistance", "bad contact", 3},
    {FaultKind::near_namesake, "near-namesake", "part of a near name", 10},
    {FaultKind::wrong_value, "wrong-value", "resistor of another value", 15},
    {FaultKind::diode_reversed, "diode-reversed", "diode reversed", 40},
    {FaultKind::drain_source_swapped, "drain-source-swapped", "drain and source exchanged", 30},
    {FaultKind::gate_on_wrong_rail, "gate-on-wrong-rail", "gate on the wrong rail", 10},
    {FaultKind::control_open, "control-open", "control pin on nothing", 5},
    {FaultKind::control_wrong_level, "control-wrong-level", "control pin at the wrong level", 10},
    {FaultKind::supply_off, "supply-off", "supply off", 40},
    {FaultKind::supply_low, "supply-low", "supply too low", 10},
    {FaultKind::supply_high, "supply-high", "supply too high", 5},
    {FaultKind::output_dead, "output-dead", "dead output", 1.5},
    {FaultKind::output_stuck_low, "output-stuck-low", "output stuck low", 0.5},
    {FaultKind::output_stuck_high, "output-stuck-high", "output stuck high", 0.5},
    {FaultKind::clamp_shorted, "clamp-shorted", "protection diode shorted", 0.3},
    {FaultKind::pull_missing, "pull-missing", "pull resistor missing", 10},
    {FaultKind::pull_doubled, "pull-doubled", "pull resistor doubled", 10},
    {FaultKind::strong_pull, "strong-pull", "strong pull at an auto-direction part", 5},
    {FaultKind::decoupling_missing, "decoupling-missing", "decoupling capacitor missing", 20},
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
