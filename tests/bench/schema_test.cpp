#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "records/tree.h"
#include "sample.h"
#include "support/schema_check.h"

namespace {

using namespace voltsill;
using Json = nlohmann::json;

class BenchSchema : public ::testing::Test {
  protected:
    bool accepts(const std::string& text) const {
        const ParsedText parsed = parse_toml(text, "bench.toml");
        EXPECT_TRUE(parsed.problems.empty()) << sample::rendered(parsed.problems);
        EXPECT_EQ(schema_.dialect(), "https://json-schema.org/draft/2020-12/schema");
        return schema_.accepts(voltsill::test::as_json(parsed.root));
    }
    const voltsill::test::SchemaCheck schema_{bench_schema()};
};

TEST_F(BenchSchema, TakesEveryExample) {
    EXPECT_TRUE(accepts(sample::bench));
    EXPECT_TRUE(accepts("rails = { main = \"5 V\" }\nparts.a = \"push-button\"\ninclude = \"x.toml\"\n"));
    for (const auto& file : std::filesystem::directory_iterator(VOLTSILL_ROOT "/examples")) {
        if (file.path().extension() != ".toml") continue;
        std::ifstream in(file.path(), std::ios::binary);
        std::stringstream text;
        text << in.rdbuf();
        EXPECT_TRUE(accepts(text.str())) << file.path();
    }
}

TEST_F(BenchSchema, RefusesWhatTheReaderRefuses) {
    const std::pair<const char*, const char*> mistakes[] = {
        {"title   =", "titel   ="},
        {"volts = \"4.75..5.25 V\"", "volts = \"4.75..5.25 A\""},
        {"volts = \"4.75..5.25 V\"", "volts = 5"},
        {"limit = \"900 mA\"", "limits = \"900 mA\""},
        {"type = \"relay-module-5v\", ", ""},
        {"rate = \"2 kHz\"", "rate = \"2\""},
        {"from = \"gauge.ECHO\"", "form = \"gauge.ECHO\""},
        {"from = \"gauge.ECHO\"", "from = 3"},
        {"kind = \"two-way\"", "kind = \"both\""},
        {"safe_level = \"high\"", "safe_level = \"up\""},
        {"bus  = \"I2C\"", "bus  = \"I3C\""},
        {"DIP-20\" = 3", "DIP-20\" = -3"},
        {"DIP-20\" = 3", "DIP-20\" = true"},
        {"cost = 2", "cost = -2"},
        {"[\"R1.1\", \"rail logic\"]", "[\"R1.1\"]"},
        {"[\"R1.1\", \"rail logic\"]", "[\"R1.1\", \"a\", \"b\"]"},
        {"as_is = true", "as_is = 1"},
        {"pulls_removed = [\"SDA\"]", "pulls_removed = [1]"},
        {"pins.LEVEL = { like", "pins.LEVEL = { lik"},
    };
    for (const auto& [old, fresh] : mistakes) {
        const std::string text = sample::with(old, fresh);
        EXPECT_FALSE(accepts(text)) << fresh;
        EXPECT_FALSE(sample::read(text).bench) << fresh;
    }
}

}  // namespace
