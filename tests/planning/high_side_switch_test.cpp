/// Values of the high-side switch against arithmetic from the bench's own figures. Forced gain 10, 10 kΩ that hold a
/// transistor off and a fifth of VGS kept are common practice, no source.
#include <gmock/gmock.h>

#include "circuit_cases.h"
#include "planning/assembly.h"

namespace voltsill {
namespace {

using namespace sample;

constexpr double tolerance = 0.05, vbe = 0.85;  // of the resistors, and of either transistor at most
constexpr Volts rail_lo{11.4}, rail_hi{12.6};

/// `lamp` with another resistor in it and a current that it surely needs, in mA.
Two lamp_of(const char* ohms, const char* needs) {
    Two two = lamp;
    two.in_keys = fmt::format("load = {{ to = \"ground\", forward = \"1.0..1.15..1.4 V\", ohms = \"{} ± 5 %\", "
                              "on_above = \"{} mA\", off_below = \"0.1 mA\", consequence = \"lamp lights\" }}",
                              ohms, needs);
    return two;
}

/// The candidate whose title begins so, and its wiring.
struct Switch {
    Evaluated evaluated;
    Wiring wiring;
    Bench bench;
    double ohms(std::string_view purpose) const {
        const WiredPart* part = added(wiring, purpose);
        EXPECT_TRUE(part && part->value) << purpose;
        return part && part->value ? *part->value : 0;
    }
};
Switch switch_of(const Two& two, std::string_view begins) {
    const Bench bench = two.bench();
    for (const Crossing& c : crossings_of(bench))
        for (const Evaluated& e : evaluate_all(c))
            if (e.candidate.circuit == "high-side-switch" && e.candidate.title.starts_with(begins)) {
                CrossingBuild b = build_on(c, e.recipe);
                return {e, std::move(b.wiring), std::move(b.bench)};
            }
    ADD_FAILURE() << "no candidate begins with " << begins;
    return {};
}

const Finding* found(const Judgement& j, std::string_view code) {
    for (const Finding& f : j.findings)
        if (f.code == code) return &f;
    return nullptr;
}

/// 55.5 mA at most: (12.6 V - 1.0 V) / 209 Ω. Each base gets a tenth of what its collector carries, beside what the
/// 10 kΩ take, from the lowest rail (0.2 V of the lower transistor) and the lowest high, 3.1 V.
TEST(HighSideSwitch, BasesGetATenthOfTheCurrentTheySwitch) {
    const Switch s = switch_of(lamp_of("220 Ω", "40"), "pnp");
    EXPECT_EQ(s.evaluated.candidate.verdict, Verdict::safe) << s.evaluated.candidate.why_not;
    const double load = (rail_hi.si() - 1.0) / (220 * (1 - tolerance)), hold = vbe / 10e3;
    const double upper = s.ohms("upper base resistor"), lower = s.ohms("base resistor");
    EXPECT_GE((rail_lo.si() - vbe - 0.2) / upper - hold, load / 10);
    EXPECT_GE((3.1 - vbe) / lower - hold, rail_hi.si() / upper / 10);
    EXPECT_LT((rail_lo.si() - vbe - 0.2) / upper - hold, load / 10 * 1.25) << "the next value of E12 would do";
}

/// What the judge finds on a load of 220 Ω: the rail less the diode over the resistor, less what the PNP keeps.
TEST(HighSideSwitch, LoadGetsWhatItsRailGives) {
    const Switch s = switch_of(lamp_of("220 Ω", "40"), "pnp");
    const Judgement j = judge(s.bench, s.wiring);
    const Finding *on = found(j, "load-never-on"), *off = found(j, "load-never-off");
    ASSERT_TRUE(on && off);
    EXPECT_LE(on->value->value, (rail_lo.si() - 1.4) / 231);
    EXPECT_GE(on->value->value, (rail_lo.si() - 1.4 - 0.4) / 231);
    EXPECT_LT(off->value->value, 10e-6);
}

/// 10 kΩ and a resistor before the gate of a FET that stands 8 V, with either at the end of its tolerance; none at 5 V.
TEST(HighSideSwitch, GateGetsNoMoreThanItStandsAndMoreThanItsThreshold) {
    const Switch s = switch_of(lamp, "p-mosfet");
    EXPECT_EQ(s.evaluated.candidate.verdict, Verdict::safe) << s.evaluated.candidate.why_not;
    const double series = s.ohms("upper gate"), hold = s.ohms("keeps the transistor");
    EXPECT_LE(rail_hi.si() * hold * (1 + tolerance) / (hold * (1 + tolerance) + series * (1 - tolerance)), 8);
    EXPECT_GE(rail_lo.si() * hold * (1 - tolerance) / (hold * (1 - tolerance) + series * (1 + tolerance)), 1.2 + 0.3);
    EXPECT_EQ(count_of(s.wiring, PartKind::resistor), 3);
    EXPECT_EQ(count_of(switch_of(led, "p-mosfet").wiring, PartKind::resistor), 2);
}

/// ln 9 * 10 kΩ * 500 pF = 11 µs, a tenth of a bit at 9.1 kHz.
TEST(HighSideSwitch, FetIsLeftOutWhereItsGateIsTooSlow) {
    const auto pairs = [](const char* rate) {
        std::string titles;
        for (const Evaluated& e : tried(with(lamp, fmt::format("rate = \"{}\"", rate)).bench()))
            if (e.candidate.circuit == "high-side-switch") titles += e.candidate.title + "\n";
        return titles;
    };
    EXPECT_THAT(pairs("9 kHz"), testing::AllOf(testing::HasSubstr("p-mosfet"), testing::HasSubstr("pnp")));
    EXPECT_THAT(pairs("9.2 kHz"),
                testing::AllOf(testing::Not(testing::HasSubstr("p-mosfet")), testing::HasSubstr("pnp")));
    EXPECT_THAT(pairs("20 kHz"), testing::HasSubstr("pnp"));
}

/// The caution is what the judge says: through the body diode the load keeps the rail less one drop.
TEST(HighSideSwitch, ExchangedDrainAndSourceKeepTheLoadOn) {
    Switch s = switch_of(lamp, "p-mosfet");
    for (WiredPart& part : s.wiring.parts)
        if (part.type->name == "p-mosfet")
            std::swap(part.net_of_pin[part.type->pin_index("D")], part.net_of_pin[part.type->pin_index("S")]);
    const Judgement j = judge(s.bench, s.wiring);
    const Finding* off = found(j, "load-never-off");
    ASSERT_TRUE(off);
    EXPECT_EQ(off->verdict, Verdict::unreadable);
    EXPECT_NEAR(off->value->value, (rail_hi.si() - 0.5 - 1.0) / 2090, 0.2e-3);
}

/// A load that 3.3 V feed well enough keeps its wire; what needs its own rail gets the parts that a drawer has in
/// packages for the board.
TEST(HighSideSwitch, IsChosenWhereNothingSimplerFeedsTheLoad) {
    EXPECT_EQ(plan(led.bench()).links.at(0).chosen->circuit, "direct");
    const Plan p = plan(lamp.bench());
    ASSERT_TRUE(p.links.at(0).chosen);
    EXPECT_THAT(p.links[0].chosen->title, testing::StartsWith("pnp from rail twelve"));
    EXPECT_FALSE(p.links[0].chosen->inverted);
}

/// While a controller starts its pin may pull up by 45 kΩ or more: the base then stays below 0.55 V, the least VBE that
/// conducts, the gate below 0.8 V, the least threshold. The judge finds neither on, and both without that resistor.
TEST(HighSideSwitch, IsOffAtReset) {
    const Two two =
        keyed(lamp, "pulls = [{ to = \"supply\", ohms = \"45 kΩ\", at_reset = true }]", lamp.in_keys.c_str());
    const double rail = 3.3 * 1.03, pull = 45e3;
    Switch bipolar = switch_of(two, "pnp"), fet = switch_of(two, "p-mosfet");
    const double base = bipolar.ohms("keeps signal off") * (1 + tolerance),
                 gate = fet.ohms("holds signal off") * (1 + tolerance);
    EXPECT_LT(rail * base / (base + bipolar.ohms("base resistor") * (1 - tolerance) + pull), 0.55);
    EXPECT_LT(rail * gate / (gate + pull), 0.8);
    for (Switch* s : {&bipolar, &fet}) {
        EXPECT_EQ(s->evaluated.candidate.verdict, Verdict::safe) << s->evaluated.candidate.why_not;
        EXPECT_EQ(found(judge(s->bench, s->wiring), "load-at-reset"), nullptr);
        for (WiredPart& part : s->wiring.parts)
            if (part.purpose.starts_with("keeps signal off") || part.purpose.starts_with("holds signal off"))
                part.net_of_pin.assign(2, unconnected);
        EXPECT_NE(found(judge(s->bench, s->wiring), "load-at-reset"), nullptr) << s->evaluated.candidate.title;
    }
}

}  // namespace
}  // namespace voltsill
