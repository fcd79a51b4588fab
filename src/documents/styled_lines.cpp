#include "documents/styled_lines.h"

#include <algorithm>
#include <iterator>

#include "drawing/text.h"

namespace voltsill::doc {
namespace {

/// Nearest of the 256 colours to the Okabe-Ito palette (Okabe and Ito 2008, Color Universal
/// Design, from memory).
std::string sgr_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::safe:
            return "38;5;36";
        case Verdict::thin:
            return "38;5;214";
        case Verdict::unknown:
            return "38;5;74";
        case Verdict::unreadable:
            return "1;38;5;175";
        case Verdict::harmful:
            return "1;38;5;166";
    }
    return {};
}

std::string sgr_of(const Run& run) {
    if (run.face == Face::strong) return "1";
    return run.face == Face::verdict ? sgr_of(run.verdict) : std::string();
}

}  // namespace

int width_of(const Line& line) {
    int width = 0;
    for (const Glyph& g : line) width += g.width;
    return width;
}

Line glyphs_of(std::string_view text, const TerminalStyle& style, const std::string& sgr) {
    std::string fit = bind_units(clean(text));
    Line line;
    for (const Cluster& c : clusters(fit)) {
        if (c.bytes == " " || c.bytes == "\u00A0") {
            line.push_back({" ", 1, style.colour ? sgr : "", c.bytes == " "});
            continue;
        }
        if (style.unicode) {
            line.push_back({c.bytes, c.width, style.colour ? sgr : "", false});
            continue;
        }
        for (const char letter : to_ascii(c.bytes))
            line.push_back({std::string(1, letter), 1, style.colour ? sgr : "", false});
    }
    return line;
}

Line glyphs_of(const Text& text, const TerminalStyle& style) {
    Line line;
    for (const Run& run : text)
        std::ranges::move(glyphs_of(plain_text(run), style, sgr_of(run)), std::back_inserter(line));
    return line;
}

std::vector<Line> wrap(const Line& line, int width) {
    std::vector<Line> out(1);
    int used = 0;
    std::size_t at = 0;
    while (at < line.size()) {
        std::size_t end = at;
        while (end < line.size() && line[end].blank) ++end;
        const std::size_t word = end;
        while (end < line.size() && !line[end].blank) ++end;
        int blanks = 0, letters = 0;
        for (std::size_t k = at; k < word; ++k) blanks += line[k].width;
        for (std::size_t k = word; k < end; ++k) letters += line[k].width;
        const bool fits = used + blanks + letters <= width;
        const std::size_t from = fits ? at : word;  // blanks vanish where a line is broken
        if (!fits && used > 0) out.emplace_back(), used = 0;
        for (std::size_t k = from; k < end; ++k) {
            if (used > 0 && used + line[k].width > width) out.emplace_back(), used = 0;
            out.back().push_back(line[k]);
            used += line[k].width;
        }
        at = end;
    }
    return out;
}

int longest_word(const Line& line) {
    int longest = 0, word = 0;
    for (const Glyph& g : line) {
        word = g.blank ? 0 : word + g.width;
        longest = std::max(longest, word);
    }
    return longest;
}

Line padded(Line line, int width, Align align) {
    const int spare = std::max(0, width - width_of(line));
    const int before = align == Align::left ? 0 : align == Align::right ? spare : spare / 2;
    const Glyph blank{" ", 1, "", true};
    line.insert(line.begin(), static_cast<std::size_t>(before), blank);
    line.insert(line.end(), static_cast<std::size_t>(spare - before), blank);
    return line;
}

std::string to_bytes(const Line& line) {
    std::size_t end = line.size();
    while (end > 0 && line[end - 1].blank) --end;
    std::string out, sgr;
    for (std::size_t k = 0; k < end; ++k) {
        if (line[k].sgr != sgr) {
            if (!sgr.empty()) out += "\x1b[0m";
            sgr = line[k].sgr;
            if (!sgr.empty()) out += "\x1b[" + sgr + "m";
        }
        out += line[k].bytes;
    }
    return sgr.empty() ? out : out + "\x1b[0m";
}

}  // namespace voltsill::doc
