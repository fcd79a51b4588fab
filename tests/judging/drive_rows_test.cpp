/// Which printed row an output is held to: at the end of its rail where it is weakest.
#include <gtest/gtest.h>

#include "judging/settled_levels.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

Span<Volts> exactly(double volts) { return Span<Volts>::exactly(Volts{volts}); }

/// 0.44 V at 8 mA from 3.0 V (55 Ohm), 0.55 V at 16 mA from 4.5 V (34 Ohm).
Pin better_with_supply() {
    Pin out = output("OUT");
    out.low = {{exactly(3.0), Amps{8e-3}, {0, Volts{0.44}}, sheet},
               {exactly(4.5), Amps{16e-3}, {0, Volts{0.55}}, sheet}};
    return out;
}

TEST(DriveRows, ALowIsThatOfTheLowestSupply) {
    Build b({rail("battery", 3.0, 5.5), five});
    b.module("D", {better_with_supply()}, "battery");
    b.module("R", {input("IN", ttl(), true)}, "five");
    b.join("D.OUT", "R.IN");
    b.resistor(330, "R.IN", "rail five", 0.01);
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    EXPECT_NEAR(*b.judge().links[0].low_margin, 0.8 - 5.25 * 55 / (55 + 330 * 0.99), 1e-3);
}

/// The strongest stays that of the highest supply, four times its row: 8.6 Ohm against 5.25 V.
TEST(DriveRows, TheStrongestIsThatOfTheHighestSupply) {
    Build b({rail("battery", 3.0, 5.5), five});
    b.module("D", {better_with_supply()}, "battery");
    b.module("R", {input("IN", ttl(), true)}, "five");
    b.join("D.OUT", "R.IN");
    b.resistor(330, "R.IN", "rail five", 0.01);
    const Wiring wiring = b.wiring();
    SettledLevels levels(b.bench, wiring);
    levels.tell({{"D", "OUT", false}});
    const double ohms = 0.55 / 16e-3 / 4;
    EXPECT_NEAR(levels.at(wiring.part("D"), 0).lo, 4.75 * ohms / (ohms + 330 * 1.01), 1e-3);
}

/// 2.4 V at 4 mA for supplies of 3.0 to 3.6 V: at 3.2 V that is still 2.4 V, not 0.9 V below it.
TEST(DriveRows, AVohForARangeOfSuppliesHoldsAtEachOfThem) {
    Pin out = output("OUT");
    out.high = {{Span<Volts>::between(Volts{3.0}, Volts{3.6}), Amps{4e-3}, {0, Volts{2.4}}, sheet}};
    Build b({three});
    b.module("D", {out}, "three");
    b.module("R", {input("IN", ttl(), true)}, "three");
    b.join("D.OUT", "R.IN");
    b.resistor(600 / 0.99, "R.IN", "ground", 0.01);
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    EXPECT_NEAR(*b.judge().links[0].high_margin, 0.4, 1e-3);
}

/// A Darlington of 1.1 V at 100 mA at most that does not come below 0.55 V. Weakest: 0.9 V and 0.2 V for 100 mA.
TEST(DriveRows, ADarlingtonStaysAboveItsJunction) {
    Pin out = open_drain("OUT");
    const Span<Volts> any = Span<Volts>::between(Volts{0}, Volts{36});
    out.low = {{any, Amps{0.1}, {0, Volts{1.1}}, sheet}, {any, Amps{0.35}, {0, Volts{1.6}}, sheet}};
    out.low_above_ground = Span<Volts>{Volts{0.55}, Volts{0.7}, Volts{0.9}};
    Build b({rail("five", 5, 5)});
    b.module("D", {out}, "five");
    b.resistor(100, "D.OUT", "rail five", 1e-6);
    const Wiring wiring = b.wiring();
    SettledLevels levels(b.bench, wiring);
    levels.tell({{"D", "OUT", false}});
    const MeterReading low = levels.at(wiring.part("D"), 0);
    EXPECT_NEAR(low.hi, 0.9 + 4.1 * 2 / 102, 2e-3);
    EXPECT_GE(low.lo, 0.55);
    EXPECT_LT(low.lo, 0.6);
    EXPECT_GT(low.nominal, 0.7);
    EXPECT_LT(low.nominal, 0.78);
    levels.tell({{"D", "OUT", true}});
    EXPECT_NEAR(levels.at(wiring.part("D"), 0).hi, 5, 1e-3) << "off it takes nothing";
}

}  // namespace
}  // namespace voltsill
