/// What a finding says its numbers rest on: the weakest figure that moves them, and whether it was entered
/// from memory.
#include <gtest/gtest.h>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

const Provenance remembered{Certainty::guaranteed, "a sheet that was not at hand", true};

/// A 5 V part drives a 5 V part through nothing at all.
Found at_receiver(const Pin& out, const Pin& in, std::string_view code) {
    const Bench bench = pair(five, out, five, in);
    return find(judge(bench, wire_directly(bench)).findings, code);
}

TEST(Origin, ALevelSaysThatItsPrintedRowIsFromMemory) {
    Pin out = output("OUT");
    EXPECT_FALSE(at_receiver(out, input("IN", ttl(), true), "high-level")->value->origin.from_memory);
    out.high[0].origin = remembered;
    const Found high = at_receiver(out, input("IN", ttl(), true), "high-level");
    EXPECT_EQ(high->value->origin, remembered);
    EXPECT_FALSE(at_receiver(out, input("IN", ttl(), true), "low-level")->value->origin.from_memory);
}

TEST(Origin, MemoryBesideARailThatIsNoBetterIsNotLost) {
    Pin out = open_drain("OUT", 1e3);
    out.pulls[0].ohms.origin = remembered;
    const Found low = at_receiver(out, input("IN", ttl(), true), "low-level");
    ASSERT_NE(low, nullptr);
    EXPECT_TRUE(low->value->origin.from_memory) << "the pull-up that the output has to sink";
}

TEST(Origin, ARowForAnotherSupplyDoesNotSpeakForThisOne) {
    Pin out = output("OUT");
    for (auto* rows : {&out.high, &out.low})
        rows->push_back({.supply = Span<Volts>::exactly(Volts{12}),
                         .at = Amps{1e-3},
                         .level = {0, Volts{rows == &out.high ? 11.0 : 0.5}},
                         .origin = {Certainty::assumed, "nobody knows"}});
    EXPECT_EQ(at_receiver(out, input("IN", ttl(), true), "high-level")->value->origin.certainty,
              Certainty::guaranteed);
    out.low.back().supply = out.low.front().supply;
    EXPECT_EQ(at_receiver(out, input("IN", ttl(), true), "low-level")->value->origin.certainty,
              Certainty::assumed)
        << "of two rows for one supply the weaker";
}

TEST(Origin, AnOutputStrongerThanPrintedIsCommonPractice) {
    Build b({five, three});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", cmos(), false)}, "three");
    b.resistor(100, "D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    const Judgement j = b.judge();
    const Found over = find(j.findings, "over-voltage");
    ASSERT_NE(over, nullptr) << "a diode to 3.3 V conducts";
    EXPECT_EQ(over->value->origin.certainty, Certainty::common_practice);
    const Found high = find(j.findings, "high-level");
    ASSERT_NE(high, nullptr);
    EXPECT_EQ(high->value->origin.certainty, Certainty::guaranteed) << "the weakest output is printed";
}

TEST(Origin, ASinkCurrentIsNoBetterThanThePullUpThatItComesFrom) {
    Pin pulled = open_drain("SDA", 4.7e3);
    pulled.role = PinRole::open_drain_io;
    pulled.thresholds = cmos();
    const auto sink = [&] {
        Build b({five});
        b.module("C", {pulled}, "five");
        b.module("M", {pulled}, "five");
        b.join("C.SDA", "M.SDA");
        b.link("SDA", {"C", "SDA", {}}, {"M", "SDA", {}}, LinkKind::open_drain).bus = "I2C";
        return find_at(b.judge(), "sink-current", "C");
    };
    ASSERT_NE(sink(), nullptr);
    EXPECT_EQ(sink()->value->origin.certainty, Certainty::guaranteed);
    pulled.pulls[0].ohms.origin = {Certainty::assumed, "nobody knows"};
    EXPECT_EQ(sink()->value->origin.certainty, Certainty::assumed);
}

TEST(Origin, OfTheSupplyRangeAndOfItsMaximumEachHasItsOwn) {
    auto type = module("tight", {input("IN", ttl(), true)}, 4.9, 5.1, 5.2);
    type->supplies[0].max_origin = remembered;
    Build b({five});
    b.part("R", type, {"five"});
    b.module("D", {output("OUT")}, "five");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    EXPECT_TRUE(find(b.judge().findings, "supply-too-high")->limit->origin.from_memory);
    type->supplies[0].max = Volts{7};
    EXPECT_FALSE(find(b.judge().findings, "supply-too-high")->limit->origin.from_memory);
}

/// A typical resistor from a driven line to ground moves it by I R: 2.6 mV of 10 kΩ ± 5 % behind 100 Ω, 26 µV of 1 MΩ.
/// What does not show in millivolts is not leant on.
TEST(Origin, WhatHardlyMovesALevelIsNotLeantOn) {
    for (const auto& [ohms, leant_on] : {std::pair{10e3, true}, {1e6, false}}) {
        Build b({five});
        b.module("D", {output("OUT")}, "five");
        b.module("R", {input("IN", ttl(), true)}, "five");
        b.join("D.OUT", "R.IN");
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
        b.resistor(ohms, "R.IN", "ground");
        auto type = std::make_shared<PartType>(*b.bench.wiring->parts[0].type);
        type->origin = {Certainty::typical, "typical resistor"};
        b.bench.wiring->parts[0].type = type;
        const Found f = find_at(b.judge(), "high-level", "R");
        ASSERT_NE(f, nullptr);
        EXPECT_EQ(f->value->origin.certainty, leant_on ? Certainty::typical : Certainty::guaranteed) << ohms;
    }
}

}  // namespace
}  // namespace voltsill
