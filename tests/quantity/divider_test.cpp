// Divider pairs against a search over all pairs.
#include "quantity/divider.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>

namespace voltsill {
namespace {

/// The `count` smallest errors over every pair in the window.
std::vector<double> smallest_errors(Series series, const DividerWish& wish) {
    std::vector<double> errors;
    const auto parts = values(series, wish.part_lo.si(), wish.part_hi.si());
    for (const double upper : parts)
        for (const double lower : parts) {
            const double parallel = 1.0 / (1.0 / upper + 1.0 / lower);
            if (parallel < wish.source_lo.si() || parallel > wish.source_hi.si()) continue;
            errors.push_back(std::abs(1.0 / (1.0 + upper / lower) - wish.ratio));
        }
    std::ranges::sort(errors);
    errors.resize(std::min(errors.size(), static_cast<std::size_t>(wish.count)));
    return errors;
}

RC_GTEST_PROP(DividerLaw, NoPairIsCloserByBruteForce, ()) {
    const Series series = *rc::gen::element(Series::E6, Series::E12, Series::E24);
    DividerWish wish;
    wish.ratio = *rc::gen::inRange(1, 100) / 100.0;
    // Off the round values, so that no pair sits on the edge of the window.
    wish.source_lo = Ohms(*rc::gen::inRange(10, 10'000) + 0.137);
    wish.source_hi = wish.source_lo * (1.0 + *rc::gen::inRange(1, 100) / 7.0);
    wish.count = *rc::gen::inRange(1, 12);
    wish.part_hi = Ohms(1e6);
    const auto pairs = best_ratio(series, wish);
    const auto errors = smallest_errors(series, wish);
    RC_ASSERT(pairs.size() == errors.size());
    for (std::size_t i = 0; i < pairs.size(); ++i) {
        RC_ASSERT(std::abs(std::abs(pairs[i].ratio - wish.ratio) - errors[i]) <= 2e-9);
        RC_ASSERT(wish.source_lo <= pairs[i].source && pairs[i].source <= wish.source_hi);
        for (std::size_t k = 0; k < i; ++k) RC_ASSERT(pairs[i] != pairs[k]);
    }
    RC_ASSERT(best_ratio(series, wish) == pairs);
}

TEST(Divider, HalvesWithEqualResistorsNearTheMiddleOfTheWindow) {
    const auto pairs =
        best_ratio(Series::E12, {.ratio = 0.5, .source_lo = Ohms(500), .source_hi = Ohms(50e3), .count = 3});
    ASSERT_EQ(pairs.size(), 3u);
    // sqrt(500 * 50e3) = 5 kΩ: two of 10 kΩ in parallel.
    EXPECT_EQ(pairs[0].upper, Ohms(10e3));
    EXPECT_EQ(pairs[0].lower, Ohms(10e3));
    EXPECT_EQ(pairs[0].ratio, 0.5);
    EXPECT_EQ(pairs[0].source, Ohms(5e3));
    for (const auto& pair : pairs) EXPECT_EQ(pair.upper, pair.lower);
}

TEST(Divider, ContradictoryWishesFindNothing) {
    EXPECT_TRUE(best_ratio(Series::E24, {.ratio = 0.0}).empty());
    EXPECT_TRUE(best_ratio(Series::E24, {.ratio = 1.0}).empty());
    EXPECT_TRUE(best_ratio(Series::E24, {.ratio = std::nan("")}).empty());
    EXPECT_TRUE(best_ratio(Series::E24, {.source_lo = Ohms(2e3), .source_hi = Ohms(1e3)}).empty());
    EXPECT_TRUE(best_ratio(Series::E24, {.source_lo = Ohms(0)}).empty());
    EXPECT_TRUE(best_ratio(Series::E24, {.count = 0}).empty());
    // 1 kΩ parts alone cannot make 10 kΩ in parallel.
    EXPECT_TRUE(best_ratio(Series::E24, {.source_lo = Ohms(10e3), .part_hi = Ohms(1e3)}).empty());
}

}  // namespace
}  // namespace voltsill
