#include "quantity/preferred.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace voltsill {
namespace {

constexpr double smallest = 1e-15;
constexpr double largest = 1e15;

/// Every `step`th member of E24, which holds E12 and E6.
template <std::size_t Count>
constexpr std::array<int, Count> thinned() {
    constexpr std::array<int, 24> e24{100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300,
                                      330, 360, 390, 430, 470, 510, 560, 620, 680, 750, 820, 910};
    std::array<int, Count> series{};
    for (std::size_t i = 0; i < Count; ++i) series[i] = e24[i * (24 / Count)];
    return series;
}

template <std::size_t Count>
std::array<int, Count> rounded_powers() {
    std::array<int, Count> series{};
    for (std::size_t i = 0; i < Count; ++i)
        series[i] = static_cast<int>(std::lround(100.0 * std::pow(10.0, double(i) / Count)));
    return series;
}

std::array<int, 192> e192_with_exception() {
    auto series = rounded_powers<192>();
    std::ranges::replace(series, 919, 920);  // IEC 60063:2015, from memory
    return series;
}

/// mantissa x 10^(decade - 2), correctly rounded: powers of ten up to 10^22 are exact doubles.
double member(int mantissa, int decade) {
    const int power = decade - 2;
    return power >= 0 ? mantissa * std::pow(10.0, power) : mantissa / std::pow(10.0, -power);
}

/// The members in the decade of `value` and the first of the next, in order.
std::optional<std::vector<double>> neighbourhood(Series series, double value) {
    if (!(smallest <= value && value <= largest)) return std::nullopt;
    const int decade = static_cast<int>(std::floor(std::log10(value)));
    std::vector<double> members{member(mantissas(series).back(), decade - 1)};
    for (const int mantissa : mantissas(series)) members.push_back(member(mantissa, decade));
    for (const int mantissa : mantissas(series).first(2)) members.push_back(member(mantissa, decade + 1));
    return members;
}

struct SeriesRow {
    std::string_view name;
    double tolerance;
};
constexpr std::array<SeriesRow, 6> rows{
    {{"E6", 0.20}, {"E12", 0.10}, {"E24", 0.05}, {"E48", 0.02}, {"E96", 0.01}, {"E192", 0.005}}};

const SeriesRow& row(Series series) { return rows[static_cast<std::size_t>(series)]; }

}  // namespace

std::span<const int> mantissas(Series series) {
    static constexpr auto e6 = thinned<6>();
    static constexpr auto e12 = thinned<12>();
    static constexpr auto e24 = thinned<24>();
    static const auto e48 = rounded_powers<48>();
    static const auto e96 = rounded_powers<96>();
    static const auto e192 = e192_with_exception();
    switch (series) {
        case Series::E6:
            return e6;
        case Series::E12:
            return e12;
        case Series::E24:
            return e24;
        case Series::E48:
            return e48;
        case Series::E96:
            return e96;
        case Series::E192:
            return e192;
    }
    return {};
}

double tolerance(Series series) { return row(series).tolerance; }
std::string_view name_of(Series series) { return row(series).name; }

std::optional<Series> find_series(std::string_view name) {
    const auto found = std::ranges::find(rows, name, &SeriesRow::name);
    if (found == rows.end()) return std::nullopt;
    return static_cast<Series>(found - rows.begin());
}

std::optional<double> nearest(Series series, double value) {
    const auto members = neighbourhood(series, value);
    if (!members) return std::nullopt;
    return *std::ranges::min_element(*members, {}, [value](double m) { return std::abs(m - value); });
}

std::optional<double> at_least(Series series, double value) {
    const auto members = neighbourhood(series, value);
    if (!members) return std::nullopt;
    return *std::ranges::lower_bound(*members, value * (1.0 - preferred_slack));
}

std::optional<double> at_most(Series series, double value) {
    const auto members = neighbourhood(series, value);
    if (!members) return std::nullopt;
    return *std::prev(std::ranges::upper_bound(*members, value * (1.0 + preferred_slack)));
}

std::vector<double> values(Series series, double lo, double hi) {
    std::vector<double> result;
    if (!(smallest <= lo && lo <= hi && hi <= largest)) return result;
    const int last = static_cast<int>(std::floor(std::log10(hi))) + 1;
    for (int decade = static_cast<int>(std::floor(std::log10(lo))); decade <= last; ++decade)
        for (const int mantissa : mantissas(series)) {
            const double m = member(mantissa, decade);
            if (lo * (1.0 - preferred_slack) <= m && m <= hi * (1.0 + preferred_slack)) result.push_back(m);
        }
    return result;
}

}  // namespace voltsill
