/// Edges and pull-ups: where a check begins and ends, each against arithmetic on the line's own figures.
#include <gtest/gtest.h>

#include <cmath>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

/// An open-drain output with a pull-up of `ohms` ± 1 % and an input on 5 V; 0 Ω: without a pull-up.
Build pulled_line(double ohms, const std::string& bus, double rate, Pin out = open_drain("OUT")) {
    Build b({five});
    out.name = "OUT";
    if (ohms > 0) out.pulls = open_drain("", ohms).pulls;
    b.module("D", {out}, "five");
    b.module("R", {input("IN", ttl(), true)}, "five");
    b.join("D.OUT", "R.IN");
    Link& l = b.link("line", {"D", "OUT", {}}, {"R", "IN", {}}, LinkKind::open_drain);
    l.bus = bus;
    if (rate > 0) l.rate = Hertz{rate};
    return b;
}

/// UM10204 rev 7.0, table 11: tr max of Fast-mode Plus, up to 1 MHz, is 120 ns; above it there is no such mode, and
/// a bit counts like any other.
TEST(Edges, AboveTheFastestModeABitIsABit) {
    const Judgement fast = pulled_line(2.2e3, "I2C", 1e6).judge();
    ASSERT_NE(find(fast.findings, "bus-rise-time"), nullptr);
    EXPECT_NEAR(find(fast.findings, "bus-rise-time")->limit->value, 120e-9, 1e-15);
    EXPECT_EQ(find(fast.findings, "bit-time"), nullptr);
    const Judgement faster = pulled_line(2.2e3, "I2C", 1.1e6).judge();
    EXPECT_EQ(find(faster.findings, "bus-rise-time"), nullptr);
    EXPECT_NE(find(faster.findings, "bit-time"), nullptr);
}

/// Most flows with the rail high and the pull-up low; without a printed row only a bus says what may flow.
TEST(Edges, ASinkIsHeldAgainstItsRowsOrItsBus) {
    const Found f = find_at(pulled_line(2.2e3, "", 0).judge(), "sink-current", "D");
    ASSERT_NE(f, nullptr);
    EXPECT_NE(f->corner.find("five 5.25 V"), std::string::npos) << f->corner;
    EXPECT_NE(f->corner.find("D.OUT pull-up low"), std::string::npos) << f->corner;
    EXPECT_NEAR(f->limit->value, 4e-3, 1e-12);
    Pin unrated = open_drain("OUT");
    unrated.low.clear();
    EXPECT_EQ(find_at(pulled_line(2.2e3, "", 0, unrated).judge(), "sink-current", "D"), nullptr);
    EXPECT_NEAR(find_at(pulled_line(2.2e3, "I2C", 100e3, unrated).judge(), "sink-current", "D")->limit->value, 3e-3,
                1e-12);
    Pin strong = open_drain("OUT");  // of several rows the one of most current
    strong.low.push_back(strong.low[0]);
    strong.low[0].at = Amps{1e-3}, strong.low[1].at = Amps{8e-3}, strong.low.push_back(strong.low[0]);
    EXPECT_NEAR(find_at(pulled_line(2.2e3, "", 0, strong).judge(), "sink-current", "D")->limit->value, 8e-3, 1e-12);
    EXPECT_NEAR(find_at(pulled_line(2.2e3, "I2C", 100e3, strong).judge(), "sink-current", "D")->limit->value, 3e-3,
                1e-12);
}

/// An output through 10 kΩ against 10 kΩ to the rail: from half of 5 V to all of it, R = 10.05 kΩ || 10 kΩ, C = 15 pF
/// of wires and 5 pF of the input; 10..90 % takes ln 9 RC, that over 80 % of the swing is held against the input.
TEST(Edges, AnEdgeIsSlowForItsSwing) {
    const double ohms = 1 / (1 / 10050.0 + 1 / 10e3), swing = 5 - 5 * 10050.0 / 20050.0;
    const double per_volt = std::log(9.0) * ohms * 20e-12 / (0.8 * swing);
    for (const auto& [share, verdict] :
         {std::pair{0.95, Verdict::safe}, {1.05, Verdict::thin}, {1.9, Verdict::thin}, {2.1, Verdict::unreadable}}) {
        Pin in = input("IN", ttl(), true);
        in.transition = {{.supply = Span<Volts>::between(Volts{4.5}, Volts{5.5}),
                          .per_volt = SecondsPerVolt{per_volt / share},
                          .origin = sheet}};
        Build b({rail("five", 5, 5)});
        b.module("D", {output("OUT")}, "five");
        b.module("R", {in}, "five");
        b.resistor(10e3, "D.OUT", "R.IN", 0.0);
        b.resistor(10e3, "R.IN", "rail five", 0.0);
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
        const Found f = find_at(b.judge(), "edge-rate", "R");
        ASSERT_NE(f, nullptr);
        EXPECT_NEAR(f->value->value, per_volt, 0.01 * per_volt);
        EXPECT_EQ(f->verdict, verdict) << share;
        EXPECT_EQ(f->margin > 0, verdict == Verdict::safe);
        EXPECT_EQ(f->advice.empty(), verdict == Verdict::safe);
    }
}

/// Less than 0.1 V is no edge: 5 V over 100 kΩ and R leave 5 R / (100 kΩ + R).
TEST(Edges, WhatHardlyMovesHasNoEdge) {
    for (const auto& [ohms, moves] : {std::pair{2460.0, true}, {1630.0, false}}) {
        Pin in = input("IN", ttl(), true);
        in.transition = {{.supply = Span<Volts>::between(Volts{4.5}, Volts{5.5}),
                          .per_volt = SecondsPerVolt{1e-6},
                          .origin = sheet}};
        Build b({rail("five", 5, 5)});
        b.module("D", {output("OUT")}, "five");
        b.module("R", {in}, "five");
        b.resistor(100e3, "D.OUT", "R.IN", 0.0);
        b.resistor(ohms, "R.IN", "ground", 0.0);
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
        EXPECT_EQ(find_at(b.judge(), "edge-rate", "R") != nullptr, moves) << 5 * ohms / (100e3 + ohms) << " V";
    }
}

/// Edge accelerators make an edge faster than its pull-ups, by what no sheet promises: too slow without them is thin.
TEST(Edges, WhatAnAcceleratorHelpsIsNotUnreadable) {
    Pin pin = open_drain("SDA");
    pin.role = PinRole::open_drain_io, pin.thresholds = cmos();
    Build b({five, three});
    for (Rail& r : b.bench.rails) r.switch_group = "bench";
    b.module("C", {pin}, "three");
    b.module("M", {pin}, "five");
    b.added("U1", stock("four-bit auto-direction open-drain translator"), {"three", "five"});
    b.join("C.SDA", "U1.A1");
    b.join("U1.B1", "M.SDA");
    b.join("U1.OE", "rail three");
    Link& l = b.link("SDA", {"C", "SDA", {}}, {"M", "SDA", {}}, LinkKind::open_drain);
    l.bus = "I2C", l.rate = Hertz{400e3};
    b.bench.wishes.wire_capacitance = Farads{100e-12};  // 0.85 * 10 kΩ * 110 pF and more: past Fast-mode's 300 ns
    const Found f = find_at(b.judge(), "bus-rise-time", "M");
    ASSERT_NE(f, nullptr);
    EXPECT_GT(f->value->value, 300e-9);
    EXPECT_LT(f->margin, 0);
    EXPECT_EQ(f->verdict, Verdict::thin);
    EXPECT_NE(f->sentence.find("edge accelerators"), std::string::npos) << f->sentence;
}

/// At its highest rate a part between is fast enough; whose rate nobody states is not held against any.
TEST(Edges, APartIsFastEnoughUpToItsRate) {
    for (const auto& [rate, stated, slow] :
         {std::tuple{1e6, 1e6, false}, {1.001e6, 1e6, true}, {20e6, 0.0, false}, {0.0, 1e6, false}}) {
        Build b({five});
        b.module("D", {output("OUT")}, "five");
        b.module("R", {input("IN", ttl(), true)}, "five");
        auto type = std::make_shared<PartType>(*stock("HC 541"));
        type->rate_max = Hertz{stated};
        b.added("U1", type, {"five"});
        for (const auto& [from, to] :
             {std::pair{"U1.A1", "D.OUT"}, {"U1.Y1", "R.IN"}, {"U1.OE1", "ground"}, {"U1.OE2", "ground"}})
            b.join(from, to);
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
        if (rate > 0) b.bench.links[0].rate = Hertz{rate};
        EXPECT_EQ(find(b.judge().findings, "too-fast") != nullptr, slow) << rate << " of " << stated;
    }
}

/// Two outputs of 0.4 V and 0.2 V at 4 mA on a line with 1 kΩ ± 1 %: its low lies between what the weakest leaves (100
/// Ω) and what the strongest does (50 Ω, taken at four times its strength).
TEST(Edges, ALowIsWhateverAnyDriverMakesOfIt) {
    Build b({five});
    b.module("A", {open_drain("OUT", 1e3)}, "five");
    Pin strong = output("OUT", 0.2);
    strong.role = PinRole::open_drain, strong.high.clear();
    b.module("B", {strong}, "five");
    b.module("R", {input("IN", ttl(), true)}, "five");
    b.join("A.OUT", "R.IN");
    b.join("B.OUT", "R.IN");
    b.link("line", {"A", "OUT", {}}, {"R", "IN", {}}).from.push_back({"B", "OUT", {}});
    const Judgement j = b.judge();
    int bands = 0;
    for (const LevelBand& band : j.links[0].levels) {
        if (band.point != "R.IN" || band.high) continue;
        EXPECT_NEAR(band.hi, 5.25 * 100 / (990 + 100), 1e-3);
        EXPECT_NEAR(band.lo, 4.75 * 12.5 / (1010 + 12.5), 1e-3);
        ++bands;
    }
    EXPECT_EQ(bands, 1);
}

/// Of a capacitance that is a range the largest counts: 15 pF of wires, 10 pF of the output that states none (common
/// practice), up to 50 pF of the input.
TEST(Edges, TheLargestCapacitanceCounts) {
    Build b = pulled_line(4.7e3, "I2C", 100e3);
    auto type = std::make_shared<PartType>(*b.bench.parts[1].type);
    type->pins[0].capacitance = {Span<Farads>::between(Farads{5e-12}, Farads{50e-12}), sheet};
    b.bench.parts[1].type = type;
    EXPECT_NEAR(find(b.judge().findings, "bus-rise-time")->value->value, 0.8473 * 1.01 * 4.7e3 * 75e-12, 1e-9);
}

}  // namespace
}  // namespace voltsill
