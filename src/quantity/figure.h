#pragma once
/// A number with its doubt: the range it may take, and where it comes from.
///
/// Every figure of a part, a rail or a rule is a `Figure`: a span lo <= nominal <= hi and a
/// provenance. Worst case uses lo and hi; a verdict that leans on a typical or assumed
/// figure says so, using `weakest`.
#include <algorithm>
#include <string>

#include "quantity/units.h"

namespace voltsill {

/// How far a number can be trusted, from strongest to weakest. The order is used.
enum class Certainty {
    guaranteed,       ///< limit printed in a data sheet
    standard,         ///< limit printed in a standard (document, table)
    measured,         ///< by someone, some day, named in the source
    typical,          ///< "typ" column: no promise
    common_practice,  ///< a fact of the trade without a printed source
    assumed,          ///< stands in until someone finds out
    unknown,          ///< no number at all
};

struct Provenance {
    Certainty certainty = Certainty::unknown;
    std::string source;        ///< document, table, revision, or who measured when
    bool from_memory = false;  ///< the printed source was not at hand when this was entered

    bool operator==(const Provenance&) const = default;
};

/// The weaker of the two, so that a result can name what it leans on. Of two equally certain ones
/// the one from memory is weaker.
inline const Provenance& weakest(const Provenance& a, const Provenance& b) {
    if (a.certainty != b.certainty) return b.certainty > a.certainty ? b : a;
    return b.from_memory && !a.from_memory ? b : a;
}

template <class Q>
struct Span {
    Q lo{}, nominal{}, hi{};

    bool operator==(const Span&) const = default;
    static constexpr Span exactly(Q value) { return {value, value, value}; }
    static constexpr Span between(Q lo, Q hi) { return {lo, lo + (hi - lo) * 0.5, hi}; }
    /// `fraction` 0.05 means +-5 %, of a negative nominal too.
    static constexpr Span within(Q nominal, double fraction) {
        const Q a = nominal * (1.0 - fraction), b = nominal * (1.0 + fraction);
        return {std::min(a, b), nominal, std::max(a, b)};
    }
    constexpr bool contains(Q value) const { return lo <= value && value <= hi; }
    constexpr bool contains(const Span& other) const { return lo <= other.lo && other.hi <= hi; }
};

template <class Q>
struct Figure {
    Span<Q> span;
    Provenance origin;

    bool operator==(const Figure&) const = default;
    bool known() const { return origin.certainty != Certainty::unknown; }
};

}  // namespace voltsill
