/// Links run over time on benches put together by hand. Formulas share no code with the solver.
#include "signals/simulate.h"

#include <gtest/gtest.h>

#include <cmath>

#include "signals/setup_time.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

const Rail exactly_five = rail("five", 5.0, 5.0), exactly_three = rail("three", 3.3, 3.3);

LinkTrace only(const Build& b, SimulateOptions options = {}) {
    const auto traces = simulate_links(b.bench, b.wiring(), options);
    EXPECT_EQ(traces.size(), 1u);
    return traces.empty() ? LinkTrace{} : traces.front();
}
const Measured* find(const LinkTrace& trace, MeasureKind kind, const std::string& point = {}) {
    for (const Measured& m : trace.measures)
        if (m.kind == kind && m.point == point) return &m;
    return nullptr;
}
Figure<Farads> exactly(double farads) { return {Span<Farads>::exactly(Farads{farads}), sheet}; }

/// An open-drain output, its pull-up of `ohms`, one CMOS input. 15 pF of wire, 5 pF each for the pins.
Build open_drain_line(double ohms, double rate) {
    Build b({exactly_five});
    Pin out = open_drain("OUT", ohms);
    out.capacitance = exactly(5e-12);
    b.module("D", {out}, "five");
    b.module("R", {input("IN", cmos(), false)}, "five");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{rate};
    return b;
}
constexpr double line_farads = 25e-12;

TEST(Simulate, RisingLineLeavesWhatItsTimeConstantLeaves) {
    const double ohms = 10e3, bit = 2e-6;
    const LinkTrace t = only(open_drain_line(ohms, 1 / bit));
    ASSERT_EQ(t.trouble, "");
    // 0.7 of the supply is met after RC ln(1 / 0.3); the output lets go within a few nanoseconds.
    const double needs = ohms * line_farads * std::log(1 / 0.3);
    const Measured* left = find(t, MeasureKind::setup_left, "R.IN");
    ASSERT_NE(left, nullptr);
    EXPECT_NEAR(*left->nominal, bit - needs, 0.03 * needs);
    // Two octaves: 10 to 90 % is RC ln 9.
    EXPECT_NEAR(*find(t, MeasureKind::rise_time, "R.IN")->nominal, ohms * line_farads * std::log(9.0),
                0.02 * ohms * line_farads * std::log(9.0));
}

TEST(Simulate, HighestRateIsWhereNothingIsLeft) {
    const LinkTrace t = only(open_drain_line(10e3, 100e3));
    const Measured* rate = find(t, MeasureKind::highest_rate);
    ASSERT_TRUE(rate && rate->nominal);
    // Just below it every bit is read, just above it is not.
    EXPECT_GE(
        *find(only(open_drain_line(10e3, *rate->nominal * 0.97)), MeasureKind::setup_left, "R.IN")->nominal,
        0.0);
    const LinkTrace faster = only(open_drain_line(10e3, *rate->nominal * 1.05));
    const Measured* above = find(faster, MeasureKind::setup_left, "R.IN");
    EXPECT_TRUE(!above->nominal || *above->nominal < 0.0);
    // A line that starts from ground needs RC ln(1 / 0.3); from a low it has not quite reached, less.
    EXPECT_NEAR(*rate->nominal * 10e3 * line_farads * std::log(1 / 0.3), 1.0, 0.1);
}

TEST(Simulate, MoreCapacitanceNeverLeavesMore) {
    double before = 1.0;
    for (const double farads : {5e-12, 15e-12, 40e-12, 100e-12}) {
        Build b = open_drain_line(10e3, 100e3);
        b.bench.wishes.wire_capacitance = Farads{farads};
        const double left = *find(only(b), MeasureKind::setup_left, "R.IN")->nominal;
        EXPECT_LT(left, before);
        before = left;
    }
}

TEST(Simulate, ProbeOnTheReceiverSlowsItDown) {
    Build b = open_drain_line(10e3, 100e3);
    const double bare = *find(only(b), MeasureKind::rise_time, "R.IN")->nominal;
    b.bench.wishes.probe_capacitance = Farads{12e-12};
    EXPECT_NEAR(*find(only(b), MeasureKind::rise_time, "R.IN")->nominal / bare, 37.0 / 25.0, 0.02);
}

TEST(Simulate, YieldFallsWithTheRateAndItsIntervalHoldsIt) {
    double before = 1.0;
    for (const double rate : {0.5e6, 1.5e6, 2.6e6, 3.6e6, 8e6}) {
        const LinkTrace t = only(open_drain_line(10e3, rate), {.samples = 300});
        const Measured* m = find(t, MeasureKind::setup_left, "R.IN");
        const double yield = m->counted == 0 ? 0.0 : static_cast<double>(m->kept) / m->counted;
        EXPECT_LE(yield, before + 1e-12) << rate;
        EXPECT_LE(m->yield_lo, yield);
        EXPECT_GE(m->yield_hi, yield);
        before = yield;
    }
    EXPECT_EQ(before, 0.0);
}

TEST(Simulate, WhatMattersMostIsNamed) {
    Build b = open_drain_line(10e3, 100e3);  // pull-up 1 %, wire 50 %
    const LinkTrace t = only(b, {.samples = 400});
    const Measured* m = find(t, MeasureKind::rise_time, "R.IN");
    ASSERT_FALSE(m->influences.empty());
    EXPECT_NE(m->influences[0].parameter.find("wires of"), std::string::npos) << m->influences[0].parameter;
    EXPECT_TRUE(m->influences[0].raises);
    EXPECT_GT(m->influences[0].share, 0.9);
}

TEST(Simulate, ThreadsDoNotMatterAndASampleCanBeReplayed) {
    const Build b = open_drain_line(10e3, 1e6);
    const LinkTrace one = only(b, {.samples = 200, .seed = 7, .threads = 1}),
                    three_threads = only(b, {.samples = 200, .seed = 7, .threads = 3});
    ASSERT_EQ(one.measures.size(), three_threads.measures.size());
    for (std::size_t k = 0; k < one.measures.size(); ++k) {
        EXPECT_EQ(one.measures[k].lo, three_threads.measures[k].lo);
        EXPECT_EQ(one.measures[k].hi, three_threads.measures[k].hi);
        EXPECT_EQ(one.measures[k].kept, three_threads.measures[k].kept);
    }
    ASSERT_TRUE(one.worst_sample);
    const LinkTrace again = only(b, {.seed = 7, .replay = one.worst_sample});
    EXPECT_EQ(again.samples, 1);
    EXPECT_EQ(again.points.back().worst.volts, one.points.back().worst.volts);
    EXPECT_EQ(find(again, MeasureKind::setup_left, "R.IN")->lo,
              find(one, MeasureKind::setup_left, "R.IN")->lo);
    const LinkTrace other = only(b, {.samples = 200, .seed = 8});
    EXPECT_NE(find(other, MeasureKind::setup_left, "R.IN")->lo,
              find(one, MeasureKind::setup_left, "R.IN")->lo);
}

TEST(Simulate, EnvelopeHoldsTheNominalAndTheWorst) {
    const LinkTrace t = only(open_drain_line(10e3, 1e6), {.samples = 100});
    for (const TracePoint& p : t.points) {
        ASSERT_TRUE(p.envelope);
        for (std::size_t k = 0; k < p.envelope->seconds.size(); ++k) {
            EXPECT_LE(p.envelope->lo[k], p.envelope->median[k]);
            EXPECT_LE(p.envelope->median[k], p.envelope->hi[k]);
            EXPECT_GE(value_at(p.worst, p.envelope->seconds[k]), p.envelope->lo[k] - 1e-9);
            EXPECT_LE(value_at(p.worst, p.envelope->seconds[k]), p.envelope->hi[k] + 1e-9);
        }
    }
}

TEST(Simulate, CornerBySignsIsBeatenByNoSample) {
    const Build b = open_drain_line(10e3, 1e6);
    const Wiring w = b.wiring();
    const TimedCircuit timed = lower_timed(b.bench, w);
    const Partition partition(timed.circuit.netlist, {});
    const LinkSetup setup = set_up(b.bench, timed, partition, b.bench.links[0], {"D", "OUT", {}});
    ASSERT_EQ(setup.trouble, "");
    const SetupTime corner = setup_time(setup, 1e-6);
    const LinkTrace t = only(b, {.samples = 1000});
    EXPECT_LE(corner.worst, *find(t, MeasureKind::setup_left, "R.IN")->lo + 1e-10);
    EXPECT_NEAR(corner.nominal, *find(t, MeasureKind::setup_left, "R.IN")->nominal, 1e-12);
    // All of RC at its upper end: 10.1 k, 22.5 pF of wire and 10 pF of pins.
    EXPECT_NEAR(corner.worst, 1e-6 - 10.1e3 * 32.5e-12 * std::log(1 / 0.3), 0.05e-6);
}

TEST(Simulate, BufferPassesItsSignalAfterItsDelay) {
    Build b({exactly_five, exactly_three});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", cmos(), false)}, "three");
    b.added("U1", stock("LVC 541"), {"three"});
    b.join("D.OUT", "U1.A1");
    b.join("U1.Y1", "R.IN");
    for (const char* pin :
         {"U1./OE1", "U1./OE2", "U1.A2", "U1.A3", "U1.A4", "U1.A5", "U1.A6", "U1.A7", "U1.A8"})
        b.join("ground", pin);
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{1e6};
    const LinkTrace t = only(b, {.samples = 200});
    ASSERT_EQ(t.trouble, "");
    ASSERT_EQ(t.points.size(), 4u);
    EXPECT_EQ(t.points[1].role, PointRole::passed);
    EXPECT_EQ(t.points[3].role, PointRole::receiver);
    const double slowest = stock("LVC 541")->pins[stock("LVC 541")->pin_index("Y1")].delay_max->si();
    const Measured* delay = find(t, MeasureKind::delay_rise, "R.IN");
    ASSERT_TRUE(delay && delay->hi);
    // Printed delay, half of an input edge of 20 ns / 0.8 and of an output edge, and the wire.
    EXPECT_LT(*delay->hi, slowest + 0.5 * 25e-9 + 0.5 * slowest + 2e-9);
    EXPECT_GT(*delay->nominal, 0.25 * slowest);
    EXPECT_GT(*find(t, MeasureKind::power, "U1")->nominal, 0.0);
}

TEST(Simulate, FastEdgeRingsOnItsJumperAndASeriesResistorCalmsIt) {
    const auto overshoot_with = [](double series) {
        Build b({exactly_three});
        Pin out = output("OUT", 0.1);
        out.rise_time = out.fall_time = {Span<Seconds>::exactly(Seconds{1e-9}), sheet};
        b.module("D", {out}, "three");
        b.module("R", {input("IN", cmos(), true)}, "three");
        if (series > 0)
            b.resistor(series, "D.OUT", "R.IN");
        else
            b.join("D.OUT", "R.IN");
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{1e6};
        return *find(only(b), MeasureKind::overshoot, "R.IN")->nominal;
    };
    EXPECT_GT(overshoot_with(0), 0.5);
    EXPECT_LT(overshoot_with(150), 0.1);
}

TEST(Simulate, CurvesOfAnOutputDriveInPlaceOfItsPrintedPoints) {
    // 25 ohm either way by table, strengths that cross in 8 ns along a straight line: without load the
    // pin follows them, 10 to 90 % in 0.8 of that. The printed points would say 100 ohm and 6 ns.
    Build b({exactly_three});
    Pin out = output("OUT");
    const IvCurve side{{-3.3, 0.0, 6.6}, {-0.132, 0.0, 0.264}};
    OutputCorner corner{.supply = Volts{3.3}, .pull_up = side, .pull_down = side};
    corner.rising = SwitchingCurve{8e-9, {0.0, 0.5, 1.0}, {1.0, 0.5, 0.0}};
    corner.falling = SwitchingCurve{8e-9, {1.0, 0.5, 0.0}, {0.0, 0.5, 1.0}};
    out.curves = OutputCurves{corner, corner, corner, sheet};
    b.module("D", {out}, "three");
    b.module("R", {input("IN", cmos(), true)}, "three");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{1e6};
    b.bench.wishes.wire_capacitance = Farads{1e-12};
    const LinkTrace t = only(b);
    ASSERT_EQ(t.trouble, "");
    for (const MeasureKind kind : {MeasureKind::rise_time, MeasureKind::fall_time})
        EXPECT_NEAR(*find(t, kind, "D.OUT")->nominal, 0.8 * 8e-9, 0.5e-9);
}

TEST(Simulate, AnalogueInputSettlesAsItsTimeConstant) {
    Build b({exactly_five});
    Pin out{.name = "OUT", .role = PinRole::analog_output, .supply = 0};
    out.analog_range = Span<Volts>::between(Volts{0.0}, Volts{4.0});
    out.output_ohms = {Span<Ohms>::exactly(Ohms{1e4}), sheet};
    out.capacitance = exactly(5e-12);
    Pin in{.name = "A0", .role = PinRole::analog_input, .supply = 0};
    in.capacitance = exactly(20e-12);
    b.module("P", {out}, "five");
    b.module("C", {in}, "five");
    b.join("P.OUT", "C.A0");
    b.link("level", {"P", "OUT", {}}, {"C", "A0", {}}, LinkKind::analog).rate = Hertz{10e3};
    const LinkTrace t = only(b);
    ASSERT_EQ(t.trouble, "");
    EXPECT_TRUE(t.analog);
    const Measured* settling = find(t, MeasureKind::settling, "C.A0");
    ASSERT_TRUE(settling && settling->nominal) << (settling ? settling->why : "");
    // To half a step of ten bits: RC ln 2^11.
    EXPECT_NEAR(*settling->nominal, 1e4 * 40e-12 * std::log(2048.0), 0.03 * 1e4 * 40e-12 * std::log(2048.0));
}

TEST(Simulate, LineThatAllMayPullIsRunFromEveryEnd) {
    Build b({exactly_five, exactly_three});
    Pin pin = open_drain("SDA", 4.7e3);
    pin.role = PinRole::open_drain_io;
    pin.thresholds = cmos();
    b.module("C", {pin}, "three");
    b.module("M", {pin}, "five");
    b.added("Q1", stock("n-mosfet 1.5 V threshold"));
    b.join("Q1.S", "C.SDA");
    b.join("Q1.D", "M.SDA");
    b.join("Q1.G", "rail three");
    Link& l = b.link("data", {"C", "SDA", {}}, {"M", "SDA", {}}, LinkKind::open_drain);
    l.rate = Hertz{100e3};
    const auto traces = simulate_links(b.bench, b.wiring(), {});
    ASSERT_EQ(traces.size(), 2u);
    EXPECT_EQ(traces[0].points[0].label, "C.SDA");
    EXPECT_EQ(traces[1].points[0].label, "M.SDA");
    for (const LinkTrace& t : traces) {
        const TracePoint& far = t.points.back();
        EXPECT_GT(*find(t, MeasureKind::setup_left, far.label)->nominal, 5e-6);
        EXPECT_NEAR(*find(t, MeasureKind::highest, far.label)->nominal, far.supply, 0.02);
    }
}

TEST(Simulate, EdgeAcceleratorsBeatTheirKeepers) {
    Build b({exactly_five, exactly_three});
    Pin in = input("IN", cmos(), false);
    b.module("D", {output("OUT")}, "three");
    b.module("R", {in}, "five");
    b.added("U1", stock("four-bit auto-direction push-pull translator"), {"three", "five"});
    b.join("D.OUT", "U1.A1");
    b.join("U1.B1", "R.IN");
    b.join("U1.OE", "rail three");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{1e6};
    const LinkTrace t = only(b);
    ASSERT_EQ(t.trouble, "");
    const Measured* rise = find(t, MeasureKind::rise_time, "R.IN");
    ASSERT_TRUE(rise && rise->nominal) << (rise ? rise->why : "no rise");
    // The keeper alone: 2.2 x 4 k x 32 pF = 280 ns.
    EXPECT_LT(*rise->nominal, 40e-9);
}

TEST(Simulate, OpenDrainTranslatorPassesBothWaysFasterThanItsPullUps) {
    Build b({exactly_five, exactly_three});
    Pin pin = open_drain("SDA");
    pin.role = PinRole::open_drain_io;
    pin.thresholds = cmos();
    b.module("C", {pin}, "three");
    b.module("M", {pin}, "five");
    const auto type = stock("two-bit auto-direction open-drain translator");
    ASSERT_NE(type, nullptr);
    b.added("U1", type, {"three", "five"});
    const Channel& c = type->channels[0];
    b.join("C.SDA", "U1." + type->pins[c.inputs[0]].name);
    b.join("M.SDA", "U1." + type->pins[c.output].name);
    for (int enable : c.enables) b.join("rail three", "U1." + type->pins[enable].name);
    b.link("data", {"C", "SDA", {}}, {"M", "SDA", {}}, LinkKind::open_drain).rate = Hertz{400e3};
    for (const LinkTrace& t : simulate_links(b.bench, b.wiring(), {})) {
        ASSERT_EQ(t.trouble, "");
        const Measured* rise = find(t, MeasureKind::rise_time, t.points.back().label);
        ASSERT_TRUE(rise && rise->nominal);
        EXPECT_LT(*rise->nominal, 0.3 * 10e3 * 30e-12 * std::log(9.0));  // pull-ups of 10 k alone: 660 ns
    }
}

TEST(Simulate, TurnOffOfAnOptocouplerIsAddedToWhatALevelNeeds) {
    const auto type = stock("optocoupler");
    ASSERT_NE(type, nullptr);
    const double turn_off = std::get<OptoModel>(type->model).turn_off.si();
    ASSERT_GT(turn_off, 0);
    Build b({exactly_five, exactly_three});
    b.module("D", {output("OUT", 0.1)}, "five");
    b.module("R", {input("IN", cmos(), false)}, "three");
    b.added("OK1", type);
    b.resistor(680, "D.OUT", "OK1.A");
    b.join("OK1.K", "ground");
    b.join("OK1.C", "R.IN");
    b.join("OK1.E", "ground");
    b.resistor(4.7e3, "rail three", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{1e3};
    const LinkTrace t = only(b);
    ASSERT_EQ(t.trouble, "");
    const Measured* rate = find(t, MeasureKind::highest_rate);
    ASSERT_TRUE(rate && rate->nominal);
    EXPECT_LT(*rate->nominal, 1 / turn_off);
    EXPECT_LT(*find(t, MeasureKind::setup_left, "R.IN")->nominal, 1e-3 - turn_off);
    ASSERT_FALSE(t.leans_on.empty());
    EXPECT_NE(t.leans_on.back().find("turn-off"), std::string::npos);
}

TEST(Simulate, InputWithoutThresholdsIsNotCalledRead) {
    Build b({exactly_five});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", {}, false)}, "five");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{1e3};
    const LinkTrace t = only(b);
    EXPECT_TRUE(t.points.back().reads);
    EXPECT_FALSE(t.points.back().vil);
    EXPECT_EQ(find(t, MeasureKind::setup_left, "R.IN"), nullptr);
}

TEST(Simulate, LineThatRestsBeyondItsRatingIsToldFromOneThatRings) {
    for (const bool direct : {true, false}) {
        Build b({exactly_five, exactly_three});
        b.module("D", {output("OUT")}, direct ? "five" : "three");
        b.module("R", {input("IN", cmos(), false)}, "three");
        b.join("D.OUT", "R.IN");
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{1e3};
        EXPECT_EQ(find(only(b), MeasureKind::highest, "R.IN")->lasting, direct);
    }
}

TEST(Simulate, SkewOfAGroupIsTheDifferenceOfItsDelays) {
    Build b({exactly_five});
    for (const auto& [name, ohms] : {std::pair{"1", 1e3}, {"2", 10e3}}) {
        Pin out = open_drain("OUT", ohms);
        b.module("D" + std::string(name), {out}, "five");
        b.module("R" + std::string(name), {input("IN", cmos(), false)}, "five");
        b.join("D" + std::string(name) + ".OUT", "R" + std::string(name) + ".IN");
        Link& l = b.link("bit " + std::string(name), {"D" + std::string(name), "OUT", {}},
                         {"R" + std::string(name), "IN", {}});
        l.rate = Hertz{100e3};
        l.group = "bits";
    }
    // Delays are told from the driver's pin, which is the line itself: no skew but the jumpers'.
    for (const LinkTrace& t : simulate_links(b.bench, b.wiring(), {})) {
        const Measured* skew = find(t, MeasureKind::skew);
        ASSERT_TRUE(skew && skew->nominal);
        EXPECT_LT(*skew->nominal, 1e-9);
    }
}

TEST(Simulate, LinksThatCannotBeRunSayWhy) {
    Build b({exactly_five});
    b.module("D", {input("IN2", cmos(), false)}, "five");
    b.module("R", {input("IN", cmos(), false)}, "five");
    b.join("D.IN2", "R.IN");
    b.link("nobody drives", {"D", "IN2", {}}, {"R", "IN", {}});
    EXPECT_NE(only(b).trouble.find("no output"), std::string::npos) << only(b).trouble;
    Build open({exactly_five});
    open.module("D", {output("OUT")}, "five");
    open.module("R", {input("IN", cmos(), false)}, "five");
    open.link("not wired", {"D", "OUT", {}}, {"R", "IN", {}});
    EXPECT_NE(only(open).trouble, "");
}

TEST(Simulate, CancelledRunKeepsWhatItHas) {
    int told = 0;
    const Build b = open_drain_line(10e3, 1e6);
    const auto traces = simulate_links(b.bench, b.wiring(), {.samples = 10000},
                                       [&](double, const std::string&) { return ++told < 3; });
    ASSERT_EQ(traces.size(), 1u);
    EXPECT_TRUE(traces[0].cancelled);
    EXPECT_GT(traces[0].samples, 0);
    EXPECT_LT(traces[0].samples, 1000);
    EXPECT_EQ(traces[0].asked, 10000);
}

}  // namespace
}  // namespace voltsill
