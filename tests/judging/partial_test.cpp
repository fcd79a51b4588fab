/// Judging in part: what one answer costs, what counts, and what an island adds to sums over the whole bench.
#include "judging/partial.h"

#include <gtest/gtest.h>

#include "judging/solution_memory.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

AnyHarm any_harm(
    const Build& b, bool worst_case, const Counts& counts = [](const Finding&) { return true; }) {
    const Wiring wiring = b.wiring();
    SolutionMemory memory;
    return judge_any_harm(b.bench, wiring,
                          {.driven_by_part = std::vector<double>(wiring.parts.size()), .fed_into_rail = {}}, counts,
                          worst_case, memory);
}

/// Two outputs on one net: 5 V over twice 50 Ω at their nominal strength; 25 Ω each and 5.25 V at the worst
/// (hand_parts.h: 0.4 V at 4 mA is the weakest, 100 Ω).
TEST(Partial, AFightIsHarmAtItsNominalCurrent) {
    for (const bool rated : {true, false}) {
        Pin out = output("OUT");
        if (!rated) out.drive_max = {};
        Build b({five});
        for (const char* name : {"A", "B"}) b.module(name, {out}, "five");
        b.join("A.OUT", "B.OUT");
        for (const bool worst_case : {true, false}) {
            const auto found = any_harm(b, worst_case).first;
            ASSERT_TRUE(found);
            EXPECT_EQ(found->code, "contention");
            EXPECT_EQ(found->verdict, Verdict::harmful);
            EXPECT_NEAR(found->value->value, worst_case ? 5.25 / 50 : 5.0 / 100, 1e-4);
            EXPECT_NEAR(found->margin, (rated ? 40e-3 : 0) - found->value->value, 1e-12);
        }
    }
}

/// Whoever fights does so with every rail up, and is told of it once: not again for each state with a rail down.
TEST(Partial, AFightIsToldWithEveryRailUp) {
    Build b({five, three});
    for (const char* name : {"A", "B"}) b.module(name, {output("OUT")}, "five");
    b.join("A.OUT", "B.OUT");
    const Judgement j = b.judge();
    EXPECT_NE(find(j.findings, "contention", "all rails up"), nullptr);
    EXPECT_EQ(find(j.findings, "contention", "down"), nullptr);
}

/// What does not count is no answer; a figure that is not known is one where there is no harm; a supply says so before
/// any network is solved.
TEST(Partial, OnlyWhatCountsAnswers) {
    const auto joined = [](Pin in, Volts most) {
        Build b({five, three});
        b.module("D", {output("OUT")}, "five");
        auto type = std::make_shared<PartType>(*hand::module("R", {std::move(in)}));
        type->supplies[0].range = Span<Volts>::between(Volts{1.65}, most);
        b.part("R", type, {"three"});
        b.resistor(10e3, "D.OUT", "R.IN");
        return b;
    };
    Pin unknown = input("IN", ttl(), true);
    unknown.max.reset();
    const Build over = joined(input("IN", ttl(), false), Volts{6}), unrated = joined(unknown, Volts{6}),
                safe = joined(input("IN", ttl(), true), Volts{6}),
                starved = joined(input("IN", ttl(), false), Volts{3.3});
    EXPECT_EQ(any_harm(over, true).first->code, "over-voltage");
    EXPECT_FALSE(any_harm(over, true, [](const Finding& f) {
                     return !f.code.starts_with("over-voltage") && f.code != "rail-pumped";
                 }).first);
    EXPECT_EQ(any_harm(unrated, true).first->code, "rating-unknown");
    EXPECT_EQ(any_harm(unrated, true).first->verdict, Verdict::unknown);
    EXPECT_FALSE(any_harm(unrated, true, [](const Finding& f) { return f.code != "rating-unknown"; }).first);
    EXPECT_FALSE(any_harm(safe, true).first);
    EXPECT_EQ(any_harm(starved, true).first->code, "supply-too-high") << "3.4 V of at most 3.3 V";
}

/// What may harm and what nobody knows, and nothing of what holds or is only thin.
TEST(Partial, HarmIsAllThatMayHarm) {
    for (const bool tolerant : {false, true}) {
        Build b({five, three});
        b.module("D", {output("OUT")}, "five");
        b.module("R", {input("IN", ttl(), tolerant)}, "three");
        b.join("D.OUT", "R.IN");
        const HarmFindings harm = judge_harm(b.bench, b.wiring());
        EXPECT_EQ(find(harm.findings, "over-voltage") != nullptr, !tolerant);
        for (const Finding& f : harm.findings)
            EXPECT_TRUE(f.verdict == Verdict::harmful || f.verdict == Verdict::unknown) << f.code;
        for (const Finding& f : b.judge().findings) {
            if (f.code == "over-voltage" && f.verdict == Verdict::harmful) {
                EXPECT_EQ(f.state, find(harm.findings, "over-voltage")->state);
            }
        }
    }
}

/// A rail is loose where some state takes it down: not with one switch for all.
TEST(Partial, ARailIsLooseWhereItsSwitchIsNotTheOnlyOne) {
    for (const bool one_switch : {false, true}) {
        Build b({five, three, rail("twelve", 12, 12)});
        if (one_switch)
            for (Rail& r : b.bench.rails) r.switch_group = "bench";
        b.module("D", {output("OUT")}, "five");
        EXPECT_EQ(judge_harm(b.bench, b.wiring()).loose_rails, std::vector<bool>(3, !one_switch));
    }
    Build mixed({five, three});
    mixed.bench.rails.push_back(rail("unused", 5, 5));
    mixed.module("D", {output("OUT")}, "five");
    Wiring wiring = mixed.wiring();
    wiring.nets[wiring.rail("unused")].rail.clear();  // joined to another supply: it has no state of its own
    EXPECT_EQ(judge_harm(mixed.bench, wiring).loose_rails, (std::vector<bool>{true, true, false}));
}

/// 5.25 V through 10 kΩ ± 5 % and a diode of some 0.5 V into a rail of 3.2 V, and the output carries the same.
TEST(Partial, AnIslandSaysWhatItAddsToSums) {
    Build b({five, three});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", ttl(), false)}, "three");
    b.resistor(10e3, "D.OUT", "R.IN");
    const Wiring wiring = b.wiring();
    std::vector<Share> shares;
    judge_harm(b.bench, wiring, nullptr, &shares);
    double fed = 0, driven = 0;
    for (const Share& share : shares) {
        const WiredPart& part = wiring.parts[share.site.first];
        EXPECT_GE(part.net_of_pin[share.site.second], 0) << "a pin of the island";
        if (share.rail == "three") fed += share.amps;
        if (share.part == wiring.part("D")) driven += share.amps;
        EXPECT_EQ(share.part < 0, share.rail == "three");
    }
    EXPECT_GT(fed, (5.25 - 3.2 - 0.7) / 9.5e3);
    EXPECT_LT(fed, (5.25 - 3.2 - 0.3) / 9.5e3);
    EXPECT_GT(driven, (5.0 - 3.3 - 0.7) / 10.1e3);  // at nominal values
    EXPECT_LT(driven, (5.0 - 3.3 - 0.4) / 10e3);
}

}  // namespace
}  // namespace voltsill
