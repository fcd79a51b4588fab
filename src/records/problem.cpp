#include "records/problem.h"

#include <fmt/format.h>
#include <utf8proc.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <optional>

namespace voltsill {
namespace {

constexpr int tab_stop = 4;
constexpr int widest_excerpt = 100;  // terminal columns
constexpr int before_caret = 60;     // kept to the left of a caret far out in a long line
constexpr std::size_t longest_name = 100;

/// The next code point of a text that may hold anything; bytes that begin none give -1.
utf8proc_int32_t take_code_point(std::string_view& text) {
    utf8proc_int32_t code_point = -1;
    const auto length = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data()),
                                         static_cast<utf8proc_ssize_t>(text.size()), &code_point);
    text.remove_prefix(length > 0 ? static_cast<std::size_t>(length) : 1);
    return length > 0 ? code_point : -1;
}

std::string encoded(utf8proc_int32_t code_point) {
    utf8proc_uint8_t bytes[4];
    const auto length = utf8proc_encode_char(code_point, bytes);
    return {reinterpret_cast<const char*>(bytes), static_cast<std::size_t>(length)};
}

/// What a code point looks like on a terminal.
struct Cell {
    std::string shown;
    int width;
};

/// Control characters become control pictures (Unicode block 2400), format characters their
/// number: neither escape sequences nor a change of writing direction reach the terminal. The
/// zero-width joiner stays, as emoji are made with it.
Cell cell_of(utf8proc_int32_t code_point, int column) {
    if (code_point == '\t') {
        const int width = tab_stop - column % tab_stop;
        return {std::string(static_cast<std::size_t>(width), ' '), width};
    }
    if (code_point < 0) return {"\uFFFD", 1};
    if (code_point < 0x20) return {encoded(0x2400 + code_point), 1};
    if (code_point == 0x7F) return {"\u2421", 1};
    const auto category = utf8proc_category(code_point);
    const bool unseen = category == UTF8PROC_CATEGORY_CC || category == UTF8PROC_CATEGORY_CF ||
                        category == UTF8PROC_CATEGORY_ZL || category == UTF8PROC_CATEGORY_ZP;
    if (unseen && code_point != 0x200D) {
        std::string number = fmt::format("<U+{:04X}>", static_cast<unsigned>(code_point));
        const int width = static_cast<int>(number.size());
        return {std::move(number), width};
    }
    return {encoded(code_point), utf8proc_charwidth(code_point)};
}

std::string visible(std::string_view text) {
    std::string result;
    while (!text.empty()) {
        const auto code_point = take_code_point(text);
        result += code_point == '\t' ? " " : cell_of(code_point, 0).shown;
    }
    return result;
}

/// The line and its caret, cut to a window around the caret.
std::string excerpt_with_caret(const Place& place, std::string_view line) {
    std::vector<Cell> cells;
    std::vector<int> starts;
    int column = 0;
    while (!line.empty()) {
        cells.push_back(cell_of(take_code_point(line), column));
        starts.push_back(column);
        column += cells.back().width;
    }
    starts.push_back(column);
    const auto clipped = [&](long code_point) {
        return starts[static_cast<std::size_t>(std::clamp(code_point, 0L, static_cast<long>(cells.size())))];
    };
    const int caret = clipped(place.column - 1L);
    const int caret_end = std::max(caret + 1, clipped(place.column - 1L + place.width));

    int from = 0, to = column;
    if (column > widest_excerpt) {
        from = std::max(0, std::min(caret - before_caret, column - widest_excerpt));
        to = from + widest_excerpt;
    }
    std::string shown = from > 0 ? "…" : "";
    int first = to;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        if (starts[i] < from || starts[i + 1] > to) continue;
        first = std::min(first, starts[i]);
        shown += cells[i].shown;
    }
    if (to < column) shown += "…";
    const int indent = (from > 0 ? 1 : 0) + std::max(0, caret - first);
    const int carets = std::max(1, std::min(caret_end, std::max(to, caret + 1)) - caret);

    const std::string number = std::to_string(place.line);
    return fmt::format("  {} | {}\n  {:{}} | {:{}}{:^>{}}\n", number, shown, "", number.size(), "", indent,
                       "", carets);
}

std::string headline(const Place& place) {
    std::string text = visible(place.file);
    if (place.line > 0) text += fmt::format(":{}:{}", place.line, place.column);
    return text;
}

using Letters = std::vector<utf8proc_int32_t>;

Letters folded(std::string_view name) {
    Letters letters;
    while (!name.empty()) {
        const auto code_point = take_code_point(name);
        letters.push_back(code_point < 0 ? code_point : utf8proc_tolower(code_point));
    }
    return letters;
}

/// Without blanks and hyphens, which people put into type names as they like. A name of nothing
/// else stays.
Letters squeezed(Letters letters) {
    const auto filler = [](utf8proc_int32_t c) { return c == ' ' || c == '-'; };
    if (!std::ranges::all_of(letters, filler)) std::erase_if(letters, filler);
    return letters;
}

std::size_t common_prefix(const Letters& a, const Letters& b) {
    return static_cast<std::size_t>(std::ranges::mismatch(a, b).in1 - a.begin());
}

/// Edits without and with blanks and hyphens, difference in length, letters after the common
/// beginning: the first that differs decides, less is nearer.
using Nearness = std::array<std::size_t, 4>;

/// Insertions, deletions, substitutions and exchanges of neighbours; no letter is edited twice.
/// F. J. Damerau, Communications of the ACM 7 (3), 1964, 171-176, in the form known as optimal
/// string alignment (from memory).
std::size_t distance(const Letters& a, const Letters& b) {
    std::vector<std::size_t> before_last(b.size() + 1), last(b.size() + 1), row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        before_last.swap(last);
        last.swap(row);
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t change = last[j - 1] + (a[i - 1] != b[j - 1]);
            row[j] = std::min({last[j] + 1, row[j - 1] + 1, change});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                row[j] = std::min(row[j], before_last[j - 2] + 1);
        }
    }
    return row[b.size()];
}

}  // namespace

std::string render(const Problem& problem) {
    const char* severity = problem.severity == Severity::error ? "error" : "warning";
    std::string text =
        fmt::format("{}: {}: {}\n", headline(problem.place), severity, visible(problem.message));
    if (problem.place.line > 0 && !problem.excerpt.empty())
        text += excerpt_with_caret(problem.place, problem.excerpt);
    if (!problem.expected.empty()) text += fmt::format("  expected: {}\n", visible(problem.expected));
    if (!problem.nearest.empty()) text += fmt::format("  did you mean \"{}\"?\n", visible(problem.nearest));
    if (problem.other.line > 0) {
        text += fmt::format("{}: the other place\n", headline(problem.other));
        if (!problem.other_excerpt.empty()) text += excerpt_with_caret(problem.other, problem.other_excerpt);
    }
    return text;
}

namespace {

/// Words of letters and digits.
std::vector<Letters> words_of(const Letters& letters) {
    std::vector<Letters> words(1);
    for (const auto c : letters) {
        const bool inside = c > 0x7F || ('0' <= c && c <= '9') || ('a' <= c && c <= 'z');
        if (inside)
            words.back().push_back(c);
        else if (!words.back().empty())
            words.emplace_back();
    }
    if (words.back().empty()) words.pop_back();
    return words;
}

/// The shortest choice that has every word of `word`, whole or as a beginning.
std::string shortest_with(const std::vector<Letters>& words, const std::vector<std::string>& choices) {
    constexpr std::size_t fewest_letters = 4;
    std::size_t count = 0;
    for (const Letters& word : words) count += word.size();
    std::string best;
    if (count < fewest_letters) return best;
    for (const std::string& choice : choices) {
        if (choice.size() > 2 * longest_name || (!best.empty() && choice.size() >= best.size())) continue;
        const std::vector<Letters> there = words_of(folded(choice));
        const bool all = std::ranges::all_of(words, [&](const Letters& word) {
            return std::ranges::any_of(there, [&](const Letters& t) { return common_prefix(word, t) == word.size(); });
        });
        if (all) best = choice;
    }
    return best;
}

}  // namespace

std::string nearest_name(std::string_view word, const std::vector<std::string>& choices) {
    if (word.empty() || word.size() > longest_name) return {};
    const auto letters = folded(word);
    const auto core = squeezed(letters);
    const std::size_t limit = core.size() / 3;
    std::optional<Nearness> best;
    std::string_view nearest;
    for (const std::string& choice : choices) {
        if (choice.size() > 2 * longest_name) continue;
        const auto other = folded(choice);
        const auto other_core = squeezed(other);
        const std::size_t apart = distance(core, other_core);
        if (apart > limit) continue;
        const std::size_t longer = std::max(core.size(), other_core.size());
        const std::size_t shorter = std::min(core.size(), other_core.size());
        const Nearness near{apart, distance(letters, other), longer - shorter,
                            core.size() - common_prefix(core, other_core)};
        if (best && *best <= near) continue;
        best = near;
        nearest = choice;
    }
    return nearest.empty() ? shortest_with(words_of(letters), choices) : std::string(nearest);
}

}  // namespace voltsill
