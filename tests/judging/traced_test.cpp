/// What is made of measures over time, and the words and signs of verdicts.
#include "judging/traced.h"

#include <gtest/gtest.h>

#include <set>

namespace voltsill {
namespace {

Measured measured(MeasureKind kind, std::optional<double> value, double limit, bool maximum) {
    return {.kind = kind, .nominal = value, .limit = limit, .limit_is_maximum = maximum};
}

TEST(Traced, ALimitIsBrokenOnItsOwnSide) {
    for (const bool maximum : {true, false}) {
        const Measured m = measured(MeasureKind::power, 1.0, 2.0, maximum);
        EXPECT_EQ(breaks(m, 2.5), maximum);
        EXPECT_EQ(breaks(m, 1.5), !maximum);
        EXPECT_FALSE(breaks(m, 2.0)) << "on the limit it is kept";
    }
    EXPECT_FALSE(breaks(Measured{.nominal = 1.0}, 1e9)) << "no limit";
    EXPECT_EQ(verdict_of(Measured{.kind = MeasureKind::rise_time, .nominal = 1.0}), std::nullopt);
}

/// Ringing past a rating is common practice for nanoseconds; resting there is not. Power heats; the rest is not read.
TEST(Traced, WhatABrokenLimitMeansDependsOnTheMeasure) {
    using enum MeasureKind;
    for (const MeasureKind kind : {highest, lowest, overshoot, undershoot}) {
        Measured m = measured(kind, 3.0, 2.0, true);
        EXPECT_EQ(verdict_of(m), Verdict::thin);
        m.lasting = true;
        EXPECT_EQ(verdict_of(m), Verdict::harmful);
        m.nominal = 1.0;
        EXPECT_EQ(verdict_of(m), Verdict::safe) << "rests beyond nothing that it breaks";
    }
    EXPECT_EQ(verdict_of(measured(power, 3.0, 2.0, true)), Verdict::harmful);
    EXPECT_EQ(verdict_of(measured(power, 1.0, 2.0, true)), Verdict::safe);
    for (const MeasureKind kind : {setup_left, time_high, time_low, highest_rate, rise_time, skew}) {
        EXPECT_EQ(verdict_of(measured(kind, 1.0, 2.0, false)), Verdict::unreadable);
        EXPECT_EQ(verdict_of(measured(kind, 3.0, 2.0, false)), Verdict::safe);
    }
}

/// One sample is enough: an end of the spread beyond the limit, or a sample counted that did not keep it.
TEST(Traced, OneSampleBreaksALimit) {
    Measured m = measured(MeasureKind::rise_time, 1.0, 2.0, true);
    m.kept = 99, m.counted = 100;
    EXPECT_EQ(verdict_of(m), Verdict::unreadable);
    m.kept = 100;
    EXPECT_EQ(verdict_of(m), Verdict::safe);
    m.hi = 2.1;
    EXPECT_EQ(verdict_of(m), Verdict::unreadable);
    m.hi = 1.9, m.lo = 0.5;
    EXPECT_EQ(verdict_of(m), Verdict::safe);
    m.limit_is_maximum = false, m.limit = 0.6;
    EXPECT_EQ(verdict_of(m), Verdict::unreadable);
}

/// A signal that arrives has its time past the thresholds, its set-up, its rate; other figures may be missing for less.
TEST(Traced, AMissingFigureIsUnreadableWhereEveryReaderHasIt) {
    using enum MeasureKind;
    for (const MeasureKind kind : {time_high, time_low, setup_left, highest_rate})
        EXPECT_EQ(verdict_of(measured(kind, std::nullopt, 0, false)), Verdict::unreadable);
    for (const MeasureKind kind : {rise_time, fall_time, overshoot, power, settling, skew})
        EXPECT_EQ(verdict_of(measured(kind, std::nullopt, 0, false)), Verdict::unknown);
}

TEST(Traced, ALinkIsItsWorstMeasureAndUnknownWithoutThresholds) {
    LinkTrace t;
    EXPECT_EQ(verdict_of(t), Verdict::unknown) << "nothing was measured";
    t.measures = {measured(MeasureKind::power, 1.0, 2.0, true), Measured{.nominal = 1.0}};
    EXPECT_EQ(verdict_of(t), Verdict::safe);
    t.points.resize(1);
    t.points[0].reads = true, t.points[0].vil = 0.8, t.points[0].vih = 2.0;
    EXPECT_EQ(verdict_of(t), Verdict::safe);
    t.points[0].vih.reset();
    EXPECT_EQ(verdict_of(t), Verdict::unknown);
    t.points[0].reads = false;
    EXPECT_EQ(verdict_of(t), Verdict::safe) << "nobody reads there";
    t.measures.push_back(measured(MeasureKind::setup_left, -1.0, 0, false));
    t.measures.push_back(measured(MeasureKind::overshoot, 3.0, 2.0, true));
    EXPECT_EQ(verdict_of(t), Verdict::unreadable);
}

/// A verdict is told by word and by sign, so that no two are told apart by colour alone.
TEST(Traced, EveryVerdictHasAWordAndASignOfItsOwn) {
    using enum Verdict;
    std::set<std::string_view> words, signs;
    for (const Verdict v : {safe, thin, unknown, unreadable, harmful})
        words.insert(to_word(v)), signs.insert(to_sign(v));
    EXPECT_EQ(words, (std::set<std::string_view>{"safe", "thin", "unknown", "unreadable", "harmful"}));
    EXPECT_EQ(to_word(unreadable), "unreadable");
    EXPECT_EQ(signs.size(), 5u);
    EXPECT_EQ(to_sign(safe), "✓");
    EXPECT_EQ(to_sign(harmful), "✗");
}

}  // namespace
}  // namespace voltsill
