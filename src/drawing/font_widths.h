#pragma once
/// Advance widths of the DejaVu fonts, version 2.37 (package fonts-dejavu-core), as their tables
/// `cmap` and `hmtx` give them; tests hold them against Pango.
#include <optional>

namespace voltsill::drawing {

/// Of one code point, in em; none for what the table leaves out.
std::optional<double> advance_of(char32_t code, bool bold);
/// Of every letter of DejaVu Sans Mono, em.
inline constexpr double mono_advance = 1233.0 / 2048;

}  // namespace voltsill::drawing
