#include "quantity/divider.h"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace voltsill {
namespace {

DividerPair pair_of(double upper, double lower) {
    const double sum = upper + lower;
    return {Ohms(upper), Ohms(lower), lower / sum, Ohms(upper / sum * lower)};
}

/// Order of preference. The error is counted in whole steps of 1e-9, so that rounding decides
/// nothing and the order stays strict and weak.
auto rank(const DividerPair& pair, const DividerWish& wish) {
    const double middle = 0.5 * (std::log(wish.source_lo.si()) + std::log(wish.source_hi.si()));
    const double off_centre = std::abs(std::log(pair.source.si()) - middle);
    return std::tuple(std::llround(std::abs(pair.ratio - wish.ratio) * 1e9), std::llround(off_centre * 1e9),
                      pair.upper.si());
}

bool in_window(const DividerPair& pair, const DividerWish& wish) {
    return wish.source_lo.si() * (1.0 - preferred_slack) <= pair.source.si() &&
           pair.source.si() <= wish.source_hi.si() * (1.0 + preferred_slack);
}

bool sensible(const DividerWish& wish) {
    return 0.0 < wish.ratio && wish.ratio < 1.0 && Ohms(0.0) < wish.source_lo &&
           wish.source_lo <= wish.source_hi && std::isfinite(wish.source_hi.si()) && wish.count > 0;
}

}  // namespace

std::vector<DividerPair> best_ratio(Series series, const DividerWish& wish) {
    if (!sensible(wish)) return {};
    const std::vector<double> parts = values(series, wish.part_lo.si(), wish.part_hi.si());
    const auto by_rank = [&](const DividerPair& a, const DividerPair& b) {
        return rank(a, wish) < rank(b, wish);
    };

    std::vector<DividerPair> found;
    for (const double lower : parts) {
        if (Ohms(lower) < wish.source_lo) continue;  // in parallel to anything it is smaller still
        // For one lower resistor the error grows on both sides of the upper resistor that would
        // be exact: on each side the first `count` pairs in the window are enough.
        const double exact = lower * (1.0 - wish.ratio) / wish.ratio;
        const auto middle = std::ranges::lower_bound(parts, exact);
        const auto keep = [&](auto first, auto last) {
            for (int kept = 0; first != last && kept < wish.count; ++first) {
                const DividerPair pair = pair_of(*first, lower);
                if (!in_window(pair, wish)) {
                    if (kept > 0) break;  // the source resistance only moves further out
                    continue;
                }
                found.push_back(pair);
                ++kept;
            }
        };
        keep(middle, parts.end());
        keep(std::reverse_iterator(middle), parts.rend());
    }
    const auto count = std::min(found.size(), static_cast<std::size_t>(wish.count));
    std::ranges::partial_sort(found, found.begin() + static_cast<std::ptrdiff_t>(count), by_rank);
    found.resize(count);
    return found;
}

}  // namespace voltsill
