#pragma once
/// Preferred numbers of resistors and capacitors: IEC 60063:2015 (from memory; the lists are
/// held against two reproductions in tests/published/preferred_numbers.cpp).
///
/// Series En divides a decade into n steps: m_i = round(10^(i/n)), i = 0..n-1, to three digits
/// for E48, E96 and E192, where E192 has one exception. E6, E12 and E24 are older than the
/// rule, to two digits, and are data.
///
///     at_most(Series::E24, Ohms(4000))      // 3.9 kΩ
///
/// Values from 1e-15 to 1e15 in SI units; outside, and for numbers that are not finite, the
/// answer is none. `preferred_slack` (relative) absorbs the rounding of a computed value: 4700 (1 + 1e-13)
/// counts as 4700.
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "quantity/units.h"

namespace voltsill {

enum class Series { E6, E12, E24, E48, E96, E192 };

inline constexpr double preferred_slack = 1e-12;

/// Three-digit mantissas of one decade, rising: 100, 110 ... 910 for E24.
std::span<const int> mantissas(Series series);

/// The tolerance that goes with the series as a fraction: E24 0.05.
double tolerance(Series series);

/// "E24"; none for a name that is not a series.
std::optional<Series> find_series(std::string_view name);
std::string_view name_of(Series series);

/// The closest value, by difference; the lower of two equally close.
std::optional<double> nearest(Series series, double value);
/// The smallest value not below `value`, and the largest not above it.
std::optional<double> at_least(Series series, double value);
std::optional<double> at_most(Series series, double value);
/// All from `lo` to `hi`, both included, rising. `lo` above zero.
std::vector<double> values(Series series, double lo, double hi);

template <class Q>
std::optional<Q> as_quantity(std::optional<double> si) {
    return si ? std::optional(Q(*si)) : std::nullopt;
}
template <int V, int A, int S>
std::optional<Quantity<V, A, S>> nearest(Series series, Quantity<V, A, S> value) {
    return as_quantity<Quantity<V, A, S>>(nearest(series, value.si()));
}
template <int V, int A, int S>
std::optional<Quantity<V, A, S>> at_least(Series series, Quantity<V, A, S> value) {
    return as_quantity<Quantity<V, A, S>>(at_least(series, value.si()));
}
template <int V, int A, int S>
std::optional<Quantity<V, A, S>> at_most(Series series, Quantity<V, A, S> value) {
    return as_quantity<Quantity<V, A, S>>(at_most(series, value.si()));
}
template <int V, int A, int S>
std::vector<Quantity<V, A, S>> values(Series series, Quantity<V, A, S> lo, Quantity<V, A, S> hi) {
    std::vector<Quantity<V, A, S>> result;
    for (const double si : values(series, lo.si(), hi.si())) result.emplace_back(si);
    return result;
}

}  // namespace voltsill
