/// Loads that transistors, driver arrays and comparators switch, against arithmetic by hand. Forced gain and the diode
/// beside a coil are common practice, no source.
#include <gtest/gtest.h>

#include <cmath>

#include "quantity/print.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

const Rail twelve = rail("twelve", 10.8, 13.2);

/// A resistance to the part's supply, 12 V: surely on above 50 mA.
Pin to_plus(double ohms, bool coil = false) {
    Pin p{.name = "MINUS", .role = PinRole::load, .supply = 0};
    p.load = LoadInput{.ohms = {Span<Ohms>::within(Ohms{ohms}, 0.2), sheet},
                       .on_above = {Span<Amps>::exactly(Amps{50e-3}), sheet},
                       .off_below = {Span<Amps>::exactly(Amps{5e-3}), sheet},
                       .consequence = "fan turns",
                       .inductive = coil};
    return p;
}

/// A controller at 5 V and a load at 12 V that the link switches; in between is for the test.
Build fan(Pin load) {
    Build b({five, twelve});
    b.module("D", {output("OUT")}, "five");
    b.part("F", module("fan", {std::move(load)}, 10, 13.8, 15), {"twelve"});
    b.link("fan", {"D", "OUT", {}}, {"F", "MINUS", {}});
    return b;
}

Build by_npn(Pin load, double base_ohms) {
    Build b = fan(std::move(load));
    b.added("Q1", stock("npn"));
    b.resistor(base_ohms, "D.OUT", "Q1.B");
    b.join("Q1.E", "ground");
    b.join("Q1.C", "F.MINUS");
    return b;
}

Build by_fet(Pin load) {
    Build b = fan(std::move(load));
    b.added("Q1", stock("logic-level power n-mosfet"));
    b.join("D.OUT", "Q1.G");
    b.join("Q1.S", "ground");
    b.join("Q1.D", "F.MINUS");
    return b;
}

Build by_comparator(double ohms) {
    Build b = fan(to_plus(ohms));
    b.added("U1", stock("dual comparator"), {"twelve"});
    b.join("D.OUT", "U1.1IN-");
    b.resistor(39e3, "rail twelve", "U1.1IN+");
    b.resistor(10e3, "U1.1IN+", "ground");
    b.join("U1.1OUT", "F.MINUS");
    b.join("U1.2IN+", "ground");
    b.join("U1.2IN-", "ground");
    return b;
}

/// The sheet prints 0.7 V at 4 mA and 20 mA at most: at a gate 10.1 V above the threshold that is K = 0.58 mA / V^2,
/// four times that for the strongest. With 96 Ω to 13.2 V, I = 4 K (12.5 V v - v^2 / 2) = (13.2 V - v) / 96 Ω.
TEST(SwitchedLoads, AComparatorIsNoDriverOfAFan) {
    const double k = 4 * 4e-3 / (10.1 * 0.7 - 0.5 * 0.7 * 0.7);
    double low = 0, high = 13.2;
    for (int n = 0; n < 60; ++n) {
        const double v = 0.5 * (low + high), sat = std::min(v, 12.5);
        (k * (12.5 * sat - 0.5 * sat * sat) < (13.2 - v) / 96 ? low : high) = v;
    }
    const Judgement j = by_comparator(120).judge();
    const Found f = find_at(j, "output-overload", "U1");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::harmful);
    EXPECT_NEAR(f->limit->value, 20e-3, 1e-12);
    EXPECT_NEAR(f->value->value, (13.2 - low) / 96, 1e-3);
    EXPECT_EQ(j.verdict, Verdict::harmful);
    EXPECT_EQ(find_at(by_comparator(4.7e3).judge(), "output-overload", "U1"), nullptr) << "3.5 mA at most";
}

/// An input of 2.7 kΩ and two junctions that 5 V switch; 1.1 V at most stay at 100 mA (data sheet of the 2803 class).
Build by_darlington(Pin load, bool joined) {
    Build b = fan(std::move(load));
    b.added("U1", stock("darlington driver 8"));
    b.join("D.OUT", "U1.1B");
    b.join("U1.1C", "F.MINUS");
    if (joined) b.join("U1.COM", "rail twelve");
    return b;
}

TEST(SwitchedLoads, ADarlingtonNeedsNoSupplyToPassASignalOn) {
    const Judgement j = by_darlington(to_plus(120), true).judge();
    EXPECT_EQ(find(j.findings, "not-reached"), nullptr);
    const Found on = find_at(j, "load-never-on", "F"), off = find_at(j, "load-never-off", "F");
    ASSERT_TRUE(on && off);
    EXPECT_GE(on->value->value, (10.8 - 1.1) / 144);
    EXPECT_LT(on->value->value, 10.8 / 144);
    EXPECT_EQ(on->verdict, Verdict::safe);
    EXPECT_EQ(off->verdict, Verdict::safe);
    EXPECT_LE(j.links[0].verdict, Verdict::thin);
}

/// 12 V hang on its cathodes: joined to 5 V instead, the diode inside feeds the fan's current into that rail.
TEST(SwitchedLoads, TheCommonCathodeBelongsToTheRailOfTheLoad) {
    Build b = by_darlington(to_plus(120), false);
    b.join("U1.COM", "rail five");
    const Found off = find_at(b.judge(), "load-never-off", "F");
    ASSERT_NE(off, nullptr);
    EXPECT_EQ(off->verdict, Verdict::unreadable);
    EXPECT_NEAR(off->value->value, (13.2 - 4.75 - 0.7) / 96, 5e-3);
}

TEST(SwitchedLoads, OnIsWhatAHighAtTheDriverMeans) {
    const Judgement j = by_fet(to_plus(120)).judge();
    EXPECT_EQ(find(j.findings, "inverted"), nullptr);
    EXPECT_FALSE(j.links[0].inverted);
    EXPECT_LE(j.links[0].verdict, Verdict::thin);
    const Found on = find_at(j, "load-never-on", "F");
    ASSERT_NE(on, nullptr);
    EXPECT_NE(on->verdict, Verdict::unreadable);
    EXPECT_NEAR(on->value->value, 10.8 / 144, 1e-3) << "a resistance alone: no diode drop";
}

/// A stated drop of 0 V is none.
TEST(SwitchedLoads, NoDropIsAResistance) {
    Pin load = to_plus(120);
    load.load->forward = {Span<Volts>::exactly(Volts{}), sheet};
    const Judgement j = by_fet(load).judge();
    EXPECT_EQ(j.trouble, "");
    const Found on = find_at(j, "load-never-on", "F");
    ASSERT_NE(on, nullptr);
    EXPECT_NEAR(on->value->value, 10.8 / 144, 1e-3);
}

/// IC = 13.2 V / 96 Ω, IB = (4.75 V - VBE - 100 Ω IB) / RB; a tenth is wanted, 20 is not sure, half of hFE 100 is none.
TEST(SwitchedLoads, ATransistorSaturatesWithEnoughBaseCurrent) {
    EXPECT_EQ(find_at(by_npn(to_plus(120), 220).judge(), "saturation", "Q1"), nullptr);
    const Found thin = find_at(by_npn(to_plus(120), 1000).judge(), "saturation", "Q1");
    ASSERT_NE(thin, nullptr);
    EXPECT_EQ(thin->verdict, Verdict::thin);
    const double ib = (4.75 - 0.87) / (1050 + 100), ic = 13.1 / 96;
    EXPECT_NEAR(thin->value->value, ic / ib, 0.08 * ic / ib);
    const Found none = find_at(by_npn(to_plus(120), 2200).judge(), "saturation", "Q1");
    ASSERT_NE(none, nullptr);
    EXPECT_EQ(none->verdict, Verdict::unreadable);
}

Verdict coil_verdict(Build b) {
    const Found f = find_at(b.judge(), "flyback", "F");
    EXPECT_NE(f, nullptr);
    return f ? f->verdict : Verdict::unknown;
}

/// 137 mA at most: a diode for 150 mA beside the coil takes them, in one direction only; 330 mA want a larger one.
TEST(SwitchedLoads, ACoilNeedsAPathForItsCurrent) {
    const auto with_diode = [](double ohms, const char* type, const char* anode, const char* cathode) {
        Build b = by_fet(to_plus(ohms, true));
        b.added("D1", stock(type));
        b.join("D1.A", anode);
        b.join("D1.K", cathode);
        return b;
    };
    EXPECT_EQ(coil_verdict(by_fet(to_plus(120, true))), Verdict::harmful);
    EXPECT_EQ(coil_verdict(with_diode(120, "silicon diode", "F.MINUS", "rail twelve")), Verdict::safe);
    EXPECT_EQ(coil_verdict(with_diode(120, "silicon diode", "F.MINUS", "rail five")), Verdict::harmful);
    EXPECT_EQ(coil_verdict(with_diode(120, "silicon diode", "ground", "F.MINUS")), Verdict::harmful);
    EXPECT_EQ(coil_verdict(with_diode(50, "silicon diode", "F.MINUS", "rail twelve")), Verdict::harmful);
    const Found f = find_at(with_diode(50, "silicon diode", "F.MINUS", "rail twelve").judge(), "flyback", "F");
    EXPECT_NEAR(f->value->value, 13.2 / 40, 5e-3);
    EXPECT_EQ(f->arithmetic, print(Amps{f->value->value}) + ", and D1 stands only 150 mA");
    EXPECT_EQ(coil_verdict(with_diode(50, "power diode", "F.MINUS", "rail twelve")), Verdict::safe);
    EXPECT_EQ(coil_verdict(by_darlington(to_plus(120, true), true)), Verdict::safe);
    EXPECT_EQ(coil_verdict(by_darlington(to_plus(120, true), false)), Verdict::harmful);
    EXPECT_EQ(find_at(by_fet(to_plus(120)).judge(), "flyback", "F"), nullptr) << "no coil";
}

}  // namespace
}  // namespace voltsill
