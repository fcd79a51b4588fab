/// What outputs can say, followed through the logic before them: two that only ever agree do not fight.
#include <gtest/gtest.h>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

bool fights(const Build& b) { return find(b.judge().findings, "contention") != nullptr; }

/// A buffer whose enable (low: on) a resistor holds beside an output that never lets go.
TEST(Spread, AnEnableIsReadWhereAResistorHoldsIt) {
    for (const auto& [to, on] : {std::pair{"rail five", false}, {"ground", true}}) {
        Build b({five});
        b.module("D", {output("OUT"), output("OTHER")}, "five");
        b.module("R", {input("IN", ttl(), true)}, "five");
        b.added("U1", stock("HCT 125"), {"five"});
        b.join("D.OTHER", "U1.1A");
        b.join("U1.1Y", "R.IN");
        b.join("D.OUT", "R.IN");
        b.resistor(10e3, "U1.1OE", to);
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
        EXPECT_EQ(fights(b), on) << to;
    }
}

/// Three inverters one after the other, the last of the chain the first of its part, from a steady level; beside them
/// one inverter of another part. Three turn it over as one does.
TEST(Spread, AChainFromASteadyLevelIsFollowedToItsEnd) {
    for (const char* other : {"ground", "rail five"}) {
        Build b({five});
        b.module("R", {input("IN", ttl(), true)}, "five");
        for (const char* name : {"U1", "U2"}) b.added(name, stock("HCT 04"), {"five"});
        for (const auto& [from, to] : {std::pair{"ground", "U1.3A"},
                                       {"U1.3Y", "U1.2A"},
                                       {"U1.2Y", "U1.1A"},
                                       {"U1.1Y", "R.IN"},
                                       {"U2.1Y", "R.IN"}})
            b.join(from, to);
        b.join(other, "U2.1A");
        EXPECT_EQ(fights(b), *other == 'r') << other;
    }
}

/// A level nobody can read may be either: half of the supply at one of two inverters whose outputs are joined.
TEST(Spread, WhatReadsNothingMayBeEither) {
    for (const double ohms : {10e3, 1e3}) {
        Build b({rail("five", 5, 5)});
        b.module("R", {input("IN", ttl(), true)}, "five");
        b.added("U1", stock("HC 04"), {"five"});
        b.join("U1.1A", "rail five");
        b.join("U1.1Y", "R.IN");
        b.join("U1.2Y", "R.IN");
        b.resistor(ohms, "U1.2A", "rail five");
        b.resistor(10e3, "U1.2A", "ground");  // 2.5 V, or 4.5 V and surely high
        EXPECT_EQ(fights(b), ohms > 5e3) << ohms;
    }
}

/// By their truth tables: NAND and NOR turn a signal over whatever lets it pass, AND and OR do not, exclusive-or does
/// while its other input is high. Two that turn it over leave it as it was.
TEST(Spread, GatesTurnASignalOverByTheirTables) {
    using enum ChannelLogic;
    for (const auto& [logic, other, turned] : {std::tuple{nand, "rail five", true},
                                               {and_, "rail five", false},
                                               {nor, "ground", true},
                                               {or_, "ground", false},
                                               {xor_, "rail five", true},
                                               {xor_, "ground", false},
                                               {inverter, "ground", true},
                                               {buffer, "ground", false}})
        for (const bool twice : {false, true}) {
            auto gates = std::make_shared<PartType>(
                *hand::module("gates", {input("1A", cmos(), true), input("1B", cmos(), true), input("2A", cmos(), true),
                                        input("2B", cmos(), true), output("1Y"), output("2Y")}));
            gates->kind = PartKind::logic;
            for (const int k : {0, 1}) {
                gates->channels.push_back({.logic = logic, .inputs = {2 * k, 2 * k + 1}, .output = 4 + k, .name = ""});
                if (logic == inverter || logic == buffer) gates->channels.back().inputs.pop_back();
            }
            Build b({five});
            b.module("D", {output("OUT")}, "five");
            b.module("R", {input("IN", cmos(), true)}, "five");
            b.part("U1", gates, {"five"});
            b.join("D.OUT", "U1.1A");
            b.join(other, "U1.1B");
            b.resistor(10e3, other, "U1.2B");
            b.join(twice ? "U1.1Y" : other, "U1.2A");
            b.join(twice ? "U1.2Y" : "U1.1Y", "R.IN");
            b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
            const Judgement j = b.judge();
            EXPECT_EQ(j.links[0].inverted, turned && !twice) << int(logic) << other;
            EXPECT_EQ(find_at(j, "inverted", "R") != nullptr, turned && !twice) << int(logic) << other;
            ASSERT_TRUE(j.links[0].high_margin) << int(logic) << other;
            EXPECT_GT(*j.links[0].high_margin, 1.0) << int(logic) << other;
            EXPECT_GT(*j.links[0].low_margin, 1.0) << int(logic) << other;
        }
}

}  // namespace
}  // namespace voltsill
