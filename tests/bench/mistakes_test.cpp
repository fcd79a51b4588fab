// Every kind of mistake, at its exact place and without others in its wake.
#include <set>

#include "sample.h"

namespace {

using namespace voltsill;
using testing::HasSubstr;

/// A text in which «...» shows where the problem must point.
struct Marked {
    std::string text;
    int line = 0, column = 1, width = 0;
};

Marked unmark(std::string text) {
    const std::string open = "«", close = "»";
    const std::size_t begin = text.find(open);
    if (begin == std::string::npos) return {text};
    text.erase(begin, open.size());
    const std::size_t end = text.find(close, begin);
    text.erase(end, close.size());
    Marked result{text, 1, 1, 0};
    const auto starts_code_point = [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; };
    for (std::size_t i = 0; i < end; ++i) {
        if (i >= begin) {
            result.width += starts_code_point(text[i]);
        } else if (text[i] == '\n') {
            ++result.line;
            result.column = 1;
        } else {
            result.column += starts_code_point(text[i]);
        }
    }
    return result;
}

struct Mistake {
    const char* old;
    const char* fresh;
    const char* code;
    const char* says;  ///< in the rendered problem
    const char* nearest = "";
};

void PrintTo(const Mistake& m, std::ostream* out) { *out << m.code << ": " << m.fresh; }

class OneMistake : public testing::TestWithParam<Mistake> {
  protected:
    void expect(Severity severity) {
        const Mistake& m = GetParam();
        const Marked marked = unmark(sample::with(m.old, m.fresh));
        const BenchReading reading = sample::read(marked.text);
        ASSERT_EQ(reading.problems.size(), 1u) << sample::rendered(reading.problems);
        const Problem& p = reading.problems[0];
        EXPECT_EQ(p.severity, severity);
        EXPECT_EQ(reading.bench.has_value(), severity == Severity::warning);
        EXPECT_EQ(p.code, m.code);
        EXPECT_EQ(p.place, (Place{"bench.toml", marked.line, marked.column, marked.width})) << render(p);
        EXPECT_EQ(p.nearest, m.nearest);
        EXPECT_THAT(render(p), HasSubstr(m.says));
        EXPECT_THAT(render(p), HasSubstr("^"));
    }
};

class BenchError : public OneMistake {};
class BenchWarning : public OneMistake {};
TEST_P(BenchError, IsToldOnceAtItsPlace) { expect(Severity::error); }
TEST_P(BenchWarning, IsToldOnceAtItsPlace) { expect(Severity::warning); }

const char* const usb_volts = "volts = \"4.75..5.25 V\"";
const char* const echo_from = "from = \"gauge.ECHO\"          # how full";
const char* const echo_to = "to   = \"controller.D4\"";
const char* const gauge = "{ type = \"gauge-5v\", supply = \"usb\", note = \"the grey one\" }";
const char* const two_way = "kind = \"two-way\"";

INSTANTIATE_TEST_SUITE_P(
    Keys, BenchError,
    testing::Values(
        Mistake{"title   =", "«titel»   =", "unknown-key", "\"titel\" is not a key of a bench file", "title"},
        Mistake{"limit = \"900 mA\"", "«limits» = \"900 mA\"", "unknown-key", "not a key of a rail", "limit"},
        Mistake{"note = \"the grey", "«notes» = \"the grey", "unknown-key", "not a key of a part", "note"},
        Mistake{"rate = \"2 kHz\"", "«rat» = \"2 kHz\"", "unknown-key", "not a key of a link", "rate"},
        Mistake{"margin = \"0.3 V\"", "«margins» = \"0.3 V\"", "unknown-key", "not a key of a wishes",
                "margin"},
        Mistake{"cost = 2", "«costs» = 2", "unknown-key", "not a key of a weights", "cost"},
        Mistake{"parts.U1 = { type = \"HC 541 DIP-20\" }",
                "parts.U1 = { type = \"HC 541 DIP-20\", «supply» = \"usb\" }", "unknown-key",
                "not a key of a wired part", ""},
        Mistake{"like = \"analog output\"", "like = \"analog output\", «nte» = \"x\"", "unknown-key",
                "not a key of a pin", "note"},
        Mistake{"{ type = \"relay-module-5v\", supply = \"usb\" }", "«{ supply = \"usb\" }»", "missing-key",
                "type = \"controller-3v3\""},
        Mistake{"\nusb   = { volts = \"4.75..5.25 V\", ", "\n«usb»   = { ", "missing-key",
                "rail \"usb\" has no \"volts\""},
        Mistake{"parts.R1 = { type = \"resistor\", value = \"4.7 kΩ\" }",
                "parts.«R1» = { type = \"resistor\" }", "missing-key", "value = \"4.7 kΩ\""}));

INSTANTIATE_TEST_SUITE_P(
    Values, BenchError,
    testing::Values(Mistake{usb_volts, "volts = «\"230 V\"»", "extra-low-voltage",
                            "extra-low voltage only: 230 V is more than 36 V; this tool is not for mains"},
                    Mistake{usb_volts, "volts = «\"35..37 V\"»", "extra-low-voltage", "at most 36 V"},
                    Mistake{usb_volts, "volts = «\"-5 V\"»", "negative-rail", "below ground"},
                    Mistake{usb_volts, "volts = «\"0 V\"»", "zero-rail", "the ground"},
                    Mistake{usb_volts, "volts = \"«5.25..4.75 V»\"", "reversed-range", "expected"},
                    Mistake{usb_volts, "volts = \"5 «A»\"", "wrong-unit", "3.3 V"},
                    Mistake{usb_volts, "volts = \"«nan» V\"", "not-a-number", "expected"},
                    Mistake{usb_volts, "volts = «5.0»", "wrong-type", "a voltage such as"},
                    Mistake{"limit = \"900 mA\"", "limit = «\"0 A\"»", "out-of-range", "above 0 A"},
                    Mistake{"ambient = \"0..40 °C\"", "ambient = «\"0..400 °C\"»", "out-of-range",
                            "-65 °C to 175 °C"},
                    Mistake{"ambient = \"0..40 °C\"", "ambient = \"«40..0 °C»\"", "reversed-range", ""},
                    Mistake{"rate = \"2 kHz\"", "rate = «\"0 Hz\"»", "out-of-range", "a rate above 0 Hz"},
                    Mistake{"rate = \"2 kHz\"", "rate = «\"1..2 kHz\"»", "not-one-value", "one value"},
                    Mistake{"value = \"4.7 kΩ\"", "value = \"4.7 «nF»\"", "wrong-unit", "4.7 kΩ"},
                    Mistake{"value = \"4.7 kΩ\"", "value = «\"4.7 kΩ ± 5 %\"»", "not-one-value", "such as"},
                    Mistake{"value = \"4.7 kΩ\"", "value = «\"0 Ω\"»", "out-of-range", "1 mΩ"},
                    Mistake{gauge, "{ type = \"gauge-5v\", supply = \"usb\", value = «\"5 kΩ\"» }",
                            "no-value", "a part without a value"},
                    Mistake{"margin = \"0.3 V\"", "margin = «\"-0.3 V\"»", "out-of-range", "0 to 36 V"},
                    Mistake{"weights = { cost = 2", "weights = { cost = «-2»", "out-of-range", "from 0"},
                    Mistake{"weights = { cost = 2", "weights = { cost = «nan»", "out-of-range", "finite"},
                    Mistake{"weights = { cost = 2", "weights = { cost = «inf»", "out-of-range", "finite"},
                    Mistake{"wire_capacitance = \"20 pF\"", "wire_capacitance = «\"20 mF\"»", "out-of-range",
                            "0 to 1 µF"},
                    Mistake{"DIP-20\" = 3", "DIP-20\" = «-3»", "out-of-range", "from 0"},
                    Mistake{"DIP-20\" = 3", "DIP-20\" = «2.5»", "wrong-type", "a count such as 3"},
                    Mistake{"\"capacitor\"      = 0", "\"capacitor\"      = «\"1 Ω .. 2 Ω\"»", "no-span",
                            "a count such as 3"},
                    Mistake{two_way, "kind = «\"twoway\"»", "unknown-word", "", "two-way"},
                    Mistake{"safe_level = \"high\"", "safe_level = «\"hihg\"»", "unknown-word", "", "high"},
                    Mistake{"bus  = \"I2C\"", "bus  = «\"i2c\"»", "unknown-word", "", "I2C"},
                    Mistake{"[\"R1.1\", \"rail logic\"]", "«[\"R1.1\"]»", "not-two-ends", "this one has 1"}));

INSTANTIATE_TEST_SUITE_P(
    Names, BenchError,
    testing::Values(
        Mistake{gauge, "{ type = «\"gauge-5w\"», supply = \"usb\" }", "unknown-type", "no part type",
                "gauge-5v"},
        Mistake{"HC 541 DIP-20", "HC 541 «DIP-21»", "unknown-package", "DIP-20", "DIP-20"},
        Mistake{gauge, "{ type = \"gauge-5v\", supply = «\"ubs\"» }", "unknown-rail", "no rail \"ubs\"",
                "usb"},
        Mistake{"VCCA = \"logic\"", "VCCA = «\"logik\"»", "unknown-rail", "", "logic"},
        Mistake{"VCCB = \"usb\" }", "VCCB = \"usb\", «VCCC» = \"usb\" }", "unknown-supply", "", "VCCA"},
        Mistake{echo_from, "from = \"«guage».ECHO\"", "unknown-part", "no part \"guage\"", "gauge"},
        Mistake{echo_from, "from = \"gauge.«EHCO»\"", "unknown-pin", "(gauge-5v) has no pin \"EHCO\"",
                "ECHO"},
        Mistake{echo_from, "from = «\"gauge\"»", "not-a-pin", "\"part.PIN\""},
        Mistake{echo_from, "from = «\"gauge.\"»", "not-a-pin", "\"part.PIN\""},
        Mistake{"from = \"controller.3V3\"", "from = \"«contoller».3V3\"", "unknown-part", "", "controller"},
        Mistake{"from = \"controller.3V3\"", "from = \"controller.«3V»\"", "unknown-pin",
                "has no pin \"3V\""},
        Mistake{"from = \"controller.3V3\"", "from = «\"controller.D3\"»", "not-a-source",
                "one of controller.3V3"},
        Mistake{"from = \"controller.3V3\"", "from = «\"gauge.VCC\"»", "not-a-source", "`provides`"},
        Mistake{"pulls_removed = [\"SDA\"]", "pulls_removed = [«\"SDL\"»]", "unknown-pin", "", "SDA"},
        Mistake{"pulls_removed = [\"SDA\"]", "pulls_removed = [«\"GND\"»]", "no-removable-pull",
                "one of SDA, SCL"},
        Mistake{"[\"R1.1\", \"rail logic\"]", "[\"R1.1\", \"rail «logics»\"]", "unknown-rail", "", "logic"},
        Mistake{"[\"R1.1\", \"rail logic\"]", "[\"R1.1\", «\"logic\"»]", "bad-wire-end", "\"rail NAME\"",
                "rail logic"},
        Mistake{"\"U1.2\"", "\"U1.«21»\"", "unknown-pin", "1 to 20"},
        Mistake{"\"U1.2\"", "\"«U3».2\"", "unknown-part", "no part \"U3\"", ""},
        Mistake{"\nparts.U1", "\nparts.«\"U.2\"» = \"npn\"\nparts.U1", "bad-name", "holds a point"}));

INSTANTIATE_TEST_SUITE_P(
    Rules, BenchError,
    testing::Values(
        Mistake{"\npump ", "\n«\"\"» = \"push-button\"\npump ", "bad-name", "is empty"},
        Mistake{"\npump ", "\n«\"a\\u0007\"» = \"push-button\"\npump ", "bad-name", "control character"},
        Mistake{"\npump ", "\n«\"a\\u202E\"» = \"push-button\"\npump ", "bad-name", "control character"},
        Mistake{"\npump ", "\n«\"a.b\"» = \"push-button\"\npump ", "bad-name", "holds a point"},
        Mistake{"name = \"moisture\"", "name = «\"\"»", "bad-name", "of a link is empty"},
        Mistake{"\n[parts]", "«\"\"» = \"5 V\"\n[parts]", "bad-name", "of a rail is empty"},
        Mistake{"name = \"moisture\"", "name = «\"tank echo\"»", "duplicate-name",
                "bench.toml:17:8: the other place"},
        Mistake{"parts.U1 =", "parts.«gauge» = \"npn\"\nparts.U1 =", "duplicate-name",
                "bench.toml:11:1: the other place"},
        Mistake{echo_to, "to   = [\"controller.D4\", «\"controller.D4\"»]", "same-pin",
                "bench.toml:19:9: the other place"},
        Mistake{echo_to, "to   = «\"gauge.ECHO\"»", "same-pin", "bench.toml:18:8: the other place"},
        Mistake{echo_to, "to   = «[]»", "no-receiver", "receives"},
        Mistake{echo_from, "from = «[]»", "no-driver", "drives"},
        Mistake{echo_to, "to   = «\"controller.GND\"»", "not-a-signal", "is a ground pin"},
        Mistake{echo_to, "to   = «\"controller.5V\"»", "not-a-signal", "is a supply pin"},
        Mistake{echo_from, "from = «\"controller.RX\"»", "cannot-drive", "is an input, which never drives"},
        Mistake{echo_from, "from = «\"pump.IN\"»", "cannot-drive", "is a load pin, which never drives"},
        Mistake{echo_to, "to   = «\"controller.TX\"»", "cannot-read",
                "is a push-pull pin, which never reads"},
        Mistake{"to   = \"shifter.A1\"", "to   = «\"shifter.DIR\"»", "one-way", "does not work both ways"},
        Mistake{"bus  = \"I2C\"", "bus  = \"I2C\"\nkind = «\"logic\"»", "not-a-bus", "open-drain bus"},
        Mistake{"\ngauge      = { type = \"gauge-5v\", supply = \"usb\", note",
                "\n«gauge»      = { type = \"gauge-5v\", note", "no-rail",
                "supply VCC of \"gauge\" is on no rail"},
        Mistake{
            "parts.R1 = {",
            "parts.R2 = { type = \"resistor\", value = \"1 kΩ\", pulls_removed = [«\"1\"»] }\nparts.R1 = {",
            "no-removable-pull", "no `pulls_removed`"},
        Mistake{"[\"U1./OE1\", \"ground\"]", "«[\"U1./OE1\", \"U1.1\"]»", "same-pin",
                "both ends of this wire are U1./OE1"}));

INSTANTIATE_TEST_SUITE_P(
    Rails, BenchError,
    testing::Values(
        Mistake{"\n[parts]", "other = { from = «\"controller.3V3\"» }\n[parts]", "one-source",
                "controller.3V3 makes two rails"},
        Mistake{"\ncontroller = { type = \"controller-3v3\", supply = \"usb\" }",
                "\n«controller» = { type = \"controller-3v3\", supplies = { 5V = \"usb\", 3V3 = \"usb\" } }",
                "one-source", "is fed by a rail and makes one"}));

INSTANTIATE_TEST_SUITE_P(
    Bench, BenchWarning,
    testing::Values(
        Mistake{"limit = \"900 mA\"", "limit = «\"900 MA\"»", "unlikely", "M is mega, m is milli", "900 mA"},
        Mistake{"rate = \"2 kHz\"", "rate = «\"1 mHz\"»", "unlikely", "is hardly meant", "1 MHz"},
        Mistake{"value = \"4.7 kΩ\"", "value = «\"4.7 mΩ\"»", "unlikely", "is hardly meant", "4.7 MΩ"},
        Mistake{"\"LVC 541 DIP-20\" = 3", "«\"LVC 542 DIP-20\"» = 3", "unknown-stock",
                "nothing in the catalogue"},
        Mistake{"\"LVC 541 DIP-20\" = 3", "«\"LVC 541 DIP-21\"» = 3", "unknown-stock", "neither a package"},
        Mistake{"\"resistor E24\" ", "«\"resistor E25\"» ", "unknown-stock", "nor a series"},
        Mistake{"\n[parts]", "«spare» = \"9 V\"\n[parts]", "unused-rail", "supplies nothing"},
        Mistake{"\npump ", "\n«button» = \"push-button\"\npump ", "unused-part", "is in no link"},
        Mistake{"volts = \"3.3 V ± 3 %\"", "volts = «\"5 V\"»", "not-as-provided",
                "controller.3V3 makes 3.3 V"},
        Mistake{echo_from, "from = [\"gauge.ECHO\", «\"controller.TX\"»]", "two-drivers", "at the same time"},
        Mistake{"to   = [\"display.SDA\"]", "to   = [\"display.SDA\", «\"gauge.ECHO\"»]", "two-drivers",
                "also drives high"},
        Mistake{"name = \"moisture\"",
                "from = \"controller.TX\"\nto = «\"controller.D4\"»\n[[links]]\nname = \"moisture\"",
                "two-drivers", "also receives link \"tank echo\""},
        Mistake{"    [\"U1./OE1\", \"ground\"],",
                "    [\"U1./OE1\", \"ground\"],\n    «[\"ground\", \"U1.1\"]»,", "duplicate-wire",
                "there already"}));

TEST(BenchMistakes, AreAllToldInOneRun) {
    std::string text = sample::bench;
    text = sample::with("titel", "titel", sample::with("title ", "titel ", text));
    text = sample::with(usb_volts, "volts = \"48 V\"", text);
    text = sample::with(gauge, "{ type = \"gauge-5w\", supply = \"ubs\" }", text);
    text = sample::with(echo_to, "to   = \"controller.D44\"", text);
    text = sample::with("name = \"moisture\"", "name = \"bus data\"", text);
    text = sample::with("margin = \"0.3 V\"", "margin = \"0.3 A\"", text);
    text = sample::with("\"rail logic\"", "\"rail logik\"", text);
    text = sample::with("like = \"analog output\"", "like = \"analogue output\"", text);
    text = sample::with("[stock]", "[stock]\n\"no such thing\" = ", text);
    const BenchReading reading = sample::read(text);
    EXPECT_FALSE(reading.bench);
    std::vector<std::string> codes;
    for (const Problem& problem : reading.problems) codes.push_back(problem.code);
    EXPECT_THAT(codes,
                testing::IsSupersetOf({"unknown-key", "extra-low-voltage", "unknown-type", "unknown-pin",
                                       "duplicate-name", "wrong-unit", "unknown-rail", "syntax"}))
        << sample::rendered(reading.problems);
    EXPECT_TRUE(std::ranges::is_sorted(reading.problems, {}, [](const Problem& p) { return p.place.line; }));
}

// On a wired-AND line `from` and `to` only list who is on it, but somebody has to pull and to read.
TEST(BenchMistakes, OfALineThatNobodyDrivesOrReads) {
    const auto problems = [](const std::string& ends) {
        return sample::read(
                   "rails.usb = \"5 V\"\nparts.c = { type = \"controller-5v\", supply = \"usb\" }\n"
                   "parts.b = \"push-button\"\nparts.d = \"push-button\"\n"
                   "links = [{ kind = \"open-drain\", " +
                   ends + " }, { from = \"d.OUT\", to = \"c.D9\" }, { from = \"b.OUT\", to = \"c.D8\" }]\n")
            .problems;
    };
    const auto codes = [&](const std::string& ends) {
        std::vector<std::string> result;
        for (const Problem& problem : problems(ends)) result.push_back(problem.code);
        return result;
    };
    using testing::ElementsAre;
    EXPECT_THAT(codes("from = \"c.RX\", to = \"c.D1\""), ElementsAre());
    EXPECT_THAT(codes("from = \"c.RX\", to = \"c.A0\""), ElementsAre("no-driver"));
    EXPECT_THAT(codes("from = \"b.OUT\", to = \"d.OUT\""), ElementsAre("no-receiver"));
}

TEST(BenchMistakes, OfASupplyThatLinksLeanOn) {
    const BenchReading reading = sample::read(
        "rails.usb = \"5 V\"\nparts.a = { type = \"controller-3v3\", supply = \"usb\" }\n"
        "parts.b = \"push-button\"\nlinks = [{ from = \"b.OUT\", to = \"a.D1\" }]\n");
    ASSERT_EQ(reading.problems.size(), 1u) << sample::rendered(reading.problems);
    EXPECT_EQ(reading.problems[0].code, "unnamed-rail");
    EXPECT_THAT(reading.problems[0].expected, HasSubstr("from = \"a.3V3\""));
}

TEST(BenchMistakes, OfRailsThatFeedEachOther) {
    const BenchReading reading = sample::read(R"(
rails.a = { volts = "3.3 V", from = "one.3V3" }
rails.b = { volts = "3.3 V", from = "two.3V3" }
rails.c = { volts = "3.3 V", from = "three.3V3" }
parts.one = { type = "controller-3v3", supply = "b" }
parts.two = { type = "controller-3v3", supply = "a" }
parts.three = { type = "controller-3v3", supply = "a" }
)");
    ASSERT_EQ(reading.problems.size(), 1u)
        << sample::rendered(reading.problems) << "and none for the rail behind";
    EXPECT_EQ(reading.problems[0].code, "feeding-loop");
    EXPECT_EQ(reading.problems[0].message, "rails that feed each other: a, fed by b, fed by a");
    EXPECT_EQ(reading.problems[0].place, (Place{"bench.toml", 2, 37, 9}));
}

TEST(BenchMistakes, OfATypeHideNoneOfItsRails) {
    const BenchReading reading = sample::read(
        "[rails]\nusb = \"5 V\"\n[parts]\na = { type = \"nonsense\", supply = \"usbb\" }\n"
        "b = { type = \"nonsense\", supplies = { VCC = \"usc\" } }\n");
    std::multiset<std::string> codes;
    for (const Problem& p : reading.problems)
        if (p.severity == Severity::error) codes.insert(p.code);
    EXPECT_EQ(codes.count("unknown-type"), 2u) << sample::rendered(reading.problems);
    EXPECT_EQ(codes.count("unknown-rail"), 2u) << sample::rendered(reading.problems);
}

// Of one slip one mistake, which shows how it is written.
TEST(BenchMistakes, ShowTheFormThatIsMeant) {
    const auto only = [](const std::string& text) {
        Problem out;
        const Problems problems = sample::read(text).problems;
        EXPECT_EQ(std::ranges::count(problems, Severity::error, &Problem::severity), 1) << sample::rendered(problems);
        for (const Problem& p : problems)
            if (p.severity == Severity::error) out = p;
        return out;
    };
    const std::string parts = "[parts]\nb = \"push-button\"\n";
    EXPECT_THAT(only("[rails]\nmain = 5\n" + parts).expected, HasSubstr("\"5 V ± 5 %\""));
    EXPECT_THAT(only("[rails]\nmain = true\n" + parts).expected, HasSubstr("\"5 V ± 5 %\""));
    EXPECT_EQ(only(parts + "[types.x]\nsupplies.VCC = \"5V\"\n").expected, "{ range = \"4.5..5.5 V\" }");
    EXPECT_EQ(only(parts + "[types.x]\nsupplies.VCC = \"3..3.6 V\"\n").expected, "{ range = \"3..3.6 V\" }");
    EXPECT_EQ(only(parts + "[types.x]\npins.D2 = \"input\"\n").expected, "{ is = \"input\" }");
    EXPECT_THAT(only(parts + "[types.x]\npins.D2 = { like = \"TTL input\" }\n").nearest, "TTL input, 5 V");
    const Problem unknown = only("[parts]\nb = \"water thing\"\n");
    EXPECT_THAT(unknown.expected, HasSubstr("voltsill parts search"));
    EXPECT_THAT(unknown.expected, HasSubstr("[types.\"water thing\"]"));
}

TEST(BenchMistakes, OfAnEmptyBench) {
    for (const char* text : {"", "# nothing\n", "title = \"Station\"\n", "[rails]\nusb = \"5 V\"\n"}) {
        const BenchReading reading = sample::read(text);
        EXPECT_FALSE(reading.bench);
        ASSERT_EQ(reading.problems.size(), 1u) << text;
        EXPECT_EQ(reading.problems[0].code, "empty-bench");
        EXPECT_THAT(reading.problems[0].message, HasSubstr("nothing on this bench"));
    }
}

TEST(BenchMistakes, OfABenchWithoutLinksIsAWarning) {
    const BenchReading reading =
        sample::read("rails.usb = \"5 V\"\nparts.gauge = { type = \"controller-5v\", supply = \"usb\" }\n");
    EXPECT_TRUE(reading.bench);
    std::vector<std::string> codes;
    for (const Problem& problem : reading.problems) codes.push_back(problem.code);
    EXPECT_THAT(codes, testing::UnorderedElementsAre("no-links", "unused-part"));
}

TEST(BenchMistakes, OfSize) {
    const BenchReading huge = sample::read(std::string((std::size_t{4} << 20) + 1, '#'));
    ASSERT_FALSE(huge.problems.empty());
    EXPECT_EQ(huge.problems[0].code, "too-large");
    std::string many = "[parts]\n";
    for (int i = 0; i < 5000; ++i) many += "p" + std::to_string(i) + " = \"no such type\"\n";
    const BenchReading crowd = sample::read(many);
    ASSERT_EQ(crowd.problems.size(), 1u);
    EXPECT_EQ(crowd.problems[0].code, "too-many-entries");
    EXPECT_EQ(crowd.problems[0].place, (Place{"bench.toml", 1, 2, 5}));
}

}  // namespace
