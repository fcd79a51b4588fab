/// Interface circuits and loads against closed forms.
#include <gtest/gtest.h>

#include <cmath>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

Build two_rails(Rail a = five, Rail b = three) {
    Build build({a, b});
    for (Rail& r : build.bench.rails) r.switch_group = "bench";
    return build;
}

// Loads --------------------------------------------------------------------------------------------------

/// A diode drop of 1.15 V at 1 mA (35 mV per e-fold) and 1 kΩ from the supply to the input.
Pin relay_input() {
    Pin p{.name = "IN", .role = PinRole::load, .supply = 0};
    p.load = LoadInput{.to_supply = true,
                       .forward = {Span<Volts>::exactly(Volts{1.15}), sheet},
                       .ohms = {Span<Ohms>::exactly(Ohms{1000}), sheet},
                       .on_above = {Span<Amps>::exactly(Amps{2e-3}), sheet},
                       .off_below = {Span<Amps>::exactly(Amps{0.1e-3}), sheet},
                       .consequence = "relay pulls in"};
    return p;
}

/// I = (V - Vf(I)) / R by fixed point.
double through_diode(double volts, double ohms) {
    double amps = 1e-3;
    for (int k = 0; k < 100; ++k) amps = std::max(1e-9, (volts - 1.15 - 0.035 * std::log(amps / 1e-3)) / ohms);
    return amps;
}

Build relay(Pin driver) {
    Build b = two_rails();
    b.module("D", {driver}, "three");
    b.module("K", {relay_input()}, "five");
    b.join("D.OUT", "K.IN");
    b.link("pump", {"D", "OUT", {}}, {"K", "IN", {}}, LinkKind::load);
    return b;
}

TEST(Load, ActiveLowInputAtFiveVoltsIsNeverOffFromThreeVolts) {
    const Judgement j = relay(output("OUT")).judge();
    const Found off = find(j.findings, "load-never-off");
    ASSERT_NE(off, nullptr);
    EXPECT_EQ(off->verdict, Verdict::unreadable);
    // Worst: 5.25 V against 3.2 V, the output at its strongest (25 Ohm) taking the current.
    EXPECT_NEAR(off->value->value, through_diode(5.25 - 3.2, 1025), 2e-6);
    EXPECT_NE(off->sentence.find("relay pulls in"), std::string::npos);
    const Found on = find(j.findings, "load-never-on");
    ASSERT_NE(on, nullptr);
    EXPECT_NEAR(on->value->value, through_diode(4.75, 1100), 2e-6);  // weakest output: 100 Ohm
    EXPECT_EQ(on->verdict, Verdict::safe);
    EXPECT_EQ(on->arithmetic, "3.24 mA when on, surely on above 2 mA");
    EXPECT_EQ(off->limit->what, "surely off below");
    EXPECT_EQ(off->arithmetic, "882 µA still flows when \"off\" (pin at 3.222 V), surely off below 100 µA");
    EXPECT_EQ(on->limit->what, "surely on above");
}

TEST(Load, OpenDrainLetsItGoOff) {
    Pin out = open_drain("OUT");
    out.max = Level{0, Volts{6.5}};
    const Judgement j = relay(out).judge();
    EXPECT_EQ(find(j.findings, "load-never-off")->verdict, Verdict::safe);
    EXPECT_EQ(find(j.findings, "load-never-on")->verdict, Verdict::safe);
}

TEST(Load, TooMuchResistanceNeverTurnsItOn) {
    Build b = relay(open_drain("OUT"));
    std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.from == "D.OUT"; });
    b.resistor(2200, "D.OUT", "K.IN", 0.0);
    const Found on = find(b.judge().findings, "load-never-on");
    ASSERT_NE(on, nullptr);
    EXPECT_NEAR(on->value->value, through_diode(4.75, 1100 + 2200), 2e-6);
    EXPECT_EQ(on->verdict, Verdict::unreadable);
}

TEST(Load, PullDownPullsTheRelayInAtReset) {
    Pin out = output("OUT");
    out.role = PinRole::io;
    Build b = relay(out);
    EXPECT_EQ(find(b.judge().findings, "load-at-reset"), nullptr);  // nothing pulls: no current
    b.resistor(4700, "D.OUT", "ground", 0.0);
    const Found f = find(b.judge().findings, "load-at-reset");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, through_diode(5.25, 1000 + 4700), 2e-6);
    EXPECT_EQ(f->verdict, Verdict::thin);
}

/// A weak pull of the pin, there until software runs, is part of the network then: 20 kΩ of internal pull (common
/// practice, where a pin states none) let 0.2 mA through the relay's LED, 100 kΩ less than surely off.
TEST(Load, WeakPullOfThePinAtResetCounts) {
    Pin out = output("OUT");
    out.role = PinRole::io;
    out.reset_state = "pull-down";
    const Judgement j = relay(out).judge();
    const Found f = find(j.findings, "load-at-reset");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, through_diode(5.25, 1000 + 20e3), 2e-6);
    EXPECT_NE(f->state.find("D.OUT pulls down by 20 kΩ"), f->state.npos) << f->state;
    out.pulls.push_back({.up = false, .ohms = {Span<Ohms>::exactly(Ohms{100e3}), sheet}, .at_reset = true});
    EXPECT_EQ(find(relay(out).judge().findings, "load-at-reset"), nullptr);
    out.pulls.back().ohms.span = Span<Ohms>::exactly(Ohms{30e3});
    EXPECT_NE(find(relay(out).judge().findings, "load-at-reset"), nullptr);
    out.reset_state = "pull-up";
    EXPECT_EQ(find(relay(out).judge().findings, "load-at-reset"), nullptr) << "5.25 V - 3.2 V - 1.15 V over 31 kΩ";
}

/// The pin of a controller that drives low until software runs pulls the relay in by itself.
TEST(Load, PinThatIsLowAtResetPullsTheRelayIn) {
    for (const auto& [state, pulls_in] : {std::pair{"low", true}, {"high", false}, {"", false}}) {
        Pin out = open_drain("OUT");
        out.max = Level{0, Volts{6.5}};
        out.reset_state = state;
        EXPECT_EQ(find(relay(out).judge().findings, "load-at-reset") != nullptr, pulls_in) << state;
    }
}

/// Behind a buffer the relay does what the buffer reads before software runs: the pull of the controller's pin, a
/// resistor of the build that outweighs it, and the worse of both where nothing says.
TEST(Load, ABufferAtResetSaysWhatItsInputRestsAt) {
    const auto pulls_in = [](const std::string& state, std::optional<bool> pull_at_reset,
                             const std::string& resistor_to, bool halved = false) {
        Pin out = output("OUT");
        out.role = PinRole::io;
        out.reset_state = state;
        if (pull_at_reset)
            out.pulls.push_back(
                {.up = *pull_at_reset, .ohms = {Span<Ohms>::within(Ohms{40e3}, 0.5), sheet}, .at_reset = true});
        Build b = two_rails();
        b.module("D", {out}, "three");
        b.module("K", {relay_input()}, "five");
        b.added("U1", stock("HCT 541"), {"five"});
        b.join("D.OUT", "U1.A1");
        b.join("U1.Y1", "K.IN");
        b.join("U1.OE1", "ground");
        b.join("U1.OE2", "ground");
        if (!resistor_to.empty()) b.resistor(4.7e3, "D.OUT", resistor_to);
        if (halved) b.resistor(4.7e3, "D.OUT", "ground");
        b.link("pump", {"D", "OUT", {}}, {"K", "IN", {}}, LinkKind::load);
        return find(b.judge().findings, "load-at-reset") != nullptr;
    };
    EXPECT_TRUE(pulls_in("pull-down", {}, ""));
    EXPECT_FALSE(pulls_in("pull-up", {}, ""));
    EXPECT_TRUE(pulls_in("low", {}, ""));
    EXPECT_FALSE(pulls_in("high", {}, ""));
    EXPECT_TRUE(pulls_in("", {}, "")) << "a floating input may read low";
    EXPECT_FALSE(pulls_in("", true, ""));
    EXPECT_TRUE(pulls_in("", false, ""));
    EXPECT_FALSE(pulls_in("pull-down", {}, "rail three")) << "4.7 kΩ outweighs it";
    EXPECT_TRUE(pulls_in("pull-up", {}, "ground"));
    EXPECT_TRUE(pulls_in("", {}, "rail three", true)) << "half of 3.3 V is neither high nor low for HCT";
}

/// Without a figure for "surely on" nothing is said about going on; going off is judged all the same.
TEST(Load, WithoutAnOnCurrentOnlyOffIsJudged) {
    Build b = relay(open_drain("OUT"));
    auto type = std::make_shared<PartType>(*b.bench.parts[1].type);
    for (Pin& p : type->pins)
        if (p.load) p.load->on_above = {};
    b.bench.parts[1].type = type;
    const Judgement j = b.judge();
    EXPECT_EQ(find(j.findings, "load-never-on"), nullptr);
    EXPECT_NE(find(j.findings, "load-never-off"), nullptr);
}

// Analogue -----------------------------------------------------------------------------------------------

Pin analog_out(double top, double ohms) {
    Pin p{.name = "OUT", .role = PinRole::analog_output, .supply = 0};
    p.analog_range = Span<Volts>::between(Volts{0}, Volts{top});
    p.output_ohms = {Span<Ohms>::exactly(Ohms{ohms}), sheet};
    return p;
}
Pin adc(double source_ohms_max = 10e3) {
    Pin p = input("AIN", {}, false);
    p.role = PinRole::analog_input;
    p.full_scale = Level{1, {}};
    p.source_ohms_max = {Span<Ohms>::exactly(Ohms{source_ohms_max}), sheet};
    return p;
}
Build probe(Pin out, Pin in) {
    Build b = two_rails();
    b.module("S", {out}, "five");
    b.module("C", {in}, "three");
    b.link("moisture", {"S", "OUT", {}}, {"C", "AIN", {}}, LinkKind::analog);
    return b;
}

TEST(Analog, FourAndAHalfVoltsIntoAThreeVoltConverter) {
    Build b = probe(analog_out(4.5, 100), adc());
    b.join("S.OUT", "C.AIN");
    const Judgement j = b.judge();
    const Found over = find(j.findings, "over-voltage");
    ASSERT_NE(over, nullptr);
    EXPECT_EQ(over->verdict, Verdict::harmful);
    // Where most is over: the diode on the lowest rail, 3.2 V, holds the pin about 0.7 V above it.
    const Found range = find(j.findings, "adc-range");
    EXPECT_EQ(range->verdict, Verdict::unreadable);
    EXPECT_NEAR(range->limit->value, 3.2, 1e-9);
    EXPECT_NEAR(range->value->value, over->value->value, 1e-9);
    EXPECT_EQ(j.links[0].verdict, Verdict::harmful);
}

TEST(Analog, DividerBringsItIntoRange) {
    Build b = probe(analog_out(4.5, 100), adc());
    b.resistor(6.8e3, "S.OUT", "C.AIN", 0.0);
    b.resistor(10e3, "C.AIN", "ground", 0.0);
    const Judgement j = b.judge();
    const Found range = find(j.findings, "adc-range");
    ASSERT_NE(range, nullptr);
    EXPECT_NEAR(range->value->value, 4.5 * 10.0 / 16.9, 2e-3);
    EXPECT_NEAR(range->margin, 3.2 - 4.5 * 10.0 / 16.9, 2e-3);
    EXPECT_EQ(range->verdict, Verdict::safe);
    const Found source = find(j.findings, "adc-source");
    ASSERT_NE(source, nullptr);
    EXPECT_NEAR(source->value->value, 1 / (1 / 6.9e3 + 1 / 10e3), 10);
    ASSERT_EQ(j.links[0].levels.size(), 1u);
    const LevelBand& band = j.links[0].levels[0];  // from nothing to the top of the sensor's range
    EXPECT_NEAR(band.lo, 0, 2e-3);
    EXPECT_NEAR(band.nominal, 4.5 / 2 * 10.0 / 16.9, 2e-3);
    EXPECT_NEAR(band.hi, 4.5 * 10.0 / 16.9, 2e-3);
    EXPECT_EQ(source->verdict, Verdict::safe);
}

TEST(Analog, SourceTooWeakForTheConverter) {
    Build b = probe(analog_out(3.0, 47e3), adc());
    b.join("S.OUT", "C.AIN");
    EXPECT_EQ(find(b.judge().findings, "adc-source")->verdict, Verdict::thin);
}

TEST(Analog, OpenInputIsNotReached) {
    const Judgement j = probe(analog_out(3.0, 100), adc()).judge();
    EXPECT_NE(find(j.findings, "not-reached"), nullptr);
    EXPECT_EQ(j.links[0].verdict, Verdict::unreadable);
}

/// A follower repeats its input within its headroom; 25 mV at most (MCP6002 class).
TEST(Analog, FollowerRepeatsTheVoltage) {
    Build b = probe(analog_out(3.0, 47e3), adc());
    b.added("U1", stock("dual rail-to-rail op amp"), {"three"});
    b.join("S.OUT", "U1.1IN+");
    b.join("U1.1OUT", "U1.1IN-");
    b.join("U1.1OUT", "C.AIN");
    b.join("U1.2IN+", "ground");
    b.join("U1.2OUT", "U1.2IN-");
    const Judgement j = b.judge();
    const Found range = find(j.findings, "adc-range");
    ASSERT_NE(range, nullptr);
    EXPECT_NEAR(range->value->value, 3.0, 5e-3);
    EXPECT_EQ(find(j.findings, "adc-source")->verdict, Verdict::safe);  // the amplifier's output is strong
}

/// An output that stays 2 V below a rail of 4.75 V at least reaches 2.75 V: of 4.5 V asked 1.75 V are lost (headroom of
/// the LM358 class, from memory). Without feedback the same part compares, and is meant to stop at both ends.
TEST(Analog, AFollowerWithoutHeadroomLosesTheTop) {
    const auto follower = [](double volts, bool fed_back) {
        Build b = probe(analog_out(volts, 100), adc());
        b.added("U1", stock("dual single-supply op amp"), {"five"});
        b.join("S.OUT", "U1.1IN+");
        if (fed_back) b.join("U1.1OUT", "U1.1IN-");
        if (!fed_back) b.resistor(10e3, "rail three", "U1.1IN-"), b.resistor(10e3, "U1.1IN-", "ground");
        b.resistor(10e3, "U1.1OUT", "C.AIN");
        b.resistor(10e3, "C.AIN", "ground");
        return b.judge();
    };
    const Judgement lost = follower(4.5, true);
    const Found f = find(lost.findings, "amplifier-clips");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::unreadable);
    EXPECT_NEAR(f->value->value, 4.5, 1e-3);
    EXPECT_NEAR(f->margin, -1.75, 0.03);
    EXPECT_EQ(lost.links[0].verdict, Verdict::unreadable);
    EXPECT_EQ(find(follower(2.6, true).findings, "amplifier-clips"), nullptr);
    EXPECT_EQ(find(follower(4.5, false).findings, "amplifier-clips"), nullptr);
}

/// Less than half of full scale is thin: three bits in four hundred would do. 3.2 V is the lowest rail.
TEST(Analog, ARangeThatIsHardlyUsedIsThin) {
    for (const auto& [volts, verdict] : {std::pair{1.0, Verdict::thin}, {2.0, Verdict::safe}}) {
        Build b = probe(analog_out(volts, 100), adc());
        b.join("S.OUT", "C.AIN");
        const Found range = find(b.judge().findings, "adc-range");
        ASSERT_NE(range, nullptr);
        EXPECT_EQ(range->verdict, verdict);
        EXPECT_NEAR(range->value->value, volts, 1e-3);
        EXPECT_EQ(range->advice.empty(), verdict == Verdict::safe);
    }
}

/// Half a millivolt over full scale is none that a converter shows; with one and a half the top of the range is lost.
TEST(Analog, AMillivoltOverFullScaleIsNone) {
    for (const auto& [over, verdict] : {std::pair{0.5e-3, Verdict::safe}, {1.5e-3, Verdict::unreadable}}) {
        Build b({rail("five", 5, 5), rail("three", 3.3, 3.3)});
        b.module("S", {analog_out(3.3 + over, 100)}, "five");
        b.module("C", {adc()}, "three");
        b.join("S.OUT", "C.AIN");
        b.link("moisture", {"S", "OUT", {}}, {"C", "AIN", {}}, LinkKind::analog);
        const Found range = find(b.judge().findings, "adc-range");
        ASSERT_NE(range, nullptr);
        EXPECT_EQ(range->verdict, verdict) << range->arithmetic;
        EXPECT_NEAR(range->margin, -over, 1e-4);
    }
}

/// A sensor whose supply pin is open says nothing, and nothing defines what the converter reads.
TEST(Analog, ASensorWithoutSupplyIsNotReached) {
    for (const bool supplied : {true, false}) {
        Build b = probe(analog_out(3.0, 100), adc());
        b.join("S.OUT", "C.AIN");
        if (!supplied) std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.to == "S.VCC"; });
        const Judgement j = b.judge();
        EXPECT_EQ(find(j.findings, "not-reached") != nullptr, !supplied);
        EXPECT_EQ(find(j.findings, "adc-source") != nullptr, supplied);
        EXPECT_EQ(find(j.findings, "no-supply") != nullptr, !supplied);
    }
}

// Comparator, transistor, optocoupler ----------------------------------------------------------------------

Build into_three(Pin out) {
    Build b = two_rails();
    b.module("D", {out}, "five");
    b.module("R", {input("IN", cmos(), false)}, "three");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    return b;
}

TEST(Circuit, ComparatorWithPullUpToTheReceiversRail) {
    Build b = into_three(output("OUT"));
    b.added("U1", stock("dual comparator"), {"five"});
    b.join("D.OUT", "U1.1IN+");
    b.resistor(15e3, "U1.1IN-", "rail five");
    b.resistor(10e3, "U1.1IN-", "ground");
    b.resistor(10e3, "U1.1OUT", "rail three");
    b.join("U1.1OUT", "R.IN");
    b.join("U1.2IN+", "ground");
    b.join("U1.2IN-", "ground");
    const Judgement j = b.judge();
    const Found high = find_at(j, "high-level", "R");
    ASSERT_NE(high, nullptr);
    EXPECT_NEAR(high->margin, 3.2 * 0.3 - 1e-6 * 10.5e3, 5e-3);  // to its own rail; 1 uA of the output that is off
    const Found low = find_at(j, "low-level", "R");
    ASSERT_NE(low, nullptr);
    EXPECT_GT(low->margin, 0.4);
    EXPECT_FALSE(j.links[0].inverted);
}

TEST(Circuit, NpnInvertsAndSaturates) {
    Build b = into_three(output("OUT"));
    b.added("Q1", stock("npn"));
    b.resistor(10e3, "D.OUT", "Q1.B");
    b.join("Q1.E", "ground");
    b.join("Q1.C", "R.IN");
    b.resistor(10e3, "Q1.C", "rail three");
    Judgement j = b.judge();
    EXPECT_NE(find(j.findings, "inverted"), nullptr);
    EXPECT_TRUE(j.links[0].inverted);
    b.bench.links[0].invert_allowed = true;
    j = b.judge();
    EXPECT_LE(j.links[0].verdict, Verdict::thin);
    EXPECT_NEAR(find_at(j, "high-level", "R")->margin, 3.2 * 0.3, 2e-3);
    EXPECT_GT(find_at(j, "low-level", "R")->margin,
              0.96 - 0.25);  // saturated: below 0.25 V (common practice)
}

TEST(Circuit, OptocouplerCarriesASignalAcrossGrounds) {
    Build b = into_three(output("OUT"));
    b.bench.links[0].invert_allowed = true;
    b.added("U1", stock("optocoupler"));
    b.resistor(470, "D.OUT", "U1.A");
    b.join("U1.K", "ground");
    b.join("U1.E", "ground");
    b.join("U1.C", "R.IN");
    b.resistor(10e3, "U1.C", "rail three");
    const Judgement j = b.judge();
    EXPECT_TRUE(j.links[0].inverted);
    EXPECT_NEAR(find_at(j, "high-level", "R")->margin, 3.2 * 0.3, 5e-3);
    EXPECT_GT(find_at(j, "low-level", "R")->margin, 0.4);
}

// Translators
// ------------------------------------------------------------------------------------------------

Build keeper_between(Pin out, double pull_ohms) {
    Build b = two_rails(rail("five", 5.0, 5.0), rail("three", 3.3, 3.3));
    b.module("D", {out}, "three");
    b.module("R", {input("IN", cmos(), true)}, "five");
    b.added("U1", stock("four-bit auto-direction push-pull translator"), {"three", "five"});
    b.join("D.OUT", "U1.A1");
    b.join("U1.B1", "R.IN");
    b.join("U1.OE", "rail three");
    if (pull_ohms > 0) b.resistor(pull_ohms, "U1.B1", "rail five", 0.0);
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    return b;
}

TEST(Circuit, KeeperTranslatorPassesAPushPullSignal) {
    const Judgement j = keeper_between(output("OUT"), 0).judge();
    EXPECT_EQ(find(j.findings, "contention"), nullptr);
    EXPECT_LE(j.links[0].verdict, Verdict::thin);
    EXPECT_NEAR(find_at(j, "high-level", "R")->margin, 5.0 - 3.5, 2e-2);
}

/// A pull-up against the keeper leaves half a rail: VCC Rk / (Rp + Rk), Rk up to 5.5 kΩ (SCES650E:
/// 4 kΩ typical; practice of the trade: 4.7 kΩ gives about 2.45 V on 5 V).
TEST(Circuit, PullUpOnAKeeperTranslatorLeavesHalfTheRail) {
    const Judgement j = keeper_between(output("OUT"), 4.7e3).judge();
    const Found low = find_at(j, "low-level", "R");
    ASSERT_NE(low, nullptr);
    EXPECT_NEAR(low->value->value, 5.0 * 5.5 / (5.5 + 4.7), 2e-2);
    EXPECT_EQ(low->verdict, Verdict::unreadable);
    for (const LevelBand& band : j.links[0].levels)
        if (band.point == "R.IN" && !band.high) {
            EXPECT_NEAR(band.nominal, 5.0 * 4.0 / (4.0 + 4.7), 2e-2);
        }
}

Build repeater_between(const char* low_side, const char* offset_side) {
    Build b = two_rails();
    Pin pin = open_drain("SDA", 4.7e3);
    pin.role = PinRole::open_drain_io;
    pin.thresholds = cmos();
    b.module("C", {pin}, "three");
    b.module("M", {pin}, "five");
    b.added("U1", stock("two-bit bus repeater with offset low"), {"three", "five"});
    b.join("C.SDA", std::string("U1.") + low_side);
    b.join("M.SDA", std::string("U1.") + offset_side);
    b.link("SDA", {"C", "SDA", {}}, {"M", "SDA", {}}, LinkKind::open_drain);
    return b;
}

TEST(Circuit, RepeaterHoldsItsOffsetLow) {
    const Judgement j = repeater_between("SDAA", "SDAB").judge();
    const Found low = find_at(j, "low-level", "M");
    ASSERT_NE(low, nullptr);
    EXPECT_NEAR(low->value->value, 0.52, 0.06);  // held at 0.52 V
    EXPECT_EQ(low->verdict, Verdict::safe);
    EXPECT_EQ(find(j.findings, "contention"), nullptr);
    EXPECT_NE(find_at(j, "low-level", "C"), nullptr);  // and back again
}

TEST(Circuit, PassGateJoinsTwoBusesThroughItsBias) {
    Build b = repeater_between("SDAA", "SDAB");
    b.bench.wiring->parts.clear();
    std::erase_if(b.bench.wiring->wires,
                  [](const Wire& w) { return w.to.starts_with("U1.") || w.from.starts_with("U1."); });
    b.added("U1", stock("two-bit pass-gate translator"), {"three", ""});
    b.join("C.SDA", "U1.SDA1");
    b.join("M.SDA", "U1.SDA2");
    b.join("U1.EN", "U1.VREF2");
    b.resistor(200e3, "U1.EN", "rail five");
    const Judgement j = b.judge();
    for (const char* end : {"C", "M"}) {
        ASSERT_NE(find_at(j, "low-level", end), nullptr) << end;
        EXPECT_GE(find_at(j, "low-level", end)->margin, 0.4) << end;
        EXPECT_NEAR(find_at(j, "high-level", end)->margin, 0.3 * (*end == 'C' ? 3.2 : 4.75), 0.05) << end;
    }
    EXPECT_EQ(find(j.findings, "over-voltage"), nullptr);
}

TEST(Circuit, SuppliesOfATranslatorExchanged) {
    Build b = two_rails();
    b.added("U1", stock("four-bit auto-direction push-pull translator"), {"five", "three"});
    const Found f = find(b.judge().findings, "supply-order");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::harmful);
    EXPECT_NEAR(f->margin, 3.2 - 5.25, 1e-9);
    EXPECT_NEAR(f->value->value, 5.25, 1e-12);
    EXPECT_NEAR(f->limit->value, 3.2, 1e-12);
}

/// A ring of inverters is judged like everything else: it ends.
TEST(Circuit, RingOscillatorEnds) {
    Build b({three});
    b.added("U1", stock("HC 04"), {"three"});
    b.join("U1.1Y", "U1.2A");
    b.join("U1.2Y", "U1.3A");
    b.join("U1.3Y", "U1.1A");
    b.module("R", {input("IN", cmos(), false)}, "three");
    b.join("U1.3Y", "R.IN");
    const Judgement j = b.judge();
    EXPECT_TRUE(j.trouble.empty()) << j.trouble;
    EXPECT_EQ(find(j.findings, "contention"), nullptr);
}

/// Figures that are ranges: off for sure is the least of them, on for sure the most.
TEST(Load, FiguresThatAreRangesCountAtTheirHardEnds) {
    Build b = relay(open_drain("OUT"));
    auto type = std::make_shared<PartType>(*b.bench.parts[1].type);
    type->pins[0].load->off_below = {Span<Amps>::between(Amps{0.1e-3}, Amps{0.5e-3}), sheet};
    type->pins[0].load->on_above = {Span<Amps>::between(Amps{2e-3}, Amps{3e-3}), sheet};
    b.bench.parts[1].type = type;
    const Judgement j = b.judge();
    const Found on = find(j.findings, "load-never-on"), off = find(j.findings, "load-never-off");
    EXPECT_NEAR(on->margin, on->value->value - 3e-3, 1e-12);
    EXPECT_NEAR(off->margin, 0.1e-3 - off->value->value, 1e-12);
    b.resistor(2.2e3, "D.OUT", "ground", 0.0);
    const Found reset = find(b.judge().findings, "load-at-reset");
    ASSERT_NE(reset, nullptr);
    EXPECT_NEAR(reset->margin, 0.1e-3 - reset->value->value, 1e-12);
}

/// A converter on ground or on its rail has a voltage; open, or on a line that nothing defines, it has none.
TEST(Analog, AConverterOnASupplyIsDefined) {
    for (const auto& [to, defined] : {std::pair{"ground", true}, {"rail three", true}, {"", false}}) {
        Build b = probe(analog_out(3.0, 100), adc());
        if (*to) b.join("C.AIN", to);
        EXPECT_EQ(find(b.judge().findings, "not-reached") == nullptr, defined) << to;
    }
}

}  // namespace
}  // namespace voltsill
