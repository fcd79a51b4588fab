/// Pins left open and straps: what is asked of a control pin, and of whom nothing is asked.
#include <gtest/gtest.h>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

/// The findings of check_open_pins at a pin, by code; "" when there is none.
std::string asked_at(const Judgement& j, std::string_view part, std::string_view pin) {
    std::string codes;
    for (const Finding& f : j.findings)
        if (f.part == part && f.pin.ends_with(pin) &&
            (f.code.ends_with("-open") || f.code.starts_with("strap-") || f.code == "threshold-unknown"))
            codes += (codes.empty() ? "" : " ") + f.code;
    return codes;
}

/// A driver and a receiver on 5 V, channel 1 of a quad buffer with an enable each (low: on) between them.
Build gated(const std::string& enable, const char* type = "HC 125") {
    Build b({rail("five", 5, 5), rail("three", 3.3, 3.3)});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", ttl(), true)}, "five");
    b.added("U1", stock(type), {"five"});
    b.join("D.OUT", "U1.1A");
    b.join("U1.1Y", "R.IN");
    if (!enable.empty()) b.join("U1.1OE", enable);
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    return b;
}

/// A pin that has to be tied is asked for whatever it is; one that need not be and controls nothing, never.
TEST(OpenPins, APinThatMustBeTiedIsNamedWhenOpen) {
    for (const PinRole role : {PinRole::input, PinRole::io, PinRole::open_drain_io})
        for (const bool must : {true, false})
            for (const char* to : {"", "ground", "rail five"}) {
                Pin boot = input("BOOT", cmos(), true);
                boot.role = role, boot.must_be_tied = must;
                Build b({five});
                b.module("M", {boot}, "five");
                if (*to) b.resistor(10e3, "M.BOOT", to);
                EXPECT_EQ(asked_at(b.judge(), "M", "BOOT"), must && !*to ? "input-open" : "")
                    << int(role) << must << to;
            }
}

TEST(OpenPins, AnEnableThatKeepsItsChannelsOffIsToldWhereTheyAreInUse) {
    for (const bool in : {true, false})
        for (const bool out : {true, false}) {
            Build b = gated("ground");
            b.join("U1.2OE", "rail five");
            b.join("U1.3OE", "rail five");
            b.join("U1.4OE", "rail five");
            if (in) b.join("U1.2A", "ground");
            if (out) b.resistor(10e3, "U1.2Y", "ground");
            EXPECT_EQ(asked_at(b.judge(), "U1", "2OE"), in || out ? "strap-off" : "") << in << out;
        }
    const Found off = find(gated("rail five").judge().findings, "strap-off");
    ASSERT_NE(off, nullptr);
    EXPECT_EQ(off->link, "signal");
    EXPECT_EQ(off->verdict, Verdict::unreadable);
    EXPECT_NEAR(off->value->value, 5.0, 1e-9);
    EXPECT_NEAR(off->margin, 5.0 - 3.5, 2e-3);  // VIH between 3.15 V at 4.5 V and 4.2 V at 6 V (SCHS119B)
    EXPECT_EQ(off->advice, "Tie it to ground.");
    EXPECT_EQ(asked_at(gated("ground").judge(), "U1", "1OE"), "");
}

/// An enable that is on when high wants its rail; a direction may be either, but not between.
TEST(OpenPins, AdviceNamesTheActiveLevel) {
    Build b({five, three});
    b.module("D", {output("OUT")}, "three");
    b.module("R", {input("IN", cmos(), true)}, "five");
    b.added("U1", stock("four-bit auto-direction push-pull translator"), {"three", "five"});
    b.join("D.OUT", "U1.A1");
    b.join("U1.B1", "R.IN");
    b.join("U1.OE", "ground");
    const Found off = find(b.judge().findings, "strap-off");
    ASSERT_NE(off, nullptr);
    EXPECT_EQ(off->advice, "Tie it to the rail its levels follow.");
    EXPECT_NEAR(off->value->value, 0.0, 1e-9);

    const auto between = [](const char* pin) {
        Build octal({rail("five", 5, 5), rail("three", 3.3, 3.3)});
        octal.module("D", {output("OUT")}, "five");
        octal.added("U1", stock("HC 245"), {"five"});
        octal.join("D.OUT", "U1.A1");
        octal.join("U1.OE", pin == std::string("OE") ? "rail three" : "ground");
        octal.join("U1.DIR", pin == std::string("DIR") ? "rail three" : "rail five");
        return find(octal.judge().findings, "strap-level");
    };
    for (const auto& [pin, advice] :
         {std::pair{"OE", "Tie it to ground."}, {"DIR", "Tie it to the rail its levels follow."}}) {
        const Found f = between(pin);
        ASSERT_NE(f, nullptr) << pin;
        EXPECT_TRUE(f->pin.ends_with(pin)) << f->pin;
        EXPECT_NEAR(f->margin, 3.3 - 3.5, 2e-3);
        EXPECT_EQ(f->advice, advice);
    }
}

/// Half of 5 V at a strap: between VIL 1.5 V and VIH 3.5 V of HC at 5 V (on the lines between its rows, SCHS119B).
TEST(OpenPins, AStrapBehindResistorsIsReadWhereTheyPutIt) {
    Build b = gated("");
    b.resistor(10e3, "U1.1OE", "rail five", 0.01);
    EXPECT_EQ(asked_at(b.judge(), "U1", "1OE"), "strap-off");
    b.resistor(10e3, "U1.1OE", "ground", 0.01);
    const Found half = find(b.judge().findings, "strap-level");
    ASSERT_NE(half, nullptr);
    EXPECT_NEAR(half->value->value, 2.5, 1e-3);
    b.resistor(1e3, "U1.1OE", "ground", 0.01);
    EXPECT_EQ(asked_at(b.judge(), "U1", "1OE"), "");
}

/// Who drives a control pin defines it; who only may let go, or is only listened to, does not.
TEST(OpenPins, AControlPinIsDefinedByWhoeverCanDriveIt) {
    for (const auto& [role, open] : {std::pair{PinRole::push_pull, false},
                                     {PinRole::open_drain, false},
                                     {PinRole::io, true},
                                     {PinRole::analog_input, true}}) {
        Pin pin = output("SEL");
        pin.role = role;
        Build b = gated("");
        b.module("C", {pin}, "five");
        b.join("C.SEL", "U1.1OE");
        EXPECT_EQ(asked_at(b.judge(), "U1", "1OE"), open ? "control-open" : "") << int(role);
    }
}

/// Nobody has said what the enable reads: then nobody can say whether the channel is on, on whatever it is tied.
TEST(OpenPins, AStrapWithoutThresholdsIsUnknown) {
    for (const char* to : {"ground", "rail five"}) {
        Build b = gated(to);
        auto type = std::make_shared<PartType>(*b.bench.wiring->parts[0].type);
        type->pins[type->pin_index("1OE")].thresholds.clear();
        b.bench.wiring->parts[0].type = type;
        const Judgement j = b.judge();
        const Found f = find_at(j, "threshold-unknown", "U1");
        ASSERT_NE(f, nullptr) << to;
        EXPECT_EQ(f->verdict, Verdict::unknown);
        EXPECT_EQ(f->link, "signal");
        EXPECT_NEAR(f->value->value, *to == 'g' ? 0.0 : 5.0, 1e-9);
        EXPECT_FALSE(f->limit);
        EXPECT_EQ(asked_at(j, "U1", "1OE"), "threshold-unknown");
    }
}

/// Whoever listens on a line taken in turns sees it float between them, also a pin that could drive; an output that
/// never lets go leaves no such time, and a line of its own listener none either.
TEST(OpenPins, AListenerOnALineTakenInTurnsSeesItFloat) {
    const auto floats_at = [](PinRole second, PinRole listener) {
        Build b({three});
        for (const auto& [name, role] : {std::pair{"A", PinRole::three_state}, {"B", second}}) {
            Pin p = output("OUT");
            p.role = role;
            b.module(name, {p}, "three");
        }
        Pin in = input("IN", ttl(), true);
        in.role = listener;
        b.module("R", {in}, "three");
        b.join("A.OUT", "R.IN");
        b.join("B.OUT", "R.IN");
        Link& l = b.link("MISO", {"A", "OUT", {}}, {"R", "IN", {}});
        l.from.push_back({"B", "OUT", {}});
        return find_at(b.judge(), "floats-between-drivers", "R");
    };
    for (const PinRole listener : {PinRole::input, PinRole::io}) {
        const Found f = floats_at(PinRole::three_state, listener);
        ASSERT_NE(f, nullptr) << int(listener);
        EXPECT_EQ(f->link, "MISO");
        EXPECT_NE(f->sentence.find("neither A.OUT nor B.OUT"), std::string::npos) << f->sentence;
        EXPECT_EQ(floats_at(PinRole::push_pull, listener), nullptr);
    }
    EXPECT_EQ(floats_at(PinRole::three_state, PinRole::analog_input), nullptr) << "a converter reads what it gets";
}

/// An input of a channel is asked for also where its type does not say that it must be tied;
/// one that no channel reads is not.
TEST(OpenPins, AnInputOfAChannelIsNamedWhenOpen) {
    auto type = std::make_shared<PartType>(
        *hand::module("buffer", {input("A", cmos(), true), input("NONE", cmos(), true), output("Y")}));
    type->kind = PartKind::logic;
    type->channels = {{.logic = ChannelLogic::buffer, .inputs = {0}, .output = 2, .name = "1"}};
    Build b({five});
    b.part("U1", type, {"five"});
    EXPECT_EQ(asked_at(b.judge(), "U1", "A"), "input-open");
    EXPECT_EQ(asked_at(b.judge(), "U1", "NONE"), "");
    b.join("U1.A", "ground");
    EXPECT_EQ(asked_at(b.judge(), "U1", "A"), "");
}

/// An open control pin wants its active level: an enable low or high, a direction either.
TEST(OpenPins, AnOpenControlPinIsToldWhereItBelongs) {
    const auto advice = [](const char* type, const char* pin) {
        Build b({five});
        b.module("D", {output("OUT")}, "five");
        b.added("U1", stock(type), {"five"});
        b.join("D.OUT", "U1.A1");
        for (const Finding& f : b.judge().findings)
            if (f.code == "control-open" && f.pin.ends_with(pin)) return f.advice;
        return std::string();
    };
    EXPECT_EQ(advice("HC 245", "DIR"), "Tie it high or low, to the rail its levels follow.");
    EXPECT_EQ(advice("HC 245", "OE"), "Tie it low (to ground), to its own supply's rail.");
    EXPECT_EQ(advice("four-bit auto-direction push-pull translator", "OE"), "Tie it high, to its own supply's rail.");
}

}  // namespace
}  // namespace voltsill
