/// How records build on each other: traits, types, functions and families.
#include <gmock/gmock.h>

#include "parts/catalogue.h"
#include "parts/part_records.h"
#include "records/tree.h"

namespace voltsill {
namespace {

using namespace literals;
using testing::ElementsAre;
using testing::IsEmpty;

std::string all(const Problems& problems) {
    std::string text;
    for (const Problem& p : problems) text += render(p) + '\n';
    return text;
}

Catalogue catalogue_of(std::string_view text) {
    Problems problems;
    Catalogue catalogue = Catalogue{}.with_file(text, "parts.toml", problems);
    EXPECT_THAT(problems, IsEmpty()) << all(problems);
    return catalogue;
}

const Pin& pin_of(const Catalogue& catalogue, std::string_view type, std::string_view pin) {
    const PartType* part = catalogue.find(type);
    EXPECT_TRUE(part) << type;
    EXPECT_GE(part->pin_index(pin), 0) << pin;
    return part->pins.at(part->pin_index(pin));
}

constexpr auto basics = R"(
[traits.base]
source = "sheet of the base"
certainty = "guaranteed"
max = "supply + 0.3 V"
min = "-0.3 V"
capacitance = "5 pF"
leakage = "1 µA"

[traits.middle]
source = "hearsay"
certainty = "common practice"
like = "base"
is = "input"
capacitance = "10 pF"

[types.gauge]
source = "measured on one sample"
certainty = "measured"
supplies.VCC = { range = "4.5..5.5 V", max = "-0.3..6 V", current = "15 mA" }
pins.TRIG = { like = "middle", leakage = "2 µA" }
pins.ECHO = { is = "push-pull", high = [
    { supply = "5 V", at = "1 mA", level = "4 V", source = "row", certainty = "typical" },
] }
pins.GND = { is = "ground" }
)";

TEST(Traits, NearerEntriesWinAndEachKeepsItsSource) {
    const Catalogue catalogue = catalogue_of(basics);
    const Pin& trig = pin_of(catalogue, "gauge", "TRIG");
    EXPECT_EQ(trig.role, PinRole::input);
    EXPECT_EQ(*trig.max, (Level{1, 0.3_V}));
    EXPECT_EQ(trig.limits_origin.source, "sheet of the base");
    EXPECT_EQ(trig.limits_origin.certainty, Certainty::guaranteed);
    EXPECT_EQ(trig.capacitance.span.nominal, 10_pF);
    EXPECT_EQ(trig.capacitance.origin.certainty, Certainty::common_practice);
    EXPECT_EQ(trig.leakage.span.nominal, 2_uA);
    EXPECT_EQ(trig.leakage.origin.certainty, Certainty::measured);
    const Pin& echo = pin_of(catalogue, "gauge", "ECHO");
    EXPECT_EQ(echo.high.at(0).origin.source, "row");
    EXPECT_EQ(echo.high.at(0).origin.certainty, Certainty::typical);
    EXPECT_FALSE(echo.capacitance.known());
}

TEST(Traits, LimitsThatMixSourcesAreAsWeakAsTheWeakest) {
    const Catalogue catalogue = catalogue_of(std::string(basics) + R"(
[types.mixed]
source = "guess"
certainty = "assumed"
supplies.VCC = { range = "5 V" }
pins.A = { like = "middle", max = "7 V" }
pins.B = { like = "middle", max = "7 V", min = "-0.5 V" }
)");
    EXPECT_EQ(pin_of(catalogue, "mixed", "A").limits_origin.source, "guess");
    EXPECT_EQ(pin_of(catalogue, "mixed", "A").limits_origin.certainty, Certainty::assumed);
    EXPECT_EQ(pin_of(catalogue, "mixed", "B").limits_origin.certainty, Certainty::assumed);
}

TEST(Types, ModulesGetSupplyPinsAndAHeader) {
    const Catalogue catalogue = catalogue_of(basics);
    const PartType& gauge = *catalogue.find("gauge");
    ASSERT_EQ(gauge.supplies.size(), 1u);
    EXPECT_EQ(gauge.supplies[0].max, 6_V);
    EXPECT_EQ(gauge.pins[0].name, "VCC");
    EXPECT_EQ(gauge.pins[0].role, PinRole::supply);
    EXPECT_EQ(gauge.pins[0].supply, 0);
    EXPECT_EQ(gauge.pins[gauge.ground_pin()].supply, -1);
    EXPECT_EQ(pin_of(catalogue, "gauge", "ECHO").supply, 0);
    ASSERT_EQ(gauge.packages.size(), 1u);
    EXPECT_EQ(gauge.packages[0].name, "HEADER-4");
    EXPECT_THAT(gauge.packages[0].pin_of_number, ElementsAre(0, 1, 2, 3));
}

TEST(Types, BuildOnOthersKeyByKey) {
    const Catalogue catalogue = catalogue_of(std::string(basics) + R"(
[types.old-gauge]
like = "gauge"
title = "older issue"
supplies.VCC = { current = "30 mA", range = "4.75..5.25 V" }
pins.TRIG = { capacitance = "20 pF" }
pins.ECHO = { like = "middle" }
)");
    const PartType& old = *catalogue.find("old-gauge");
    EXPECT_EQ(old.origin.source, "measured on one sample");
    EXPECT_EQ(old.supplies[0].max, 6_V);
    EXPECT_EQ(old.supplies[0].current.span.hi, 30_mA);
    EXPECT_EQ(old.supplies[0].current.origin.certainty, Certainty::assumed) << "not the base's promise";
    const Pin& trig = pin_of(catalogue, "old-gauge", "TRIG");
    EXPECT_EQ(trig.capacitance.span.nominal, 20_pF);
    EXPECT_EQ(trig.leakage.span.nominal, 2_uA);
    const Pin& echo = pin_of(catalogue, "old-gauge", "ECHO");
    EXPECT_EQ(echo.role, PinRole::input);
    EXPECT_THAT(echo.high, IsEmpty()) << "a pin that gives `like` starts afresh";
    EXPECT_EQ(pin_of(catalogue, "gauge", "TRIG").capacitance.span.nominal, 10_pF);
}

TEST(Types, OfABenchMayHideTheOneTheyBuildOn) {
    const Catalogue base = catalogue_of(basics);
    const ParsedText bench = parse_toml("[gauge]\nlike = \"gauge\"\nprice = 7\n", "bench.toml");
    Reader reader(bench);
    std::vector<Named<TypeRecord>> types;
    named(record(type_shape())).read(bench.root, types, reader);
    const Catalogue own = base.with_types(types, reader);
    EXPECT_TRUE(reader.ok());
    EXPECT_EQ(own.find("gauge")->price, 7);
    EXPECT_EQ(own.find("gauge")->pins.size(), 4u);
    EXPECT_EQ(base.find("gauge")->price, 1);
    EXPECT_EQ(own.types().size(), base.types().size());
}

TEST(Types, DiscreteKindsHaveTheirPinsAndModels) {
    const Catalogue catalogue = catalogue_of(R"(
[types.r]
source = "s"
kind = "resistor"
resistor = { tolerance = "1 %" }
[types.d]
source = "s"
certainty = "typical"
kind = "diode"
diode = { forward = "0.6..0.7 V", at = "2 mA", led = true }
[types.q]
source = "s"
kind = "bjt"
bjt = { polarity = "pnp", beta = "100..300" }
[types.m]
source = "s"
kind = "mosfet"
mosfet = { polarity = "n", vth = "0.8..1.5 V", rds = "1..6 Ω", rds_at = "4.5 V" }
packages."SOT-23" = "G S D"
[types.o]
source = "s"
kind = "opto"
opto = { forward = "1.2 V", ctr = "50..600 %" }
)");
    EXPECT_EQ(catalogue.find("r")->packages.at(0).name, "LEADS-2");
    EXPECT_DOUBLE_EQ(std::get<ResistorModel>(catalogue.find("r")->model).tolerance, 0.01);
    const auto& diode = std::get<DiodeModel>(catalogue.find("d")->model);
    EXPECT_EQ(diode.forward.span.hi, 0.7_V);
    EXPECT_EQ(diode.forward.origin.certainty, Certainty::typical);
    EXPECT_EQ(diode.at, 2_mA);
    EXPECT_TRUE(diode.led);
    const auto& bjt = std::get<BjtModel>(catalogue.find("q")->model);
    EXPECT_TRUE(bjt.pnp);
    EXPECT_EQ(bjt.beta.span.hi, 300);
    EXPECT_EQ(bjt.vbe.origin.certainty, Certainty::common_practice) << "filled in, and says so";
    const PartType& m = *catalogue.find("m");
    EXPECT_EQ(m.pins[m.packages[0].pin_of_number[1]].name, "S");
    EXPECT_EQ(std::get<MosfetModel>(m.model).rds_at, 4.5_V);
    EXPECT_DOUBLE_EQ(std::get<OptoModel>(catalogue.find("o")->model).ctr.span.hi, 6.0);
}

TEST(Defaults, ProtectionDiodesFollowTheRating) {
    const Catalogue catalogue = catalogue_of(R"(
[types.t]
source = "s"
supplies.VCC = { range = "5 V" }
pins.FOLLOWS = { is = "input", max = "supply + 0.3 V" }
pins.FIXED = { is = "input", max = "5.5 V" }
pins.SILENT = { is = "input" }
pins.DRAIN = { is = "open-drain" }
pins.STATED = { is = "input", max = "supply + 0.3 V", clamps = "none" }
pins.GND = { is = "ground" }
)");
    const auto clamps = [&](const char* pin) {
        const Pin& p = pin_of(catalogue, "t", pin);
        return std::pair(p.clamp_to_supply, p.clamp_to_ground);
    };
    EXPECT_EQ(clamps("FOLLOWS"), std::pair(true, true));
    EXPECT_EQ(clamps("FIXED"), std::pair(false, true));
    EXPECT_EQ(clamps("SILENT"), std::pair(true, true));
    EXPECT_EQ(clamps("DRAIN"), std::pair(false, true));
    EXPECT_EQ(clamps("STATED"), std::pair(false, false));
    EXPECT_EQ(clamps("GND"), std::pair(false, false));
    const Pin& filled = pin_of(catalogue, "t", "FIXED");
    EXPECT_EQ(filled.clamp_forward.origin.certainty, Certainty::assumed);
    EXPECT_EQ(filled.clamp_forward.span.lo, 0.5_V);
    EXPECT_FALSE(pin_of(catalogue, "t", "STATED").clamp_forward.known());
}

constexpr auto logic = R"(
[functions.14]
title = "inverter, Schmitt"
source = "f"
input = "schmitt"
packages."DIP-4 SOIC-4" = "A GND Y VCC"
channels = [{ logic = "inverter", from = "A", to = "Y" }]
[functions.125]
title = "buffer"
source = "f"
output = "bus"
packages."SOT-23-5" = "/OE A GND Y VCC"
channels = [{ logic = "buffer", from = "A", to = "Y", enable = "/OE" }]
[functions.45]
title = "transceiver"
source = "f"
output = "bus"
packages."SOIC-6" = "VCCA GND A B DIR VCCB"
side_b = "B"
channels = [{ logic = "transceiver", from = "A", to = "B", direction = "DIR" }]

[families.X]
title = "family"
source = "family sheet"
certainty = "guaranteed"
supply = { range = "2..6 V", max = "-0.5..7 V" }
functions = "14 125 45"
packages = "DIP SOT-23 SOIC-6"
input = { clamps = "ground", max = "7 V", range = "0..5.5 V", leakage = "1 µA", thresholds = [
    { supply = "5 V", low = "1 V", high = "3 V" },
], transition = [{ supply = "5 V", per_volt = "10 ns/V" }] }
schmitt = { thresholds = [{ supply = "5 V", rising = "2..3 V", falling = "1..2 V" }] }
output = { clamps = "ground", max = "supply + 0.5 V", drive_max = "25 mA", high = [
    { supply = "5 V", at = "4 mA", level = "4 V" },
] }
bus = { drive_max = "35 mA" }
[families.X.for.125]
source = "sheet of the 125"
output = { drive_max = "10 mA" }
[families.X.for."45"]
supply_a = { range = "1.65..5.5 V" }
supply_b = { range = "2.3..5.5 V", at_most = "VCCA" }
)";

TEST(Logic, FamilyTimesFunction) {
    const Catalogue catalogue = catalogue_of(logic);
    EXPECT_THAT(catalogue.names(), ElementsAre("X 14", "X 125", "X 45"));
    const PartType& inverter = *catalogue.find("X 14");
    EXPECT_EQ(inverter.kind, PartKind::logic);
    ASSERT_EQ(inverter.packages.size(), 1u) << "SOIC-4 is not sold";
    EXPECT_EQ(inverter.packages[0].name, "DIP-4");
    EXPECT_EQ(inverter.channels.at(0).logic, ChannelLogic::inverter);
    const Pin& a = pin_of(catalogue, "X 14", "A");
    EXPECT_TRUE(a.schmitt);
    EXPECT_EQ(a.thresholds.at(0).low, (Level{0, 1_V}));
    EXPECT_EQ(a.thresholds.at(0).high, (Level{0, 3_V}));
    EXPECT_THAT(a.transition, IsEmpty()) << "slow edges are what Schmitt inputs are for";
    EXPECT_EQ(a.leakage.span.nominal, 1_uA) << "the rest of `input` holds";
    EXPECT_EQ(pin_of(catalogue, "X 14", "Y").role, PinRole::push_pull);
    EXPECT_EQ(pin_of(catalogue, "X 14", "Y").drive_max.span.nominal, 25_mA);
}

TEST(Logic, ExceptionsComeLastWithTheirOwnSource) {
    const Catalogue catalogue = catalogue_of(logic);
    const Pin& y = pin_of(catalogue, "X 125", "Y");
    EXPECT_EQ(y.role, PinRole::three_state);
    EXPECT_EQ(y.drive_max.span.nominal, 10_mA);
    EXPECT_EQ(y.drive_max.origin.source, "sheet of the 125");
    EXPECT_EQ(y.high.at(0).origin.source, "family sheet");
    const Channel& channel = catalogue.find("X 125")->channels.at(0);
    EXPECT_EQ(channel.enables.size(), 1u);
    EXPECT_FALSE(channel.enable_high.at(0));
    EXPECT_EQ(catalogue.find("X 125")->pin_index("OE"), channel.enables[0]) << "found without its slash";
}

TEST(Logic, TwoSuppliesTwoSides) {
    const Catalogue catalogue = catalogue_of(logic);
    const PartType& type = *catalogue.find("X 45");
    ASSERT_EQ(type.supplies.size(), 2u);
    EXPECT_EQ(type.supplies[1].needs_at_most, "VCCA");
    EXPECT_EQ(pin_of(catalogue, "X 45", "A").supply, 0);
    EXPECT_EQ(pin_of(catalogue, "X 45", "DIR").supply, 0);
    EXPECT_EQ(pin_of(catalogue, "X 45", "B").supply, 1);
    EXPECT_EQ(pin_of(catalogue, "X 45", "VCCB").supply, 1);
    const Pin& a = pin_of(catalogue, "X 45", "A");
    EXPECT_EQ(a.role, PinRole::three_state);
    EXPECT_FALSE(a.thresholds.empty());
    EXPECT_FALSE(a.high.empty());
    EXPECT_EQ(*a.max, (Level{0, 7_V})) << "listening, it bears what an input bears";
    EXPECT_EQ(type.channels.at(0).name, "A-B");
}

TEST(Catalogue_, FilesMayReferToEachOtherAndToTheBase) {
    const Catalogue base = catalogue_of(logic);
    Problems problems;
    const Catalogue more = base.with_file(R"(
[families.Z]
title = "another"
source = "s"
supply = { range = "5 V" }
functions = "14"
)",
                                          "more.toml", problems);
    EXPECT_THAT(problems, IsEmpty()) << all(problems);
    EXPECT_TRUE(more.find("Z 14"));
    EXPECT_TRUE(more.find("X 125"));
}

TEST(Catalogue_, FindsByNameWithPackageAndSearchesByWords) {
    const Catalogue catalogue = catalogue_of(logic);
    EXPECT_EQ(catalogue.find("X 14 DIP-4"), catalogue.find("X 14"));
    EXPECT_FALSE(catalogue.find("X 14 DIP-5"));
    EXPECT_FALSE(catalogue.find("X"));
    EXPECT_EQ(Catalogue::package_in(*catalogue.find("X 125"), "X 125")->name, "SOT-23-5");
    EXPECT_EQ(Catalogue::package_in(*catalogue.find("X 14"), "X 14 DIP-4")->name, "DIP-4");
    ASSERT_EQ(catalogue.search("SCHMITT inverter").size(), 1u);
    EXPECT_EQ(catalogue.search("SCHMITT inverter")[0]->name, "X 14");
    EXPECT_THAT(catalogue.search("schmitt transceiver"), IsEmpty());
    EXPECT_EQ(catalogue.search("").size(), catalogue.types().size());
}

}  // namespace
}  // namespace voltsill
