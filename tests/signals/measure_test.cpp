/// Measures on waves against closed forms, and the laws they keep.
#include "signals/measure.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <limits>

#include "signals/made_waves.h"

namespace voltsill {
namespace {

const double nan = std::numeric_limits<double>::quiet_NaN();

/// 0 to 3 V with a time constant of 1 us.
Wave charging() {
    return sampled([](double t) { return 3 * (1 - std::exp(-t / 1e-6)); }, 20e-6, 40000);
}

TEST(Measure, ValueLiesOnTheLineAndAfterAStep) {
    const Wave wave{{0, 1, 1, 2}, {0, 2, 5, 5}};
    EXPECT_DOUBLE_EQ(value_at(wave, 0.25), 0.5);
    EXPECT_DOUBLE_EQ(value_at(wave, 1), 5);
    EXPECT_DOUBLE_EQ(value_at(wave, -1), 0);
    EXPECT_DOUBLE_EQ(value_at(wave, 9), 5);
    EXPECT_TRUE(std::isnan(value_at(Wave{}, 0)));
}

TEST(Measure, ExponentialEdgeTakesLnNine) {
    // v = V (1 - e^(-t/RC)): from 10 to 90 % ln 9 RC, from 30 to 70 % ln(7/3) RC.
    const SwingLevels levels{0, 3};
    EXPECT_NEAR(*transition_time(charging(), levels, Direction::rising), std::log(9.0) * 1e-6, 1e-12);
    EXPECT_NEAR(*transition_time(charging(), levels, Direction::rising, 0.3, 0.7), std::log(7.0 / 3) * 1e-6,
                1e-12);
    EXPECT_NEAR(*edge_rate(charging(), 0.9, 2.1), std::log(7.0 / 3) * 1e-6 / 1.2, 1e-12);
    EXPECT_NEAR(crossings(charging(), 1.5).at(0).seconds, std::log(2.0) * 1e-6, 1e-12);
    EXPECT_FALSE(transition_time(charging(), levels, Direction::falling));
}

TEST(Measure, SettlingOfAnExponentialToHalfAStep) {
    // e^(-t/RC) = 1 / 2^(n + 1) at t = (n + 1) ln 2 RC.
    for (const int bits : {4, 8, 12}) {
        const double band = 3 / std::exp2(bits + 1);
        EXPECT_NEAR(*settling_time(charging(), 0, 20e-6, 3, band), (bits + 1) * std::log(2.0) * 1e-6, 1e-11)
            << bits;
    }
    EXPECT_FALSE(settling_time(charging(), 0, 2e-6, 3, 0.01)) << "not there yet";
    EXPECT_FALSE(settling_time(charging(), 0, 30e-6, 3, 0.01)) << "beyond the wave";
}

TEST(Measure, RingingOvershootsByExpOfMinusPiZeta) {
    // Second-order step response: overshoot exp(-pi zeta / sqrt(1 - zeta^2)) of the step.
    for (const double zeta : {0.1, 0.3, 0.7}) {
        const double w = 1e7, wd = w * std::sqrt(1 - zeta * zeta);
        const Wave wave = sampled(
            [&](double t) {
                return 5 *
                       (1 - std::exp(-zeta * w * t) * (std::cos(wd * t) + zeta * w / wd * std::sin(wd * t)));
            },
            20e-6, 200000);
        const double expected = 5 * std::exp(-std::numbers::pi * zeta / std::sqrt(1 - zeta * zeta));
        EXPECT_NEAR(*overshoot(wave, {0, 5}), expected, 1e-5) << zeta;
        EXPECT_NEAR(*overshoot(wave, *state_levels(wave)), expected, 0.02) << zeta;
        EXPECT_DOUBLE_EQ(*undershoot(wave, {0, 5}), 0) << zeta;
    }
}

TEST(Measure, StateLevelsAreWhereTheWaveRests) {
    // Trapezoid 0.3 V / 2.9 V with a short spike to 4 V, which highest and lowest would follow.
    const Wave wave{{0, 10, 11, 20, 20.1, 20.2, 30, 31, 40}, {0.3, 0.3, 2.9, 2.9, 4, 2.9, 2.9, 0.3, 0.3}};
    const auto levels = state_levels(wave);
    ASSERT_TRUE(levels);
    EXPECT_NEAR(levels->low, 0.3, 0.01);
    EXPECT_NEAR(levels->high, 2.9, 0.01);
    EXPECT_DOUBLE_EQ(*highest(wave), 4);
    EXPECT_DOUBLE_EQ(*lowest(wave), 0.3);
    EXPECT_NEAR(*overshoot(wave, *levels), 1.1, 0.01);
}

TEST(Measure, StateLevelsWeighTimeNotPoints) {
    Wave wave{{0, 1}, {0, 0}};
    for (int k = 0; k < 1000; ++k) {  // many points on the way up, few at rest
        wave.seconds.push_back(1 + 1e-6 * k);
        wave.volts.push_back(0.002 * k);
    }
    wave.seconds.insert(wave.seconds.end(), {1.1, 2});
    wave.volts.insert(wave.volts.end(), {2, 2});
    EXPECT_NEAR(state_levels(wave)->low, 0, 0.01);
    EXPECT_NEAR(state_levels(wave)->high, 2, 0.01);
}

TEST(Measure, HysteresisPassesOverRipple) {
    const Wave wave = sampled([](double t) { return t + 0.3 * std::sin(40 * t); }, 5, 20000);
    EXPECT_GT(crossings(wave, 2.5).size(), 1u);
    const auto calm = crossings(wave, 2.5, 0.8);
    ASSERT_EQ(calm.size(), 1u);
    EXPECT_EQ(calm[0].direction, Direction::rising);
    EXPECT_NEAR(value_at(wave, calm[0].seconds), 2.5, 1e-9);
    for (const LevelCrossing& c : crossings(wave, 2.5))  // the last one before 2.9 V is met
        EXPECT_TRUE(c.seconds <= calm[0].seconds || c.seconds > crossings(wave, 2.9).front().seconds);
}

TEST(Measure, CrossingsOfATriangleAlternate) {
    const Wave wave{{0, 1, 2, 3, 4}, {0, 4, 0, 4, 0}};
    const auto all = crossings(wave, 1);
    ASSERT_EQ(all.size(), 4u);
    const double at[] = {0.25, 1.75, 2.25, 3.75};
    for (std::size_t k = 0; k < 4; ++k) {
        EXPECT_DOUBLE_EQ(all[k].seconds, at[k]);
        EXPECT_EQ(all[k].direction, k % 2 == 0 ? Direction::rising : Direction::falling);
    }
    EXPECT_TRUE(crossings(wave, 4).size() % 2 == 0) << "touched from below: up and down";
    EXPECT_TRUE(crossings(wave, 5).empty());
    EXPECT_TRUE(crossings(wave, 0).empty()) << "never below";
}

TEST(Measure, StepsHaveNoDuration) {
    const Wave step{{0, 1, 1, 2}, {0, 0, 5, 5}};
    EXPECT_DOUBLE_EQ(*transition_time(step, {0, 5}, Direction::rising), 0);
    ASSERT_EQ(crossings(step, 2.5).size(), 1u);
    EXPECT_DOUBLE_EQ(crossings(step, 2.5)[0].seconds, 1);
    EXPECT_NEAR(state_levels(step)->high, 5, 1e-9);
    EXPECT_DOUBLE_EQ(*settling_time(step, 0, 2, 5, 0.1), 1);
}

TEST(Measure, PowerOfTwoWavesIsExactForStraightLines) {
    // u = t over 0..2, i = 2 - t: mean of 2 t - t^2 is (4 - 8/3) / 2 = 2/3.
    const Wave u{{0, 2}, {0, 2}}, i{{0, 1, 2}, {2, 1, 0}};
    EXPECT_NEAR(*average_product(u, i), 2.0 / 3, 1e-12);
    const Wave step{{0, 1, 1, 2}, {0, 0, 3, 3}}, two{{-5, 5}, {2, 2}};
    EXPECT_NEAR(*average_product(step, two), 3, 1e-12);
    EXPECT_NEAR(*average_product(two, step), 3, 1e-12);
    EXPECT_FALSE(average_product(Wave{{0, 1}, {1, 1}}, Wave{{2, 3}, {1, 1}}));
}

TEST(Measure, NothingToMeasureIsSaid) {
    const Wave nothing, one{{1}, {2}}, flat{{0, 1}, {2, 2}}, broken{{0, 1, 2}, {0, nan, 5}};
    for (const Wave& wave : {nothing, one, flat, broken}) {
        EXPECT_FALSE(state_levels(wave));
        EXPECT_FALSE(state_levels(wave).error().empty());
        EXPECT_FALSE(transition_time(wave, {0, 5}, Direction::rising));
        EXPECT_FALSE(edge_rate(wave, 1, 2));
        EXPECT_TRUE(crossings(wave, 2.5).empty());
    }
    EXPECT_FALSE(highest(nothing));
    EXPECT_DOUBLE_EQ(*highest(one), 2);
    EXPECT_DOUBLE_EQ(*highest(broken), 5) << "what is there counts";
    EXPECT_FALSE(average_product(broken, flat));
    EXPECT_FALSE(edge_rate(charging(), 2, 1)) << "thresholds the wrong way round";
}

TEST(Measure, GapsEndAnEdge) {
    const Wave whole{{0, 1, 2, 3}, {0, 0, 5, 5}}, gap{{0, 1, 1.5, 2, 3}, {0, 0, nan, 5, 5}};
    EXPECT_TRUE(transition_time(whole, {0, 5}, Direction::rising));
    EXPECT_FALSE(transition_time(gap, {0, 5}, Direction::rising));
    EXPECT_FALSE(settling_time(gap, 0, 3, 5, 0.1));
}

/// A wave of random straight lines, some of them steps.
Wave any_wave() {
    Wave wave{{0}, {*rc::gen::inRange(-50, 50) / 10.0}};
    const int points = *rc::gen::inRange(1, 40);
    for (int k = 0; k < points; ++k) {
        wave.seconds.push_back(wave.seconds.back() + *rc::gen::inRange(0, 8) / 4.0);
        wave.volts.push_back(*rc::gen::inRange(-50, 50) / 10.0);
    }
    return wave;
}

RC_GTEST_PROP(MeasureLaws, TimeShiftMovesInstantsOnly, ()) {
    const Wave wave = any_wave(), later = shifted(wave, 16);
    const auto a = crossings(wave, 0.05), b = crossings(later, 0.05);
    RC_ASSERT(a.size() == b.size());
    for (std::size_t k = 0; k < a.size(); ++k) {
        RC_ASSERT(std::abs(b[k].seconds - a[k].seconds - 16) < 1e-9);
        RC_ASSERT(a[k].direction == b[k].direction);
    }
    const auto ra = transition_time(wave, {-2, 2}, Direction::falling),
               rb = transition_time(later, {-2, 2}, Direction::falling);
    RC_ASSERT(ra.has_value() == rb.has_value());
    if (ra) RC_ASSERT(std::abs(*ra - *rb) < 1e-9);
}

RC_GTEST_PROP(MeasureLaws, ScalingVoltagesKeepsTimes, ()) {
    const Wave wave = any_wave(), large = scaled(wave, 4, 1);
    for (const Direction d : {Direction::rising, Direction::falling}) {
        const auto a = transition_time(wave, {-2.05, 2.05}, d), b = transition_time(large, {-7.2, 9.2}, d);
        RC_ASSERT(a.has_value() == b.has_value());
        if (a) RC_ASSERT(std::abs(*a - *b) < 1e-9);
    }
}

RC_GTEST_PROP(MeasureLaws, CrossingsAlternateAndMatchTheWave, ()) {
    const Wave wave = any_wave();
    const auto all = crossings(wave, 0.05, *rc::gen::inRange(0, 10) / 10.0);
    for (std::size_t k = 1; k < all.size(); ++k) {
        RC_ASSERT(all[k].direction != all[k - 1].direction);
        RC_ASSERT(all[k].seconds >= all[k - 1].seconds);
    }
}

RC_GTEST_PROP(MeasureLaws, WiderBandsSettleNoLater, ()) {
    const Wave wave = any_wave();
    RC_PRE(wave.seconds.back() > 0);
    const double end = wave.seconds.back(), target = wave.volts.back();
    const auto narrow = settling_time(wave, 0, end, target, 0.5),
               wide = settling_time(wave, 0, end, target, 2);
    RC_ASSERT(narrow && wide);
    RC_ASSERT(*wide <= *narrow);
}

RC_GTEST_PROP(MeasureLaws, StateLevelsLieWithinTheWave, ()) {
    const Wave wave = any_wave();
    const auto levels = state_levels(wave);
    if (!levels) return;
    RC_ASSERT(levels->low >= *lowest(wave) - 1e-9);
    RC_ASSERT(levels->high <= *highest(wave) + 1e-9);
    RC_ASSERT(levels->low <= levels->high);
}

}  // namespace
}  // namespace voltsill
