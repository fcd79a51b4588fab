/// Currents of supplies against arithmetic by hand.
#include "judging/rail_currents.h"

#include <gtest/gtest.h>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

const RailCurrent& of(const std::vector<RailCurrent>& all, std::string_view rail) {
    for (const RailCurrent& r : all)
        if (r.rail == rail) return r;
    ADD_FAILURE() << rail;
    return all.front();
}

/// Parts of 1 mA each (hand_parts.h) and nothing else: n mA at most, a tenth of it for sure.
TEST(RailCurrents, PartsAddUp) {
    for (const int parts : {1, 3}) {
        Build build({rail("five", 5, 5)});
        for (int k = 0; k < parts; ++k) build.module("M" + std::to_string(k), {input("IN", cmos(), true)}, "five");
        const auto all = rail_currents(build.bench, build.wiring());
        EXPECT_NEAR(of(all, "five").hi, parts * 1e-3, 1e-7);
        EXPECT_NEAR(of(all, "five").nominal, parts * 1e-3, 1e-7);
        EXPECT_NEAR(of(all, "five").lo, parts * 1e-4, 1e-7);
        EXPECT_TRUE(of(all, "five").source);
    }
}

/// A pull-up of 1 kΩ ± 5 % on an open-drain output that loses 0.4 V at 4 mA (100 Ω; 25 Ω at its strongest):
/// at rest nothing flows; pulled low at most 5 V / (950 Ω + 25 Ω) = 5.128 mA.
TEST(RailCurrents, PullUpByOhmsLaw) {
    Build build({rail("five", 5, 5)});
    build.module("M", {open_drain("OUT"), input("IN", cmos(), true)}, "five");
    build.resistor(1e3, "M.OUT", "rail five");
    build.join("M.OUT", "M.IN");
    const auto all = rail_currents(build.bench, build.wiring());
    const RailCurrent& five = of(all, "five");
    EXPECT_NEAR(five.hi, 1e-3 + 5.0 / (950 + 25), 2e-6);
    EXPECT_NEAR(five.nominal, 1e-3, 2e-6);
    EXPECT_NEAR(five.lo, 1e-4, 2e-6);
}

/// 1 kΩ ± 5 % straight from 5 V ± 5 % to ground, beside a part: V / R at nominal and the resistor's ends.
TEST(RailCurrents, ResistorBetweenSupplies) {
    Build build({rail("five", 5, 5)});
    build.module("M", {input("IN", cmos(), true)}, "five");
    build.resistor(1e3, "rail five", "ground");
    const auto all = rail_currents(build.bench, build.wiring());
    EXPECT_NEAR(of(all, "five").nominal, 1e-3 + 5e-3, 1e-7);
    EXPECT_NEAR(of(all, "five").hi, 1e-3 + 5.0 / 950, 1e-7);
    EXPECT_NEAR(of(all, "five").lo, 1e-4 + 5.0 / 1050, 1e-7);
}

/// A divider of 1 kΩ and 1 kΩ ± 5 % beside a part: 5 V over both, at nominal and at either end.
TEST(RailCurrents, ADividerTakesItsCurrentAlways) {
    Build build({rail("five", 5, 5)});
    build.module("M", {input("IN", cmos(), true)}, "five");
    build.resistor(1e3, "rail five", "M.IN");
    build.resistor(1e3, "M.IN", "ground");
    const auto all = rail_currents(build.bench, build.wiring());
    EXPECT_NEAR(of(all, "five").lo, 1e-4 + 5.0 / 2100, 1e-6);
    EXPECT_NEAR(of(all, "five").nominal, 1e-3 + 5.0 / 2000, 1e-6);
    EXPECT_NEAR(of(all, "five").hi, 1e-3 + 5.0 / 1900, 1e-6);
}

/// What a regulator's rail takes is drawn from the rail that feeds it.
TEST(RailCurrents, MadeRailsCountWhereTheirMakerIsFed) {
    Build build({rail("five", 5, 5), rail("three", 3.3, 3.3)});
    auto maker = std::make_shared<PartType>(*module("controller", {}));
    maker->supplies.push_back(port("3V3", 3.2, 3.4, 4));
    maker->supplies.back().provides = Span<Volts>::between(Volts{3.2}, Volts{3.4});
    maker->pins.push_back(supply_pin("3V3", 1));
    build.part("K", maker, {"five", "three"});
    build.bench.parts.back().supplies = {{"VCC", "five"}};
    build.bench.rails[1].from = "K.3V3";
    build.module("M", {input("IN", cmos(), true)}, "three");
    const auto all = rail_currents(build.bench, build.wiring());
    EXPECT_NEAR(of(all, "three").hi, 1e-3, 1e-6);
    EXPECT_FALSE(of(all, "three").source);
    EXPECT_NEAR(of(all, "five").hi, 2e-3, 1e-6);
    // Fed from outside with more than its parts draw, the made rail takes nothing from its feeder.
    build.resistor(100, "rail five", "rail three");
    const auto fed = rail_currents(build.bench, build.wiring());
    EXPECT_LT(of(fed, "three").hi, 0);
    EXPECT_EQ(of(fed, "five").shares.back().hi, 0);
}

TEST(RailCurrents, SharesAddUpAndSilentPartsAreNamed) {
    Build build({rail("five", 4.75, 5.25)});
    auto silent = std::make_shared<PartType>(*module("silent", {output("OUT")}));
    silent->supplies[0].current = {};
    build.part("S", silent, {"five"});
    build.module("M", {input("IN", cmos(), false)}, "five");
    build.join("S.OUT", "M.IN");
    build.resistor(470, "M.IN", "ground");
    const auto all = rail_currents(build.bench, build.wiring());
    const RailCurrent& five = of(all, "five");
    EXPECT_EQ(five.silent, std::vector<std::string>{"S"});
    double hi = 0, lo = 0;
    for (const CurrentShare& share : five.shares) hi += share.hi, lo += share.lo;
    EXPECT_NEAR(hi, five.hi, 1e-12);
    EXPECT_NEAR(lo, five.lo, 1e-12);
    EXPECT_GT(five.hi, 1e-3 + 4e-3);
}

/// A rail made from a rail that is made: 1 mA of a part on the last, and 1 mA each of both makers (hand_parts.h).
TEST(RailCurrents, MakersBehindMakersCountFirst) {
    Build build({rail("twelve", 12, 12), rail("five", 5, 5), rail("three", 3.3, 3.3)});
    for (const auto& [name, in, out, volts] : {std::tuple{"K1", "twelve", "five", 5.0}, {"K2", "five", "three", 3.3}}) {
        auto maker = std::make_shared<PartType>(*module(name, {}, 1.5, 15, 16));
        maker->supplies.push_back(port("OUT", 1, 6, 7));
        maker->supplies.back().provides = Span<Volts>::exactly(Volts{volts});
        maker->pins.push_back(supply_pin("OUT", 1));
        build.part(name, maker, {in, out});
        build.bench.parts.back().supplies = {{"VCC", in}, {"OUT", out}};
    }
    build.bench.rails[1].from = "K1.OUT", build.bench.rails[2].from = "K2.OUT";
    build.module("M", {input("IN", cmos(), true)}, "three");
    Wiring wiring = build.wiring();
    for (const auto& [name, parts] : {std::pair{"three", 1}, {"five", 2}, {"twelve", 3}}) {
        EXPECT_NEAR(of(rail_currents(build.bench, wiring), name).hi, parts * 1e-3, 1e-7) << name;
        EXPECT_NEAR(of(rail_currents(build.bench, wiring), name).lo, parts * 1e-4, 1e-7) << name;
    }
    wiring.nets[wiring.rail("three")].rail.clear();  // joined to another supply: it is no rail of its own
    const auto joined = rail_currents(build.bench, wiring);
    EXPECT_TRUE(of(joined, "three").shares.empty());
    EXPECT_NEAR(of(joined, "twelve").hi, 2e-3, 1e-7);
}

/// Each rail carries its own loads: 1 kΩ ± 5 % behind an output of 25 Ω at its strongest, 1 mA of the part.
TEST(RailCurrents, EachRailCarriesItsOwnLoads) {
    Build build({rail("five", 5, 5), rail("three", 3.3, 3.3)});
    for (const auto& [name, on] : {std::pair{"A", "five"}, {"B", "three"}}) {
        build.module(name, {output("OUT")}, on);
        build.resistor(1e3, std::string(name) + ".OUT", "ground");
    }
    const auto all = rail_currents(build.bench, build.wiring());
    EXPECT_NEAR(of(all, "five").hi, 1e-3 + 5.0 / 975, 2e-6);
    EXPECT_NEAR(of(all, "three").hi, 1e-3 + 3.3 / 975, 2e-6);
}

}  // namespace
}  // namespace voltsill
