#pragma once
/// Text from anybody, made fit for print: harmless code points, display width, plain ASCII.
///
/// Widths after Unicode Standard Annex 11 and cluster boundaries after Annex 29, as utf8proc
/// implements them.
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace voltsill {

/// Valid UTF-8 without anything that could steer a terminal or reorder a line: control characters
/// (C0, C1, DEL), bidirectional embeddings, overrides, isolates and marks, line and paragraph
/// separators, private use and bytes that are no UTF-8 become U+FFFD; tab and newline a space.
std::string clean(std::string_view text);
/// The same, with newlines kept.
std::string clean_lines(std::string_view text);

/// ASCII only: signs of the trade by name ("Ω" is "Ohm"), accents dropped, the rest "?".
std::string to_ascii(std::string_view text);

/// A user-perceived character of clean text and the terminal columns it takes.
struct Cluster {
    std::string bytes;
    int width = 1;
};
std::vector<Cluster> clusters(std::string_view text);
int display_width(std::string_view text);

/// Spaces between a number and its unit and around a tolerance sign become no-break spaces
/// (U+00A0): "4.7 kΩ ± 5 %" stays whole.
std::string bind_units(std::string_view text);

std::u32string decode_utf8(std::string_view text);  ///< U+FFFD for a byte that is no UTF-8

/// For text and for attribute values in double quotes, in HTML and XML.
std::string escape_html(std::string_view text);

/// Split at newlines; an empty text is one empty line.
std::vector<std::string_view> lines_of(std::string_view text);

}  // namespace voltsill
