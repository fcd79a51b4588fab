/// Captures against the standards of their formats and of their measures.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "captures/collected.h"
#include "captures/waves.h"
#include "signals/measure.h"

namespace {
using namespace voltsill;
using collected::read;

std::string dump(const std::string& declarations, const std::string& values) {
    return "$timescale 1 ps $end\n$scope module top $end\n" + declarations +
           "\n$upscope $end\n$enddefinitions $end\n" + values;
}

// A vector value that is shorter than the variable is extended to the left: 0 or 1 with 0, x with x, z
// with z.
// Source: IEEE Std 1364-2005; clause 18.2.1; from memory
TEST(CapturesPublished, VectorsAreExtendedToTheLeft) {
    const std::pair<std::string, std::string> cases[] = {{"10", "0010"},   {"X10", "XX10"}, {"ZX0", "ZZX0"},
                                                         {"0X10", "0X10"}, {"1", "0001"},   {"Z", "ZZZZ"}};
    for (const auto& [given, full] : cases) {
        const auto r = read(dump("$var reg 4 ! a [3:0] $end", "#0 b" + given + " !\n"));
        ASSERT_EQ(r.all.channels.size(), 4u);
        std::string bits(4, '?');
        for (const auto& c : r.all.bits)
            bits[static_cast<std::size_t>(3 - c.channel)] = "01XZ"[static_cast<int>(c.bit)];
        EXPECT_EQ(bits, full) << given;
    }
}

// A file in the way of the example of the standard, with scalar, vector and real values, dump off and
// on; the values here are our own.
// Source: IEEE Std 1364-2005; clauses 18.2.2 and 18.2.3; from memory
TEST(CapturesPublished, FileInTheWayOfTheExample) {
    const auto r = read(
        "$date June 26, 2031 10:05:41 $end\n$version a tool $end\n$timescale 1 ns $end\n$scope module top "
        "$end\n$scope "
        "module m1 $end\n$var trireg 1 *@ net1 $end\n$var trireg 1 *# net2 $end\n$upscope $end\n$scope task "
        "t1 $end\n$var "
        "reg 32 (k accumulator[31:0] $end\n$var integer 32 {2 index $end\n$upscope $end\n$upscope "
        "$end\n$enddefinitions $end\n"
        "$comment values follow $end\n#500\n$dumpvars\nx*@\nx*#\nbx (k\nbx "
        "{2\n$end\n#505\n0*@\n1*#\nb10x1110x11100 (k\n"
        "b1111000101z01x {2\n#510\n#520\n1*#\n#530\n$dumpoff\nx*@\nx*#\nbx (k\nbx "
        "{2\n$end\n#535\n$dumpon\nz*@\n1*#\nb0 "
        "(k\n$end\n#540\n");
    EXPECT_TRUE(r.problems.empty());
    ASSERT_EQ(r.all.channels.size(), 66u);
    EXPECT_EQ(r.all.channels[0].name, "top.m1.net1");
    EXPECT_EQ(r.all.channels[2].name, "top.t1.accumulator[0]");
    EXPECT_EQ(r.all.of(0), "x@500 0@505 x@530 z@535");
    EXPECT_EQ(r.all.of(1), "x@500 1@505 x@530 1@535");
    EXPECT_EQ(r.all.of(2 + 4), "x@500 1@505 x@530 0@535") << "bit 4 of 10x1110x11100";
    EXPECT_EQ(r.all.end, 540);
}

// 1, 10 or 100 of s, ms, us, ns, ps, fs.
// Source: IEEE Std 1364-2005; clause 18.2.3.7; from memory
TEST(CapturesPublished, TimeScales) {
    for (const auto& [unit, si] :
         {std::pair{"s", 1.0}, {"ms", 1e-3}, {"us", 1e-6}, {"ns", 1e-9}, {"ps", 1e-12}, {"fs", 1e-15}})
        for (const int number : {1, 10, 100})
            for (const char* blank : {"", " "}) {
                const std::string scale = std::to_string(number) + blank + unit;
                const auto r =
                    read("$timescale " + scale + " $end $var wire 1 ! a $end $enddefinitions $end\n#0\n");
                EXPECT_DOUBLE_EQ(r.all.seconds_per_tick, number * si) << scale;
            }
}

// The histogram method gives the two state levels of a wave with known ones, here 0.2 and 3.1 V with
// noise of 30 mV, overshoot and unequal dwell.
// Source: IEEE Std 181-2011; state levels, histogram method; from memory
TEST(CapturesPublished, HistogramMethodFindsKnownLevels) {
    std::mt19937 random(7);
    std::normal_distribution<double> noise(0, 0.03);
    const auto wave = waves::trapezoid(0.2, 3.1, 1e-3, 1e-5, 0.2);
    const auto m = waves::measured(
        [&](double t) { return wave(t) + noise(random) + (std::fmod(t, 1e-3) < 12e-6 ? 0.4 : 0); }, 0, 0.2,
        1e-6);
    EXPECT_NEAR(m.levels->low, 0.2, 0.03);
    EXPECT_NEAR(m.levels->high, 3.1, 0.03);
}

// Transition duration from 10 to 90 %: in closed form ln 9 RC = 2.197 RC of an RC edge, 0.8 of the ramp
// of a trapezoid.
// Source: IEEE Std 181-2011; transition duration; from memory
// Source: no document; arithmetic of a single pole and a straight ramp; common practice
TEST(CapturesPublished, TransitionDurations) {
    const double tau = 10e-6;
    const auto rc = waves::measured(waves::rc(0, 3.3, 1e-3, tau), 0, 0.05, 1e-7);
    EXPECT_NEAR(rc.rise.mean(), std::log(9.0) * tau, 0.01 * tau);
    EXPECT_NEAR(rc.fall.mean(), 2.197 * tau, 0.01 * tau);
    EXPECT_NEAR(rc.pulses.high.mean(), 0.5e-3, 1e-7) << "both edges pass half after ln 2 RC";
    EXPECT_NEAR(waves::measured(waves::trapezoid(0, 5, 1e-3, 1e-4), 0, 0.05, 1e-6).rise.mean(), 0.8e-4, 1e-9);
}

// The measures of signals/measure.h share no code with those of captures: the standard twice.
// Source: IEEE Std 181-2011; state levels and transition duration; from memory
TEST(CapturesPublished, StreamAndWholeWaveMeasureAlike) {
    Wave wave;
    const auto rc = waves::rc(0.1, 4.8, 1e-3, 3e-5);
    for (int k = 0; k < 40000; ++k) wave.seconds.push_back(k * 5e-7), wave.volts.push_back(rc(k * 5e-7));
    VoltageMeter meter({});
    meter.add(wave.seconds, wave.volts);
    meter.finish();
    const auto m = meter.measures();
    const auto levels = state_levels(wave);
    ASSERT_TRUE(levels);
    EXPECT_NEAR(m.levels->low, levels->low, 5e-3);
    EXPECT_NEAR(m.levels->high, levels->high, 5e-3);
    EXPECT_NEAR(m.rise.hi, *transition_time(wave, {m.levels->low, m.levels->high}, Direction::rising), 1e-7);
    EXPECT_EQ(m.pulses.rising + m.pulses.falling, crossings(wave, levels->at(0.5), 0.5).size());
}

}  // namespace
