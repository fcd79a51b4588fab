#pragma once
/// Levels as text: a voltage that may follow the pin's own supply, ratio * V(supply) + offset.
///
///     level = term { ("+" | "-") term }
///     term  = voltage | [decimal] supply         "2.0 V"  "0.7 supply"  "supply - 0.1 V"
///     range = level ".." level                   "0 V .. supply"  "-0.5..5.5 V"
///
/// The word may also be VCC, VDD or VCCI, the names that JESD8 and data sheets print for the
/// supply of the pin itself. `print` is the inverse: what it prints reads back as the same level.
#include <expected>
#include <string>
#include <string_view>

#include "parts/model.h"
#include "quantity/parse.h"
#include "records/field_types.h"

namespace voltsill {

struct LevelRange {
    Level lo, hi;
    bool operator==(const LevelRange&) const = default;
};

/// Troubles: those of parse.h, and level-repeated for a word that stands twice.
std::expected<Level, ParseTrouble> parse_level(std::string_view text);
std::expected<LevelRange, ParseTrouble> parse_level_range(std::string_view text);

std::string print(const Level& level);
std::string print(const LevelRange& range);

template <>
struct TypeOf<Level> {
    static Type<Level> get();
};
template <>
struct TypeOf<LevelRange> {
    static Type<LevelRange> get();
};

}  // namespace voltsill
