#include "bench/rewrite.h"

#include <random>

#include "sample.h"
#include "support/how_many.h"

namespace {

using namespace voltsill;
using testing::HasSubstr;
using testing::Not;

const BenchText bench{sample::bench, "bench.toml"};

std::string good(const Rewritten& result) {
    EXPECT_TRUE(result) << (result ? "" : sample::rendered(result.error()));
    return result.value_or("");
}
Bench read_again(const std::string& text) {
    BenchReading reading = sample::read(text);
    EXPECT_TRUE(reading.bench) << sample::rendered(reading.problems) << text;
    return reading.bench.value_or(Bench{});
}
std::string code_of(const Rewritten& result) { return result ? "" : result.error()[0].code; }

TEST(RewriteBench, ChangesNothingElse) {
    EXPECT_EQ(good(set_value(bench, {"rails", "usb", "volts"}, "\"5 V ± 2 %\"")),
              sample::with("\"4.75..5.25 V\"", "\"5 V ± 2 %\""));
    EXPECT_EQ(good(set_value(bench, {"title"}, "\"Other\"")), sample::with("\"Station\"", "\"Other\""));
    EXPECT_EQ(good(set_value(bench, {"links", "tank echo", "from"}, "\"gauge.LEVEL\"")),
              sample::with("\"gauge.ECHO\"", "\"gauge.LEVEL\""));
    EXPECT_EQ(good(set_value(bench, {"parts", "pump", "note"}, "\"new\"")),
              sample::with("\"relay-module-5v\", supply = \"usb\"",
                           "\"relay-module-5v\", supply = \"usb\", note = \"new\""));
    EXPECT_EQ(good(remove_value(bench, {"links", "pump on", "invert"})), sample::with("invert = true\n", ""));
    EXPECT_EQ(good(remove_value(bench, {"links", "pump on", "rate"})), sample::bench);
}

TEST(RewriteBench, MakesWhatIsMissing) {
    EXPECT_EQ(read_again(good(set_value(bench, {"about"}, "\"more\""))).about, "more");
    const std::string small = "parts.a = \"push-button\"\nrails.r = \"5 V\"   # mine\n";
    const BenchText text{small, "bench.toml"};
    EXPECT_EQ(good(set_value(text, {"wishes", "weights", "cost"}, "3")),
              small + "\n[wishes.weights]\ncost = 3\n");
    EXPECT_EQ(good(set_value(text, {"parts", "a", "as_is"}, "true")),
              "parts.a = { type = \"push-button\", as_is = true }\nrails.r = \"5 V\"   # mine\n");
    EXPECT_EQ(good(set_value(text, {"rails", "r", "volts"}, "\"6 V\"")),
              "parts.a = \"push-button\"\nrails.r = \"6 V\"   # mine\n");
    EXPECT_EQ(good(set_value({"wishes = { margin = \"1 V\" }\n", ""}, {"wishes", "weights", "cost"}, "3")),
              "wishes = { margin = \"1 V\", weights = { cost = 3 } }\n");
}

TEST(RewriteBench, RefusesWhatCannotBe) {
    EXPECT_EQ(code_of(set_value({"a = ", "bench.toml"}, {"title"}, "1")), "syntax");
    EXPECT_EQ(code_of(set_value(bench, {"title"}, "not toml")), "missing-quotes");
    EXPECT_EQ(code_of(set_value(bench, {"links", "tank eco", "rate"}, "1")), "unknown-name");
    EXPECT_EQ(set_value(bench, {"links", "tank eco", "rate"}, "1").error()[0].nearest, "tank echo");
    EXPECT_EQ(code_of(set_value(bench, {"title", "x", "y"}, "1")), "not-a-table");
    EXPECT_EQ(code_of(set_value(bench, {"rails"}, "1")), "not-a-value");
    EXPECT_EQ(code_of(set_value(bench, {"links"}, "1")), "not-a-value");
    EXPECT_EQ(code_of(set_value(bench, {"links", "tank echo"}, "1")), "not-a-value");
    EXPECT_EQ(code_of(set_value(bench, {}, "1")), "not-a-value");
    EXPECT_EQ(code_of(set_value({"a = 1", ""}, {"links", "b", "c"}, "1")), "unknown-name");
    EXPECT_EQ(code_of(add_rail(bench, "usb", {{"volts", "\"5 V\""}})), "duplicate-name");
    EXPECT_EQ(code_of(add_part({"parts = 3", ""}, "a", {{"type", "\"npn\""}})), "not-a-table");
}

TEST(RewriteBench, ChoosesAnInterface) {
    const std::string chosen = good(choose_interface(bench, "tank echo", "divider"));
    EXPECT_EQ(chosen, sample::with("rate = \"2 kHz\"\n", "rate = \"2 kHz\"\ninterface = \"divider\"\n"));
    EXPECT_EQ(read_again(chosen).link("tank echo")->interface, "divider");
    EXPECT_EQ(good(choose_interface({chosen, "bench.toml"}, "tank echo", "")), sample::bench);
}

/// The ways in which the same tables may be written.
const char* const forms[] = {
    "[rails]\nusb = \"5 V\"   # five\n\n[parts]\ncontroller = { type = \"controller-5v\", supply = \"usb\" } "
    "# c\n\n"
    "[[links]]\nname = \"first\"\nfrom = \"controller.D1\"\nto = \"controller.D2\"\n",
    "rails = { usb = \"5 V\" }   # five\nparts = { controller = { type = \"controller-5v\", supply = \"usb\" "
    "} } # c\n"
    "links = [{ name = \"first\", from = \"controller.D1\", to = \"controller.D2\" }]\n",
    "[rails.usb]\nvolts = \"5 V\"   # five\n[parts.controller]\ntype = \"controller-5v\" # c\nsupply = "
    "\"usb\"\n"
    "[[links]]\nname = \"first\"\nfrom = \"controller.D1\"\nto = \"controller.D2\"",
    "links = [\n    { name = \"first\", from = \"controller.D1\", to = \"controller.D2\" },   # a "
    "comma\n]\r\n"
    "rails.usb = \"5 V\"   # five\r\nparts.controller.type = \"controller-5v\" # "
    "c\r\nparts.controller.supply = \"usb\"\r\n",
};

TEST(RewriteBench, AddsInTheFormOfTheFile) {
    for (const std::string form : forms) {
        std::string text = form;
        const auto now = [&] { return BenchText{text, "bench.toml"}; };
        text = good(add_rail(now(), "логика", {{"volts", "\"3.3 V ± 3 %\""}, {"limit", "\"1 A\""}}));
        text =
            good(add_part(now(), "the sensor", {{"type", "\"i2c-sensor-3v3\""}, {"supply", "\"логика\""}}));
        text = good(add_link(
            now(), {{"name", "\"second\""}, {"from", "\"controller.SDA\""}, {"to", "\"the sensor.SDA\""}}));
        text = good(choose_interface(now(), "second", "pull-up"));
        const Bench read = read_again(text);
        ASSERT_EQ(read.rails.size(), 2u) << text;
        EXPECT_EQ(read.rail("логика")->limit, Amps{1.0});
        ASSERT_EQ(read.parts.size(), 2u) << text;
        ASSERT_EQ(read.links.size(), 2u) << text;
        EXPECT_EQ(read.links[0].name, "first");
        EXPECT_EQ(read.links[1].kind, LinkKind::open_drain);
        EXPECT_EQ(read.links[1].interface, "pull-up");
        EXPECT_THAT(text, HasSubstr("# five"));
        EXPECT_THAT(text, HasSubstr("# c"));
    }
}

TEST(RewriteBench, AddsToAnEmptyFile) {
    std::string text;
    text = good(add_rail({text, ""}, "usb", {{"volts", "\"5 V\""}}));
    text = good(add_part({text, ""}, "c", {{"type", "\"controller-5v\""}, {"supply", "\"usb\""}}));
    text = good(add_link({text, ""}, {{"from", "\"c.D1\""}, {"to", "\"c.D2\""}}));
    EXPECT_EQ(read_again(text).links[0].name, "c.D1 to c.D2");
    EXPECT_EQ(text,
              "[rails]\nusb = { volts = \"5 V\" }\n\n[parts]\nc = { type = \"controller-5v\", supply = "
              "\"usb\" }\n\n"
              "[[links]]\nfrom = \"c.D1\"\nto = \"c.D2\"\n");
}

bool same(const GivenWiring& a, const GivenWiring& b) {
    const auto part = [](const BenchPart& x) {
        return std::tuple(x.name, x.type_name, x.value, x.pulls_removed, x.note);
    };
    std::vector<decltype(part(a.parts[0]))> pa, pb;
    for (const BenchPart& x : a.parts) pa.push_back(part(x));
    for (const BenchPart& x : b.parts) pb.push_back(part(x));
    std::ranges::sort(pa);
    std::ranges::sort(pb);
    return pa == pb && std::ranges::equal(a.wires, b.wires, [](const Wire& x, const Wire& y) {
               return x.from == y.from && x.to == y.to;
           });
}

/// Parts and wires by chance: some of the sample's, some changed, some new.
GivenWiring random_wiring(const Bench& read, std::mt19937& random) {
    const auto below = [&](std::size_t n) {
        return std::uniform_int_distribution<std::size_t>(0, n - 1)(random);
    };
    GivenWiring wiring;
    const auto type = [&](const char* name) {
        for (const auto& t : read.catalogue->types())
            if (t->name == name) return t;
        return std::shared_ptr<const PartType>();
    };
    if (below(4)) wiring.parts = read.wiring->parts;
    if (!wiring.parts.empty() && below(2)) wiring.parts.erase(wiring.parts.begin());
    for (std::size_t i = below(4); i > 0; --i) {
        BenchPart part{.name = "X" + std::to_string(i), .type_name = below(2) ? "resistor" : "capacitor"};
        part.type = type(part.type_name.c_str());
        part.value =
            std::exp(static_cast<double>(below(1000)) * 1e-3) * (part.type_name == "resistor" ? 1e3 : 1e-9);
        if (below(2)) part.note = "a \"note\" # of #";
        wiring.parts.push_back(part);
    }
    std::vector<std::string> ends{"ground",     "rail usb",      "rail logic",
                                  "gauge.ECHO", "controller.D4", "controller.D5"};
    for (const BenchPart& part : wiring.parts) ends.push_back(part.name + ".1");
    for (std::size_t i = below(6); i > 0; --i) {
        const std::size_t a = below(ends.size()), b = below(ends.size());
        if (a != b) wiring.wires.push_back({ends[a], ends[b], {}});
    }
    return wiring;
}

TEST(RewriteBench, WiringReadsBackAsItWasMeant) {
    std::mt19937 random(7);
    const Bench first = read_again(sample::bench);
    const std::string without = sample::bench.substr(0, sample::bench.find("[wiring]")) +
                                sample::bench.substr(sample::bench.find("[types.gauge"));
    const std::string braces =
        sample::with("[types.gauge-5v]", "[types.gauge-5v]",
                     "wiring = { parts = { U1 = \"HC 541 DIP-20\" }, wires = [] } # short\n" + without);
    for (unsigned i = 0; i < voltsill::made::how_many(300); ++i) {
        const GivenWiring wanted = random_wiring(first, random);
        for (const std::string& start : {sample::bench, without, braces}) {
            const std::string text = good(set_wiring({start, "bench.toml"}, wanted));
            const BenchReading reading = sample::read(text);
            ASSERT_TRUE(reading.bench) << sample::rendered(reading.problems) << text;
            ASSERT_TRUE(reading.bench->wiring);
            ASSERT_TRUE(same(*reading.bench->wiring, wanted)) << text;
            ASSERT_THAT(text, HasSubstr("# from the plug"));
            ASSERT_EQ(good(set_wiring({text, "bench.toml"}, wanted)), text)
                << "what is said already is left alone";
        }
    }
    EXPECT_EQ(good(set_wiring(bench, *first.wiring)), sample::bench);
}

/// Any single value may be set, and only that value changes.
TEST(RewriteBench, SetsRandomValues) {
    std::mt19937 random(11);
    const auto below = [&](int n) { return std::uniform_int_distribution<int>(0, n - 1)(random); };
    std::string text = sample::bench;
    for (unsigned i = 0; i < voltsill::made::how_many(400); ++i) {
        const double margin = below(1000) * 1e-3, volts = 4.75 + below(50) * 1e-2;
        const std::string name = "link " + std::to_string(below(100)) + " \"°\\";
        const auto now = [&] { return BenchText{text, "bench.toml"}; };
        text = good(set_value(now(), {"wishes", "margin"}, '"' + std::to_string(margin) + " V\""));
        text = good(set_value(now(), {"rails", "usb", "volts"}, '"' + std::to_string(volts) + " V\""));
        const std::string old = read_again(text).links[0].name;
        text = good(set_value(now(), {"links", old, "name"}, toml_text(name)));
        const Bench read = read_again(text);
        ASSERT_NEAR(read.wishes.margin.si(), margin, 1e-9);
        ASSERT_NEAR(read.rail("usb")->volts.span.nominal.si(), volts, 1e-9);
        ASSERT_EQ(read.links[0].name, name);
        ASSERT_EQ(read.links.size(), 6u);
        ASSERT_EQ(std::ranges::count(text, '#'), std::ranges::count(sample::bench, '#'));
        ASSERT_EQ(std::ranges::count(text, '\n'), std::ranges::count(sample::bench, '\n'));
    }
}

}  // namespace
