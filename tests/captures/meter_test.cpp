/// What is measured on waves whose answers are known in closed form.
#include <gtest/gtest.h>

#include "collected.h"
#include "waves.h"

namespace {
using namespace voltsill;

TEST(VoltageMeter, SquareWaveOfKnownDuty) {
    const auto m = waves::measured(waves::trapezoid(0.2, 3.1, 1e-3, 1e-5, 0.3), 0, 0.1, 1e-6);
    ASSERT_TRUE(m.levels && m.two_states);
    EXPECT_NEAR(m.levels->low, 0.2, 1e-3);
    EXPECT_NEAR(m.levels->high, 3.1, 1e-3);
    EXPECT_NEAR(*m.pulses.frequency, 1000, 1e-3);
    EXPECT_NEAR(*m.pulses.duty, 0.3, 1e-4);
    EXPECT_NEAR(m.pulses.high.mean(), 0.3e-3, 1e-8);
    EXPECT_NEAR(m.pulses.low.mean(), 0.7e-3, 1e-8);
    EXPECT_NEAR(m.rise.mean(), 0.8e-5, 1e-9);
    EXPECT_NEAR(m.fall.mean(), 0.8e-5, 1e-9);
    EXPECT_EQ(m.pulses.rising, 100u);
    EXPECT_EQ(m.runts + m.pulses.glitches, 0u);
    EXPECT_FALSE(m.levels_moved);
}

TEST(VoltageMeter, StaysBetweenThresholdsAndBeyondRatings) {
    // 0..5 V in 10 us: 0.8 to 2.0 V takes 2.4 us each way; above 4 V for 2 us of each edge and all of the
    // top.
    const VoltageOptions o{.limits = {.vil = 0.8, .vih = 2.0, .limit_min = -0.3, .limit_max = 4.0}};
    const auto m = waves::measured(waves::trapezoid(0, 5, 1e-3, 1e-5), 0, 10e-3, 0.7e-6, o);
    EXPECT_EQ(m.between.count, 20u);
    EXPECT_NEAR(m.between.seconds, 20 * 2.4e-6, 1e-7);
    EXPECT_NEAR(m.between.longest, 2.4e-6, 1e-7);
    EXPECT_EQ(m.between.returned, 0u);
    EXPECT_EQ(m.over.count, 10u);
    EXPECT_NEAR(m.over.seconds, 10 * (0.5e-3 - 1e-5 + 2 * 2e-6), 2e-6);
    EXPECT_EQ(m.under.count, 0u);
    EXPECT_NEAR(m.above_vih.seconds + m.below_vil.seconds + m.between.seconds, m.seconds, 1e-12);
}

TEST(VoltageMeter, ALevelThatJustKeepsALimitIsWithinIt) {
    const VoltageOptions o{.limits = {.vil = 0.0, .vih = 2.0, .limit_min = 0.0, .limit_max = 2.0}};
    const auto wave = waves::trapezoid(0.0, 2.0, 1e-3, 1e-5);
    const auto m =
        waves::measured([&](double t) { return std::clamp(wave(t), 0.0, 2.0); }, 0, 10e-3, 1e-6, o);
    EXPECT_EQ(m.over.count + m.under.count, 0u);
    EXPECT_GT(m.above_vih.seconds, 0);
    EXPECT_GT(m.below_vil.seconds, 0);
}

TEST(VoltageMeter, RuntsAndEdgesThatTurnBackAreNoPulses) {
    std::vector<double> t, v;
    const auto hold = [&](double volts) {
        for (int k = 0; k < 50; ++k) t.push_back(static_cast<double>(t.size()) * 1e-6), v.push_back(volts);
    };
    for (int k = 0; k < 20; ++k) hold(0), hold(3), hold(3);
    hold(0);
    t.push_back(static_cast<double>(t.size()) * 1e-6), v.push_back(2.0);  // past half, not to 90 %
    hold(0);
    t.push_back(static_cast<double>(t.size()) * 1e-6), v.push_back(1.0);  // not even half
    hold(0);
    VoltageMeter meter({.limits = {.vil = 0.8, .vih = 2.5}});
    meter.add(t, v);
    meter.finish();
    const auto m = meter.measures();
    EXPECT_EQ(m.runts, 1u);
    EXPECT_EQ(m.pulses.rising, 20u);
    EXPECT_EQ(m.between.returned, 2u);
    EXPECT_EQ(m.between.count, 42u);
}

TEST(VoltageMeter, GlitchesAreMuchShorterThanTheRest) {
    std::vector<double> t, v;
    double now = 0;
    const auto pulse = [&](double width, double volts) {
        for (const double at : {now, now + width - 1e-9}) t.push_back(at), v.push_back(volts);
        now += width;
    };
    for (int k = 0; k < 100; ++k) pulse(1e-3, 0), pulse(k % 25 == 7 ? 1e-5 : 1e-3, 3.3);
    VoltageMeter by_median({}), by_limit({.glitch_limit = 5e-6});
    for (VoltageMeter* meter : {&by_median, &by_limit}) meter->add(t, v), meter->finish();
    EXPECT_EQ(by_median.measures().pulses.glitches, 4u);
    EXPECT_NEAR(*by_median.measures().pulses.glitch_limit, 1e-3 / 8, 1e-3 / 8 / 8);
    EXPECT_EQ(by_limit.measures().pulses.glitches, 0u);
}

TEST(VoltageMeter, OvershootIsAboveTheHighLevel) {
    const auto square = waves::trapezoid(0, 3.3, 1e-3, 1e-6);
    const auto m = waves::measured(
        [&](double t) { return square(t) + (std::fmod(t, 1e-3) < 5e-6 ? 0.7 : 0); }, 1e-3, 20e-3, 1e-6);
    EXPECT_NEAR(m.overshoot, 0.7, 1e-3);
    EXPECT_NEAR(m.levels->high, 3.3, 1e-3);
}

TEST(VoltageMeter, OneLevelHasNoEdges) {
    const auto flat = waves::measured([](double) { return 3.3; }, 0, 1e-3, 1e-6);
    EXPECT_FALSE(flat.two_states);
    EXPECT_NEAR(flat.levels->high, 3.3, 1e-9);
    EXPECT_EQ(flat.pulses.rising, 0u);
    std::mt19937 random(1);
    std::normal_distribution<double> noise(1.5, 0.1);
    EXPECT_FALSE(waves::measured([&](double) { return noise(random); }, 0, 0.1, 1e-6).two_states);
}

TEST(VoltageMeter, LevelsThatMoveAfterTheFirstSamplesAskForAnotherGo) {
    const auto quiet_first = [&](double t) { return t < 0.08 ? 0.0 : waves::trapezoid(0, 5, 1e-3, 1e-5)(t); };
    const auto first = waves::measured(quiet_first, 0, 0.3, 1e-6);
    EXPECT_TRUE(first.levels_moved);
    const auto second = waves::measured(quiet_first, 0, 0.3, 1e-6, {.given_levels = first.levels});
    EXPECT_FALSE(second.levels_moved);
    EXPECT_EQ(second.pulses.rising, 220u);
    EXPECT_NEAR(second.levels->high, 5, 1e-3);
}

TEST(VoltageMeter, ValuesThatAreNoneCutTheLine) {
    std::vector<double> t, v;
    for (int k = 0; k < 1000; ++k)
        t.push_back(k * 1e-6), v.push_back(k == 500 ? NAN : k == 700 ? 1e300 : (k / 50) % 2 ? 3.0 : 0.0);
    VoltageMeter meter({});
    meter.add(t, v);
    meter.gap();
    meter.finish();
    const auto m = meter.measures();
    EXPECT_EQ(m.samples, 1000u);
    EXPECT_EQ(m.missing, 2u);
    EXPECT_NEAR(m.seconds, (999 - 4) * 1e-6, 1e-12);
    EXPECT_NEAR(m.pulses.period.lo, 100e-6, 1e-9);
    EXPECT_NEAR(m.pulses.period.hi, 100e-6, 1e-9);
}

TEST(LogicMeter, TimeInEachStateAndPulses) {
    using collected::measured;
    const auto c = measured(
        "$timescale 1 us $end $var wire 1 ! a $end $enddefinitions $end\n#10 0!\n#20 1!\n#50 0!\n#60 1!\n#90 "
        "0!\n#100 x!\n#105 1!\n#107 z!\n#110\n");
    const LogicMeasures& m = *c.at(0).logic();
    EXPECT_NEAR(m.seconds[0], 30e-6, 1e-15);
    EXPECT_NEAR(m.seconds[1], 62e-6, 1e-15);
    EXPECT_NEAR(m.seconds[2], 5e-6, 1e-15);
    EXPECT_NEAR(m.seconds[3], 3e-6, 1e-15);
    EXPECT_EQ(m.unknown_spells, 2u);
    EXPECT_EQ(m.pulses.rising, 2u);
    EXPECT_EQ(m.pulses.high.count, 2u);
    EXPECT_NEAR(*m.pulses.frequency, 25e3, 1e-6);
    EXPECT_NEAR(*m.pulses.duty, 0.75, 1e-12);
}

TEST(LogicMeter, OfSeveralValuesAtOneTimeTheLastCounts) {
    const auto c = collected::measured(
        "$timescale 1 ns $end $var wire 1 ! a $end $enddefinitions $end\n#0 0!\n#5 1!\n#5 0!\n#9 1!\n");
    EXPECT_EQ(c.at(0).pulses().rising, 1u);
}

TEST(CaptureMeter, RealVariablesHoldTheirValue) {
    const auto c = collected::measured(
        "$timescale 1 us $end $var real 64 ! v $end $enddefinitions $end\n#0 r0 !\n#100 r3 !\n#150 r0 "
        "!\n#250 r3 !\n#300 r0 !\n#400\n");
    const VoltageMeasures& m = *c.at(0).voltage();
    EXPECT_NEAR(m.seconds, 400e-6, 1e-12);
    EXPECT_NEAR(*m.pulses.duty, 50.0 / 150, 1e-9);
    EXPECT_EQ(m.rise.count, 0u) << "a step has no edge to measure";
}

TEST(CaptureMeter, AColumnOfNoughtsAndOnesIsDigital) {
    EXPECT_TRUE(collected::measured("Time,D0\n0,0\n1,1\n2,0\n").at(0).digital);
    EXPECT_FALSE(collected::measured("Time,D0 (V)\n0,0\n1,1\n2,0\n").at(0).digital);
    EXPECT_FALSE(collected::measured("Time,D0\n0,0\n1,1\n2,0.5\n").at(0).digital);
}

}  // namespace
