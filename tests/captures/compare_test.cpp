/// A measured channel against what is expected of its pin, and names that people type.
#include "captures/compare.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "captures/mapping.h"
#include "waves.h"

namespace {
using namespace voltsill;
using testing::HasSubstr;

/// 3.3 V receiver of a 2 kHz link.
Expectation receiver() {
    return {.link = "tank echo",
            .point = "controller.D2",
            .high = Span<double>{3.1, 3.2, 3.3},
            .low = Span<double>{0, 0.05, 0.2},
            .limits = {.vil = 0.8, .vih = 2.0, .limit_min = -0.3, .limit_max = 3.6},
            .rate = 2000};
}

ChannelCapture channel(const waves::Wave& wave, const Expectation& expected) {
    ChannelCapture out{.channel = {.name = "CH1", .unit = "V"}};
    out.measures = waves::measured(wave, 0, 20e-3, 1e-6,
                                   {.limits = expected.limits, .glitch_limit = glitch_limit(expected)});
    return out;
}

std::vector<Finding> held(const waves::Wave& wave, const Expectation& expected = receiver()) {
    return hold_against(channel(wave, expected), expected, "trace.csv");
}

const Finding* of(const std::vector<Finding>& findings, const std::string& code,
                  const std::string& word = "") {
    for (const Finding& f : findings)
        if (f.code == code && f.sentence.find(word) != std::string::npos) return &f;
    return nullptr;
}

Verdict worst(const std::vector<Finding>& findings) {
    return findings.empty() ? Verdict::safe : findings[0].verdict;
}

TEST(Compare, AsPredictedIsSafe) {
    EXPECT_EQ(worst(held(waves::trapezoid(0.1, 3.2, 0.5e-3, 2e-6))), Verdict::safe);
}

TEST(Compare, HighBelowPredictionPointsToWhatPullsItDown) {
    const auto f = held(waves::trapezoid(0.1, 2.6, 0.5e-3, 2e-6));
    const Finding* high = of(f, "measured-level", "Measured high 2.6 V");
    ASSERT_TRUE(high);
    EXPECT_EQ(high->verdict, Verdict::thin);
    EXPECT_THAT(high->sentence, HasSubstr("predicted 3.1..3.3 V"));
    EXPECT_THAT(high->advice, HasSubstr("contention"));
    EXPECT_LT(high->margin, 0);
    EXPECT_EQ(high->value->origin.certainty, Certainty::measured);
}

TEST(Compare, LevelsBeyondThresholdsAreUnreadable) {
    EXPECT_EQ(of(held(waves::trapezoid(0.1, 1.7, 0.5e-3, 2e-6)), "measured-level", "high")->verdict,
              Verdict::unreadable);
    const auto f = held(waves::trapezoid(1.1, 3.2, 0.5e-3, 2e-6));
    EXPECT_EQ(of(f, "measured-level", "low")->verdict, Verdict::unreadable);
    EXPECT_THAT(of(f, "measured-level", "low")->advice, HasSubstr("sink"));
}

TEST(Compare, BeyondTheAbsoluteMaximumIsHarmful) {
    const auto f = held(waves::trapezoid(0.1, 5, 0.5e-3, 2e-6));
    EXPECT_EQ(f[0].code, "measured-extreme");
    EXPECT_EQ(f[0].verdict, Verdict::harmful);
    EXPECT_NEAR(f[0].margin, -1.4, 1e-6);
    EXPECT_EQ(worst(held(waves::trapezoid(-1, 3.2, 0.5e-3, 2e-6))), Verdict::harmful);
}

TEST(Compare, TenfoldDifferenceIsAProbe) {
    EXPECT_THAT(of(held(waves::trapezoid(0.005, 0.32, 0.5e-3, 2e-6)), "measured-level", "high")->advice,
                HasSubstr("--scale CH1=10"));
}

TEST(Compare, ALineThatStaysIsUnreadableAndSaysWhereItStays) {
    EXPECT_THAT(held([](double) { return 3.2; })[0].advice, HasSubstr("idle"));
    EXPECT_THAT(held([](double) { return 0.05; })[0].advice, HasSubstr("held low"));
    EXPECT_THAT(held([](double) { return 1.5; })[0].advice, HasSubstr("floats"));
    EXPECT_EQ(worst(held([](double) { return 1.5; })), Verdict::unreadable);
}

TEST(Compare, FasterThanStatedAndShortPulses) {
    const auto f = held(waves::trapezoid(0.1, 3.2, 1e-4, 2e-6));
    EXPECT_EQ(of(f, "measured-rate")->verdict, Verdict::thin);
    EXPECT_THAT(of(f, "measured-rate")->sentence, HasSubstr("10 kHz"));
    EXPECT_EQ(of(f, "measured-glitch")->verdict, Verdict::thin) << "50 us are less than a quarter of 500 us";
    EXPECT_FALSE(of(held(waves::trapezoid(0.1, 3.2, 0.5e-3, 2e-6)), "measured-glitch"));
}

TEST(Compare, SlowEdgesLingerBetweenThresholds) {
    EXPECT_EQ(of(held(waves::rc(0.1, 3.2, 2e-3, 3e-4)), "measured-between")->verdict, Verdict::thin);
    EXPECT_EQ(of(held(waves::trapezoid(0.1, 3.2, 0.5e-3, 2e-6)), "measured-between")->verdict, Verdict::safe);
}

TEST(Compare, EdgesAgainstTheSimulationAsFarAsTheSamplesTell) {
    Expectation e = receiver();
    e.rise = e.fall = Span<double>::exactly(5e-6);
    EXPECT_EQ(of(held(waves::trapezoid(0.1, 3.2, 0.5e-3, 5e-6), e), "measured-edge", "rise")->verdict,
              Verdict::safe);
    const auto slow = held(waves::trapezoid(0.1, 3.2, 0.5e-3, 50e-6), e);
    EXPECT_EQ(of(slow, "measured-edge", "fall")->verdict, Verdict::thin);
    EXPECT_THAT(of(slow, "measured-edge", "rise")->sentence, HasSubstr("40 µs"));
    e.rise = e.fall = Span<double>::exactly(1e-9);
    EXPECT_EQ(of(held(waves::trapezoid(0.1, 3.2, 0.5e-3, 1e-6), e), "measured-edge", "rise")->verdict,
              Verdict::safe)
        << "one sample";
}

TEST(Compare, UnknownLimitsAreNotJudged) {
    EXPECT_TRUE(held(waves::trapezoid(0.1, 9, 0.5e-3, 2e-6), {.point = "x.Y"}).empty());
}

TEST(Mapping, ChannelsByNameAliasLastPartAndNumber) {
    const std::vector<CaptureChannel> channels = {
        {.name = "top.clk", .aliases = {"top.sub.ck"}}, {.name = "CH1"}, {.name = "a.x"}, {.name = "b.x"}};
    Problems none;
    EXPECT_EQ(find_channel("top.clk", channels, "--map", none), 0);
    EXPECT_EQ(find_channel("clk", channels, "--map", none), 0);
    EXPECT_EQ(find_channel("ck", channels, "--map", none), 0);
    EXPECT_EQ(find_channel("ch1", channels, "--map", none), 1);
    EXPECT_EQ(find_channel("3", channels, "--map", none), 2);
    EXPECT_TRUE(none.empty());
    Problems problems;
    EXPECT_EQ(find_channel("x", channels, "--map", problems), -1);
    EXPECT_EQ(problems.at(0).code, "ambiguous-channel");
    EXPECT_EQ(find_channel("CH11", channels, "--map", problems), -1);
    EXPECT_EQ(problems.at(1).nearest, "CH1");
    EXPECT_EQ(find_channel("5", channels, "--map", problems), -1);
}

TEST(Mapping, TargetsByLinkAndPin) {
    const std::vector<Expectation> targets = {{.link = "echo", .point = "controller.D2"},
                                              {.link = "echo", .point = "U1.18 (Y1)"}};
    EXPECT_EQ(find_target("Echo", targets), 0);
    EXPECT_EQ(find_target("controller.D2", targets), 0);
    for (const char* name : {"U1.18", "u1.Y1", "U1.18 (Y1)"})
        EXPECT_EQ(find_target(name, targets), 1) << name;
    EXPECT_EQ(find_target("U1.1", targets), -1);
}

TEST(Mapping, WishesAreSplitAtTheFirstSign) {
    EXPECT_EQ(read_wish("CH1=\"tank echo\"")->target, "tank echo");
    EXPECT_EQ(read_wish("CH1 = a=b")->target, "a=b");
    for (const char* bad : {"CH1", "=x", "CH1=", ""}) EXPECT_FALSE(read_wish(bad)) << bad;
}

}  // namespace
