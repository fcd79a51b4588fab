/// Values from practice, each held from both sides of itself: common practice, no source, unless a line says more.
#include <gtest/gtest.h>

#include <cmath>

#include "judging/rail_currents.h"
#include "judging/settled_levels.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

/// D.OUT on a rail of exactly so many volts, straight into R.IN on 3.3 V; one switch for both.
Build practice_pair(double volts, Pin in) {
    Build b({rail("a", volts, volts), rail("b", 3.3, 3.3)});
    for (Rail& r : b.bench.rails) r.switch_group = "bench";
    in.name = "IN";
    b.module("D", {output("OUT")}, "a");
    b.module("R", {std::move(in)}, "b");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    return b;
}

/// Millivolts above the recommended range are a diode's leakage; from 50 mV on they are told.
TEST(Practice, FiftyMillivoltsAboveTheRecommendedRange) {
    Pin in = input("", ttl(), true);
    in.range_max = Level{1, {}};
    EXPECT_EQ(find(practice_pair(3.345, in).judge().findings, "above-recommended"), nullptr);
    const Found f = find(practice_pair(3.36, in).judge().findings, "above-recommended");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->margin, 3.3 - 3.36, 1e-3);
    EXPECT_EQ(f->arithmetic, "3.36 V - 3.3 V = 60 mV over the recommended range");
}

/// Who states no absolute maximum is asked for it from 0.3 V above the supply on, what most sheets allow.
TEST(Practice, ThreeTenthsOfAVoltAboveTheSupplyNeedNoRating) {
    Pin in = input("", ttl(), true);
    in.max.reset();
    EXPECT_EQ(find(practice_pair(3.58, in).judge().findings, "rating-unknown"), nullptr);
    const Found f = find(practice_pair(3.63, in).judge().findings, "rating-unknown");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->margin, 3.3 + 0.3 - 3.63, 1e-3);
}

/// (5 V - Vf) / R through the diode of a pin without supply whose rail 100 Ω hold near ground, Vf about 0.5 V at 0.1
/// mA: below 0.1 mA it is no stress.
TEST(Practice, ATenthOfAMilliampereIntoADeadPinIsNoStress) {
    for (const auto& [ohms, told] : {std::pair{52e3, false}, {38e3, true}}) {
        Build b({rail("five", 5, 5), rail("three", 3.3, 3.3)});
        b.module("D", {output("OUT")}, "five");
        b.module("R", {input("IN", ttl(), false)}, "three");
        b.resistor(ohms, "D.OUT", "R.IN", 0.0);
        b.resistor(100, "rail three", "ground", 0.0);
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
        EXPECT_EQ(find(b.judge().findings, "over-voltage-unpowered", "three down") != nullptr, told) << ohms;
    }
}

/// Two outputs over R: 5 V / (R + twice 50 Ω of typical outputs) up to 2 mA is no fight.
TEST(Practice, TwoMilliamperesBetweenOutputsAreNoFight) {
    for (const auto& [ohms, fight] : {std::pair{2.6e3, false}, {2.2e3, true}}) {
        Build b({rail("five", 5, 5)});
        for (const char* name : {"A", "B"}) b.module(name, {output("OUT")}, "five");
        b.resistor(ohms, "A.OUT", "B.OUT", 0.0);
        EXPECT_EQ(find(b.judge().findings, "contention") != nullptr, fight) << 5 / (ohms + 100);
    }
}

/// A.OUT takes 5 V / 1.1 kΩ from the other output and more through `ohms` from the rail: it is the other it fights only
/// where half of what it takes comes from there. The other, at which all goes to A, always does.
TEST(Practice, WhoBringsHalfTheCurrentIsTheOpponent) {
    for (const auto& [ohms, half] : {std::pair{1.8e3, true}, {470.0, false}}) {
        Build b({rail("five", 5, 5)});
        for (const char* name : {"A", "B"}) b.module(name, {output("OUT")}, "five");
        b.resistor(1e3, "A.OUT", "B.OUT", 0.0);
        b.resistor(ohms, "A.OUT", "rail five", 0.0);
        const Judgement j = b.judge();
        EXPECT_EQ(find_at(j, "contention", "A") != nullptr, half) << ohms;
        EXPECT_NE(find_at(j, "contention", "B"), nullptr) << ohms;
    }
}

/// An output tied to ground that states no maximum: 1 V at `at` is the weakest, four times as strong the strongest, so
/// 5 V drive 20 times `at`. From 2 mA on it is told.
TEST(Practice, TwoMilliamperesIntoGroundHarmNoOutput) {
    for (const auto& [at, told] : {std::pair{95e-6, false}, {105e-6, true}}) {
        Pin out = output("OUT", 1.0);
        out.drive_max = {};
        for (auto* rows : {&out.high, &out.low}) rows->front().at = Amps{at};
        Build b({rail("five", 5, 5)});
        b.module("D", {out}, "five");
        b.join("D.OUT", "ground");
        const Found f = find_at(b.judge(), "output-overload", "D");
        ASSERT_EQ(f != nullptr, told) << at;
        if (told) {
            EXPECT_NEAR(f->value->value, 20 * at, 1e-5);
        }
    }
}

/// 5 V R / (R + 10.1 kΩ) when a buffer of unknown level is high, nothing when it is low: two windows from 0.3 V on.
TEST(Practice, ThreeTenthsOfAVoltPartTwoWindows) {
    for (const auto& [ohms, two] : {std::pair{590.0, false}, {690.0, true}}) {
        auto type = std::make_shared<PartType>(*hand::module("buffer", {input("A", cmos(), true), output("Y")}));
        type->kind = PartKind::logic;
        type->channels = {{.logic = ChannelLogic::buffer, .inputs = {0}, .output = 1, .name = "1"}};
        Build b({rail("five", 5, 5)});
        b.part("U1", type, {"five"});
        b.module("R", {input("IN", cmos(), true)}, "five");
        b.resistor(10e3, "U1.Y", "R.IN", 0.0);
        b.resistor(ohms, "R.IN", "ground", 0.0);
        const Wiring wiring = b.wiring();
        SettledLevels levels(b.bench, wiring);
        levels.tell({});
        const MeterReading r = levels.at(wiring.part("R"), 0);
        EXPECT_EQ(r.gap_lo < r.gap_hi, two) << r.hi;
        EXPECT_NEAR(r.lo, 0, 1e-3);
        EXPECT_NEAR(r.hi, 5 * ohms / (ohms + 10.1e3), 5e-3);
    }
}

/// What is set at a supply with a current limit: half more than what is drawn at most and 20 mA, never more than the
/// bench allows.
TEST(Practice, ALimitIsSetAtHalfMoreThanIsDrawn) {
    Rail r = rail("five", 5, 5);
    EXPECT_NEAR(limit_to_set({.rail = "five", .hi = 100e-3}, r), 170e-3, 1e-12);
    r.limit = Amps{150e-3};
    EXPECT_NEAR(limit_to_set({.rail = "five", .hi = 100e-3}, r), 150e-3, 1e-12);
    EXPECT_NEAR(limit_to_set({.rail = "five", .hi = 20e-3}, r), 50e-3, 1e-12);
}

/// IC = 12 V / R and IB = 4.1 V / RB or so of a transistor with hFE 100 (sheets print it for small currents): a third
/// of that gain up to a tenth of the largest current, 20 beyond; half of it beyond, and all of it below, is no switch.
TEST(Practice, ATransistorNearItsLargestCurrentWantsMoreBaseCurrent) {
    for (const auto& [gain, most_amps, verdict] : {std::tuple{25.0, 1.0, Verdict::safe},
                                                   {25.0, 0.3, Verdict::thin},
                                                   {40.0, 1.0, Verdict::thin},
                                                   {70.0, 1.0, Verdict::thin},
                                                   {70.0, 0.3, Verdict::unreadable},
                                                   {150.0, 1.0, Verdict::unreadable}}) {
        auto npn = std::make_shared<PartType>(*stock("npn"));
        auto& model = std::get<BjtModel>(npn->model);
        model.beta = {Span<double>::exactly(100), sheet};
        model.vbe = {Span<Volts>::exactly(Volts{0.8}), sheet};
        model.current_max = {Span<Amps>::exactly(Amps{most_amps}), sheet};
        Build b({rail("five", 5, 5), rail("twelve", 12, 12)});
        b.module("D", {output("OUT", 1e-3)}, "five");
        b.added("Q1", npn);
        b.join("Q1.E", "ground");
        b.resistor(240, "Q1.C", "rail twelve", 0.0);  // 50 mA or less
        b.resistor(4.2 * gain / 49e-3, "D.OUT", "Q1.B", 0.0);
        const Found f = find_at(b.judge(), "saturation", "Q1");
        ASSERT_EQ(f != nullptr, verdict != Verdict::safe) << gain << " at " << most_amps;
        if (!f) continue;
        EXPECT_EQ(f->verdict, verdict) << gain << " at " << most_amps << ": " << f->arithmetic;
        EXPECT_NEAR(f->limit->value, most_amps > 0.5 ? 100 / 3.0 : 20, 1e-9);
        EXPECT_NEAR(f->margin, f->limit->value - f->value->value, 1e-9);
    }
}

}  // namespace
}  // namespace voltsill
