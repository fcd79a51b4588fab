/// Two parts and a wire: the simplest benches, each against arithmetic done by hand.
#include <gtest/gtest.h>

#include "judging/finding.h"
#include "judging/link_readings.h"
#include "judging/rail_currents.h"
#include "judging/settled_levels.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

TEST(Pair, FiveVoltsIntoClampedInputIsHarmfulWithVoltsAndMilliamps) {
    const Bench bench =
        pair(rail("usb", 4.75, 5.25), output(""), rail("logic", 3.2, 3.4), input("", ttl(), false));
    const Judgement j = judge(bench, wire_directly(bench));
    EXPECT_EQ(j.links[0].verdict, Verdict::harmful);
    const Found f = find(j.findings, "over-voltage", "all rails up");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->part, "R");
    // The clamp holds the pin about a diode drop above its rail: over 3.2 + 0.3 V.
    EXPECT_GT(f->value->value, f->limit->value);
    EXPECT_NE(f->arithmetic.find("mA"), std::string::npos);
}

TEST(Pair, FiveVoltsIntoTolerantInputIsSafeWhenPowered) {
    const Bench bench =
        pair(rail("usb", 4.75, 5.25), output(""), rail("logic", 3.2, 3.4), input("", ttl(), true));
    const Judgement j = judge(bench, wire_directly(bench));
    EXPECT_EQ(find(j.findings, "over-voltage"), nullptr);
    ASSERT_TRUE(j.links[0].high_margin);
    // No load: the worst high is the lowest supply, 4.75 V, read from 2.0 V.
    EXPECT_NEAR(*j.links[0].high_margin, 4.75 - 2.0, 1e-3);
    EXPECT_NEAR(*j.links[0].low_margin, 0.8, 1e-3);
}

TEST(Pair, TolerantOnlyWithSupplyIsJudgedApart) {
    Pin in = input("", ttl(), true);
    in.max_unpowered = Level{0, Volts{4.0}};
    const Bench bench = pair(rail("usb", 4.75, 5.25), output(""), rail("logic", 3.2, 3.4), in);
    const Judgement j = judge(bench, wire_directly(bench));
    EXPECT_EQ(find(j.findings, "over-voltage"), nullptr);
    const Found f = find(j.findings, "over-voltage-unpowered", "logic down");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 5.25, 1e-3);
    EXPECT_NEAR(f->limit->value, 4.0, 1e-9);
}

TEST(Pair, ThreeVoltsIntoCmosAtFiveIsUnreadable) {
    const Bench bench =
        pair(rail("logic", 3.2, 3.4), output(""), rail("usb", 4.75, 5.25), input("", cmos(), false));
    const Judgement j = judge(bench, wire_directly(bench));
    EXPECT_EQ(j.links[0].verdict, Verdict::unreadable);
    EXPECT_NEAR(*j.links[0].high_margin, 3.2 - 0.7 * 5.25, 1e-3);  // the higher supply is the worse one
}

TEST(Pair, ThreeVoltsIntoTtlThresholdAtFiveIsSafe) {
    const Bench bench =
        pair(rail("logic", 3.2, 3.4), output(""), rail("usb", 4.75, 5.25), input("", ttl(), false));
    const Judgement j = judge(bench, wire_directly(bench));
    EXPECT_NEAR(*j.links[0].high_margin, 1.2, 1e-3);
    EXPECT_EQ(find(j.findings, "high-level")->verdict, Verdict::safe);
}

TEST(Pair, DeadRailIsLiftedThroughTheClamp) {
    const Bench bench =
        pair(rail("usb", 4.75, 5.25), output(""), rail("logic", 3.2, 3.4), input("", ttl(), false));
    const Found f = find(judge(bench, wire_directly(bench)).findings, "back-powering", "logic down");
    ASSERT_NE(f, nullptr);
    EXPECT_GT(f->value->value, 5.25 - 0.7);  // at most one diode drop below the driver
    EXPECT_LT(f->value->value, 5.25);
    EXPECT_NE(f->arithmetic.find(" at R.IN less "), std::string::npos) << f->arithmetic;
    EXPECT_NE(f->arithmetic.find(" of its protection diode"), std::string::npos) << f->arithmetic;
}

TEST(Pair, OneSwitchForBothRailsHasNoHalfPoweredState) {
    Bench bench = pair(rail("usb", 4.75, 5.25), output(""), rail("logic", 3.2, 3.4), input("", ttl(), false));
    bench.rails[0].switch_group = bench.rails[1].switch_group = "bench";
    EXPECT_EQ(find(judge(bench, wire_directly(bench)).findings, "back-powering"), nullptr);
}

TEST(Pair, OpenDrainWithoutPullUpIsNamed) {
    const Bench bench =
        pair(rail("logic", 3.2, 3.4), open_drain(""), rail("logic", 3.2, 3.4), input("", ttl(), false));
    const Judgement j = judge(bench, wire_directly(bench));
    EXPECT_NE(find(j.findings, "missing-pull-up"), nullptr);
    EXPECT_EQ(j.links[0].verdict, Verdict::unreadable);
    ASSERT_GE(j.links[0].levels.size(), 2u);
    for (const LevelBand& band : j.links[0].levels)
        EXPECT_EQ(band.floats, band.high) << "only a low is defined: " << band.point;
    const Bench pulled =
        pair(rail("logic", 3.2, 3.4), open_drain("", 10e3), rail("logic", 3.2, 3.4), input("", ttl(), false));
    for (const LevelBand& band : judge(pulled, wire_directly(pulled)).links[0].levels) EXPECT_FALSE(band.floats);
}

TEST(Pair, TwoPushPullDriversFight) {
    Bench bench = pair(rail("logic", 3.2, 3.4), output(""), rail("logic", 3.2, 3.4), input("", ttl(), false));
    bench.parts.push_back(part("E", module("driver", {output("OUT")}), "logic"));
    bench.links[0].from.push_back({"E", "OUT", {}});
    const Found f = find(judge(bench, wire_directly(bench)).findings, "contention");
    ASSERT_NE(f, nullptr);
    // Strongest: four times 4 mA per 0.4 V, that is 25 Ohm each: 3.4 V / 50 Ohm.
    EXPECT_NEAR(f->value->value, 3.4 / 50, 1e-3);
    EXPECT_EQ(f->verdict, Verdict::harmful);
}

TEST(Pair, MissingGroundIsNamed) {
    Bench bench = pair(rail("logic", 3.2, 3.4), output(""), rail("logic", 3.2, 3.4), input("", ttl(), false));
    bench.parts[1].grounded = false;
    EXPECT_NE(find(judge(bench, wire_directly(bench)).findings, "no-common-ground"), nullptr);
}

TEST(Pair, SupplyOutsideItsRange) {
    Bench bench = pair(rail("usb", 4.75, 5.25), output(""), rail("usb", 4.75, 5.25), input("", ttl(), false));
    auto type = std::make_shared<PartType>(*bench.parts[1].type);
    type->supplies[0].range = Span<Volts>::between(Volts{1.65}, Volts{3.6});
    type->supplies[0].max = Volts{6.5};
    bench.parts[1].type = type;
    const Found f = find(judge(bench, wire_directly(bench)).findings, "supply-too-high");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->limit->value, 3.6, 1e-12);
}

TEST(Pair, UnknownThresholdAsksForTheReading) {
    const Bench bench =
        pair(rail("logic", 3.2, 3.4), output(""), rail("logic", 3.2, 3.4), input("", {}, false));
    const Judgement j = judge(bench, wire_directly(bench));
    EXPECT_EQ(j.links[0].verdict, Verdict::unknown);
    const std::string advice = find(j.findings, "threshold-unknown")->advice;  // 3.2 V and 0 V arrive, 0.4 V is wanted
    EXPECT_NE(advice.find("VIH is 2.8 V or less and VIL 400 mV or more"), std::string::npos) << advice;
}

/// A push-button has no supply and still pulls low.
TEST(Pair, SwitchWithoutSupplyNeedsAPullUp) {
    Bench bench =
        pair(rail("logic", 3.2, 3.4), open_drain(""), rail("logic", 3.2, 3.4), input("", ttl(), false));
    auto button = std::make_shared<PartType>(*bench.parts[0].type);
    button->supplies.clear();
    std::erase_if(button->pins, [](const Pin& p) { return p.role == PinRole::supply; });
    button->pins[0].supply = -1;
    bench.parts[0] = part("D", button, "logic");
    const Judgement j = judge(bench, wire_directly(bench));
    EXPECT_NE(find(j.findings, "missing-pull-up"), nullptr);
    EXPECT_EQ(find(j.findings, "not-reached"), nullptr);
}

/// Two three-state outputs on one line: legal in turns, undefined between them (practice F81, F13).
TEST(Pair, LineSharedInTurnsFloatsUnlessPulled) {
    Pin out = output("");
    out.role = PinRole::three_state;
    Bench bench = pair(rail("logic", 3.2, 3.4), out, rail("logic", 3.2, 3.4), input("", ttl(), false));
    EXPECT_EQ(find(judge(bench, wire_directly(bench)).findings, "floats-between-drivers"),
              nullptr);  // one alone is no shared line
    out.name = "OUT";
    bench.parts.push_back(part("E", module("driver", {out}), "logic"));
    bench.links[0].from.push_back({"E", "OUT", {}});
    const Judgement open = judge(bench, wire_directly(bench));
    EXPECT_NE(find(open.findings, "floats-between-drivers"), nullptr);
    EXPECT_EQ(find(open.findings, "contention"), nullptr);
    EXPECT_EQ(open.links[0].verdict, Verdict::thin);
    Pin pulled = input("", ttl(), false);
    pulled.name = "IN";
    pulled.pulls.push_back({.up = true, .ohms = {Span<Ohms>::exactly(Ohms{10e3}), sheet}});
    bench.parts[1] = part("R", module("receiver", {pulled}), "logic");
    EXPECT_EQ(find(judge(bench, wire_directly(bench)).findings, "floats-between-drivers"), nullptr);
}

/// A figure that cannot be solved with leaves the link unknown, never safe.
TEST(Pair, StateWithoutSolutionIsUnknown) {
    Pin in = input("", ttl(), false);
    in.pulls.push_back({.up = true, .ohms = {Span<Ohms>::exactly(Ohms{0}), sheet}});
    const Bench bench = pair(rail("logic", 3.2, 3.4), output(""), rail("logic", 3.2, 3.4), in);
    const Judgement j = judge(bench, wire_directly(bench));
    EXPECT_NE(find(j.findings, "not-solved"), nullptr);
    EXPECT_GE(j.links[0].verdict, Verdict::unknown);
    EXPECT_FALSE(j.trouble.empty());
}

/// The same network asked for its readings: no view of it invents a voltage or a current where there is none.
TEST(Pair, WhatHasNoSolutionHasNoReading) {
    Pin in = input("", ttl(), false);
    in.pulls.push_back({.up = true, .ohms = {Span<Ohms>::exactly(Ohms{0}), sheet}});
    for (const bool apart : {false, true}) {
        const Bench bench =
            pair(apart ? five : rail("logic", 3.2, 3.4), output(""), apart ? three : rail("logic", 3.2, 3.4), in);
        const Wiring wiring = wire_directly(bench);
        for (const StateReading& r : readings(bench, wiring))
            EXPECT_TRUE(r.point != "R.IN" || !r.state.starts_with("all rails up; D.OUT")) << r.state;
        for (const LinkReading& r : link_readings(bench, wiring)) EXPECT_NE(r.reading.point, "R.IN") << r.reading.state;
        EXPECT_TRUE(rail_currents(bench, wiring).empty()) << "sums of what is not known are not known";
        SettledLevels rest(bench, wiring);
        for (const bool high : {true, false})
            for (const std::size_t ranged : {std::size_t{1000}, std::size_t{0}}) {
                rest.range_up_to(ranged);
                rest.tell({{.part = "D", .pin = "OUT", .high = high}});
                EXPECT_FALSE(rest.at(1, wiring.parts[1].type->pin_index("IN")).solved) << high << ranged;
                for (const double amps : rest.output_amps()) EXPECT_EQ(amps, 0) << high;
            }
    }
}

}  // namespace
}  // namespace voltsill
