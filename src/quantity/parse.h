#pragma once
/// Reading a quantity with its unit, range and tolerance as people write it.
///
///     value  = [sign] decimal [prefix] unit  |  letter code            "4.7 kΩ"  "4k7"
///     text   = value
///            | value ± (percent | value)                               "3.3 V ± 3 %"
///            | value .. value                                          "4.75..5.25 V"
///            | value .. value .. value        lowest, nominal, highest "4.75..5..5.25 V"
///
/// In a range a value without unit takes the unit of its right neighbour. The decimal sign is
/// the point. Letter code: IEC 60062:2016 (from memory), where the multiplier stands for the
/// point; small k and the volt in that place ("3V3") are common practice. A unit is always
/// needed, except that resistances and capacitances may stop at the prefix ("4.7 k", "100n").
///
///     auto rail = parse<Volts>("3.3 V ± 3 %");   // {3.201, 3.3, 3.399}
///
/// Only finite numbers come out, with lo <= nominal <= hi.
#include <cstddef>
#include <expected>
#include <string>
#include <string_view>

#include "quantity/dimension.h"
#include "quantity/figure.h"

namespace voltsill {

/// Why a text is no quantity. Codes: empty, not-a-number, decimal-comma, out-of-range,
/// unit-missing, unknown-unit, wrong-unit, ambiguous-prefix, reversed-range, nominal-outside,
/// negative-tolerance, tolerance-on-range, percent-of-temperature, negative,
/// below-absolute-zero, not-one-value, trailing-text; unknown-colour, wrong-band and
/// band-count from colour codes.
struct ParseTrouble {
    std::string code;
    std::string message;     ///< one sentence: what is wrong
    std::string expected;    ///< what would be right: a voltage such as "3.3 V"
    std::size_t at = 0;      ///< byte where the trouble begins
    std::size_t length = 0;  ///< in bytes; 0 when something is missing at the end

    bool operator==(const ParseTrouble&) const = default;
};

/// In SI units (degrees Celsius for temperatures) for a dimension chosen at run time.
std::expected<Span<double>, ParseTrouble> parse_span(Dimension dimension, std::string_view text);

template <Printable Q>
std::expected<Span<Q>, ParseTrouble> parse(std::string_view text) {
    const auto span = parse_span(DimensionOf<Q>::value, text);
    if (!span) return std::unexpected(span.error());
    return Span<Q>{Q{span->lo}, Q{span->nominal}, Q{span->hi}};
}

/// "3 %" or "0.03" -> 0.03; "100 ppm" -> 1e-4. One value, no range.
std::expected<double, ParseTrouble> parse_ratio(std::string_view text);

}  // namespace voltsill
