/// Benches whose own types leave something out that parts of the catalogue have: no supply, no rail, no such part.
#include <gmock/gmock.h>

#include <algorithm>

#include "sample.h"

namespace voltsill {
namespace {

using namespace sample;
using testing::HasSubstr;

/// Own types that bear the names of all of a kind, so that the catalogue has none of it left.
std::string without(PartKind kind) {
    std::string text;
    for (const auto& type : Catalogue::built_in().types())
        if (type->kind == kind)
            text += fmt::format("[types.\"{}\"]\ntitle = \"hidden\"\npins.GND = {{ is = \"ground\" }}\n", type->name);
    return text;
}

/// That a type hides another is told as a warning.
Bench hiding(const std::string& text) {
    const BenchReading reading = read_bench(text, "sample.toml");
    for (const Problem& p : reading.problems) EXPECT_EQ(p.code, "hides-type") << p.message;
    return reading.bench.value_or(Bench{});
}

/// What a circuit is made of cannot be found: it says so, or the judge finds no signal at the receiver.
TEST(OddParts, ACircuitWhosePartIsHiddenIsNotProposed) {
    Two inverting = down, slow = down, load = relay;
    inverting.link = slow.link = "invert = true\nrate = \"1 kHz\"";
    struct Hidden {
        PartKind kind;
        Two bench;
        const char *circuit, *says;
    };
    for (const Hidden& h : {Hidden{PartKind::opto, slow, "opto", "no optocoupler"},
                            Hidden{PartKind::comparator, up, "comparator", "no comparator"},
                            Hidden{PartKind::op_amp, analog, "follower", "no op amp"},
                            Hidden{PartKind::bjt, inverting, "npn-inverter", "no NPN transistor"},
                            Hidden{PartKind::mosfet, inverting, "fet-inverter", "no N-channel FET"},
                            Hidden{PartKind::mosfet, bus, "two-way-fet", "no N-channel FET"},
                            Hidden{PartKind::diode, down, "blocking-diode", "no Schottky diode"},
                            Hidden{PartKind::translator, bus, "auto-open-drain", "no such part"},
                            Hidden{PartKind::resistor, down, "divider", "R.IN"}}) {
        const Bench bench = hiding(h.bench.text() + without(h.kind));
        const Evaluated e = of(bench, h.circuit);
        EXPECT_FALSE(e.would_serve) << h.circuit;
        EXPECT_THAT(e.candidate.why_not, HasSubstr(h.says)) << h.circuit;
        EXPECT_TRUE(of(h.bench.bench(), h.circuit).would_serve) << h.circuit << " with the catalogue as it is";
    }
}

/// A load is switched by an NPN transistor or a driver array where there is no FET, and by nothing without all three.
TEST(OddParts, LoadsAreSwitchedByWhatIsThere) {
    const auto titles = [](const std::string& hidden) {
        std::string all;
        for (const Evaluated& e : tried(hiding(relay.text() + hidden)))
            if (e.candidate.circuit == "load-driver") all += e.candidate.title + e.candidate.why_not + "\n";
        return all;
    };
    const std::string arrays = "[types.\"darlington driver 8\"]\ntitle = \"hidden\"\npins.GND = { is = \"ground\" }\n";
    EXPECT_THAT(titles(""), testing::AllOf(HasSubstr("mosfet"), HasSubstr("npn"), HasSubstr("darlington")));
    EXPECT_THAT(titles(without(PartKind::mosfet)), testing::Not(HasSubstr("mosfet")));
    EXPECT_THAT(titles(without(PartKind::mosfet) + without(PartKind::bjt) + arrays), HasSubstr("no N-channel FET"));
}

/// 34 V + 3 % at the drain: of the catalogue's FETs those that stand 20 V are left out, whatever their price.
TEST(OddParts, TransistorsStandTheRailTheySwitch) {
    Two high = relay;
    high.in_rail = "high";
    int seen = 0;
    for (const Evaluated& e : tried(high.bench()))
        if (e.candidate.circuit == "load-driver")
            for (const std::string& name : e.uses)
                if (const PartType* type = Catalogue::built_in().find(name); type && type->kind == PartKind::mosfet) {
                    EXPECT_GT(std::get<MosfetModel>(type->model).vds_max, Volts{35.02}) << name;
                    ++seen;
                }
    EXPECT_GE(seen, 1);
}

/// Without a capacitor type nothing decouples the added part, and the finding about it says so.
TEST(OddParts, AnAddedPartWithoutCapacitorIsSaidToMissIt) {
    const std::string text = with(up, "interface = \"dual-supply\"").text();
    const auto missing = [](const Plan& p) {
        return std::ranges::count(p.judgement.findings, "missing-decoupling", &Finding::code);
    };
    const Plan as_it_is = plan(read(text)), bare = plan(hiding(text + without(PartKind::capacitor)));
    EXPECT_EQ(count_of(as_it_is.wiring, PartKind::capacitor), 2);
    EXPECT_EQ(missing(as_it_is), 0);
    EXPECT_EQ(count_of(bare.wiring, PartKind::capacitor), 0);
    EXPECT_GE(missing(bare), 1);
}

/// A comparator or op amp of the bench's own that has no supply, and one without channels, is cheaper than all others
/// and still not what a circuit is built of.
TEST(OddParts, AmplifiersWithoutSupplyOrChannelsAreNotUsed) {
    const auto own = [](const char* kind, const char* more) {
        return fmt::format(
            "[types.own]\nkind = \"{0}\"\nprice = 0.001\n{0} = {{ headroom_top = \"1 V\", headroom_bottom = "
            "\"0 V\" }}\npins.\"P N\" = {{ is = \"input\" }}\npins.O = {{ is = \"open-drain\" }}\npins.GND = "
            "{{ is = \"ground\" }}\n{1}",
            kind, more);
    };
    const char* const channel = "channels = [{ plus = \"P\", minus = \"N\", out = \"O\" }]\n";
    const char* const supply = "supplies.VCC = { range = \"1.2..60 V\", max = \"-0.3..70 V\" }\n";
    for (const char* more : {channel, supply}) {
        const Evaluated compared = of(read(up.text() + own("comparator", more)), "comparator");
        EXPECT_THAT(compared.candidate.title, testing::StartsWith("dual comparator"));
        const Evaluated followed = of(read(analog.text() + own("op_amp", more)), "follower");
        EXPECT_THAT(followed.candidate.title, HasSubstr("op amp"));
    }
}

/// A contact to ground (reed, float switch): no rail of its own, no high. One pull-up at the receiver's rail does it.
TEST(OddParts, AContactToGroundGetsAPullUpAndNothingElse) {
    const Bench bench = read(
        R"(title = "contact"
[rails]
three = "3.3 V ± 3 %"
[parts]
K = { type = "contact" }
R = { type = "receiver", supply = "three" }
[[links]]
name = "float"
from = "K.OUT"
to = "R.IN"
rate = "10 Hz"
[types.contact]
source = "invented for this test"
invented = true
pins.OUT = { is = "open-drain", max = "30 V", min = "-30 V", clamps = "none" }
pins.GND = { is = "ground" }
[types.receiver]
source = "invented for this test"
invented = true
supplies.VCC = { range = "3.0..3.6 V", max = "-0.3..4 V", decoupling = false }
pins.IN = { like = "CMOS input, 3.3 V" }
pins.GND = { is = "ground" }
)");
    const Plan p = plan(bench);
    ASSERT_TRUE(p.links[0].chosen);
    EXPECT_EQ(p.links[0].chosen->circuit, "pull-up");
    const WiredPart* pull = added(p.wiring, "pull-up");
    ASSERT_NE(pull, nullptr);
    EXPECT_EQ(p.wiring.nets[pull->net_of_pin[0]].rail, "three");
    EXPECT_EQ(pull->net_of_pin[1], p.wiring.net_at("K", "OUT"));
    EXPECT_EQ(count_of(p.wiring, PartKind::resistor), 1);
    for (const char* circuit : {"two-way-fet", "dual-supply", "auto-open-drain"})
        EXPECT_THAT(of(bench, circuit).candidate.why_not, testing::AnyOf(HasSubstr("rail"), HasSubstr("push high")));
    EXPECT_THAT(of(bench, "low-rail-buffer").candidate.why_not, HasSubstr("no rail of its own"));
}

/// A receiver that no rail of the bench feeds (a panel meter on its own cell) has nothing to pull its line up to.
TEST(OddParts, AReceiverWithoutRailGetsNoCircuitThatNeedsOne) {
    Two two{"push-pull output, 5 V", "five", "", "five", "rate = \"1 kHz\"\ninvert = true"};
    std::string text = two.text();
    const auto cut = [&](const std::string& from, const std::string& to) {
        const size_t at = text.find(from);
        ASSERT_NE(at, std::string::npos) << from;
        text.replace(at, from.size(), to);
    };
    cut("R = { type = \"receiver\", supply = \"five\" }", "R = { type = \"receiver\" }");
    text.resize(text.find("[types.receiver]"));
    text +=
        R"([types.receiver]
source = "invented for this test"
invented = true
pins.IN = { is = "input", max = "6 V", min = "-0.3 V", clamps = "none", thresholds = [
    { supply = "0..60 V", low = "0.8 V", high = "2 V" },
] }
pins.GND = { is = "ground" }
)";
    const Bench bench = read(text);
    for (const char* circuit : {"npn-inverter", "fet-inverter", "inverter-pair", "opto", "comparator", "two-way-fet"}) {
        const Evaluated e = of(bench, circuit);
        EXPECT_FALSE(e.would_serve) << circuit;
        EXPECT_THAT(e.candidate.why_not, HasSubstr("rail")) << circuit;
    }
    EXPECT_THAT(of(bench, "direct").candidate.why_not, testing::Not(HasSubstr("rail for")));
}

/// A count of none is no stock; a count beside a series says nothing of the span of values.
TEST(OddParts, StockOfNoneIsNone) {
    const auto bench = [](const char* stock) { return with(up, "", stock).bench(); };
    EXPECT_FALSE(in_stock(bench("[stock]\n\"HCT 541\" = 0\n"), "HCT 541"));
    EXPECT_TRUE(in_stock(bench("[stock]\n\"HCT 541\" = 1\n"), "HCT 541"));
    const ResistorStock counted = resistor_stock(bench("[stock]\n\"resistor E24\" = 100\n"));
    EXPECT_EQ(counted.series, Series::E24);
    EXPECT_EQ(counted.span.lo, ResistorStock{}.span.lo);
    EXPECT_EQ(counted.span.hi, ResistorStock{}.span.hi);
    // E96 is bought with 1 % (IEC 60063), whatever the type of the catalogue has.
    EXPECT_EQ(resistor_stock(bench("[stock]\n\"resistor E96\" = 100\n")).tolerance, 0.01);
    EXPECT_EQ(counted.tolerance, 0.05);
}

/// A suggestion is never built, not even when the user asks for it by name; nor what cannot be proposed at all.
TEST(OddParts, WhatMayNotBeBuiltIsNotBuiltOnDemand) {
    for (const char* circuit : {"change-of-supply", "repeater"}) {
        std::string text = with(up, fmt::format("interface = \"{}\"", circuit)).text();
        const std::string range = "range = \"3.0..3.6 V\", max = \"-0.3..4 V\"";
        text.replace(text.find(range), range.size(), "range = \"3.0..5.5 V\", max = \"-0.3..6 V\"");
        const Plan p = plan(read(text));
        EXPECT_FALSE(p.links[0].chosen) << circuit;
        EXPECT_EQ(p.wiring.net_at("D", "OUT"), unconnected) << circuit;
    }
}

/// Alike links share an evaluation; names that go on after an underscore are other names.
TEST(OddParts, NamesThatBeginAlikeAreToldApart) {
    std::string text = down.text();
    const auto twice = [&](const std::string& from, const std::string& more) {
        text.insert(text.find(from) + from.size(), more);
    };
    twice("[parts]\n",
          "D_2 = { type = \"driver\", supply = \"five\" }\nR_2 = { type = \"receiver\", supply = \"three\" }\n");
    twice("rate = \"10 kHz\"\n",
          "[[links]]\nname = \"signal_2\"\nfrom = \"D_2.OUT\"\nto = \"R_2.IN\"\nrate = \"10 kHz\"\n");
    const Plan p = plan(read(text));
    ASSERT_EQ(p.links.size(), 2u);
    bool named = false;
    for (const Candidate& c : p.links[1].rejected) {
        for (const char* wrong : {"R.IN", "D.OUT", "_2_2"}) EXPECT_THAT(c.why_not, testing::Not(HasSubstr(wrong)));
        named = named || c.why_not.find("R_2.IN") != std::string::npos;
    }
    EXPECT_TRUE(named);
}

/// A translator with its A side made for 5 V and its B side for 3.3 V (the way of the 4245): from 3.3 V to 5 V it works
/// from B to A, with its direction low, and the outputs of its spare channels, then on the B side, at ground.
TEST(OddParts, APartThatOnlyFitsTheOtherWayRoundIsTurned) {
    const std::string type =
        "[types.\"own 4245\"]\nkind = \"logic\"\nprice = 0.001\nsource = \"invented for this test\"\ninvented = true\n"
        "supplies.VCCA = { range = \"4.5..5.5 V\", max = \"-0.5..6.5 V\", current = \"0.1 mA\" }\n"
        "supplies.VCCB = { range = \"2.7..3.6 V\", max = \"-0.5..4.6 V\", current = \"0.1 mA\" }\n"
        "pins.\"A1 A2\" = { like = \"controller pin, 5 V\", supply = \"VCCA\" }\n"
        "pins.\"B1 B2\" = { like = \"controller pin, 3.3 V\", supply = \"VCCB\" }\n"
        "pins.\"DIR /OE\" = { like = \"TTL input, 5 V\", supply = \"VCCA\" }\npins.GND = { is = \"ground\" }\n"
        "channels = [{ logic = \"transceiver\", from = \"A1 A2\", to = \"B1 B2\", "
        "enable = \"/OE\", direction = \"DIR\" }]\n";
    for (const Two& two : {up, down}) {
        const bool rising = two.out_rail == "three";
        const std::string stock = "[stock]\n\"own 4245\" = 1\n\"capacitor\" = 9\n";
        const Plan p = plan(read(with(two, "interface = \"dual-supply\"", stock).text() + type));
        ASSERT_TRUE(p.links[0].chosen);
        const int u = p.wiring.part("U1");
        ASSERT_GE(u, 0);
        EXPECT_EQ(p.wiring.parts[u].type->name, "own 4245");
        const auto net = [&](const char* pin) { return p.wiring.net_at("U1", pin); };
        EXPECT_EQ(p.wiring.nets[net("VCCA")].rail, "five");
        EXPECT_EQ(p.wiring.nets[net("VCCB")].rail, "three");
        EXPECT_EQ(net(rising ? "B1" : "A1"), p.wiring.net_at("D", "OUT"));
        EXPECT_EQ(net(rising ? "A1" : "B1"), p.wiring.net_at("R", "IN"));
        EXPECT_TRUE(p.wiring.nets[net("/OE")].ground);
        EXPECT_EQ(p.wiring.nets[net("DIR")].rail, rising ? "" : "five");
        EXPECT_EQ(p.wiring.nets[net("DIR")].ground, rising);
        EXPECT_TRUE(p.wiring.nets[net(rising ? "B2" : "A2")].ground);  // inputs of the spare channel
        EXPECT_EQ(net(rising ? "A2" : "B2"), unconnected);
        EXPECT_LE(p.judgement.links[0].verdict, Verdict::thin) << p.links[0].chosen->title;
    }
}

/// Driver arrays of the bench's own: one without a common cathode is used all the same, one that pushes is none.
TEST(OddParts, ADriverArrayNeedsOpenOutputsAndNoCommonCathode) {
    const auto own = [](const char* role, const char* com) {
        return fmt::format(
            "[types.own]\nkind = \"logic\"\nprice = 0.001\nsource = \"invented for this test\"\ninvented = "
            "true\n{}pins.\"I1 I2\" = {{ like = \"Darlington input\" }}\npins.\"O1 O2\" = {{ is = \"{}\", max = "
            "\"50 V\", low = [{{ supply = \"0..60 V\", at = \"100 mA\", level = \"1 V\" }}] }}\npins.GND = {{ is = "
            "\"ground\" }}\nchannels = [{{ logic = \"inverter\", from = \"I1 I2\", to = \"O1 O2\" }}]\n",
            com, role);
    };
    const auto array = [](const Bench& bench) {
        for (const Evaluated& e : tried(bench))
            if (e.candidate.circuit == "load-driver" && e.recipe.ic) return e;
        return Evaluated{};
    };
    EXPECT_EQ(array(read(relay.text() + own("open-drain", ""))).recipe.ic->name, "own");
    EXPECT_NE(array(read(relay.text() + own("push-pull", ""))).recipe.ic->name, "own");
    const Bench bench = read(relay.text() + own("open-drain", "pins.COM = { is = \"passive\" }\n"));
    const Evaluated with_com = array(bench);
    ASSERT_EQ(with_com.recipe.ic->name, "own");
    const CrossingBuild built = build_on(crossings_of(bench)[0], with_com.recipe);
    EXPECT_EQ(built.wiring.nets[built.wiring.net_at("U1", "COM")].rail, "five");  // first of its pins
}

/// A converter that states neither rating, full scale nor source resistance is given no more than its lowest rail.
TEST(OddParts, AConverterThatStatesNothingIsDividedToItsRail) {
    std::string text = analog.text();
    const std::string like = "like = \"ADC pin, 3.3 V\"";
    text.replace(text.find(like), like.size(), "is = \"analog input\"");
    const Bench bench = read(text);
    const Evaluated e = of(bench, "divider");
    const CrossingBuild built = build_on(crossings_of(bench)[0], e.recipe);
    double upper = 0, lower = 0;
    for (const WiredPart& p : built.wiring.parts)
        if (p.added) (p.purpose.starts_with("upper") ? upper : lower) = *p.value;
    ASSERT_GT(upper * lower, 0);
    EXPECT_LE(4.5 * lower * 1.05 / (lower * 1.05 + upper * 0.95), 3.201);
    EXPECT_GE(4.5 * lower / (lower + upper), 0.8 * 3.2);
}

}  // namespace
}  // namespace voltsill
