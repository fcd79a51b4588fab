// Traces as JSON: what the schema says, and every number that was there.
#include <gtest/gtest.h>

#include "sample.h"
#include "schema_check.h"
#include "support/made_trace.h"

namespace {

using namespace sample;

TraceResult traced() {
    TraceResult r;
    r.bench = bench();
    r.wiring = wiring(*r.bench);
    r.planned = true;
    r.traces = {made::trace("echo", 20), made::trace("quiet", 0), made::failed("nothing")};
    r.traces[1].measures[0].nominal = std::nullopt;
    r.traces[1].measures[0].why = "no edge rises";
    return r;
}

TEST(TraceJson, FollowsTheSchema) {
    EXPECT_EQ(complaint(parsed(to_json(traced()))), "");
    TraceResult wrong;
    wrong.misused = {
        {.code = "unknown-link", .message = "the bench has no link \"ecko\"", .nearest = "echo"}};
    const nlohmann::json refused_json = parsed(to_json(wrong));
    EXPECT_EQ(complaint(refused_json), "");
    EXPECT_EQ(refused_json["accepted"], false);
    EXPECT_EQ(refused_json["problems"][0]["nearest"], "echo");
}

TEST(TraceJson, HoldsWavesMeasuresAndConditions) {
    const nlohmann::json json = parsed(to_json(traced()));
    EXPECT_EQ(json["format"], "voltsill-trace-1");
    EXPECT_EQ(json["wiring_from"], "plan");
    const nlohmann::json& t = json["traces"][0];
    EXPECT_EQ(t["verdict"], "unreadable");
    EXPECT_EQ(t["seed"], 7);
    EXPECT_EQ(t["worst_sample"], 17);
    EXPECT_EQ(t["rate"]["unit"], "hertz");
    const LinkTrace made_by_hand = made::trace("echo", 20);
    const nlohmann::json& wave = t["points"][1]["nominal"];
    const auto volts = wave["volts"].get<std::vector<double>>();
    ASSERT_EQ(volts.size(), made_by_hand.points[1].nominal.volts.size());
    for (std::size_t k = 0; k < volts.size(); ++k)  // written to ten microvolts
        EXPECT_NEAR(volts[k], made_by_hand.points[1].nominal.volts[k], 5.1e-6);
    EXPECT_EQ(wave["seconds"].size(), wave["volts"].size());
    EXPECT_EQ(t["points"][1]["envelope"]["hi"].size(), t["points"][1]["envelope"]["seconds"].size());
    EXPECT_EQ(t["points"][0]["role"], "driver");
    EXPECT_EQ(t["points"][1]["vih_min"]["value"], 2.0);
    const nlohmann::json& edge = t["measures"][1];
    EXPECT_EQ(edge["measure"], "edge rate");
    EXPECT_EQ(edge["highest"]["unit"], "second per volt");
    EXPECT_EQ(edge["limit"]["is"], "maximum");
    EXPECT_EQ(edge["limit"]["source"], "invented data sheet, table 4");
    EXPECT_EQ(edge["influences"][0]["parameter"], "R1");
}

TEST(TraceJson, WhatIsNotThereIsNull) {
    const nlohmann::json json = parsed(to_json(traced()));
    const nlohmann::json& t = json["traces"][1];
    EXPECT_TRUE(t["points"][0]["worst"].is_null());
    EXPECT_TRUE(t["points"][0]["envelope"].is_null());
    EXPECT_TRUE(t["measures"][0]["nominal"].is_null());
    EXPECT_EQ(t["measures"][0]["why_not"], "no edge rises");
    EXPECT_TRUE(t["worst_sample"].is_null());
    EXPECT_EQ(json["traces"][2]["trouble"], "nothing drives it");
    EXPECT_EQ(json["traces"][2]["verdict"], "unknown");
}

}  // namespace
