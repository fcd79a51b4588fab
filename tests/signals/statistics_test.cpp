/// Statistics against the GNU Scientific Library, against printed examples, and their laws.
#include "signals/statistics.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_statistics_double.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <limits>

#include "signals/made_waves.h"

namespace voltsill {
namespace {

TEST(Statistics, WilsonEndsSolveItsEquation) {
    // The interval is where |p - k/n| = z sqrt(p (1 - p) / n), with z from another library.
    const double z = gsl_cdf_ugaussian_Pinv(0.975);
    for (const auto& [k, n] : {std::pair{1, 10}, {5, 10}, {97, 100}, {4000, 4096}}) {
        const Interval i = wilson(k, n);
        for (const double p : {i.lo, i.hi})
            EXPECT_NEAR(std::abs(p - double(k) / n), z * std::sqrt(p * (1 - p) / n), 1e-9) << k << "/" << n;
        EXPECT_LT(i.lo, double(k) / n);
        EXPECT_GT(i.hi, double(k) / n);
    }
}

TEST(Statistics, WilsonAtItsEnds) {
    // k = 0: 0 .. z^2 / (n + z^2).
    const double zz = std::pow(gsl_cdf_ugaussian_Pinv(0.975), 2);
    EXPECT_DOUBLE_EQ(wilson(0, 50).lo, 0);
    EXPECT_NEAR(wilson(0, 50).hi, zz / (50 + zz), 1e-9);
    EXPECT_DOUBLE_EQ(wilson(50, 50).hi, 1);
    EXPECT_NEAR(wilson(50, 50).lo, 50 / (50 + zz), 1e-9);
    EXPECT_DOUBLE_EQ(wilson(0, 0).lo, 0);
    EXPECT_DOUBLE_EQ(wilson(0, 0).hi, 1);
}

RC_GTEST_PROP(StatisticsLaws, WilsonMirrorsAndNarrows, ()) {
    const int n = *rc::gen::inRange(1, 500), k = *rc::gen::inRange(0, n + 1);
    const Interval a = wilson(k, n), b = wilson(n - k, n), c = wilson(4 * k, 4 * n);
    RC_ASSERT(std::abs(a.lo - (1 - b.hi)) < 1e-12);
    RC_ASSERT(c.hi - c.lo < a.hi - a.lo);
    RC_ASSERT(a.lo <= double(k) / n && double(k) / n <= a.hi);
}

std::vector<double> any_values(int most) {
    std::vector<double> out;
    const int n = *rc::gen::inRange(3, most);
    for (int k = 0; k < n; ++k) out.push_back(*rc::gen::inRange(-20, 20) / 3.0);
    return out;
}

RC_GTEST_PROP(StatisticsLaws, QuantilesAgreeWithAnotherLibraryAndRise, ()) {
    const std::vector<double> values = any_values(60);
    std::vector<double> sorted = values;
    std::ranges::sort(sorted);
    double last = -1e9;
    for (const double share : {0.0, 0.1, 0.25, 0.5, 0.9, 1.0}) {
        const double q = *quantile(values, share);
        RC_ASSERT(std::abs(q - gsl_stats_quantile_from_sorted_data(sorted.data(), 1, sorted.size(), share)) <
                  1e-9);
        RC_ASSERT(q >= last);
        last = q;
    }
    const Spread s = *spread_of(values);
    RC_ASSERT(s.lo <= s.median && s.median <= s.hi);
    RC_ASSERT(s.counted == static_cast<int>(values.size()));
}

TEST(Statistics, WhatIsNotFiniteDoesNotCount) {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    EXPECT_DOUBLE_EQ(*quantile({1, nan, 3}, 0.5), 2);
    EXPECT_FALSE(quantile({nan}, 0.5));
    EXPECT_FALSE(quantile({}, 0.5));
    EXPECT_FALSE(quantile({1, 2}, 1.5));
    EXPECT_FALSE(spread_of({}));
}

TEST(Statistics, RanksShareTies) {
    const std::vector<double> v{3, 1, 3, 2, 3};
    EXPECT_EQ(ranks(v), (std::vector<double>{4, 1, 4, 2, 4}));
}

TEST(Statistics, RankCorrelationByHand) {
    // Without ties rho = 1 - 6 sum d^2 / (n (n^2 - 1)); here d = 1, -1, 0, 1, -1: 1 - 24/120.
    EXPECT_NEAR(*rank_correlation(std::vector<double>{1, 2, 3, 4, 5}, std::vector<double>{2, 1, 3, 5, 4}),
                0.8, 1e-12);
}

RC_GTEST_PROP(StatisticsLaws, RankCorrelationAgreesWithAnotherLibrary, ()) {
    const std::vector<double> a = any_values(40);
    std::vector<double> b;
    for (std::size_t k = 0; k < a.size(); ++k) b.push_back(*rc::gen::inRange(-5, 5) + std::floor(a[k]));
    const auto rho = rank_correlation(a, b);
    if (!rho) return;
    std::vector<double> work(2 * a.size());
    RC_ASSERT(std::abs(*rho - gsl_stats_spearman(a.data(), 1, b.data(), 1, a.size(), work.data())) < 1e-9);
    // A monotone transform leaves it; a falling one turns it.
    std::vector<double> cubed, falling;
    for (const double v : b) cubed.push_back(v * v * v), falling.push_back(7 - v);
    RC_ASSERT(std::abs(*rank_correlation(a, cubed) - *rho) < 1e-12);
    RC_ASSERT(std::abs(*rank_correlation(a, falling) + *rho) < 1e-12);
}

TEST(Statistics, InfluencesFindTheParameterThatCounts) {
    std::vector<std::vector<double>> parameters(3);
    std::vector<double> measure;
    for (int k = 0; k < 200; ++k) {
        parameters[0].push_back((k * 7919) % 200);  // by permutations, so that they hardly go together
        parameters[1].push_back((k * 6007) % 199);
        parameters[2].push_back(1);
        measure.push_back(std::exp(-0.02 * parameters[0].back()) + 1e-4 * parameters[1].back());
    }
    const std::vector<std::string> names{"R1", "C1", "never changes"};
    const auto found = RankTable(names, parameters).influences(measure);
    ASSERT_FALSE(found.empty());
    EXPECT_EQ(found[0].parameter, "R1");
    EXPECT_GT(found[0].share, 0.9);
    EXPECT_FALSE(found[0].raises);
    for (const Influence& i : found) EXPECT_NE(i.parameter, "never changes");
}

TEST(Statistics, ChanceIsNotAnInfluence) {
    // rho^2 (n - 1) = 1 with n = 5 is what chance does.
    const std::vector<std::string> names{"R1"};
    const std::vector<std::vector<double>> parameters{{1, 2, 3, 4, 5}};
    EXPECT_TRUE(RankTable(names, parameters).influences(std::vector<double>{3, 1, 4, 2, 5}).empty());
    EXPECT_TRUE(RankTable(names, parameters).influences(std::vector<double>{}).empty());
}

TEST(Envelopes, CommonTimesAreDenseWhereTheWaveMoves) {
    const Wave wave = trapezoids({.bits = "01", .bit_time = 1}, {0, 5}, 0.01);
    Wave fine = wave;
    for (int k = 1; k < 100; ++k) {
        fine.seconds.insert(fine.seconds.begin() + 1 + k, 1 + 1e-4 * k);
        fine.volts.insert(fine.volts.begin() + 1 + k, 0.05 * k);
    }
    const auto times = common_times(fine, 100);
    EXPECT_LE(times.size(), 100u);
    EXPECT_TRUE(std::ranges::is_sorted(times));
    EXPECT_DOUBLE_EQ(times.front(), 0);
    EXPECT_DOUBLE_EQ(times.back(), 2);
    EXPECT_GT(std::ranges::count_if(times, [](double t) { return t > 1 && t < 1.01; }), 40);
    EXPECT_TRUE(common_times(Wave{}).empty());
    EXPECT_EQ(common_times(Wave{{3}, {1}}).size(), 1u);
}

RC_GTEST_PROP(EnvelopeLaws, HoldsEveryWaveEverywhere, ()) {
    std::vector<double> times;
    for (int k = 0; k <= 12; ++k) times.push_back(k);
    EnvelopeOf collected(times, 8);
    std::vector<Wave> waves;
    const int count = *rc::gen::inRange(1, 30);
    for (int w = 0; w < count; ++w) {
        Wave wave{{0}, {0}};
        while (wave.seconds.back() < 12) {
            const bool step = *rc::gen::inRange(0, 5) == 4 && wave.seconds.size() < 50;
            const double more = step ? 0 : *rc::gen::inRange(1, 30) / 10.0;
            wave.seconds.push_back(std::min(12.0, wave.seconds.back() + more));
            wave.volts.push_back(*rc::gen::inRange(-30, 30) / 10.0);
        }
        waves.push_back(wave);
        collected.add(wave);
    }
    const Envelope e = *collected.envelope();
    RC_ASSERT(collected.counted() == count);
    const Wave lo{e.seconds, e.lo}, hi{e.seconds, e.hi};
    for (const Wave& wave : waves)
        for (double t = 0; t <= 12; t += 0.05) {
            RC_ASSERT(value_at(wave, t) >= value_at(lo, t) - 1e-9);
            RC_ASSERT(value_at(wave, t) <= value_at(hi, t) + 1e-9);
        }
    for (std::size_t k = 0; k < e.seconds.size(); ++k)
        RC_ASSERT(e.lo[k] <= e.median[k] && e.median[k] <= e.hi[k]);
}

TEST(Envelopes, MedianIsExactUpToTheKeptNumber) {
    EnvelopeOf collected({0, 1}, 100);
    for (int k = 0; k < 99; ++k) collected.add(Wave{{0, 1}, {k * 1.0, k * 2.0}});
    EXPECT_FLOAT_EQ(collected.envelope()->median[0], 49);
    EXPECT_FLOAT_EQ(collected.envelope()->median[1], 98);
}

TEST(Envelopes, MemoryIsBoundedAndTheMedianStaysNear) {
    EnvelopeOf collected({0, 1}, 64);
    for (int k = 0; k < 5000; ++k)
        collected.add(Wave{{0, 1}, {std::floor(5000 * std::fmod(k * std::numbers::phi, 1.0)), 0}});
    ASSERT_TRUE(collected.envelope());
    EXPECT_NEAR(collected.envelope()->median[0], 2500, 500);
    EXPECT_GE(collected.envelope()->hi[0], 4998);
    EXPECT_EQ(collected.counted(), 5000);
}

TEST(Envelopes, BrokenWavesArePassedOver) {
    EnvelopeOf collected({0, 1});
    collected.add(Wave{});
    collected.add(Wave{{0, 1}, {0, std::numeric_limits<double>::quiet_NaN()}});
    EXPECT_FALSE(collected.envelope());
    EXPECT_EQ(collected.counted(), 0);
}

TEST(Words, EveryMeasureHasAWordOfItsOwn) {
    std::vector<std::string_view> words;
    for (int k = 0; k <= static_cast<int>(MeasureKind::lowest); ++k)
        words.push_back(to_word(static_cast<MeasureKind>(k)));
    std::ranges::sort(words);
    EXPECT_TRUE(std::ranges::adjacent_find(words) == words.end());
    EXPECT_EQ(dimension_of(MeasureKind::edge_rate), Dimension::time_per_voltage);
    EXPECT_EQ(dimension_of(MeasureKind::highest_rate), Dimension::frequency);
    EXPECT_EQ(dimension_of(MeasureKind::power), Dimension::power);
    EXPECT_EQ(dimension_of(MeasureKind::overshoot), Dimension::voltage);
}

}  // namespace
}  // namespace voltsill
