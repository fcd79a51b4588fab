/// Levels that come too late: judged over time where the rate makes it matter.
#include <gtest/gtest.h>

#include <cmath>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

const Rail exactly_five = rail("five", 5.0, 5.0);

Build line(double rate, double ohms = 10e3) {
    Build b({exactly_five});
    Pin out = open_drain("OUT", ohms);
    out.capacitance = {Span<Farads>::exactly(Farads{5e-12}), sheet};
    b.module("D", {out}, "five");
    b.module("R", {input("IN", cmos(), false)}, "five");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{rate};
    return b;
}

TEST(Timing, SlowLinksAreNotRun) { EXPECT_EQ(find_at(line(10e3).judge(), "setup-time", "R"), nullptr); }

TEST(Timing, VerdictFollowsTheTimeThatIsLeft) {
    // Worst case: 10.1 k into 32.5 pF, 0.7 of the supply after RC ln(1 / 0.3) = 395 ns.
    const double needs = 10.1e3 * 32.5e-12 * std::log(1 / 0.3);
    for (const auto& [bit, verdict] :
         {std::pair{2.0, Verdict::safe}, {1.1, Verdict::thin}, {0.9, Verdict::unreadable}}) {
        const Found f = find_at(line(1 / (bit * needs)).judge(), "setup-time", "R");
        ASSERT_NE(f, nullptr) << bit;
        EXPECT_EQ(f->verdict, verdict) << bit << ' ' << f->arithmetic;
        if (bit > 1)
            EXPECT_NEAR(f->margin, (bit - 1) * needs, 0.06 * needs) << bit;
        else
            EXPECT_LT(f->margin, 0.0);  // a bit that is never read counts as minus one bit
        EXPECT_FALSE(f->bound_exact);
        EXPECT_NE(f->corner.find("wires of"), std::string::npos) << f->corner;
    }
}

TEST(Timing, StrongerPullUpSavesTheLink) {
    EXPECT_EQ(find_at(line(3e6, 10e3).judge(), "setup-time", "R")->verdict, Verdict::unreadable);
    EXPECT_NE(find_at(line(3e6, 2.2e3).judge(), "setup-time", "R")->verdict, Verdict::unreadable);
}

/// Its keepers of 4 kOhm would take hundreds of nanoseconds; its accelerators do not (SCES650E, section 9,
/// from memory).
TEST(Timing, AutoDirectionPartIsNotJudgedByItsKeepers) {
    const auto judged = [](double rate) {
        Build b({exactly_five, rail("three", 3.3, 3.3)});
        b.module("D", {output("OUT")}, "three");
        b.module("R", {input("IN", cmos(), false)}, "five");
        b.added("U1", stock("four-bit auto-direction push-pull translator"), {"three", "five"});
        b.join("D.OUT", "U1.A1");
        b.join("U1.B1", "R.IN");
        b.join("U1.OE", "rail three");
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{rate};
        return b.judge();
    };
    const Judgement quick = judged(5e6);
    EXPECT_EQ(find_at(quick, "bit-time", "R"), nullptr);
    EXPECT_EQ(find_at(quick, "setup-time", "R"), nullptr) << "enough is left without a search";
    const Found late = find_at(judged(200e6), "setup-time", "R");
    ASSERT_NE(late, nullptr);
    EXPECT_EQ(late->verdict, Verdict::unreadable);
}

/// Of an input whose thresholds nobody states it cannot be said when its level is there.
TEST(Timing, WithoutThresholdsThereIsNoTime) {
    for (const bool stated : {true, false}) {
        Build b = line(3e6);
        auto type = std::make_shared<PartType>(*b.bench.parts[1].type);
        if (!stated) type->pins[0].thresholds.clear();
        b.bench.parts[1].type = type;
        const Judgement j = b.judge();
        EXPECT_EQ(find_at(j, "setup-time", "R") != nullptr, stated);
        EXPECT_EQ(find_at(j, "threshold-unknown", "R") != nullptr, !stated);
    }
}

}  // namespace
}  // namespace voltsill
