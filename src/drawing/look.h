#pragma once
/// How tones, dashes and hatching look in each medium: one table for screens and for paper.
///
/// Verdicts are in the palette of Okabe and Ito (2008, Color Universal Design, from memory), darker
/// on dark paper so that the ink stays readable on them. Voltages are one hue, pale at 0 V and dark
/// at the highest voltage a bench may hold, by ratio as logic supplies go. Lines in that hue keep a
/// contrast of 3:1 with the paper at both ends (WCAG 2.2, 1.4.11).
#include <array>
#include <string_view>
#include <vector>

#include "drawing/drawing.h"

namespace voltsill::drawing {

enum class Medium { light, dark, print };

struct Rgb {
    double red = 0, green = 0, blue = 0;  ///< 0..1
};

struct ToneLook {
    Tone tone;
    std::string_view name;         ///< of the style sheet's variable and class
    std::array<int, 3> by_medium;  ///< 0xRRGGBB
};
/// Every tone but `none` and `volts`.
const std::vector<ToneLook>& tone_looks();

/// hsl(212, 45 % + 20 % share, from - fall share) is the colour of a voltage.
struct VoltsLook {
    double from = 93, fall = 65;  ///< lightness, %
};
inline constexpr double volts_hue = 212, volts_saturation = 45, volts_saturation_rise = 20;
inline constexpr VoltsLook volts_fill{93, 65};
constexpr VoltsLook volts_line(Medium medium) {
    return medium == Medium::dark ? VoltsLook{92, 44} : VoltsLook{58, 36};
}
/// 0 at 0 V, 1 at the highest voltage a bench may hold.
double volts_share(double volts);

/// Not for Tone::none. `line`: of a stroke or a letter, not of an area.
Rgb rgb_of(const Colour& colour, Medium medium, bool line);

/// Lengths of strokes and gaps, units; empty: solid.
std::vector<double> dash_lengths(Dash dash);

/// Of a hatching's lines, units. `sparse` is rising lines, `dense` is crossed ones.
constexpr double hatch_spacing(Hatch hatch) { return hatch == Hatch::dense ? 3 : 5; }
inline constexpr double hatch_width = 0.8, halo_width = 3;

}  // namespace voltsill::drawing
