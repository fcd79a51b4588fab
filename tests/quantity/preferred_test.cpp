// Laws of rounding to preferred numbers, held against a brute-force list made in another way.
#include "quantity/preferred.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "quantity/parse.h"

namespace voltsill {
namespace {

using namespace literals;

constexpr Series all_series[] = {Series::E6,  Series::E12, Series::E24,
                                 Series::E48, Series::E96, Series::E192};

Series any_series() { return all_series[*rc::gen::inRange(0, 6)]; }

/// Every member from 1e-13 to 1e12, through the decimal text of each.
std::vector<double> listed(Series series) {
    std::vector<double> all;
    for (int decade = -15; decade < 10; ++decade)
        for (const int mantissa : mantissas(series))
            all.push_back(std::stod(std::to_string(mantissa) + "e" + std::to_string(decade)));
    return all;
}

double any_value() {
    return (1.0 + 9.0 * *rc::gen::inRange(0, 1'000'000) / 1e6) * std::pow(10.0, *rc::gen::inRange(-11, 10));
}

RC_GTEST_PROP(PreferredLaw, NearestIsNearestByBruteForce, ()) {
    const Series series = any_series();
    const double value = any_value();
    double best = std::numeric_limits<double>::infinity();
    for (const double member : listed(series)) best = std::min(best, std::abs(member - value));
    const auto found = nearest(series, value);
    RC_ASSERT(found.has_value());
    RC_ASSERT(std::abs(*found - value) == best);
    RC_ASSERT(std::ranges::binary_search(listed(series), *found));
}

RC_GTEST_PROP(PreferredLaw, AtLeastAndAtMostBracket, ()) {
    const Series series = any_series();
    const double value = any_value();
    const double above = at_least(series, value).value(), below = at_most(series, value).value();
    RC_ASSERT(below <= value * (1.0 + preferred_slack));
    RC_ASSERT(value * (1.0 - preferred_slack) <= above);
    const auto all = listed(series);
    RC_ASSERT(std::ranges::binary_search(all, below));
    RC_ASSERT(std::ranges::binary_search(all, above));
    // Nothing lies strictly between.
    RC_ASSERT(std::ranges::upper_bound(all, below) == std::ranges::lower_bound(all, above) || below == above);
}

RC_GTEST_PROP(PreferredLaw, MembersAreFixedPoints, ()) {
    const Series series = any_series();
    const auto all = listed(series);
    const double member =
        all[static_cast<std::size_t>(*rc::gen::inRange<int>(50, static_cast<int>(all.size())))];
    const double noise = *rc::gen::element(1.0, 1.0 - 1e-13, 1.0 + 1e-13);
    RC_ASSERT(nearest(series, member * noise) == member);
    RC_ASSERT(at_least(series, member * noise) == member);
    RC_ASSERT(at_most(series, member * noise) == member);
}

RC_GTEST_PROP(PreferredLaw, ValuesAreTheMembersInTheInterval, ()) {
    const Series series = any_series();
    double lo = any_value(), hi = any_value();
    if (lo > hi) std::swap(lo, hi);
    std::vector<double> expected;
    for (const double member : listed(series))
        if (lo <= member && member <= hi) expected.push_back(member);
    RC_ASSERT(values(series, lo, hi) == expected);
}

TEST(Preferred, TypedValuesAreTheDoublesOfTheirText) {
    EXPECT_EQ(nearest(Series::E24, Ohms(4650)), parse<Ohms>("4k7")->nominal);
    EXPECT_EQ(at_most(Series::E24, 4_kOhm), parse<Ohms>("3k9")->nominal);
    EXPECT_EQ(at_least(Series::E6, Farads(70e-9)), parse<Farads>("100 nF")->nominal);
    EXPECT_EQ(values(Series::E6, 1_kOhm, 10_kOhm).size(), 7u);
}

TEST(Preferred, NoAnswerOutsideTheDomain) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    for (const double value : {0.0, -1.0, nan, HUGE_VAL, 1e-16, 1e16}) {
        EXPECT_FALSE(nearest(Series::E24, value)) << value;
        EXPECT_FALSE(at_least(Series::E24, value)) << value;
        EXPECT_FALSE(at_most(Series::E24, value)) << value;
        EXPECT_TRUE(values(Series::E24, value, 1e17).empty()) << value;
    }
    EXPECT_TRUE(values(Series::E24, 10, 1).empty());
}

TEST(Preferred, NamesReadBack) {
    for (const Series series : all_series) EXPECT_EQ(find_series(name_of(series)), series);
    EXPECT_FALSE(find_series("E25"));
}

}  // namespace
}  // namespace voltsill
