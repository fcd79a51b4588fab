/// What a meter reads in a state that somebody sets, against arithmetic by hand.
#include "judging/settled_levels.h"

#include <gtest/gtest.h>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

/// A meter at a pin, named.
MeterReading metered(const SettledLevels& levels, const Wiring& wiring, const std::string& part,
                     const std::string& pin) {
    const int p = wiring.part(part);
    return levels.at(p, wiring.parts[p].type->pin_index(pin));
}

const Rail settled_five = rail("five", 5, 5);

/// A divider of 10 kΩ over 10 kΩ ± 5 % behind a 5 V output: half of it, within 2.5 % either way.
TEST(SettledLevels, DividerBehindATradedLevel) {
    Build build({settled_five});
    build.module("M", {output("OUT", 0.0001), input("IN", cmos(), true)}, "five");
    build.resistor(10e3, "M.OUT", "M.IN");
    build.resistor(10e3, "M.IN", "ground");
    const Wiring wiring = build.wiring();
    SettledLevels levels(build.bench, wiring);
    levels.tell({{"M", "OUT", true}});
    const MeterReading high = metered(levels, wiring, "M", "IN");
    EXPECT_NEAR(high.nominal, 2.5, 1e-3);
    EXPECT_NEAR(high.lo, 5 * 9.5 / (9.5 + 10.5), 1e-3);
    EXPECT_NEAR(high.hi, 5 * 10.5 / (9.5 + 10.5), 1e-3);
    levels.tell({{"M", "OUT", false}});
    EXPECT_NEAR(metered(levels, wiring, "M", "IN").hi, 0, 1e-3);
    levels.tell({});  // nobody says: low
    EXPECT_NEAR(metered(levels, wiring, "M", "IN").hi, 0, 1e-3);
    levels.range_up_to(0);  // every network is too large for tolerances now
    levels.tell({{"M", "OUT", true}});
    const MeterReading plain = metered(levels, wiring, "M", "IN");
    EXPECT_NEAR(plain.nominal, 2.5, 1e-3);
    EXPECT_EQ(plain.lo, plain.nominal);
    EXPECT_EQ(plain.hi, plain.nominal);
    EXPECT_FALSE(plain.floats);
}

TEST(SettledLevels, FollowsChannelsAndSaysWhatFloats) {
    Build build({settled_five});
    build.module("M", {output("OUT"), input("IN", cmos(), true), input("FREE", cmos(), true)}, "five");
    build.added("U1", stock("HCT 125"), {"five"});
    build.join("M.OUT", "U1.1A");
    build.join("U1.1Y", "M.IN");
    build.join("U1.1OE", "ground");
    build.join("M.FREE", "U1.2Y");
    build.join("U1.2OE", "rail five");
    build.join("U1.2A", "ground");
    const Wiring wiring = build.wiring();
    ASSERT_GE(wiring.net_at("U1", "1A"), 0);
    SettledLevels levels(build.bench, wiring);
    const auto at = [&](const char* pin) { return metered(levels, wiring, "M", pin); };
    levels.tell({{"M", "OUT", true}});
    EXPECT_GT(at("IN").lo, 4.5);
    EXPECT_TRUE(at("FREE").floats);
    // What is no output of firmware, or is nowhere, cannot be told anything.
    levels.tell(
        {{"M", "OUT", true}, {"U1", "1Y", false}, {"M", "IN", false}, {"M", "NONE", false}, {"nobody", "OUT", false}});
    EXPECT_GT(at("IN").lo, 4.5);
    levels.tell({{"M", "OUT", false}});
    EXPECT_LT(at("IN").hi, 0.5);
    EXPECT_NEAR(at("VCC").nominal, 5, 1e-12);
    EXPECT_EQ(at("GND").hi, 0);
}

/// An output that can only pull up lets go when it is told low: the resistor to ground says the rest. The other way
/// round with one that can only pull down. 10 kΩ ± 5 % against 100 Ω (0.4 V at 4 mA) or less.
TEST(SettledLevels, AnOutputToldTheLevelItCannotDriveLetsGo) {
    for (const bool up : {true, false}) {
        Pin out = output("OUT");
        out.role = up ? PinRole::open_source : PinRole::open_drain;
        Build b({settled_five});
        b.module("D", {out}, "five");
        b.module("R", {input("IN", cmos(), true)}, "five");
        b.join("D.OUT", "R.IN");
        Build held = b;
        held.resistor(10e3, "R.IN", up ? "ground" : "rail five");
        const Wiring open = b.wiring(), pulled = held.wiring();
        SettledLevels alone(b.bench, open), with(held.bench, pulled);
        for (SettledLevels* levels : {&alone, &with}) levels->tell({{"D", "OUT", !up}});
        EXPECT_TRUE(metered(alone, open, "R", "IN").floats);
        const MeterReading rests = metered(with, pulled, "R", "IN");
        EXPECT_FALSE(rests.floats);
        EXPECT_NEAR(rests.nominal, up ? 0 : 5, 1e-3);
        with.tell({{"D", "OUT", up}});
        const MeterReading drives = metered(with, pulled, "R", "IN");
        const double lost = 5 * 100.0 / (9500 + 100);
        EXPECT_NEAR(up ? 5 - drives.lo : drives.hi, lost, 1e-3);
    }
}

/// An open-drain buffer whose input floats is at either of its levels: let go, where 10 kΩ ± 5 % hold 5 V, or low at
/// 25 to 100 Ω (0.4 V at 4 mA; the strongest output is taken at four times that).
TEST(SettledLevels, WhatFollowsAFloatingInputIsInOneOfTwoWindows) {
    auto type = std::make_shared<PartType>(*hand::module("buffer", {input("A", cmos(), true), open_drain("Y")}));
    type->kind = PartKind::logic;
    type->channels = {{.logic = ChannelLogic::buffer, .inputs = {0}, .output = 1, .name = "1"}};
    Build b({settled_five});
    b.part("U1", type, {"five"});
    b.module("R", {input("IN", cmos(), true)}, "five");
    b.join("U1.Y", "R.IN");
    b.resistor(10e3, "R.IN", "rail five");
    const Wiring open = b.wiring();
    SettledLevels levels(b.bench, open);
    levels.tell({});
    EXPECT_EQ(levels.undefined(), 1);
    const MeterReading either = metered(levels, open, "R", "IN");
    EXPECT_NEAR(either.lo, 5 * 25.0 / (10500 + 25), 1e-3);
    EXPECT_NEAR(either.gap_lo, 5 * 100.0 / (9500 + 100), 1e-3);
    EXPECT_NEAR(either.gap_hi, 5, 1e-3);
    EXPECT_NEAR(either.hi, 5, 1e-3);
    EXPECT_FALSE(either.floats);
    b.resistor(10e3, "U1.A", "ground");
    const Wiring held = b.wiring();
    SettledLevels low(b.bench, held);
    low.tell({});
    EXPECT_EQ(low.undefined(), 0);
    EXPECT_NEAR(metered(low, held, "R", "IN").hi, 5 * 100.0 / (9500 + 100), 1e-3);
    EXPECT_EQ(metered(low, held, "R", "IN").gap_hi, 0) << "one window";
}

/// A sensor of 0 to 3 V through 1 kΩ drives nothing without its supply; one that needs none always does.
TEST(SettledLevels, AnAnalogueOutputWithoutSupplyDrivesNothing) {
    Pin out{.name = "OUT", .role = PinRole::analog_output, .supply = 0};
    out.analog_range = Span<Volts>::between(Volts{0}, Volts{3});
    out.output_ohms = {Span<Ohms>::exactly(Ohms{1e3}), sheet};
    auto cell = std::make_shared<PartType>(*hand::module("cell", {out}));
    cell->supplies.clear();
    std::erase_if(cell->pins, [](const Pin& p) { return p.role == PinRole::supply; });
    cell->pins[0].supply = -1;
    const auto sensed = [&](std::shared_ptr<const PartType> type, const char* rail_name, bool down) {
        Build b({settled_five});
        b.part("S", type, {rail_name});
        b.module("M", {input("IN", cmos(), true)}, "five");
        b.join("S.OUT", "M.IN");
        const Wiring wiring = b.wiring();
        SettledLevels levels(b.bench, wiring, down ? std::vector<std::string>{"five"} : std::vector<std::string>{});
        levels.tell({});
        return metered(levels, wiring, "M", "IN");
    };
    const auto supplied = hand::module("sensor", {out});
    const MeterReading on = sensed(supplied, "five", false);
    EXPECT_NEAR(on.lo, 0, 1e-3);
    EXPECT_NEAR(on.hi, 3, 1e-3);
    EXPECT_FALSE(on.floats);
    EXPECT_TRUE(sensed(supplied, "", false).floats) << "its supply pin is open";
    EXPECT_TRUE(sensed(supplied, "five", true).floats) << "its rail is down";
    EXPECT_NEAR(sensed(cell, "", false).hi, 3, 1e-3);
    EXPECT_NEAR(sensed(cell, "", true).hi, 3, 1e-3);
}

/// 5 V over 1 kΩ and the 50 Ω of a typical output (half of what 0.4 V at 4 mA guarantees).
TEST(SettledLevels, OutputsCarryWhatTheirResistorTakes) {
    Build b({settled_five});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", cmos(), true)}, "five");
    b.resistor(1e3, "D.OUT", "ground");
    const Wiring wiring = b.wiring();
    SettledLevels levels(b.bench, wiring);
    levels.tell({{"D", "OUT", true}});
    EXPECT_NEAR(levels.output_amps()[wiring.part("D")], 5.0 / 1050, 1e-6);
    levels.tell({{"D", "OUT", false}});
    for (const double amps : levels.output_amps()) EXPECT_NEAR(amps, 0, 1e-9);
}

/// Two outputs of unknown level over 10 kΩ and 30 kΩ leave 0, 1/4, 3/4 or all of 5 V:
/// of the gaps between, the widest is told.
TEST(SettledLevels, TheWidestGapIsTold) {
    auto type = std::make_shared<PartType>(*hand::module(
        "buffers", {input("A1", cmos(), true), input("A2", cmos(), true), output("Y1", 1e-4), output("Y2", 1e-4)}));
    type->kind = PartKind::logic;
    for (const int k : {0, 1})
        type->channels.push_back({.logic = ChannelLogic::buffer, .inputs = {k}, .output = 2 + k, .name = ""});
    Build b({settled_five});
    b.part("U1", type, {"five"});
    b.module("R", {input("IN", cmos(), true)}, "five");
    b.resistor(10e3, "U1.Y1", "R.IN", 0.0);
    b.resistor(30e3, "U1.Y2", "R.IN", 0.0);
    const Wiring wiring = b.wiring();
    SettledLevels levels(b.bench, wiring);
    levels.tell({});
    EXPECT_EQ(levels.undefined(), 2);
    const MeterReading r = metered(levels, wiring, "R", "IN");
    EXPECT_NEAR(r.lo, 0, 1e-3);
    EXPECT_NEAR(r.gap_lo, 1.25, 1e-3);
    EXPECT_NEAR(r.gap_hi, 3.75, 1e-3);
    EXPECT_NEAR(r.hi, 5, 1e-3);
}

/// An output whose part has no ground is said to be low, and pulls towards nothing: what reads it is at either level.
TEST(SettledLevels, AnOutputWithoutGroundDefinesNothingBehindIt) {
    Build build({rail("five", 5, 5)});
    build.module("M", {output("OUT")}, "five");
    build.module("R", {input("IN", cmos(), true)}, "five");
    build.added("U1", stock("HCT 125"), {"five"});
    build.join("M.OUT", "U1.1A");
    build.join("U1.1Y", "R.IN");
    build.join("U1.1OE", "ground");
    for (const bool grounded : {true, false}) {
        if (!grounded) std::erase_if(build.bench.wiring->wires, [](const auto& wire) { return wire.to == "M.GND"; });
        const Wiring wiring = build.wiring();
        ASSERT_EQ(wiring.net_at("M", "GND") >= 0, grounded);
        SettledLevels levels(build.bench, wiring);
        levels.tell({{"M", "OUT", false}});
        const int r = wiring.part("R"), m = wiring.part("M");
        const MeterReading out = levels.at(m, wiring.parts[m].type->pin_index("OUT"));
        const MeterReading in = levels.at(r, wiring.parts[r].type->pin_index("IN"));
        EXPECT_EQ(out.floats, !grounded);
        EXPECT_LT(in.lo, 0.5);
        EXPECT_EQ(in.hi > 4, !grounded) << in.hi;
        EXPECT_EQ(in.gap_lo < 0.5 && in.gap_hi > 4, !grounded) << in.gap_lo << ' ' << in.gap_hi;
    }
}

/// What was read before is not solved again, and reads the same to the last bit; another resistor is another network.
TEST(SettledLevels, AMemoryChangesNoReading) {
    ReadingMemory memory;
    int solved = 0;
    for (const double ohms : {10e3, 10e3, 22e3}) {
        Build b({settled_five});
        b.module("D", {output("OUT")}, "five");
        b.module("R", {input("IN", cmos(), true)}, "five");
        b.resistor(ohms, "D.OUT", "R.IN");
        b.resistor(10e3, "R.IN", "ground");
        const Wiring wiring = b.wiring();
        SettledLevels plain(b.bench, wiring), remembering(b.bench, wiring, {}, &memory);
        EXPECT_EQ(plain.largest(), 2u) << "D.OUT and R.IN";
        for (SettledLevels* levels : {&plain, &remembering}) levels->tell({{"D", "OUT", true}});
        const MeterReading a = metered(plain, wiring, "R", "IN"), again = metered(remembering, wiring, "R", "IN");
        EXPECT_EQ(a.lo, again.lo);
        EXPECT_EQ(a.nominal, again.nominal);
        EXPECT_EQ(a.hi, again.hi);
        EXPECT_NEAR(a.nominal, 5 * 10e3 / (10e3 + ohms + 50), 1e-3);
        solved += memory.solved > solved;
    }
    EXPECT_EQ(solved, 2) << "the second was met";
    EXPECT_EQ(memory.solved, 2);
}

/// D of unknown draw, which needs 3 V, behind 100 Ω on 3.3 V, and what it drives.
Build behind_a_contact() {
    auto type = std::make_shared<PartType>(*hand::module("silent", {output("OUT")}, 3.0, 3.6, 4));
    type->supplies[0].current = {};
    Build b({rail("three", 3.3, 3.3)});
    b.part("D", type, {""});
    b.resistor(100, "D.VCC", "rail three", 0.0);
    b.module("R", {input("IN", cmos(), true)}, "three");
    b.join("D.OUT", "R.IN");
    return b;
}

/// A part of unknown draw behind 100 Ω on 3.3 V that needs 3 V: with nothing it runs, with the 20 mA that are taken for
/// it (supply_feed.h) it has 1.3 V and does not. What it drives high is 3.3 V over 100 Ω, its own 25 to 100 Ω and the
/// 10 kΩ ± 5 % to ground, or nothing.
TEST(SettledLevels, APartThatMayNotHaveEnoughReadsBothWays) {
    Build b = behind_a_contact();
    b.resistor(10e3, "R.IN", "ground");
    const Wiring wiring = b.wiring();
    SettledLevels levels(b.bench, wiring);
    levels.tell({{"D", "OUT", true}});
    const MeterReading r = metered(levels, wiring, "R", "IN");
    EXPECT_NEAR(r.lo, 0, 1e-2);
    EXPECT_NEAR(r.gap_lo, 0, 1e-2);
    EXPECT_NEAR(r.gap_hi, 3.3 * 9500 / (9500 + 100 + 100), 2e-3);
    EXPECT_NEAR(r.hi, 3.3 * 10500 / (10500 + 100 + 25), 2e-3);
    EXPECT_NEAR(levels.output_amps()[wiring.part("D")], 3.3 / 10150, 1e-6);
    EXPECT_NEAR(metered(levels, wiring, "D", "VCC").lo, 3.3 - 100 * 20e-3, 1e-6);
}

TEST(SettledLevels, ARailReadsItsTolerance) {
    Build b({rail("five", 4.75, 5.25)});
    b.module("M", {input("IN", cmos(), true)}, "five");
    const Wiring wiring = b.wiring();
    SettledLevels levels(b.bench, wiring);
    levels.tell({});
    const MeterReading r = metered(levels, wiring, "M", "VCC");
    EXPECT_EQ(r.lo, 4.75);
    EXPECT_EQ(r.nominal, 5.0);
    EXPECT_EQ(r.hi, 5.25);
}

/// The same part with nothing to ground behind it: driven, or floating.
TEST(SettledLevels, APartThatMayNotHaveEnoughMayHoldItsLine) {
    const Build b = behind_a_contact();
    const Wiring wiring = b.wiring();
    SettledLevels levels(b.bench, wiring);
    levels.tell({{"D", "OUT", true}});
    const MeterReading r = metered(levels, wiring, "R", "IN");
    EXPECT_TRUE(r.floats);
    EXPECT_TRUE(r.may_hold);
    EXPECT_NEAR(r.nominal, 3.3, 1e-2);
    EXPECT_NEAR(r.lo, 3.3, 1e-2) << "of what floats nothing is said";
}

}  // namespace
}  // namespace voltsill
