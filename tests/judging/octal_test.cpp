/// Octals as a board has them: supplies, enables, directions, thresholds and inputs above the supply.
#include <gtest/gtest.h>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

Verdict of(const Judgement& j, std::string_view name) {
    for (const LinkJudgement& l : j.links)
        if (l.link == name) return l.verdict;
    ADD_FAILURE() << "no link " << name;
    return Verdict::safe;
}

/// 5 V output into A1, B1 into a 3.3 V input; unused inputs on ground; decoupled.
Build down_through(const char* type, const std::string& supply, const std::string& enable,
                   const std::string& direction) {
    Build b({five, three});
    b.bench.rails[0].switch_group = b.bench.rails[1].switch_group = "bench";
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", ttl(), false)}, "three");
    b.added("U1", stock(type), {supply});
    b.added("C1", stock("capacitor"));
    b.join("C1.1", "rail " + supply);
    b.join("C1.2", "ground");
    b.join("D.OUT", "U1.A1");
    b.join("U1.B1", "R.IN");
    if (!enable.empty()) b.join("U1.OE", enable);
    if (!direction.empty()) b.join("U1.DIR", direction);
    for (int k = 2; k <= 8; ++k) b.join("ground", "U1.A" + std::to_string(k));
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    return b;
}

TEST(Octal, Lvc245AtThreeVoltsTakesFiveVoltsDown) {
    const Judgement j = down_through("LVC 245", "three", "ground", "rail three").judge();
    EXPECT_EQ(j.verdict, Verdict::safe);
    for (const Finding& f : j.findings) EXPECT_EQ(f.verdict, Verdict::safe) << f.code << ": " << f.sentence;
    // CMOS into an input without pulls: the high is the lowest of the 3.3 V rail, 1.2 V above TTL's 2.0 V.
    EXPECT_NEAR(*j.links[0].high_margin, 3.2 - 2.0, 2e-3);
    EXPECT_NEAR(*j.links[0].low_margin, 0.8, 2e-3);
    bool band = false;
    for (const LevelBand& l : j.links[0].levels)
        band |= l.point == "R.IN" && l.high && std::abs(l.nominal - 3.3) < 2e-3;
    EXPECT_TRUE(band);
}

TEST(Octal, Lvc245AtFiveVoltsIsRefusedWithItsRange) {
    const Judgement j = down_through("LVC 245", "five", "ground", "rail five").judge();
    const Found f = find(j.findings, "supply-too-high");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::harmful);
    EXPECT_EQ(f->part, "U1");
    EXPECT_NEAR(f->limit->value, 3.6, 1e-9);  // octals of the family: 1.65 to 3.6 V (check values 2d)
    EXPECT_NE(f->sentence.find("1.65"), std::string::npos);
}

TEST(Octal, OpenEnableLeavesThePassingToChance) {
    const Judgement j = down_through("LVC 245", "three", "", "rail three").judge();
    const Found f = find(j.findings, "control-open");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->part, "U1");
    EXPECT_EQ(f->link, j.links.at(0).link);
    EXPECT_EQ(j.links.at(0).verdict, Verdict::unreadable);  // what may not pass is not safe
    EXPECT_NE(f->pin.find("OE"), std::string::npos);
    EXPECT_EQ(f->verdict, Verdict::unreadable);
}

TEST(Octal, InactiveEnableStopsTheSignal) {
    const Judgement j = down_through("LVC 245", "three", "rail three", "rail three").judge();
    EXPECT_NE(find(j.findings, "strap-off"), nullptr);
    EXPECT_NE(find(j.findings, "not-reached"), nullptr);
    EXPECT_EQ(of(j, "signal"), Verdict::unreadable);
}

TEST(Octal, WrongDirectionSetsTwoOutputsAgainstEachOther) {
    Build b = down_through("LVC 245", "three", "ground", "ground");
    b.resistor(10e3, "R.IN", "rail three");  // B1 has a level of its own
    const Judgement j = b.judge();
    const Found f = find(j.findings, "contention");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::harmful);
    EXPECT_EQ(of(j, "signal"), Verdict::harmful);
}

TEST(Octal, ControlPinOnTheWrongRailsLevelIsNeitherHighNorLow) {
    // HC at 5 V: direction strapped to 3.3 V, which is below 0.7 of 5 V.
    const Judgement j = down_through("HC 245", "five", "ground", "rail three").judge();
    const Found f = find(j.findings, "strap-level");
    ASSERT_NE(f, nullptr);
    EXPECT_NE(f->pin.find("DIR"), std::string::npos);
    EXPECT_NEAR(f->value->value, 3.3, 1e-6);
}

TEST(Octal, ControlPinAboveItsSupplyIsHarmful) {
    int told = 0;
    for (const Finding& f : down_through("HC 245", "three", "ground", "rail five").judge().findings) {
        if (f.code != "over-voltage" || !f.pin.ends_with("DIR")) continue;
        EXPECT_EQ(f.verdict, Verdict::harmful);
        EXPECT_EQ(f.corner, "five 5.25 V, three 3.2 V");
        ++told;
    }
    EXPECT_EQ(told, 1);
}

TEST(Octal, Hc245AtThreeVoltsIsFedThroughItsClamp) {
    const Judgement j = down_through("HC 245", "three", "ground", "rail three").judge();
    const Found f = find(j.findings, "over-voltage", "all rails up");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->part, "U1");
    EXPECT_EQ(of(j, "signal"), Verdict::harmful);
}

Build up_through(const char* type, Rail high) {
    Build b({high, three});
    b.bench.rails[0].switch_group = b.bench.rails[1].switch_group = "bench";
    b.module("D", {output("OUT")}, "three");
    b.module("R", {input("IN", cmos(), false)}, high.name);
    b.added("U1", stock(type), {high.name});
    b.join("D.OUT", "U1.A1");
    b.join("U1.Y1", "R.IN");
    b.join("ground", "U1.OE1");
    b.join("ground", "U1.OE2");
    for (int k = 2; k <= 8; ++k) b.join("ground", "U1.A" + std::to_string(k));
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    return b;
}

Found high_at(const Judgement& j, std::string_view part) { return find_at(j, "high-level", part); }

/// SCHS119B prints VIH 3.15 V at 4.5 V and 4.2 V at 6 V: on the line between, 3.5 V at 5.0 V.
TEST(Octal, ThreeVoltsIntoHcAtFiveIsUnreadable) {
    const Judgement j = up_through("HC 541", rail("five", 5.0, 5.0)).judge();
    const Found f = high_at(j, "U1");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::unreadable);
    EXPECT_NEAR(f->margin, 3.2 - 3.5, 2e-3);
    EXPECT_NEAR(f->limit->value, 3.5, 2e-3);
}

TEST(Octal, ThreeVoltsIntoHcAtFourAndAHalfHasItsPrintedMargin) {
    const Found f = high_at(up_through("HC 541", rail("five", 4.5, 4.5)).judge(), "U1");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::thin);
    EXPECT_NEAR(f->margin, 3.2 - 3.15, 2e-3);
}

TEST(Octal, ThreeVoltsIntoHctIsSafe) {
    const Judgement j = up_through("HCT 541", five).judge();
    const Found f = high_at(j, "U1");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::safe);
    EXPECT_NEAR(f->margin, 3.2 - 2.0, 2e-3);
    EXPECT_EQ(of(j, "signal"), Verdict::safe);
}

/// One inverting octal turns the signal over; two turn it back (540 by function).
TEST(Octal, InvertersTurnTheSignalOver) {
    Build b = up_through("HCT 540", five);
    EXPECT_NE(find(b.judge().findings, "inverted"), nullptr);
    b.bench.links[0].invert_allowed = true;
    const Judgement allowed = b.judge();
    EXPECT_EQ(find(allowed.findings, "inverted"), nullptr);
    EXPECT_TRUE(allowed.links[0].inverted);
    EXPECT_EQ(of(allowed, "signal"), Verdict::safe);
}

/// Back-powering: HC clamps to its supply, LVC and AHC isolate (check values 2a, 2c, 2d).
TEST(Octal, OnlyPartsWithAnUpperClampLiftADeadRail) {
    for (const auto& [type, lifts] :
         {std::pair{"HC 541", true}, {"HCT 541", true}, {"LVC 541", false}, {"AHC 541", false}}) {
        Build b = up_through(type, rail("five", 3.3, 3.3));
        for (Rail& r : b.bench.rails) r.switch_group.clear();
        auto tolerant = std::make_shared<PartType>(*b.bench.parts[1].type);
        for (Pin& p : tolerant->pins) p.clamp_to_supply = false;
        b.bench.parts[1].type = tolerant;
        const Judgement j = b.judge();
        EXPECT_EQ(find(j.findings, "back-powering", "five down") != nullptr, lifts) << type;
    }
}

TEST(Octal, OpenUnusedInputsAreNamedOnce) {
    Build b = up_through("HCT 541", five);
    std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.to == "U1.A8"; });
    int open = 0;
    for (const Finding& f : b.judge().findings)
        open += f.code == "input-open" && f.part == "U1" && f.pin == "A8";
    EXPECT_EQ(open, 1);
}

TEST(Octal, MissingCapacitorIsNamed) {
    Build b = up_through("HCT 541", five);
    const Found f = find(b.judge().findings, "missing-decoupling");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->net, "rail five");
    b.added("C1", stock("capacitor"));
    b.join("C1.1", "rail five");
    b.join("C1.2", "ground");
    EXPECT_EQ(find(b.judge().findings, "missing-decoupling"), nullptr);
}

}  // namespace
}  // namespace voltsill
