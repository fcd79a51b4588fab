/// Measures on waves that carry bits, against trapezoids whose times are known by construction.
#include "signals/bits.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "signals/made_waves.h"

namespace voltsill {
namespace {

const Pattern pattern{.bits = "0101100110", .bit_time = 10};
const SwingLevels five{0, 5}, three{0.2, 3.2};

TEST(Bits, DelayIsFromHalfSwingToHalfSwing) {
    const Wave driver = trapezoids(pattern, five, 1);
    const Wave point = trapezoids(pattern, three, 2, 3);
    const auto delays = edge_delays(driver, five, point, three, pattern);
    ASSERT_EQ(delays.size(), 6u);
    for (const EdgeDelay& d : delays) {
        EXPECT_NEAR(d.seconds, 3 + 1 - 0.5, 1e-9) << d.bit;
        EXPECT_EQ(d.rising, pattern.bits[d.bit] == '1');
    }
    EXPECT_NEAR(*slowest_delay(delays, true), 3.5, 1e-9);
    EXPECT_NEAR(*pulse_width_distortion(delays), 0, 1e-9);
}

TEST(Bits, InvertedPointsGoTheOtherWay) {
    Pattern inverted = pattern;
    inverted.inverted = true;
    const Wave driver = trapezoids(pattern, five, 1), point = trapezoids(inverted, three, 1, 2);
    const auto delays = edge_delays(driver, five, point, three, inverted);
    ASSERT_EQ(delays.size(), 6u);
    for (const EdgeDelay& d : delays) EXPECT_NEAR(d.seconds, 2, 1e-9);
    EXPECT_LT(edge_delays(driver, five, point, three, pattern).size(), 6u)
        << "an edge is missed one way round";
}

TEST(Bits, DelaysBeyondABitAreFound) {
    const Pattern slow{.bits = "0011110000", .bit_time = 10};
    const auto delays =
        edge_delays(trapezoids(slow, five, 1), five, trapezoids(slow, five, 1, 25), five, slow);
    ASSERT_EQ(delays.size(), 2u);
    EXPECT_NEAR(*slowest_delay(delays, true), 25, 1e-9);
}

TEST(Bits, DistortionIsTheDifferenceOfDelays) {
    const Wave driver = trapezoids(pattern, five, 1);
    Wave late = driver;  // rising edges 2 s later than falling ones
    for (std::size_t k = 1; k + 1 < late.seconds.size(); k += 2)
        if (late.volts[k] < late.volts[k + 1]) late.seconds[k] += 2, late.seconds[k + 1] += 2;
    const auto delays = edge_delays(driver, five, late, five, pattern);
    EXPECT_NEAR(*pulse_width_distortion(delays), 2, 1e-9);
    EXPECT_NEAR(*slowest_delay(delays, true), 2, 1e-9);
    EXPECT_NEAR(*slowest_delay(delays, false), 0, 1e-9);
}

TEST(Bits, SkewIsLatestLessEarliestOfTheSameEdge) {
    const Wave driver = trapezoids(pattern, five, 1);
    const auto at = [&](double late) {
        return edge_delays(driver, five, trapezoids(pattern, three, 1, late), three, pattern);
    };
    EXPECT_NEAR(*skew({at(1), at(4), at(2.5)}), 3, 1e-9);
    EXPECT_FALSE(skew({at(1)}));
    EXPECT_FALSE(skew({at(1), {}}));
}

TEST(Bits, TimeBeyondThresholdsOfATrapezoid) {
    // Edges of 2 s from 0.2 to 3.2 V, 3 s late: VIH 2.0 V is met 1.2 s into an edge, left 0.8 s into
    // the next: a lone one is above from 4.2 s to the end of its bit at 10 s.
    const Wave point = trapezoids(pattern, three, 2, 3);
    EXPECT_NEAR(*shortest_time(point, pattern, true, 2.0), 5.8, 1e-9);
    // Seen with the delay of the way taken off it is above from 4.2 s until 13.8 s, within 3..13 s.
    EXPECT_NEAR(*shortest_time(point, pattern, true, 2.0, 3), 8.8, 1e-9);
    EXPECT_NEAR(*shortest_time(point, pattern, false, 0.8), 10 - (3 + 1.6), 1e-9);
    EXPECT_DOUBLE_EQ(*shortest_time(point, pattern, true, 3.3), 0) << "never";
    EXPECT_FALSE(shortest_time(point, {.bits = "0000", .bit_time = 10}, true, 2.0));
    EXPECT_FALSE(shortest_time(point, {}, true, 2.0));
}

TEST(Bits, SetupLeftIsTheBitTimeLessTheWay) {
    const Wave driver = trapezoids(pattern, five, 1), point = trapezoids(pattern, three, 2, 3);
    // Driver at half swing 0.5 s into the bit; a zero is at 0.8 V after 3 + 1.6 s, later than a one at 2 V.
    EXPECT_NEAR(*setup_left(driver, five, point, 0.8, 2.0, pattern), 10 - (4.6 - 0.5), 1e-9);
    const auto none = setup_left(driver, five, point, 0.8, 3.5, pattern);
    ASSERT_FALSE(none);
    EXPECT_NE(none.error().find("a one"), std::string::npos);
}

TEST(Bits, SetupEndsOnlyWhenTheThresholdIsPassedForGood) {
    const Pattern one{.bits = "01", .bit_time = 10};
    const Wave driver = trapezoids(one, five, 0);
    const Wave rings{{0, 10, 11, 13, 15, 16, 20}, {0, 0, 5, 5, 1, 5, 5}};  // back below 2 V until 15.25 s
    EXPECT_NEAR(*setup_left(driver, five, rings, 0.8, 2.0, one), 10 - 5.25, 1e-9);
}

TEST(Bits, SettlingIsTheSlowestOfAllEdges) {
    const Wave point = trapezoids(pattern, three, 2, 3);
    EXPECT_NEAR(*slowest_settling(point, pattern, three, 0.3), 3 + 2 * 0.9, 1e-9);
    EXPECT_FALSE(slowest_settling(point, pattern, {0, 5}, 0.3));
}

TEST(Bits, NoPatternOrNoWaveIsSaid) {
    const Wave nothing;
    EXPECT_TRUE(edge_delays(nothing, five, nothing, five, pattern).empty());
    EXPECT_TRUE(edge_delays(nothing, five, nothing, five, {}).empty());
    EXPECT_FALSE(setup_left(nothing, five, nothing, 1, 2, pattern));
    EXPECT_FALSE(setup_left(trapezoids(pattern, five, 1), five, nothing, 1, 2, pattern));
    EXPECT_FALSE(shortest_time(nothing, pattern, true, 1));
    EXPECT_FALSE(slowest_settling(nothing, pattern, five, 1));
    EXPECT_FALSE(slowest_delay({}, true));
    EXPECT_FALSE(pulse_width_distortion({}));
}

RC_GTEST_PROP(BitLaws, LaterPointsHaveLessLeft, ()) {
    const double early = *rc::gen::inRange(0, 30) / 10.0, more = *rc::gen::inRange(1, 30) / 10.0;
    const Wave driver = trapezoids(pattern, five, 1);
    const auto left = [&](double late) {
        return *setup_left(driver, five, trapezoids(pattern, three, 2, late), 0.8, 2.0, pattern);
    };
    RC_ASSERT(std::abs(left(early) - left(early + more) - more) < 1e-9);
    const auto above = [&](double level) {
        return *shortest_time(trapezoids(pattern, three, 2, early), pattern, true, level);
    };
    RC_ASSERT(above(2.0) >= above(2.4));
}

}  // namespace
}  // namespace voltsill
