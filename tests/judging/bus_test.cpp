/// Lines that several parts drive: pull-ups against UM10204 rev 7.0, edges, turns and fights.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

Pin bus_pin(double pull_ohms) {
    Pin p = open_drain("SDA", pull_ohms);
    p.role = PinRole::open_drain_io;
    p.thresholds = cmos();
    p.capacitance = {Span<Farads>::exactly(Farads{10e-12}), sheet};
    return p;
}

/// A controller and a 3.3 V sensor, a 5 V module behind a FET, a pull-up on either side.
Build across_fet(double low_side_ohms, double high_side_ohms, double rate) {
    Build b({five, three});
    b.bench.rails[0].switch_group = b.bench.rails[1].switch_group = "bench";
    b.module("C", {bus_pin(low_side_ohms)}, "three");
    b.module("M", {bus_pin(high_side_ohms)}, "five");
    b.added("Q1", stock("n-mosfet 1.5 V threshold"));
    b.join("Q1.S", "C.SDA");
    b.join("Q1.D", "M.SDA");
    b.join("Q1.G", "rail three");
    Link& l = b.link("SDA", {"C", "SDA", {}}, {"M", "SDA", {}}, LinkKind::open_drain);
    l.bus = "I2C";
    l.rate = Hertz{rate};
    return b;
}

TEST(Bus, SinkCurrentComesFromThePullUpsOfBothSides) {
    const Judgement j = across_fet(4.7e3, 4.7e3, 100e3).judge();
    const Found f = find_at(j, "sink-current", "C");
    ASSERT_NE(f, nullptr);
    // Pulls 1 % low, rails high, the sink 100 Ohm (0.4 V at 4 mA); the FET's few ohms are left out.
    const double g = 1 / (0.99 * 4.7e3), v = g * (3.4 + 5.25) / (1.0 / 100 + 2 * g);
    EXPECT_NEAR(f->value->value, v / 100, 0.005 * v / 100);
    EXPECT_NEAR(f->limit->value, 3e-3, 1e-12);  // UM10204 table 10, IOL
    EXPECT_EQ(f->verdict, Verdict::safe);
}

TEST(Bus, TooManyPullUpsExceedTheStandard) {
    const Judgement j = across_fet(1.3e3, 3.3e3, 100e3).judge();  // practice F49: 3.6 mA
    const Found f = find_at(j, "sink-current", "C");
    ASSERT_NE(f, nullptr);
    EXPECT_GT(f->value->value, 3e-3);
    EXPECT_EQ(f->verdict, Verdict::unreadable);
}

TEST(Bus, EverySideRisesThroughItsOwnPullUp) {
    const Judgement j = across_fet(4.7e3, 10e3, 100e3).judge();
    // Wire, the pin, and 10 pF that stand in for a side of the FET.
    const double wire = Wishes{}.wire_capacitance.si(), farads = wire + 10e-12 + 10e-12;
    for (const auto& [part, ohms] : {std::pair{"C", 4.7e3}, {"M", 10e3}}) {
        const Found f = find_at(j, "bus-rise-time", part);
        ASSERT_NE(f, nullptr) << part;
        // The pull-up of 1 % at its highest.
        EXPECT_NEAR(f->value->value, 0.8473 * 1.01 * ohms * farads, 0.002 * 0.8473 * ohms * farads) << part;
        EXPECT_NEAR(f->limit->value, 1000e-9, 1e-15);
    }
}

TEST(Bus, SlowRiseFailsFastMode) {
    Build b = across_fet(10e3, 10e3, 400e3);
    b.bench.wishes.wire_capacitance = Farads{30e-12};  // 50 pF in all and 10 kΩ: 424 ns, 4c of the check values
    const Found f = find_at(b.judge(), "bus-rise-time", "M");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 1.01 * 424e-9, 2e-9);
    EXPECT_EQ(f->verdict, Verdict::unreadable);
    b.bench.links[0].rate = Hertz{100e3};
    EXPECT_EQ(find_at(b.judge(), "bus-rise-time", "M")->verdict, Verdict::safe);
}

/// 0.8473 * 10 kOhm * 35.2 pF = 298 ns passes Fast-mode's 300 ns (UM10204 rev 7.0, table 11); 1 % more does not.
TEST(Bus, ToleranceOfThePullUpDecides) {
    Build b = across_fet(10e3, 10e3, 400e3);
    b.bench.wishes.wire_capacitance = Farads{15.2e-12};
    const Found f = find_at(b.judge(), "bus-rise-time", "M");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::unreadable);
    EXPECT_EQ(f->arithmetic, "0.8473 * 10.1 kΩ * 35.2 pF = 301 ns, allowed 300 ns");
    EXPECT_EQ(f->value->origin.source,
              "15.2 pF wires, 10 pF M.SDA, 10 pF Q1.3 (D); common practice where no figure is given");
}

/// Whoever computes a line again comes to what it prints: 2.2 * 75 Ohm would not be it.
TEST(Bus, EdgeArithmeticGivesWhatItPrints) {
    Build b({five});
    b.module("D", {open_drain("OUT", 10e3)}, "five");
    b.module("R", {input("IN", ttl(), false)}, "five");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{1e3};
    const Found f = find_at(b.judge(), "bit-time", "R");
    ASSERT_NE(f, nullptr);
    double ohms = 0, farads = 0, nanoseconds = 0;
    ASSERT_EQ(std::sscanf(f->arithmetic.c_str(), "2.197 * %lf kΩ * %lf pF = %lf ns", &ohms, &farads, &nanoseconds), 3)
        << f->arithmetic;
    EXPECT_NEAR(2.197 * ohms * farads, nanoseconds, 0.5) << f->arithmetic;
}

/// V = R * I: 100 kOhm of 1 % at its highest, 5 uA of the output that is off and 1 uA of the input.
TEST(Bus, LeakageLowersALineThatOnlyAResistorHolds) {
    Build b({three});
    Pin out = open_drain("OUT", 100e3), in = input("IN", ttl(), false);
    out.leakage = {Span<Amps>::exactly(Amps{5e-6}), sheet};
    in.leakage = {Span<Amps>::exactly(Amps{1e-6}), {Certainty::typical, "typical leakage"}};
    b.module("D", {out}, "three");
    b.module("R", {in}, "three");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    const Judgement j = b.judge();
    const double high = 3.2 - 1.01 * 100e3 * 6e-6;
    const Found f = find_at(j, "high-level", "R");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, high, 1e-3);
    EXPECT_NEAR(f->margin, high - 2.0, 1e-3);
    EXPECT_EQ(f->value->origin.certainty, Certainty::typical);
    EXPECT_EQ(f->arithmetic, "2.594 V - 2 V = 594 mV; 3.2 V - 6 µA of leakage * 101 kΩ = 2.594 V");
    EXPECT_NEAR(j.links[0].high_margin.value(), high - 2.0, 1e-3);
    for (const LevelBand& band : j.links[0].levels)
        if (band.high) EXPECT_NEAR(band.lo, high, 1e-3) << band.point;
    for (const StateReading& r : readings(b.bench, b.wiring()))
        if (r.point == "R.IN" && r.level == '1') EXPECT_NEAR(r.lo, high, 1e-3) << r.state;
}

/// What a solver leaves is no current: without a pull-up there is nothing to sink.
TEST(Bus, NothingToSinkWithoutAPullUp) {
    Build b({five});
    b.module("D", {open_drain("OUT")}, "five");
    b.module("R", {input("IN", ttl(), false)}, "five");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    const Judgement j = b.judge();
    EXPECT_NE(find(j.findings, "missing-pull-up"), nullptr);
    EXPECT_EQ(find(j.findings, "sink-current"), nullptr);
}

TEST(Bus, MoreCapacitanceThanTheStandardAllows) {
    Build b = across_fet(1e3, 1e3, 100e3);
    b.bench.wishes.wire_capacitance = Farads{395e-12};
    const Found f = find(b.judge().findings, "bus-capacitance");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 415e-12, 1e-15);
}

/// AN10441: gate drive left over the body diode against VGS(th) max (1.5 V in the sheet).
TEST(Bus, FetThresholdIsHeldAgainstTheLowerRail) {
    const Found safe = find(across_fet(4.7e3, 4.7e3, 100e3).judge().findings, "fet-threshold");
    EXPECT_EQ(safe->verdict, Verdict::safe);
    EXPECT_EQ(safe->arithmetic.substr(0, safe->arithmetic.find(',')), "3.2 V - 0.7 V = 2.5 V");
    Build b = across_fet(4.7e3, 4.7e3, 100e3);
    b.bench.rails[1].volts.span = Span<Volts>::exactly(Volts{1.8});
    const Found f = find(b.judge().findings, "fet-threshold");
    EXPECT_NEAR(f->margin, 1.8 - 0.7 - 1.5, 1e-9);
    EXPECT_EQ(f->verdict, Verdict::unreadable);
}

TEST(Bus, ParallelPullUpNeverLowersTheSinkCurrent) {
    double last = 0;
    for (double ohms : {1e6, 100e3, 47e3, 10e3, 4.7e3, 2.2e3, 1e3}) {
        Build b = across_fet(4.7e3, 4.7e3, 100e3);
        b.resistor(ohms, "C.SDA", "rail three");
        const double amps = find_at(b.judge(), "sink-current", "C")->value->value;
        EXPECT_GT(amps, last);
        last = amps;
    }
}

TEST(Bus, TakingAPullUpOffLeavesTheOther) {
    Build b = across_fet(4.7e3, 4.7e3, 100e3);
    b.bench.parts[1].pulls_removed = {"SDA"};
    const double g = 1 / (0.99 * 4.7e3), v = g * 3.4 / (1.0 / 100 + g);
    EXPECT_NEAR(find_at(b.judge(), "sink-current", "C")->value->value, v / 100, 0.005 * v / 100);
}

Build open_collector_into(Pin in, double pull_ohms) {
    Build b({five, three});
    b.bench.rails[0].switch_group = b.bench.rails[1].switch_group = "bench";
    Pin out = open_drain("OUT", pull_ohms);
    out.capacitance = {Span<Farads>::exactly(Farads{0}), sheet};
    b.module("D", {out}, "five");
    b.module("R", {in}, "three");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    return b;
}

/// The pull-up feeds the clamp: V = Vrail + Vf(I), I = (5.25 V - V) / R, Vf 0.7 V at 1 mA, 35 mV per e-fold.
TEST(Bus, PullUpToFiveVoltsFeedsTheThreeVoltRailThroughTheClamp) {
    const Judgement j = open_collector_into(input("IN", ttl(), false), 10e3).judge();
    const Found f = find(j.findings, "over-voltage", "all rails up");
    ASSERT_NE(f, nullptr);
    double amps = 1e-4;
    for (int k = 0; k < 50; ++k) amps = (5.25 - 3.2 - (0.7 + 0.035 * std::log(amps / 1e-3))) / 9.9e3;
    EXPECT_NEAR(f->value->value, 5.25 - amps * 9.9e3, 5e-3);
    EXPECT_EQ(f->verdict, Verdict::harmful);
    EXPECT_NE(f->arithmetic.find("µA"), std::string::npos);
}

/// Regulators source only: what the clamps feed in must be drawn by the parts on the rail (practice F39).
TEST(Bus, ClampCurrentPumpsARailThatDrawsLess) {
    Build b = open_collector_into(input("IN", ttl(), false), 10e3);
    auto busy = std::make_shared<PartType>(*b.bench.parts[1].type);
    busy->supplies[0].current = {Span<Amps>::exactly(Amps{2e-3}), sheet};  // a tenth of it surely flows
    b.bench.parts[1].type = busy;
    EXPECT_EQ(find(b.judge().findings, "rail-pumped"), nullptr);
    auto sleepy = std::make_shared<PartType>(*b.bench.parts[1].type);
    sleepy->supplies[0].current = {Span<Amps>::exactly(Amps{20e-6}), sheet};
    b.bench.parts[1].type = sleepy;
    const Found f = find(b.judge().findings, "rail-pumped");
    ASSERT_NE(f, nullptr);
    // worst corner: 5.25 V, 3.2 V, 0.5 V at 1 mA, pull-up 1 % low
    double amps = 1e-4;
    for (int k = 0; k < 50; ++k) amps = (5.25 - 3.2 - (0.5 + 0.035 * std::log(amps / 1e-3))) / 9.9e3;
    EXPECT_NEAR(f->value->value, amps, 1e-6);
    b.bench.rails[1].sinks = true;
    EXPECT_EQ(find(b.judge().findings, "rail-pumped"), nullptr);
}

/// A clamp or a pull-up of the build feeds a rail as a protection diode does: 5.25 V through 9.9 kΩ, 3.2 V, and a
/// Schottky diode of 0.2 V at 1 mA at least, or another 9.9 kΩ.
TEST(Bus, ClampsAndPullUpsOfTheBuildPumpARailThatDrawsLess) {
    const auto sleepy = [](bool asleep) {
        Build b = open_collector_into(input("IN", ttl(), true), 10e3);
        auto type = std::make_shared<PartType>(*b.bench.parts[1].type);
        type->supplies[0].current = {Span<Amps>::exactly(Amps{asleep ? 20e-6 : 3e-3}), sheet};
        b.bench.parts[1].type = type;
        return b;
    };
    EXPECT_EQ(find(sleepy(true).judge().findings, "rail-pumped"), nullptr);
    double clamped = 1e-4;
    for (int k = 0; k < 50; ++k) clamped = (5.25 - 3.2 - (0.2 + 0.035 * std::log(clamped / 1e-3))) / 9.9e3;
    for (const bool asleep : {true, false})
        for (const bool diode : {true, false}) {
            Build b = sleepy(asleep);
            if (diode) {
                b.added("D1", stock("schottky diode"));
                b.join("D1.A", "R.IN");
                b.join("D1.K", "rail three");
            } else {
                b.resistor(10e3, "R.IN", "rail three", 0.01);
            }
            const Found f = find(b.judge().findings, "rail-pumped");
            ASSERT_EQ(f != nullptr, asleep) << diode;
            if (!asleep) continue;
            EXPECT_NEAR(f->value->value, diode ? clamped : (5.25 - 3.2) / (2 * 9.9e3), 1e-6);
        }
}

/// Check values 2f: 3.3 V through 10 kΩ and 20 pF rises in 2.197 RC = 439 ns over 2.64 V: 166 ns/V.
TEST(Bus, EdgeOfAPullUpAgainstTheInputsLimit) {
    Pin in = input("IN", ttl(), true);
    in.transition = {
        {.supply = Span<Volts>::between(Volts{3.0}, Volts{3.6}), .per_volt = SecondsPerVolt{10e-9}, .origin = sheet}};
    Build b = open_collector_into(in, 10e3);
    for (Rail& r : b.bench.rails) r.volts.span = Span<Volts>::exactly(Volts{3.3});
    const Found f = find(b.judge().findings, "edge-rate");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 166e-9, 2e-9);
    EXPECT_EQ(f->verdict, Verdict::unreadable);
    auto schmitt = std::make_shared<PartType>(*b.bench.parts[1].type);
    schmitt->pins[0].schmitt = true;
    b.bench.parts[1].type = schmitt;
    EXPECT_EQ(find(b.judge().findings, "edge-rate"), nullptr);
}

TEST(Bus, EdgeAgainstABit) {
    Build b = open_collector_into(input("IN", ttl(), true), 10e3);
    b.bench.links[0].rate = Hertz{1e6};
    const Found f = find(b.judge().findings, "bit-time");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, std::log(9.0) * 10e3 * 20e-12, 5e-9);
    EXPECT_EQ(f->verdict, Verdict::thin);  // 0.44 of a bit
    b.bench.links[0].rate = Hertz{9600};
    EXPECT_EQ(find(b.judge().findings, "bit-time")->verdict, Verdict::safe);
}

/// Wired-AND: three open-drain outputs, one pull-up. Nobody fights, each can pull low.
TEST(Bus, WiredAndIsNoContention) {
    Build b({three});
    for (const char* name : {"A", "B", "C"}) b.module(name, {bus_pin(0)}, "three");
    b.join("A.SDA", "B.SDA");
    b.join("B.SDA", "C.SDA");
    b.resistor(4.7e3, "A.SDA", "rail three");
    Link& l = b.link("line", {"A", "SDA", {}}, {"B", "SDA", {}}, LinkKind::open_drain);
    l.to.push_back({"C", "SDA", {}});
    const Judgement j = b.judge();
    EXPECT_EQ(find(j.findings, "contention"), nullptr);
    EXPECT_EQ(j.links[0].verdict, Verdict::safe);
    for (const char* name : {"A", "B", "C"}) EXPECT_NE(find_at(j, "sink-current", name), nullptr) << name;
}

/// The line of three with one of its ends left out; `pulled`: that end hangs on a pull-up of its own.
Build line_without(const std::string& left_out, bool pulled) {
    Build b({three});
    std::vector<std::string> joined;
    for (const char* name : {"A", "B", "C"}) {
        b.module(name, {bus_pin(0)}, "three");
        if (name != left_out) joined.push_back(std::string(name) + ".SDA");
    }
    b.join(joined[0], joined[1]);
    b.resistor(4.7e3, joined[0], "rail three");
    if (pulled) b.resistor(4.7e3, left_out + ".SDA", "rail three");
    Link& l = b.link("line", {"A", "SDA", {}}, {"B", "SDA", {}}, LinkKind::open_drain);
    l.to.push_back({"C", "SDA", {}});
    return b;
}

/// Whichever end of a line is left out, it is named, and no other is: also the first, when the others still talk.
TEST(Bus, AnEndThatIsLeftOutIsNamed) {
    for (const char* left_out : {"A", "B", "C"})
        for (const bool pulled : {false, true}) {
            const Judgement j = line_without(left_out, pulled).judge();
            EXPECT_EQ(j.links[0].verdict, Verdict::unreadable);
            for (const char* name : {"A", "B", "C"})
                EXPECT_EQ(find_at(j, "not-reached", name) != nullptr, std::string(name) == left_out)
                    << name << ", left out " << left_out << (pulled ? " with a pull-up" : "");
        }
    const Judgement j = line_without("A", false).judge();
    EXPECT_NE(find_at(j, "not-reached", "A")->sentence.find("A.SDA is open"), std::string::npos);
}

Build shared_line(PinRole first, PinRole second) {
    Build b({three});
    for (const auto& [name, role] : {std::pair{"A", first}, {"B", second}}) {
        Pin p = output("OUT");
        p.role = role;
        b.module(name, {p}, "three");
    }
    b.module("R", {input("IN", ttl(), false)}, "three");
    b.join("A.OUT", "B.OUT");
    b.join("B.OUT", "R.IN");
    Link& l = b.link("MISO", {"A", "OUT", {}}, {"R", "IN", {}});
    l.from.push_back({"B", "OUT", {}});
    return b;
}

TEST(Bus, DriversThatTakeTurnsDoNotFight) {
    const Judgement j = shared_line(PinRole::three_state, PinRole::three_state).judge();
    EXPECT_EQ(find(j.findings, "contention"), nullptr);
    EXPECT_LE(j.links[0].verdict, Verdict::thin);
}

TEST(Bus, OneOfThoseThatTakeTurnsIsLeftOut) {
    Build b({three});
    for (const char* name : {"A", "B"}) {
        Pin p = output("OUT");
        p.role = PinRole::three_state;
        b.module(name, {p}, "three");
    }
    b.module("R", {input("IN", ttl(), false)}, "three");
    b.join("A.OUT", "R.IN");
    Link& l = b.link("MISO", {"A", "OUT", {}}, {"R", "IN", {}});
    l.from.push_back({"B", "OUT", {}});
    const Judgement j = b.judge();
    EXPECT_NE(find_at(j, "not-reached", "B"), nullptr);
    EXPECT_EQ(find_at(j, "not-reached", "A"), nullptr);
}

TEST(Bus, OutputThatNeverLetsGoFights) {
    const Judgement j = shared_line(PinRole::push_pull, PinRole::three_state).judge();
    const Found f = find(j.findings, "contention");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 3.4 / 50, 1e-3);  // 25 Ohm each at their strongest
    EXPECT_EQ(j.links[0].verdict, Verdict::harmful);
}

TEST(Bus, OutputIntoAShortIsOverloaded) {
    Build b({five});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", ttl(), false)}, "five");
    b.join("D.OUT", "R.IN");
    b.resistor(10, "D.OUT", "ground");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    const Found f = find(b.judge().findings, "output-overload");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 5.25 / (25 + 9.5), 1e-3);
    EXPECT_EQ(f->verdict, Verdict::harmful);
}

/// UM10204 rev 7.0, table 11: 1000 ns at 100 kHz; 0.8473 * 10.1 kΩ * C = 856 ns at 100 pF, 599 ns at 70 pF.
TEST(Bus, RiseNearTheLimitIsThin) {
    Build b = across_fet(10e3, 10e3, 100e3);
    for (const auto& [farads, verdict] :
         {std::pair{50e-12, Verdict::safe}, {80e-12, Verdict::thin}, {110e-12, Verdict::unreadable}}) {
        b.bench.wishes.wire_capacitance = Farads{farads};
        const Found f = find_at(b.judge(), "bus-rise-time", "M");
        ASSERT_NE(f, nullptr);
        EXPECT_NEAR(f->value->value, 0.8473 * 10.1e3 * (farads + 20e-12), 1e-9);
        EXPECT_EQ(f->verdict, verdict) << farads;
    }
}

/// A capacitor on the line counts with its value; a resistor with nothing.
TEST(Bus, ACapacitorOnTheLineIsPartOfIt) {
    Build b = across_fet(4.7e3, 10e3, 100e3);
    const double before = find_at(b.judge(), "bus-rise-time", "M")->value->value;
    b.resistor(1e6, "M.SDA", "ground", 0.0);
    const double with_resistor = find_at(b.judge(), "bus-rise-time", "M")->value->value;
    EXPECT_NEAR(with_resistor, before, 0.02 * before);  // 1 MΩ beside 10 kΩ
    b.added("C1", stock("capacitor"));
    b.bench.wiring->parts.back().value = 22e-12;
    b.join("C1.1", "M.SDA");
    b.join("C1.2", "ground");
    EXPECT_NEAR(find_at(b.judge(), "bus-rise-time", "M")->value->value - with_resistor, 0.8473 * 1.01 * 10e3 * 22e-12,
                0.02 * 0.8473 * 10e3 * 22e-12);
}

/// What a low level is printed for: 4 mA here; 5.25 V over a pull-up of 1 % and the sink's 100 Ω.
TEST(Bus, SinkCurrentOfAPlainLineIsHeldAgainstItsPrintedRow) {
    for (const auto& [ohms, verdict] :
         {std::pair{2.2e3, Verdict::safe}, {1.3e3, Verdict::thin}, {1.0e3, Verdict::unreadable}}) {
        Build b({five});
        b.module("D", {open_drain("OUT", ohms)}, "five");
        b.module("R", {input("IN", ttl(), false)}, "five");
        b.join("D.OUT", "R.IN");
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}, LinkKind::open_drain);
        const Found f = find_at(b.judge(), "sink-current", "D");
        ASSERT_NE(f, nullptr) << ohms;
        EXPECT_NEAR(f->value->value, 5.25 / (0.99 * ohms + 100), 0.01 * f->value->value) << ohms;
        EXPECT_NEAR(f->limit->value, 4e-3, 1e-12);
        EXPECT_EQ(f->verdict, verdict) << ohms;
    }
    const Found near = find_at(across_fet(2.9e3, 2.9e3, 100e3).judge(), "sink-current", "C");  // 2.8 of UM10204's 3 mA
    EXPECT_EQ(near->verdict, Verdict::thin);
}

/// 0.15 V left over VGS(th) max conducts, but not surely well: thin below 0.2 V.
TEST(Bus, LittleGateDriveIsThin) {
    for (const auto& [volts, verdict] : {std::pair{2.35, Verdict::thin}, {2.45, Verdict::safe}}) {
        Build b = across_fet(4.7e3, 4.7e3, 100e3);
        b.bench.rails[1].volts.span = Span<Volts>::exactly(Volts{volts});
        const Found f = find(b.judge().findings, "fet-threshold");
        EXPECT_NEAR(f->margin, volts - 0.7 - 1.5, 1e-9);
        EXPECT_EQ(f->verdict, verdict);
        EXPECT_EQ(f->sentence.find("may not get across"), std::string::npos);
    }
}

/// A FET that switches to ground, one whose gate is a signal, and a P-channel one join no two sides of a line.
TEST(Bus, OnlyAFetBetweenTwoSignalsJoinsThem) {
    const auto judged = [](const char* type, const char* gate, const char* source) {
        Build b({five, three});
        b.module("C", {output("OUT")}, "three");
        b.module("M", {input("IN", ttl(), false), input("IN2", ttl(), false)}, "five");
        b.added("Q1", stock(type));
        b.join("Q1.G", gate);
        b.join("Q1.S", source);
        b.join("Q1.D", "M.IN");
        b.resistor(10e3, "M.IN", "rail five");
        b.resistor(10e3, "M.IN2", "rail three");
        b.link("signal", {"C", "OUT", {}}, {"M", "IN", {}});
        return find(b.judge().findings, "fet-threshold") != nullptr;
    };
    EXPECT_TRUE(judged("n-mosfet 1.5 V threshold", "rail three", "M.IN2"));
    EXPECT_FALSE(judged("n-mosfet 1.5 V threshold", "rail three", "ground"));
    EXPECT_FALSE(judged("n-mosfet 1.5 V threshold", "rail three", "rail three"));
    EXPECT_FALSE(judged("n-mosfet 1.5 V threshold", "C.OUT", "M.IN2"));
    EXPECT_FALSE(judged("p-mosfet", "rail three", "M.IN2"));
}

}  // namespace
}  // namespace voltsill
