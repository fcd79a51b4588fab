#include <filesystem>
#include <fstream>
#include <sstream>

#include "sample.h"

namespace {

using namespace voltsill;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::Pair;

std::string text_of(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

class SampleBench : public testing::Test {
  protected:
    void SetUp() override { ASSERT_TRUE(reading_.bench) << sample::rendered(reading_.problems); }
    const Bench& bench() const { return *reading_.bench; }
    BenchReading reading_ = sample::read(sample::bench);
};

TEST_F(SampleBench, HasItsRails) {
    ASSERT_EQ(bench().rails.size(), 2u);
    const Rail &usb = bench().rails[0], &logic = bench().rails[1];
    EXPECT_EQ(usb.name, "usb");
    EXPECT_EQ(usb.volts.span, (Span<Volts>{Volts{4.75}, Volts{5.0}, Volts{5.25}}));
    EXPECT_EQ(usb.volts.origin, (Provenance{Certainty::guaranteed, "stated in the bench file"}));
    EXPECT_EQ(usb.limit, Amps{0.9});
    EXPECT_EQ(usb.switch_group, "plug");
    EXPECT_EQ(logic.from, "controller.3V3");
    EXPECT_EQ(logic.switch_group, "plug") << "follows the rail that feeds its maker";
    EXPECT_EQ(logic.place, (Place{"bench.toml", 7, 1, 5}));
}

TEST_F(SampleBench, HasItsParts) {
    ASSERT_EQ(bench().parts.size(), 5u);
    EXPECT_THAT(bench().part("controller")->supplies, ElementsAre(Pair("5V", "usb")))
        << "a supply that it makes itself is not fed";
    EXPECT_THAT(bench().part("shifter")->supplies, ElementsAre(Pair("VCCA", "logic"), Pair("VCCB", "usb")));
    EXPECT_TRUE(bench().part("shifter")->as_is);
    EXPECT_TRUE(bench().part("gauge")->grounded);
    EXPECT_EQ(bench().part("gauge")->note, "the grey one");
    EXPECT_THAT(bench().part("display")->pulls_removed, ElementsAre("SDA"));
    EXPECT_EQ(bench().part("gauge")->type->name, "gauge-5v");
    EXPECT_EQ(bench().part("shifter")->type, [&] {
        const auto& types = bench().catalogue->types();
        return *std::ranges::find_if(types, [](const auto& type) { return type->name == "LVC 8T245"; });
    }());
}

TEST_F(SampleBench, FindsTheKindOfALinkFromItsPins) {
    std::vector<std::pair<std::string, LinkKind>> kinds;
    for (const Link& link : bench().links) kinds.emplace_back(link.name, link.kind);
    EXPECT_THAT(kinds,
                ElementsAre(Pair("tank echo", LinkKind::logic), Pair("bus data", LinkKind::open_drain),
                            Pair("bus clock", LinkKind::open_drain), Pair("moisture", LinkKind::analog),
                            Pair("pump on", LinkKind::load), Pair("side by side", LinkKind::two_way)));
}

TEST_F(SampleBench, HasItsLinks) {
    const Link& echo = bench().links[0];
    EXPECT_THAT(echo.from, ElementsAre(PinRef{"gauge", "ECHO", {}}));
    EXPECT_THAT(echo.to, ElementsAre(PinRef{"controller", "D4", {}}));
    EXPECT_EQ(echo.rate, Hertz{2e3});
    EXPECT_EQ(echo.place.line, 17);
    EXPECT_EQ(echo.from[0].place, (Place{"bench.toml", 18, 8, 12}));
    const Link& pump = *bench().link("pump on");
    EXPECT_TRUE(pump.invert_allowed);
    EXPECT_EQ(pump.safe_level, "high");
    EXPECT_EQ(bench().link("bus data")->bus, "I2C");
    EXPECT_EQ(bench().link("side by side")->group, "pair");
    EXPECT_EQ(bench().link("side by side")->interface, "direct");
}

TEST_F(SampleBench, HasTheRest) {
    EXPECT_EQ(bench().title, "Station");
    EXPECT_EQ(bench().ambient_hi, Celsius{40});
    ASSERT_TRUE(bench().has_stock);
    EXPECT_EQ(bench().stock[0].count, 3);
    EXPECT_EQ(bench().stock[1].span->hi, Ohms{10e6});
    EXPECT_EQ(bench().stock[2].count, 0);
    EXPECT_EQ(bench().wishes.margin, Volts{0.3});
    EXPECT_EQ(bench().wishes.weight_cost, 2.0);
    EXPECT_EQ(bench().wishes.weight_teach, 0.5);
    EXPECT_EQ(bench().wishes.weight_parts, 1.0);
    EXPECT_EQ(bench().wishes.wire_capacitance, Farads{20e-12});
    ASSERT_TRUE(bench().wiring);
    EXPECT_EQ(bench().wiring->parts[0].package->name, "DIP-20");
    EXPECT_EQ(bench().wiring->parts[1].value, 4700.0);
    ASSERT_EQ(bench().wiring->wires.size(), 4u);
    EXPECT_EQ(bench().wiring->wires[2].to, "rail logic");
    EXPECT_EQ(bench().wiring->wires[2].place.line, 70);
}

// The example of the design, whose controller is fed from outside.
TEST(ReadBench, ReadsTheFirstExample) {
    const BenchReading reading = sample::read(R"(
title   = "Rain-garden station"
ambient = "0..40 °C"
[rails]
logic = { volts = "3.3 V ± 3 %", limit = "300 mA", from = "controller.3V3" }
usb   = { volts = "4.75..5.25 V", limit = "900 mA" }
[parts]
controller = { type = "controller-3v3" }
gauge      = { type = "tank-gauge-5v", supply = "usb" }
[[links]]
name = "tank echo"
from = "gauge.ECHO"
to   = "controller.D4"
rate = "2 kHz"
[stock]
"LVC 541 DIP-20" = 3
"resistor E24"   = "1 Ω .. 10 MΩ"
[types.tank-gauge-5v]
supplies.VCC = { range = "4.5..5.5 V", max = "-0.3..6 V" }
pins.ECHO = { like = "push-pull output, 5 V" }
pins.GND  = { is = "ground" }
)");
    ASSERT_TRUE(reading.bench) << sample::rendered(reading.problems);
    ASSERT_EQ(reading.problems.size(), 1u);
    EXPECT_EQ(reading.problems[0].code, "fed-from-outside");
    EXPECT_EQ(reading.problems[0].place.line, 8);
    EXPECT_EQ(reading.bench->rail("logic")->switch_group, "logic");
}

TEST(ReadBench, ReadsEveryExampleWithoutProblems) {
    int count = 0;
    for (const auto& file : std::filesystem::directory_iterator(VOLTSILL_ROOT "/examples")) {
        if (file.path().extension() != ".toml") continue;
        ++count;
        const auto beside = [&](const std::string& name) -> std::optional<std::string> {
            const auto path = file.path().parent_path() / name;
            return exists(path) ? std::optional(text_of(path)) : std::nullopt;
        };
        const BenchReading reading =
            read_bench(text_of(file.path()), file.path().filename().string(), beside);
        EXPECT_TRUE(reading.bench) << file.path();
        EXPECT_THAT(reading.problems, IsEmpty()) << sample::rendered(reading.problems);
    }
    EXPECT_GT(count, 5);
}

TEST(ReadBench, TakesShortForms) {
    const BenchReading reading = sample::read(R"(
rails = { main = "5 V", side = { volts = "3V3", source = "meter, 3 May", certainty = "measured" } }
parts.a = "push-button"
parts.b.type = "controller-5v"
parts.b.supply = "main"
parts.s = { type = "i2c-sensor-3v3", supply = "side" }
links = [{ from = ["a.OUT"], to = "b.D2" }]
)");
    ASSERT_TRUE(reading.bench) << sample::rendered(reading.problems);
    EXPECT_EQ(reading.bench->rails[0].volts.span.nominal, Volts{5});
    EXPECT_EQ(reading.bench->rails[1].volts.origin, (Provenance{Certainty::measured, "meter, 3 May"}));
    EXPECT_EQ(reading.bench->parts[0].type_name, "push-button");
    EXPECT_EQ(reading.bench->links[0].name, "a.OUT to b.D2");
    EXPECT_FALSE(reading.bench->has_stock);
}

TEST(ReadBench, TakesVoltageAndLimitFromThePartThatMakesTheRail) {
    const BenchReading reading = sample::read(
        sample::with("{ volts = \"3.3 V ± 3 %\", limit = \"300 mA\", from = \"controller.3V3\" }",
                     "{ from = \"controller.3V3\" }"));
    ASSERT_TRUE(reading.bench) << sample::rendered(reading.problems);
    const Rail& logic = *reading.bench->rail("logic");
    EXPECT_NEAR(logic.volts.span.lo.si(), 3.3 * 0.97, 1e-12);
    EXPECT_NEAR(logic.volts.span.hi.si(), 3.3 * 1.03, 1e-12);
    EXPECT_EQ(logic.volts.origin.certainty, Certainty::assumed) << "as the archetype says of itself";
    EXPECT_EQ(logic.limit, Amps{0.5});
}

TEST(ReadBench, FindsActiveLowPinsWithoutTheirStrokeAndPinsByNumber) {
    const std::string shifter = "to   = \"shifter.A1\"";
    const auto pin = [&](const std::string& end) {
        const BenchReading reading =
            sample::read(sample::with("parts.U1 = { type", "parts.U2 = \"HC 541 DIP-20\"\nparts.U1 = { type",
                                      sample::with("kind = \"two-way\"\n", "", sample::with(shifter, end))));
        EXPECT_TRUE(reading.bench) << sample::rendered(reading.problems);
        return reading.bench ? reading.bench->link("side by side")->to[0].pin : "";
    };
    EXPECT_EQ(pin("to = \"shifter.OE\""), "/OE");
    EXPECT_EQ(pin("to = \"shifter./OE\""), "/OE");
    // LVC 8T245, pin 2 is DIR (SCES585, pin functions; from memory).
    EXPECT_EQ(pin("to = \"shifter.2\""), "DIR");
}

TEST(ReadBench, TakesNamesInAnyScript) {
    std::string text = sample::bench;
    for (const char* name : {"gauge", "usb"})
        for (std::size_t at = 0; (at = text.find(name, at)) != std::string::npos;) {
            const bool key = text[at + std::string(name).size()] == ' ' && (at == 0 || text[at - 1] == '\n');
            const bool type = text.compare(at, 8, "gauge-5v") == 0;
            const std::string fresh = std::string(name) == "gauge" ? "水位 Füllstand ∅" : "питание";
            if (type) {
                at += 8;
                continue;
            }
            const std::string put = key ? '"' + fresh + '"' : fresh;
            text.replace(at, std::string(name).size(), put);
            at += put.size();
        }
    const BenchReading reading = sample::read(text);
    ASSERT_TRUE(reading.bench) << sample::rendered(reading.problems);
    EXPECT_EQ(reading.bench->links[0].from[0].part, "水位 Füllstand ∅");
    EXPECT_EQ(reading.bench->parts[0].supplies[0].second, "питание");
    EXPECT_EQ(reading.bench->rail("logic")->switch_group, "plug");
}

TEST(ReadBench, FollowsTheChainOfMakersToTheirSwitch) {
    const BenchReading reading = sample::read(R"(
[rails]
low   = { from = "regulator.OUT" }
logic = { from = "controller.3V3" }
usb   = { volts = "5 V" }
alone = { volts = "5 V", switch = "usb" }
[parts]
controller = { type = "controller-3v3", supply = "usb" }
regulator  = { type = "low-dropout regulator 1.8 V", supply = "logic" }
sensor     = { type = "controller-1v8", supplies = { 5V = "alone", 1V8 = "low" } }
[[links]]
from = "controller.D1"
to   = "sensor.D1"
)");
    ASSERT_TRUE(reading.bench) << sample::rendered(reading.problems);
    for (const Rail& rail : reading.bench->rails) EXPECT_EQ(rail.switch_group, "usb") << rail.name;
}

}  // namespace
