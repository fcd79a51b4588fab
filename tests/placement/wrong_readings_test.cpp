/// What a wrong reading means, on a build whose mistakes can be worked out by hand.
#include "placement/wrong_readings.h"

#include <gtest/gtest.h>

#include "placement/plain_placement.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

const WrongReading* with_cause(const CheckpointReading& at, std::string_view cause) {
    for (const WrongReading& wrong : at.wrong)
        for (const std::string& words : wrong.causes)
            if (words.find(cause) != std::string::npos) return &wrong;
    return nullptr;
}

/// A 5 V output over a divider of 10 kΩ and 20 kΩ at a tolerant input: 3.33 V. Without the wire to the lower
/// resistor it reads 5 V, without the wire of the output the divider pulls it to 0 V.
struct Divider {
    Build build{{rail("five", 5, 5)}};
    Wiring wiring;
    Placement placement;
    Checkpoint at;
    Divider() {
        auto legs = std::make_shared<PartType>(*resistor());
        legs->packages = {{.name = "AXIAL-7", .pin_of_number = {0, 1}}};
        build.module("M", {output("OUT", 0.0001), input("IN", ttl(), true)}, "five");
        for (const auto& [name, ohms, a, b] :
             {std::tuple{"R1", 10e3, "M.OUT", "M.IN"}, {"R2", 20e3, "M.IN", "ground"}}) {
            build.bench.wiring->parts.push_back({.name = name,
                                                 .type_name = "resistor",
                                                 .type = legs,
                                                 .package = &legs->packages.front(),
                                                 .value = ohms});
            build.join(std::string(name) + ".1", a);
            build.join(std::string(name) + ".2", b);
        }
        wiring = build.wiring();
        placement = plain::place(build.bench, wiring, 1);
        at = {wiring.part("M"), wiring.parts[wiring.part("M")].type->pin_index("IN"), {{"M", "OUT", true}}};
    }
    int wire_of(std::string_view part, int lead) const {
        const Hole& hole = placement.parts[wiring.part(part)].holes[lead - 1];
        for (const LaidWire& wire : placement.wires)
            for (const WireEnd* end : {&wire.from, &wire.to})
                if (end->kind == WireEnd::Kind::hole && end->hole.board == hole.board &&
                    end->hole.row == hole.row && end->hole.column < 7)
                    return wire.number;
        return -1;
    }
};

TEST(WrongReadings, DividerByHand) {
    const Divider d;
    const auto all = what_wrong_readings_mean(d.build.bench, d.wiring, d.placement, {d.at});
    ASSERT_EQ(all.size(), 1u);
    EXPECT_NEAR(all[0].good.nominal, 5 * 20.0 / 30.0, 1e-3);
    const WrongReading* no_lower =
        with_cause(all[0], "wire " + std::to_string(d.wire_of("R2", 1)) + " left out");
    ASSERT_TRUE(no_lower);
    EXPECT_NEAR(no_lower->reading.nominal, 5.0, 1e-2);
    const WrongReading* no_driver =
        with_cause(all[0], "wire " + std::to_string(d.wire_of("R1", 1)) + " left out");
    ASSERT_TRUE(no_driver);
    EXPECT_NEAR(no_driver->reading.nominal, 0.0, 1e-2);
    EXPECT_FALSE(no_driver->reading.floats);
}

/// Every cause, done to the placement, gives a reading within the range printed for it, by the engine.
TEST(WrongReadings, AreWhatTheNetworkReads) {
    const Divider d;
    const auto all = what_wrong_readings_mean(d.build.bench, d.wiring, d.placement, {d.at});
    int held = 0;
    for (const Slip& slip : slips_of(d.build.bench, d.wiring, d.placement)) {
        const WrongReading* wrong = with_cause(all[0], words(d.wiring, d.placement, slip));
        if (!wrong) continue;
        const Wiring made = wiring_of(d.build.bench, d.wiring, with_slip(d.placement, slip));
        SettledLevels levels(d.build.bench, made);
        levels.tell(d.at.told);
        const MeterReading read = levels.at(d.at.part, d.at.pin);
        EXPECT_EQ(read.floats, wrong->reading.floats) << words(d.wiring, d.placement, slip);
        EXPECT_GE(read.lo, wrong->reading.lo - 1e-6);
        EXPECT_LE(read.hi, wrong->reading.hi + 1e-6);
        ++held;
    }
    EXPECT_GT(held, 3);
}

TEST(WrongReadings, WhatReadsAsTheGoodValueIsDropped) {
    const Divider d;
    const auto all = what_wrong_readings_mean(d.build.bench, d.wiring, d.placement, {d.at});
    for (const WrongReading& wrong : all[0].wrong)
        if (!wrong.reading.floats) {
            EXPECT_GT(std::abs(wrong.reading.nominal - all[0].good.nominal), 0.15);
        }
}

}  // namespace
}  // namespace voltsill
