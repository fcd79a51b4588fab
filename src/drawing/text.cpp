#include "drawing/text.h"

#include <utf8proc.h>

#include <algorithm>
#include <cctype>
#include <utility>

#include "quantity/dimension.h"

namespace voltsill {
namespace {

constexpr std::string_view replacement = "\uFFFD";
constexpr std::string_view no_break_space = "\u00A0";

const utf8proc_uint8_t* bytes_of(std::string_view text) {
    return reinterpret_cast<const utf8proc_uint8_t*>(text.data());
}

/// Calls `each(code, bytes)` for every code point; code -1 for a byte that is no UTF-8.
template <class F>
void for_each_code(std::string_view text, F each) {
    while (!text.empty()) {
        utf8proc_int32_t code = -1;
        auto n = utf8proc_iterate(bytes_of(text), static_cast<utf8proc_ssize_t>(text.size()), &code);
        if (n <= 0) n = 1, code = -1;
        each(code, text.substr(0, static_cast<std::size_t>(n)));
        text.remove_prefix(static_cast<std::size_t>(n));
    }
}

bool steers(utf8proc_int32_t code) {
    if (code == 0x200D) return false;  // joins emoji and letters of some scripts; harmless
    const utf8proc_category_t category = utf8proc_category(code);
    return category == UTF8PROC_CATEGORY_CC || category == UTF8PROC_CATEGORY_CF ||
           category == UTF8PROC_CATEGORY_ZL || category == UTF8PROC_CATEGORY_ZP ||
           category == UTF8PROC_CATEGORY_CS || category == UTF8PROC_CATEGORY_CO ||
           category == UTF8PROC_CATEGORY_CN;
}

std::string cleaned(std::string_view text, bool keep_newlines) {
    std::string out;
    for_each_code(text, [&](utf8proc_int32_t code, std::string_view bytes) {
        if (code == '\n' && keep_newlines)
            out += '\n';
        else if (code == '\n' || code == '\t')
            out += ' ';
        else if (code < 0 || steers(code))
            out += replacement;
        else
            out += bytes;
    });
    return out;
}

/// Signs of our own reports and of the trade.
constexpr std::pair<std::string_view, std::string_view> ascii_names[] = {
    {"\u2126", "Ohm"}, {"Ω", "Ohm"}, {"µ", "u"},      {"μ", "u"}, {"±", "+-"}, {"°", "deg"},
    {"×", "x"},        {"·", "."},   {"\u2212", "-"}, {"–", "-"}, {"—", "-"},  {"…", "..."},
    {"≤", "<="},       {"≥", ">="},  {"≠", "!="},     {"≈", "~"}, {"✓", "+"},  {"✗", "x"},
    {"→", "->"},       {"←", "<-"},  {"↔", "<->"},    {"•", "*"}, {"▸", ">"},  {"\u00A0", " "},
    {"“", "\""},       {"”", "\""},  {"‘", "'"},      {"’", "'"}, {"ß", "ss"}, {"æ", "ae"},
    {"ø", "o"},        {"å", "a"},      {"☐", "[ ]"},   {"■", "#"},  {"□", "."},
};

/// The ASCII base letters of a code point's compatibility decomposition; "?" if there are none.
std::string base_letters(utf8proc_int32_t code) {
    utf8proc_int32_t parts[32];
    int boundary = 0;
    const auto options = static_cast<utf8proc_option_t>(UTF8PROC_DECOMPOSE | UTF8PROC_COMPAT);
    const auto n = utf8proc_decompose_char(code, parts, 32, options, &boundary);
    std::string out;
    for (utf8proc_ssize_t k = 0; k < std::min<utf8proc_ssize_t>(n, 32); ++k)
        if (parts[k] < 0x80) out += static_cast<char>(parts[k]);
    if (out.empty() && utf8proc_category(code) == UTF8PROC_CATEGORY_MN) return out;
    return out.empty() ? "?" : out;
}

int width_of(utf8proc_int32_t code) { return std::max(0, utf8proc_charwidth(code)); }

}  // namespace

std::string clean(std::string_view text) { return cleaned(text, false); }
std::string clean_lines(std::string_view text) { return cleaned(text, true); }

std::string to_ascii(std::string_view text) {
    std::string out;
    for_each_code(text, [&](utf8proc_int32_t code, std::string_view bytes) {
        const auto* named =
            std::ranges::find(ascii_names, bytes, &std::pair<std::string_view, std::string_view>::first);
        if (code >= 0 && code < 0x80)
            out += bytes;
        else if (named != std::end(ascii_names))
            out += named->second;
        else
            out += code < 0 ? "?" : base_letters(code);
    });
    return out;
}

std::vector<Cluster> clusters(std::string_view text) {
    std::vector<Cluster> out;
    utf8proc_int32_t before = -1, state = 0;
    for_each_code(text, [&](utf8proc_int32_t code, std::string_view bytes) {
        if (code < 0) code = 0xFFFD;
        if (before < 0 || utf8proc_grapheme_break_stateful(before, code, &state)) {
            out.push_back({std::string(bytes), width_of(code)});
        } else {
            out.back().bytes += bytes;
            out.back().width = std::max(out.back().width, width_of(code));
        }
        before = code;
    });
    return out;
}

int display_width(std::string_view text) {
    int width = 0;
    for (const Cluster& c : clusters(text)) width += c.width;
    return width;
}

std::string bind_units(std::string_view text) {
    std::string out;
    for (std::size_t at = 0; at < text.size(); ++at) {
        const bool after_digit = at > 0 && std::isdigit(static_cast<unsigned char>(text[at - 1]));
        const bool tolerance = text.substr(at + 1).starts_with("±") || text.substr(0, at).ends_with("±");
        if (text[at] == ' ' && tolerance) {
            out += no_break_space;
            continue;
        }
        if (text[at] != ' ' || !after_digit) {
            out += text[at];
            continue;
        }
        std::string_view word = text.substr(at + 1);
        word = word.substr(0, word.find_first_of(" ,;:.()\n"));
        out += find_unit(word) ? no_break_space : " ";
    }
    return out;
}

std::u32string decode_utf8(std::string_view text) {
    std::u32string out;
    for_each_code(text, [&](utf8proc_int32_t code, std::string_view) {
        out += code < 0 ? U'\uFFFD' : static_cast<char32_t>(code);
    });
    return out;
}

std::string escape_html(std::string_view text) {
    std::string out;
    for (const char c : text) {
        switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            case '\'':
                out += "&#39;";
                break;
            default:
                out += c;
        }
    }
    return out;
}

std::vector<std::string_view> lines_of(std::string_view text) {
    std::vector<std::string_view> lines;
    for (;;) {
        const std::size_t end = text.find('\n');
        lines.push_back(text.substr(0, end));
        if (end == std::string_view::npos) return lines;
        text.remove_prefix(end + 1);
    }
}

}  // namespace voltsill
