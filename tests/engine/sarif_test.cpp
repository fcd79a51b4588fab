// SARIF 2.1.0, OASIS Standard 27 March 2020: properties it requires and rules between them, from
// memory; the section is named beside each check.
#include <gtest/gtest.h>

#include <map>
#include <regex>

#include "sample.h"

namespace {

using namespace sample;
using nlohmann::json;

json sarif(const CheckResult& result) { return parsed(to_sarif(result, "0.1.0")); }

TEST(Sarif, LogHasVersionAndOneRunWithItsTool) {
    const json log = sarif(check_result());
    EXPECT_EQ(log["version"], "2.1.0");                                        // 3.13.2
    ASSERT_EQ(log["runs"].size(), 1u);                                         // 3.13.4
    EXPECT_EQ(log["runs"][0]["tool"]["driver"]["name"], "Voltsill");           // 3.14.6, 3.18.2, 3.19.8
    EXPECT_EQ(log["runs"][0]["tool"]["driver"]["version"], "0.1.0");           // 3.19.13
    EXPECT_EQ(log["runs"][0]["columnKind"], "unicodeCodePoints");              // 3.14.17
    EXPECT_EQ(log["runs"][0]["invocations"][0]["executionSuccessful"], true);  // 3.20.14, required
    EXPECT_EQ(sarif(refused())["runs"][0]["invocations"][0]["executionSuccessful"], false);
}

TEST(Sarif, EveryResultHasAMessageARuleAndAKindThatFitsItsLevel) {
    const json run = sarif(check_result())["runs"][0];
    const json& rules = run["tool"]["driver"]["rules"];
    const std::set<std::string> levels = {"none", "note", "warning", "error"};  // 3.27.10
    const std::set<std::string> kinds = {"pass",          "open",   "informational",
                                         "notApplicable", "review", "fail"};  // 3.27.9
    ASSERT_EQ(run["results"].size(), 6u);                                     // one problem, five findings
    for (const json& result : run["results"]) {
        EXPECT_FALSE(result["message"]["text"].empty());                                 // 3.27.11, 3.11.8
        EXPECT_EQ(rules.at(result["ruleIndex"].get<size_t>())["id"], result["ruleId"]);  // 3.27.5, 3.27.6
        EXPECT_TRUE(levels.contains(result["level"]) && kinds.contains(result["kind"]));
        EXPECT_EQ(result["kind"] != "fail", result["level"] == "none");  // 3.27.10
    }
    std::set<std::string> ids;
    for (const json& rule : rules) {
        EXPECT_TRUE(ids.insert(rule["id"]).second);                                       // 3.19.23: unique
        EXPECT_TRUE(rule["shortDescription"]["text"].get<std::string>().ends_with("."));  // 3.12.3
        EXPECT_NE(rule["shortDescription"]["text"], "A finding of the judge.");
    }
}

TEST(Sarif, VerdictsBecomeKindsAndLevels) {
    std::map<std::string, std::pair<std::string, std::string>> seen;
    const json log = sarif(check_result());
    for (const json& r : log["runs"][0]["results"]) seen[r["ruleId"]] = {r["kind"], r["level"]};
    using Mark = std::pair<std::string, std::string>;
    EXPECT_EQ(seen["over-voltage"], (Mark{"fail", "error"}));
    EXPECT_EQ(seen["not-reached"], (Mark{"fail", "error"}));
    EXPECT_EQ(seen["missing-decoupling"], (Mark{"fail", "warning"}));
    EXPECT_EQ(seen["threshold-unknown"], (Mark{"open", "none"}));
    EXPECT_EQ(seen["low-level"], (Mark{"pass", "none"}));
    EXPECT_EQ(seen["input/unused-part"], (Mark{"fail", "warning"}));
}

TEST(Sarif, ResultsPointIntoTheBenchFile) {
    const json results = sarif(check_result())["runs"][0]["results"];
    const json& over = results[1]["locations"][0];
    EXPECT_EQ(over["physicalLocation"]["artifactLocation"]["uri"],
              "benches/two%20rails.toml");  // 3.4.3, RFC 3986
    EXPECT_EQ(over["physicalLocation"]["region"],
              json({{"startLine", 12}, {"startColumn", 3}, {"endColumn", 7}}));  // 3.30.5 to 3.30.8
    EXPECT_EQ(over["logicalLocations"][0]["fullyQualifiedName"], "board.SIG");   // 3.33.5
    const json& added = results[5]["locations"][0];
    EXPECT_FALSE(added.contains("physicalLocation"));  // U9 is in no file
    EXPECT_EQ(added["logicalLocations"][0]["fullyQualifiedName"], "U9");
    const json problems = sarif(refused())["runs"][0]["results"];
    EXPECT_EQ(problems[0]["relatedLocations"][0]["physicalLocation"]["region"]["startLine"], 2);
    EXPECT_FALSE(problems[1]["locations"][0]["physicalLocation"].contains("region"));  // the file as a whole
}

// RFC 3986, appendix A: a relative reference without scheme has no colon in its first segment.
TEST(Sarif, AnyFileNameIsAUriReference) {
    const std::regex reference("(/|[A-Za-z0-9._~-]|%[0-9A-F]{2})+");
    for (const std::string name :
         {"a:b.toml", "größe.toml", "50%.toml", "//host/x.toml", "a b?#.toml", "\xFF.toml"}) {
        CheckResult result = refused();
        result.problems[0].place.file = name;
        const std::string uri = sarif(
            result)["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"];
        EXPECT_TRUE(std::regex_match(uri, reference)) << uri;
        EXPECT_FALSE(uri.starts_with("//")) << uri;
    }
}

// 3.27.17: a fingerprint stays when only the number changes, and tells two findings apart.
TEST(Sarif, FingerprintFollowsTheFindingNotItsNumber) {
    CheckResult result = check_result();
    const json before = sarif(result)["runs"][0]["results"];
    result.judgement.findings[0].value->value = 5.1;
    result.judgement.findings[0].state = "all rails up; gauge.SIG low";
    const json after = sarif(result)["runs"][0]["results"];
    EXPECT_EQ(before[1]["partialFingerprints"], after[1]["partialFingerprints"]);
    EXPECT_NE(before[1]["partialFingerprints"], before[3]["partialFingerprints"]);
}

TEST(Sarif, HostileNamesStayValidJson) {
    CheckResult result = check_result();
    result.judgement.findings[0].part = std::string("\xC3\x28\0\x1B", 4);
    EXPECT_NO_THROW(sarif(result));
}

}  // namespace
