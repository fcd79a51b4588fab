/// Currents, repairs and switching of IBIS models against resistors and curves known beforehand.
#include "parts/ibis_driver.h"

#include <gmock/gmock.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <functional>

#include "ibis_text.h"
#include "parts/ibis_curves.h"

namespace voltsill {
namespace {

using namespace ibis_text;
using testing::Contains;
using testing::HasSubstr;

const Provenance nobody{Certainty::typical, "test"};

IbisDriver driver_of(const std::string& models) {
    return ibis_driver(*reading(file(models)).model("A_MODEL"), nobody);
}

// A divider: the output's resistor against the load's.
TEST(IbisDriver, ResistorsMakeDividers) {
    const IbisDriver d = driver_of(resistor_driver(40, 60));
    const auto low = [](const OutputCorner& c, double ohms, double volts) {
        return rest_volts(c, 0, 1, ohms, volts);
    };
    const auto high = [](const OutputCorner& c, double ohms, double volts) {
        return rest_volts(c, 1, 0, ohms, volts);
    };
    for (const double load : {10.0, 100.0, 1e3, 1e5}) {
        EXPECT_NEAR(low(d.curves.typical, load, 5.0), 5.0 * 40 / (40 + load), 1e-6);
        EXPECT_NEAR(high(d.curves.typical, load, 0), 5.0 * load / (60 + load), 1e-6);
        EXPECT_NEAR(high(d.curves.slow, load, 0), 4.5 * load / (75 + load), 1e-6);
        EXPECT_NEAR(low(d.curves.fast, load, 5.5), 5.5 * 32 / (32 + load), 1e-6);
    }
    EXPECT_EQ(d.curves.slow.supply, Volts{4.5});
    EXPECT_EQ(d.curves.fast.supply, Volts{5.5});
}

TEST(IbisDriver, SlowIsNeverStrongerThanTypicalNorTypicalThanFast) {
    for (const char* name : {"octal-buffer.ibs", "alarm-open-drain.ibs"}) {
        Problems problems;
        const IbisFile f = read_ibis(on_disk(name), name, problems);
        for (const IbisModel& m : f.models) {
            if (!m.drives()) continue;
            const OutputCurves c = ibis_driver(m, nobody).curves;
            for (double v = 0.1; v < 3; v += 0.1) {
                EXPECT_LE(amps_at(c.slow.pull_down, v), amps_at(c.typical.pull_down, v));
                EXPECT_LE(amps_at(c.typical.pull_down, v), amps_at(c.fast.pull_down, v));
                EXPECT_LE(amps_at(c.slow.pull_up, v), amps_at(c.fast.pull_up, v));
            }
            EXPECT_LE(c.slow.supply, c.typical.supply);
            EXPECT_LE(c.typical.supply, c.fast.supply);
        }
    }
}

// References other than supply and ground: an output between 1 V and 4 V rests there unloaded.
TEST(IbisDriver, ReferencesShiftTheTables) {
    const IbisDriver d =
        driver_of(resistor_driver(50, 50) + "[Pullup Reference] 4 4 4\n[Pulldown Reference] 1 1 1\n");
    EXPECT_NEAR(rest_volts(d.curves.typical, 1, 0, 1e9, 0), 4.0, 1e-5);
    EXPECT_NEAR(rest_volts(d.curves.typical, 0, 1, 1e9, 0), 1.0, 1e-5);
}

// Clamps add to what the output does; a power clamp's volts count down from the supply.
TEST(IbisDriver, ClampsConductOutsideTheRailsOnly) {
    const IbisDriver d =
        driver_of(head("Input") + "[GND Clamp]\n-2 -130m NA NA\n-0.7 0 NA NA\n0 0 NA NA\n5 0 NA NA\n" +
                  "[POWER Clamp]\n-2 130m NA NA\n-0.7 0 NA NA\n0 0 NA NA\n");
    const OutputCorner& c = d.curves.typical;
    EXPECT_NEAR(rest_volts(c, 0, 0, 90, 7.7), 5.7 + 2.0 * 10 / 100, 1e-6) << "10 ohm beyond 0.7 V above 5 V";
    EXPECT_NEAR(rest_volts(c, 0, 0, 90, -2.7), -0.7 - 2.0 * 10 / 100, 1e-6);
    EXPECT_NEAR(rest_volts(c, 0, 0, 90, 2.5), 2.5, 1e-6);
}

TEST(IbisDriver, CurvesThatFallAreRepairedAndTheChangeTold) {
    std::string text = resistor_driver(50, 50);
    const std::string row = "2.000 0.04 0.032 0.05";
    ASSERT_NE(text.find(row), std::string::npos);
    text.replace(text.find(row), row.size(), "2.000 0.02 0.032 0.05");  // 20 mA after 30 mA
    const IbisDriver d = driver_of(text);
    EXPECT_NEAR(amps_at(d.curves.typical.pull_down, 1.5), 25e-3, 1e-9) << "the mean of both";
    EXPECT_NEAR(amps_at(d.curves.typical.pull_down, 2.0), 25e-3, 1e-9);
    EXPECT_THAT(d.remarks,
                Contains(AllOf(HasSubstr("[Pulldown], typical column"), HasSubstr("largest change 5 mA"))));
    EXPECT_THAT(driver_of(resistor_driver(50, 50)).remarks, Not(Contains(HasSubstr("largest change"))));
}

TEST(IbisDriver, RampsBecomeTenToNinetyPercent) {
    const IbisDriver d = driver_of(resistor_driver(50, 50));
    // 20 to 80 % in 1 ns is a slope that takes 10 to 90 % in 8/6 ns.
    EXPECT_NEAR(d.rise->nominal.si(), 1e-9 * 8 / 6, 1e-18);
    EXPECT_NEAR(d.rise->lo.si(), 0.7e-9 * 8 / 6, 1e-18);
    EXPECT_NEAR(d.rise->hi.si(), 1.5e-9 * 8 / 6, 1e-18);
}

TEST(IbisDriver, CapacitanceOfPartsIsSummed) {
    const IbisDriver d = driver_of(
        "[Model] A_MODEL\nModel_type Input\nC_comp_pullup 1pF 0.5pF 2pF\nC_comp_gnd_clamp 2pF 1pF 3pF\n"
        "[Voltage Range] 5 4.5 5.5\n");
    EXPECT_NEAR(d.capacitance->lo.si(), 1.5e-12, 1e-20);
    EXPECT_NEAR(d.capacitance->nominal.si(), 3e-12, 1e-20);
    EXPECT_NEAR(d.capacitance->hi.si(), 5e-12, 1e-20);
}

// ---- Switching: waveforms made from known curves give the curves back.

double smooth(double x) {
    x = std::clamp(x, 0.0, 1.0);
    return x * x * (3 - 2 * x);
}
constexpr double edge = 2e-9, start = 1e-9, whole = 5e-9;
double known_up(double t) { return smooth((t - start) / edge - 0.1); }
double known_down(double t) { return 1 - smooth((t - start) / edge * 1.3); }

/// Voltage of an output of two resistors and `farads` in a fixture, by implicit Euler in tiny steps.
std::string waveform(double down_ohms, double up_ohms, double farads, double r, double v_fixture,
                     const std::function<double(double)>& ku, const std::function<double(double)>& kd) {
    std::string text = fmt::format("[Rising Waveform]\nR_fixture = {}\nV_fixture = {}\n", r, v_fixture);
    const auto conductance = [&](double t) { return ku(t) / up_ohms + kd(t) / down_ohms + 1 / r; };
    const auto drive = [&](double t) { return ku(t) * 5 / up_ohms + v_fixture / r; };
    double v = drive(0) / conductance(0);
    constexpr int steps = 50000, every = 125;
    const double h = whole / steps;
    for (int i = 0; i <= steps; ++i) {
        const double t = i * h;
        if (i > 0) v = (v * farads / h + drive(t)) / (farads / h + conductance(t));
        if (i % every == 0) text += fmt::format("{:.6g} {:.9g} NA NA\n", t, v);
    }
    return text;
}

/// Largest difference from the known curves over the window in which they move by more than 2 %.
double difference(const SwitchingCurve& k, const std::function<double(double)>& ku,
                  const std::function<double(double)>& kd) {
    const auto moved = [&](double t, double from) {
        return std::abs(ku(t) - ku(from)) > 0.02 || std::abs(kd(t) - kd(from)) > 0.02;
    };
    double begin = 0, end = whole;
    while (!moved(begin, 0)) begin += 1e-12;
    while (!moved(end, whole)) end -= 1e-12;
    EXPECT_NEAR(k.duration, end - begin, 0.03e-9);
    double worst = 0;
    for (std::size_t i = 1; i + 1 < k.up.size(); ++i) {
        const double t =
            begin + (end - begin) * static_cast<double>(i) / static_cast<double>(k.up.size() - 1);
        worst = std::max({worst, std::abs(k.up[i] - ku(t)), std::abs(k.down[i] - kd(t))});
    }
    return worst;
}

std::string output_of(double down, double up) {
    return "[Model] A_MODEL\nModel_type 3-state\nC_comp 3pF NA NA\n[Voltage Range] 5 5 5\n" +
           resistor_table("Pulldown", 1, down) + resistor_table("Pullup", -1, up);
}

TEST(IbisSwitching, TwoWaveformsGiveBackBothCurves) {
    const IbisDriver d = driver_of(output_of(40, 60) + waveform(40, 60, 3e-12, 50, 0, known_up, known_down) +
                                   waveform(40, 60, 3e-12, 50, 5, known_up, known_down));
    ASSERT_TRUE(d.curves.typical.rising);
    EXPECT_EQ(d.curves.typical.rising->up.size(), ibis_switching_points);
    EXPECT_LT(difference(*d.curves.typical.rising, known_up, known_down), 0.02);
    EXPECT_FALSE(d.curves.typical.falling);
    EXPECT_THAT(d.remarks, Not(Contains(HasSubstr("1 minus"))));
}

// The columns min and max of those waveforms are NA: their corners switch like the typical one.
TEST(IbisSwitching, CornersWithoutWaveformsSwitchLikeTheTypicalOne) {
    const IbisDriver d = driver_of(output_of(40, 60) + waveform(40, 60, 3e-12, 50, 0, known_up, known_down) +
                                   waveform(40, 60, 3e-12, 50, 5, known_up, known_down));
    EXPECT_EQ(d.curves.slow.rising, d.curves.typical.rising);
    EXPECT_EQ(d.curves.fast.rising, d.curves.typical.rising);
    EXPECT_NE(d.curves.slow.pull_up, d.curves.typical.pull_up);
}

TEST(IbisSwitching, TheCapacitanceOfTheDieIsTakenOut) {
    // The same waveforms read with a C_comp of nothing lag behind.
    std::string text = output_of(40, 60) + waveform(40, 60, 30e-12, 50, 0, known_up, known_down) +
                       waveform(40, 60, 30e-12, 50, 5, known_up, known_down);
    text.replace(text.find("3pF"), 3, "30pF");
    EXPECT_LT(difference(*driver_of(text).curves.typical.rising, known_up, known_down), 0.03);
}

TEST(IbisSwitching, OneWaveformAssumesThatOneSideTakesOver) {
    const auto other = [](double t) { return 1 - known_up(t); };
    const IbisDriver d = driver_of(output_of(40, 60) + waveform(40, 60, 3e-12, 50, 0, known_up, other));
    EXPECT_LT(difference(*d.curves.typical.rising, known_up, other), 0.02);
    EXPECT_THAT(d.remarks, Contains(HasSubstr("1 minus")));
}

TEST(IbisSwitching, OpenDrainHasOneUnknown) {
    const auto nothing = [](double) { return 0.0; };
    const IbisDriver d =
        driver_of("[Model] A_MODEL\nModel_type Open_drain\nC_comp 3pF NA NA\n[Voltage Range] 5 5 5\n" +
                  resistor_table("Pulldown", 1, 40) + waveform(40, 1e12, 3e-12, 200, 5, nothing, known_down));
    EXPECT_LT(difference(*d.curves.typical.rising, nothing, known_down), 0.03);
}

TEST(IbisSwitching, WaveformsWithoutAnEdgeAreNotUsed) {
    const auto none = [](double) { return 0.0; };
    const auto all_on = [](double) { return 1.0; };
    const IbisDriver d = driver_of(output_of(40, 60) + waveform(40, 60, 3e-12, 50, 5, none, all_on));
    EXPECT_FALSE(d.curves.typical.rising);
    EXPECT_THAT(d.remarks, Contains(HasSubstr("hold no edge")));
}

// ---- Arithmetic of curves

RC_GTEST_PROP(IbisCurves, RepairedCurvesRiseAndStay, (std::vector<int> raw)) {
    std::vector<double> values(raw.begin(), raw.end());
    const auto before = values;
    const double change = make_rising(values);
    RC_ASSERT(std::ranges::is_sorted(values));
    double told = 0;
    for (std::size_t i = 0; i < values.size(); ++i) told = std::max(told, std::abs(values[i] - before[i]));
    RC_ASSERT(told == change);
    auto again = values;
    RC_ASSERT(make_rising(again) == 0.0);
    RC_ASSERT(again == values);
    if (std::ranges::is_sorted(before)) RC_ASSERT(values == before);
}

// Least squares: no other rising sequence that is tried lies nearer.
RC_GTEST_PROP(IbisCurves, NoOtherRisingCurveIsNearer, ()) {
    const auto small = rc::gen::inRange(-20, 20);
    const auto raw = *rc::gen::container<std::vector<int>>(6, small);
    auto other = *rc::gen::container<std::vector<int>>(6, small);
    std::ranges::sort(other);
    std::vector<double> values(raw.begin(), raw.end());
    make_rising(values);
    double mine = 0, theirs = 0;
    for (std::size_t i = 0; i < raw.size(); ++i) {
        mine += (values[i] - raw[i]) * (values[i] - raw[i]);
        theirs += static_cast<double>((other[i] - raw[i]) * (other[i] - raw[i]));
    }
    RC_ASSERT(mine <= theirs + 1e-9);
}

RC_GTEST_PROP(IbisCurves, ThinnedCurvesStayWithinTheStatedError, ()) {
    const auto steps = *rc::gen::container<std::vector<int>>(*rc::gen::inRange<std::size_t>(2, 100),
                                                             rc::gen::inRange(0, 50));
    IvCurve curve;
    double amps = -100;
    for (std::size_t i = 0; i < steps.size(); ++i) {
        curve.volts.push_back(0.1 * static_cast<double>(i));
        curve.amps.push_back(amps += steps[i]);
    }
    double error = -1;
    const IvCurve thin = thinned(curve, ibis_most_points, error);
    RC_ASSERT(thin.volts.size() <= ibis_most_points);
    RC_ASSERT(std::ranges::is_sorted(thin.amps));
    RC_ASSERT(thin.volts.front() == curve.volts.front());
    RC_ASSERT(thin.volts.back() == curve.volts.back());
    double worst = 0;
    for (std::size_t i = 0; i < curve.volts.size(); ++i)
        worst = std::max(worst, std::abs(amps_at(thin, curve.volts[i]) - curve.amps[i]));
    RC_ASSERT(std::abs(worst - error) < 1e-9);
}

// A hundred points of a square law fit 24 within half a percent of the largest current.
TEST(IbisCurves, ASquareLawLosesLittle) {
    IvCurve curve;
    for (int i = 0; i <= 100; ++i) {
        const double v = 0.066 * i;
        curve.volts.push_back(v);
        curve.amps.push_back(v < 2.6 ? 22e-3 * (2.6 * v - v * v / 2) : 22e-3 * 2.6 * 2.6 / 2);
    }
    double error = 0;
    thinned(curve, ibis_most_points, error);
    EXPECT_GT(error, 0);
    EXPECT_LT(error, 0.005 * curve.amps.back());
}

}  // namespace
}  // namespace voltsill
