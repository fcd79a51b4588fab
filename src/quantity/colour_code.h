#pragma once
/// Colour bands of resistors: IEC 60062:2016, with the colour codes of IEC 60757 (both from
/// memory; the colours for 0.05 %, 0.02 % and 0.01 % are new in 2016 and less certain).
///
///     three bands   digit digit multiplier                          20 %
///     four          digit digit multiplier tolerance
///     five          digit digit digit multiplier tolerance
///     six           digit digit digit multiplier tolerance temperature coefficient
///     one           black: a link of zero ohms (common practice)
///
///     colour_bands({Ohms(4700), 0.05}, 4)        yellow violet red gold
///     read_bands("YE VT RD GD")                  4.7 kΩ, 0.05
#include <expected>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "quantity/parse.h"

namespace voltsill {

/// One colour and what it means in each place; none where it has no meaning.
struct BandColour {
    std::string_view name;
    std::string_view code;  ///< IEC 60757
    std::optional<int> digit;
    std::optional<int> multiplier;               ///< power of ten
    std::optional<double> tolerance;             ///< fraction
    std::optional<char> tolerance_letter;        ///< IEC 60062
    std::optional<int> temperature_coefficient;  ///< ppm/K
};

std::span<const BandColour> band_colours();
/// "red" of "RD": of a band, or of a wire alone; the code itself where there is none.
std::string_view colour_name(std::string_view code);

struct ResistorMarking {
    Ohms value;
    double tolerance = 0.2;                      ///< fraction
    std::optional<int> temperature_coefficient;  ///< ppm/K, six bands

    bool operator==(const ResistorMarking&) const = default;
};

/// In reading order. None if `bands` (3 to 6) cannot show the value exactly, or no colour stands
/// for the tolerance or the coefficient. Three bands need a tolerance of 20 %, six a coefficient.
std::optional<std::vector<const BandColour*>> colour_bands(const ResistorMarking& marking, int bands);

/// Names or codes, in any case, separated by spaces, commas or hyphens. Troubles: unknown-colour,
/// wrong-band (no meaning in that place), band-count, empty.
std::expected<ResistorMarking, ParseTrouble> read_bands(std::string_view text);

}  // namespace voltsill
