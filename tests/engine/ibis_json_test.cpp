// The document of an IBIS file, held against the schema.
#include <gtest/gtest.h>

#include "engine/ibis_json.h"

#include <fstream>
#include <sstream>

#include "schema_check.h"

namespace {

using namespace voltsill;
using nlohmann::json;

TEST(IbisJson, HoldsWhatTheFileHoldsAndFitsTheSchema) {
    std::ostringstream text;
    text << std::ifstream(std::string(VOLTSILL_ROOT) + "/examples/ibis/schmitt-input.ibs", std::ios::binary)
                .rdbuf();
    Problems problems;
    const IbisFile file = read_ibis(text.str(), "schmitt-input.ibs", problems);
    const auto import = import_ibis(file, {"", "2"}, problems);
    ASSERT_TRUE(import);
    const json whole = json::parse(ibis_to_json(file, import, problems));
    EXPECT_EQ(sample::complaint(whole), "");
    EXPECT_EQ(whole["models"][1]["type"], "Terminator");
    EXPECT_EQ(whole["not_used"][0]["keyword"], "[Receiver Thresholds]");
    EXPECT_EQ(whole["import"]["pin"], "2");
    EXPECT_EQ(sample::complaint(json::parse(ibis_to_json(file, std::nullopt, problems))), "");
}

}  // namespace
