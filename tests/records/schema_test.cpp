#include <gmock/gmock.h>

#include <nlohmann/json.hpp>

#include "sample.h"
#include "support/schema_check.h"

namespace {

using namespace voltsill;
using Json = nlohmann::json;

class Judge : public voltsill::test::SchemaCheck {
  public:
    explicit Judge(const std::string& text) : SchemaCheck(text) {
        EXPECT_EQ(dialect(), "https://json-schema.org/draft/2020-12/schema");
    }
};

const char* const good_documents[] = {
    "title = \"a\"",
    "title = \"a\"\nrails.a = \"5 V\"\nrails.b = { volts = \"3.3 V ± 3 %\", limit = \"300 mA\" }",
    "title = \"a\"\n[[spare]]\nvolts = \"4.75..5.25 V\"\ncount = 8\nweight = 2\nkind = \"load\"\npins = "
    "[\"A\", \"B\"]\nsinks = true",
    "title = \"a\"\n[box.inner.x.inner.y]\ntitle = \"deep\"",
    "title = \"a\"\nrails.a = \"3V3\"\nspare = [{ volts = \"\u22125 \u00B1 0.25 V\", pins = \"A\" }]",
};
const char* const bad_documents[] = {
    "",
    "titel = \"a\"",
    "title = 3",
    "title = \"a\"\nrails.a = 5",
    "title = \"a\"\nrails.a = \"5\"",
    "title = \"a\"\nrails.a = \"5 A\"",
    "title = \"a\"\nrails.a = { limit = \"1 A\" }",
    "title = \"a\"\nrails.a = { volts = \"5 V\", limt = \"1 A\" }",
    "title = \"a\"\nspare = [{ volts = \"5 V\", count = 9 }]",
    "title = \"a\"\nspare = [{ volts = \"5 V\", count = 1.5 }]",
    "title = \"a\"\nspare = [{ volts = \"5 V\", weight = -1 }]",
    "title = \"a\"\nspare = [{ volts = \"5 V\", kind = \"lod\" }]",
    "title = \"a\"\nspare = [{ volts = \"5 V\", pins = [1] }]",
    "title = \"a\"\nspare = [{ volts = \"5 V\", sinks = \"yes\" }]",
    "title = \"a\"\nspare = { volts = \"5 V\" }",
    "title = \"a\"\n[box.inner.x.inner.y]\ntitel = \"deep\"",
};

TEST(JsonSchema, AgreesWithTheReader) {
    const Judge judge(json_schema(sample::bench_shape()));
    const auto both = [&](const char* text) {
        return std::pair(judge.accepts(voltsill::test::as_json(parse_toml(text, "in.toml").root)),
                         sample::read_text(text).problems.empty());
    };
    for (const char* text : good_documents) EXPECT_EQ(both(text), std::pair(true, true)) << text;
    for (const char* text : bad_documents) EXPECT_EQ(both(text), std::pair(false, false)) << text;
}

TEST(JsonSchema, TellsWhatIsKnownOfAField) {
    const Json schema = Json::parse(json_schema(sample::bench_shape()));
    const Json& rail = schema["$defs"]["rail"];
    EXPECT_EQ(rail["description"], "A supply of the bench");
    EXPECT_EQ(rail["properties"]["limit"]["description"], "largest current");
    EXPECT_EQ(rail["properties"]["volts"]["examples"], Json::array({"3.3 V ± 3 %"}));
    EXPECT_EQ(rail["required"], Json::array({"volts"}));
    EXPECT_EQ(rail["additionalProperties"], false);
    EXPECT_EQ(rail["properties"]["count"]["maximum"], 8);
    EXPECT_EQ(schema["properties"]["spare"]["items"]["$ref"], "#/$defs/rail");
}

/// Every text the reader takes must pass the pattern, or a right file would be marked wrong.
TEST(JsonSchema, PatternsAgreeWithTheParserOfQuantities) {
    struct Case {
        Dimension dimension;
        std::vector<const char*> right, wrong;
    };
    const Case cases[] = {
        {Dimension::voltage,
         {"3.3 V", "-5V", "+.5 mV", "1e3 mV", "3V3", "4.75..5..5.25 V", "0 .. 5 V", "5 +/- 0.1 V",
          "5 V +- 2 %", "1 µV", "12 volts", "3.3\u00A0V", "\u22125 V", "3V3..5 V"},
         {"", "V", "5", "5 A", "5 Ω", "3,3 V", "5 V V", "1..2..3..4 V", "five V", "5 V ±"}},
        {Dimension::resistance,
         {"4.7 kΩ", "4k7", "4.7k", "R10", "4R7", "10 Ω ± 1 %", "1 Ω .. 10 MΩ", "4.7 k\u2126", "100 ohm",
          "0..4k7", "4k7 ± 5 %", "10 R"},
         {"", "4.7", "4.7 V", "k", "4.7 q", "4k7 ± 5"}},
        {Dimension::capacitance,
         {"100 nF", "100n", "4n7", "4µ7", "10 µF ± 20 %", "1 farad"},
         {"100", "nF", "100 V"}},
        {Dimension::frequency, {"2 kHz", "9600 baud", "100 kbit/s", "0..400 kHz"}, {"2 k", "2 s", "2"}},
        {Dimension::time_per_voltage, {"10 ns/V", "1..2 µs/V"}, {"10 ns", "10 V", "10"}},
        {Dimension::temperature, {"25 °C", "0..40 °C", "-40..85 degC", "25 °C ± 5 °C"}, {"25", "25 V"}},
        {Dimension::ratio, {"3 %", "0.03", "50..600 %", "100 ppm"}, {"3 V", "%", ""}},
    };
    for (const Case& c : cases) {
        const Judge judge(R"({"$schema":"https://json-schema.org/draft/2020-12/schema","type":"string","pattern":)" +
                          nlohmann::json(quantity_pattern(c.dimension)).dump() + "}");
        for (const char* text : c.right) {
            EXPECT_TRUE(parse_span(c.dimension, text).has_value()) << text;
            EXPECT_TRUE(judge.accepts(text)) << text;
        }
        for (const char* text : c.wrong) {
            EXPECT_FALSE(parse_span(c.dimension, text).has_value()) << text;
            EXPECT_FALSE(judge.accepts(text)) << text;
        }
    }
}

}  // namespace
