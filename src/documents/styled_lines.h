#pragma once
/// Lines of styled text for the terminal: wrapping, padding, and faces as ECMA-48 sequences.
#include <string>
#include <vector>

#include "documents/terminal.h"

namespace voltsill::doc {

/// One cluster with the SGR parameters it is shown in; empty: plain.
struct Glyph {
    std::string bytes;
    int width = 1;
    std::string sgr;
    bool blank = false;  ///< a line may be broken here
};
using Line = std::vector<Glyph>;

int width_of(const Line& line);

/// Clean text as glyphs, in Unicode or ASCII, in colour or not.
Line glyphs_of(const Text& text, const TerminalStyle& style);
Line glyphs_of(std::string_view text, const TerminalStyle& style, const std::string& sgr = {});

/// Broken at blanks to at most `width` columns, at clusters where a word is longer. At least one line.
std::vector<Line> wrap(const Line& line, int width);
/// Width of the longest piece that `wrap` keeps whole.
int longest_word(const Line& line);

/// Blanks around, up to `width`.
Line padded(Line line, int width, Align align);
/// Without blanks at the end.
std::string to_bytes(const Line& line);

}  // namespace voltsill::doc
