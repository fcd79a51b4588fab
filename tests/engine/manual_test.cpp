// docs/manual.md: its bench is read and planned as the words around it say, and its pictures and links are
// there.
#include <gtest/gtest.h>

#include <filesystem>
#include <regex>

#include "sample.h"
#include "support/file_text.h"

namespace {

using namespace sample;

std::string manual() { return test::file_text("docs/manual.md"); }

TEST(Manual, ItsBenchIsReadAndPlanned) {
    const std::string text = manual(), open = "```toml\n";
    const size_t from = text.find(open);
    ASSERT_NE(from, std::string::npos);
    const std::string bench =
        text.substr(from + open.size(), text.find("```", from + open.size()) - from - open.size());
    const CheckResult direct = check(bench, "manual.toml", nullptr);
    ASSERT_TRUE(direct.bench) << to_json(direct);
    EXPECT_EQ(direct.judgement.links.at(0).verdict, Verdict::harmful);
    const PlanResult planned = make_plan(bench, "manual.toml", nullptr);
    EXPECT_TRUE(planned.problems.empty());
    EXPECT_LE(planned.plan.judgement.verdict, Verdict::thin);
}

TEST(Manual, WhatItPointsToIsThere) {
    const std::string text = manual();
    const std::regex target(R"(\]\(([a-z_/.-]+)\))");
    int count = 0;
    for (std::sregex_iterator at(text.begin(), text.end(), target), end; at != end; ++at, ++count)
        EXPECT_TRUE(std::filesystem::exists(std::string(VOLTSILL_ROOT) + "/docs/" + (*at)[1].str()))
            << (*at)[1];
    EXPECT_GE(count, 15);
}

}  // namespace
