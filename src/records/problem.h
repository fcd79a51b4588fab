#pragma once
/// A mistake in what the user wrote, as a value.
///
/// Every reader collects problems and goes on, so that one run shows all of them. A problem
/// knows its place (file, line, column), what was found, what was expected and, for names,
/// the nearest right one. `render` shows the excerpt with a caret; other skins may format
/// the fields as they like.
#include <string>
#include <string_view>
#include <vector>

namespace voltsill {

/// 1-based; line 0 means "the file as a whole". `width` in columns, for the caret line.
/// Columns count Unicode code points.
struct Place {
    std::string file;
    int line = 0;
    int column = 0;
    int width = 1;

    bool operator==(const Place&) const = default;
};

enum class Severity { error, warning };

struct Problem {
    Severity severity = Severity::error;
    std::string code;  ///< stable, kebab-case: "wrong-unit", "unknown-key" ...
    Place place;
    std::string message;   ///< one sentence: what is wrong
    std::string expected;  ///< what would be right; may be empty
    std::string nearest;   ///< nearest right name; may be empty
    std::string excerpt;   ///< the source line, without its end
    /// A second place, for entries that contradict each other (line 0: none).
    Place other;
    std::string other_excerpt;
};

using Problems = std::vector<Problem>;

inline bool has_error(const Problems& problems) {
    for (const Problem& p : problems)
        if (p.severity == Severity::error) return true;
    return false;
}

/// "file:line:column: error: message" with excerpt, caret, expectation and nearest name.
std::string render(const Problem& problem);

/// The name in `choices` that `word` was most likely meant to be; "" if none is near.
/// Distance after Damerau (optimal string alignment), at most a third of the word's length, with
/// blanks, hyphens and capitals left out: "HCT541" and "hct-541" are "HCT 541". Of names equally
/// near, the one of the same length or with the longest common beginning.
std::string nearest_name(std::string_view word, const std::vector<std::string>& choices);

}  // namespace voltsill
