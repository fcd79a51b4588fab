#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

#include "records/tree.h"
#include "sample.h"

namespace {

using namespace voltsill;
using Json = nlohmann::json;

Json as_json(const Value& value) {
    switch (value.kind) {
        case ValueKind::table: {
            Json object = Json::object();
            for (const Entry& entry : value.entries) object[entry.name] = as_json(entry.value);
            return object;
        }
        case ValueKind::array: {
            Json array = Json::array();
            for (const Value& item : value.items) array.push_back(as_json(item));
            return array;
        }
        case ValueKind::integer:
            return value.integer;
        case ValueKind::real:
            return value.real;
        case ValueKind::boolean:
            return value.boolean;
        default:
            return value.text;
    }
}

/// An independent validator. It knows draft 7; the words used are the same in 2020-12.
class BenchSchema : public testing::Test {
  protected:
    BenchSchema() {
        Json json = Json::parse(bench_schema());
        EXPECT_EQ(json["$schema"], "https://json-schema.org/draft/2020-12/schema");
        json.erase("$schema");
        valijson::SchemaParser parser(valijson::SchemaParser::kDraft7);
        parser.populateSchema(valijson::adapters::NlohmannJsonAdapter(json), schema_);
    }
    bool accepts(const std::string& text) const {
        const ParsedText parsed = parse_toml(text, "bench.toml");
        EXPECT_TRUE(parsed.problems.empty()) << sample::rendered(parsed.problems);
        const Json document = as_json(parsed.root);
        valijson::Validator validator;
        return validator.validate(schema_, valijson::adapters::NlohmannJsonAdapter(document), nullptr);
    }
    valijson::Schema schema_;
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
