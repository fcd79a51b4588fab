// The schema itself: the printed copy, its references, and its words against those of the program.
#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <functional>
#include <set>

#include "documents/markdown.h"
#include "engine/file_reference.h"
#include "faults/readings_file.h"
#include "parts/words.h"
#include "sample.h"
#include "schema_check.h"
#include "support/file_text.h"

namespace {

using namespace sample;
using nlohmann::json;

void expect_printed(const std::string& name, const std::string& schema) {
    const std::string path = std::string(VOLTSILL_ROOT) + "/docs/" + name;
    if (std::getenv("VOLTSILL_UPDATE")) std::ofstream(path, std::ios::binary) << schema;
    EXPECT_EQ(test::file_text(path), schema) << "run this test with VOLTSILL_UPDATE=1";
}

TEST(Schema, PrintedCopiesAreCurrent) {
    expect_printed("result.schema.json", result_schema());
    expect_printed("bench.schema.json", bench_schema());
    expect_printed("readings.schema.json", readings_schema());
    expect_printed("bench-reference.md", doc::render_markdown(file_reference(bench_schema())));
    expect_printed("readings-reference.md", doc::render_markdown(file_reference(readings_schema())));
}

void each_reference(const json& schema, const std::function<void(const std::string&)>& use) {
    if (schema.is_object() && schema.contains("$ref")) use(schema["$ref"]);
    if (schema.is_structured())
        for (const json& inner : schema) each_reference(inner, use);
}

TEST(Schema, EveryReferenceIsThereAndEveryPieceIsUsed) {
    const json schema = parsed(result_schema());
    EXPECT_EQ(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");  // 2020-12 core, 8.1.1
    std::set<std::string> used, there;
    each_reference(schema, [&](const std::string& reference) {
        ASSERT_TRUE(reference.starts_with("#/$defs/"));
        used.insert(reference.substr(8));
    });
    for (const auto& [name, piece] : schema["$defs"].items()) there.insert(name);
    EXPECT_EQ(used, there);
}

template <class Words>
std::set<std::string> words_of(const Words& words) {
    std::set<std::string> out;
    for (const auto& [word, meaning] : words) out.insert(word);
    return out;
}

TEST(Schema, WordsAreThoseOfTheProgram) {
    const json defs = parsed(result_schema())["$defs"];
    const auto listed = [](const json& choice) { return choice["enum"].get<std::set<std::string>>(); };
    std::set<std::string> certainties = words_of(certainty_words());
    certainties.insert("unknown");
    EXPECT_EQ(listed(defs["certainty"]), certainties);
    EXPECT_EQ(listed(defs["pin"]["properties"]["role"]), words_of(role_words()));
    EXPECT_EQ(listed(defs["part"]["properties"]["kind"]), words_of(kind_words()));
    EXPECT_EQ(listed(defs["channel"]["properties"]["logic"]), words_of(logic_words()));
    std::set<std::string> verdicts;
    for (const Verdict v :
         {Verdict::safe, Verdict::thin, Verdict::unknown, Verdict::unreadable, Verdict::harmful})
        verdicts.insert(std::string(to_word(v)));
    EXPECT_EQ(listed(defs["verdict"]), verdicts);
}

}  // namespace
