/// The order of rails against what was found with some of them down.
#include "judging/power_order.h"

#include <gtest/gtest.h>

#include "support/hand_parts.h"

namespace voltsill {
namespace {

Bench with_rails(const std::vector<std::string>& names) {
    Bench bench;
    for (const std::string& name : names) {
        bench.rails.push_back(hand::rail(name, 3.0, 3.6));
        bench.rails.back().switch_group = name;
    }
    return bench;
}

Finding found(const std::string& state, Verdict verdict) {
    Finding f{.code = "back-powering", .verdict = verdict};
    f.state = state;
    f.sentence = "with " + state;
    return f;
}

std::vector<std::string> order_of(const PowerOrder& order) {
    std::vector<std::string> out;
    for (const PowerStep& step : order.steps) out.insert(out.end(), step.rails.begin(), step.rails.end());
    return out;
}

using Names = std::vector<std::string>;

TEST(PowerOrder, WhatHarmsWhileDownComesFirst) {
    const Bench bench = with_rails({"five", "three"});
    Judgement j;
    j.findings = {found("three down; out high", Verdict::harmful)};
    PowerOrder order = power_order(bench, j);
    EXPECT_EQ(order_of(order), (Names{"three", "five"}));
    EXPECT_EQ(order.verdict, Verdict::safe);
    EXPECT_EQ(order.worst_order, "five, then three");
    EXPECT_EQ(order.worst_sentence, "with three down; out high");
    j.findings = {found("five down; out high", Verdict::harmful)};
    EXPECT_EQ(order_of(power_order(bench, j)), (Names{"five", "three"}));
}

TEST(PowerOrder, MildestOfTwoEvils) {
    Judgement j;
    j.findings = {found("five down; x", Verdict::harmful), found("three down; y", Verdict::unreadable)};
    const PowerOrder order = power_order(with_rails({"five", "three"}), j);
    EXPECT_EQ(order_of(order), (Names{"five", "three"}));
    EXPECT_EQ(order.verdict, Verdict::unreadable);
    EXPECT_EQ(order.steps[0].sentence, "with three down; y");
}

TEST(PowerOrder, MixturesOfThreeRailsCount) {
    Judgement j;  // a alone up is harmful, and so is c missing at the end
    j.findings = {found("b down, c down; x", Verdict::harmful), found("c down; y", Verdict::harmful),
                  found("b down; y", Verdict::thin), found("a down, c down; y", Verdict::thin)};
    const PowerOrder order = power_order(with_rails({"a", "b", "c"}), j);
    EXPECT_EQ(order_of(order), (Names{"c", "b", "a"})) << "nothing was found with a down alone or a and b down";
    EXPECT_EQ(order.verdict, Verdict::safe);
}

TEST(PowerOrder, OneSwitchTakesAllItsRailsAtOnce) {
    Bench bench = with_rails({"usb", "logic"});
    bench.rails[1].switch_group = "usb";
    bench.rails[0].switch_group = "usb";
    const PowerOrder order = power_order(bench, {});
    ASSERT_EQ(order.steps.size(), 1u);
    EXPECT_EQ(order.steps[0].rails, (Names{"usb", "logic"}));
    EXPECT_TRUE(order.worst_order.empty());
}

TEST(PowerOrder, ManySwitchesAreJudgedAtTheLastOneOnly) {
    Judgement j;
    j.findings = {found("a down; x", Verdict::harmful), found("b down; x", Verdict::thin),
                  found("d down; x", Verdict::unreadable)};
    const PowerOrder order = power_order(with_rails({"a", "b", "c", "d"}), j);
    EXPECT_EQ(order_of(order).back(), "c");
    EXPECT_FALSE(order.steps[0].judged);
    EXPECT_TRUE(order.steps[2].judged);
}

/// Of eight switches only who comes last was judged; every switch is tried as that one.
TEST(PowerOrder, OfEightEachIsTriedAsTheLast) {
    Judgement j;
    j.findings = {found("a down; x", Verdict::thin), found("c down; x", Verdict::harmful)};
    const Bench bench = with_rails({"a", "b", "c", "d", "e", "f", "g", "h"});
    const PowerOrder order = power_order(bench, j);
    EXPECT_EQ(order_of(order).size(), 8u);
    EXPECT_EQ(order_of(order).back(), "b");
    EXPECT_EQ(order.verdict, Verdict::safe);
    EXPECT_TRUE(order.worst_order.ends_with("then c")) << order.worst_order;
    EXPECT_EQ(order.worst_sentence, "with c down; x");
}

/// Two makers fed by each other's rail: the question who switches them still ends, alike for both.
TEST(PowerOrder, RailsThatFeedEachOtherEnd) {
    Bench bench;
    for (const char* name : {"a", "b"}) bench.rails.push_back(hand::rail(name, 3.0, 3.6));
    const auto maker = hand::module("maker", {});
    bench.parts = {hand::part("M", maker, "b"), hand::part("N", maker, "a"), {.name = "bare", .type = maker}};
    bench.rails[0].from = "M.OUT", bench.rails[1].from = "N.OUT";
    for (const Rail& rail : bench.rails) {
        const std::string name = switch_of(bench, rail);
        EXPECT_TRUE(name == "a" || name == "b") << name;
    }
    EXPECT_EQ(feeder_of(bench, bench.rails[0]), &bench.rails[1]);
    bench.rails[0].from = "bare.OUT";  // a maker that no rail feeds
    EXPECT_EQ(feeder_of(bench, bench.rails[0]), nullptr);
    EXPECT_EQ(switch_of(bench, bench.rails[1]), "a");
}

/// A maker has its own output among its supplies, and may have one that is on no rail: neither feeds it.
TEST(PowerOrder, AMakerIsFedByAnotherRail) {
    Bench bench;
    for (const char* name : {"five", "three"}) bench.rails.push_back(hand::rail(name, 3.0, 5.5));
    bench.parts = {{.name = "M", .type = hand::module("maker", {})}};
    bench.parts[0].supplies = {{"AUX", ""}, {"OUT", "three"}, {"VCC", "five"}};
    bench.rails[1].from = "M.OUT";
    EXPECT_EQ(feeder_of(bench, bench.rails[1]), &bench.rails[0]);
    EXPECT_EQ(switch_of(bench, bench.rails[1]), "five");
}

}  // namespace
}  // namespace voltsill
