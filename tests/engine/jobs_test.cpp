// The three jobs on whole bench files: one path, three wirings.
#include <gtest/gtest.h>

#include <filesystem>
#include <map>

#include "engine/finding_codes.h"
#include "sample.h"
#include "schema_check.h"
#include "support/file_text.h"

namespace {

using namespace sample;
using nlohmann::json;

// Figures of the controller are the catalogue's. The sender is a 5 V output, invented.
const std::string direct = R"(title = "One 5 V output into one 3.3 V input"

[rails]
usb   = { volts = "4.75..5.25 V" }
logic = { volts = "3.3 V ± 3 %", from = "board.3V3" }

[parts]
board  = { type = "controller-3v3", supply = "usb" }
sender = { type = "controller-5v", supply = "usb" }

[[links]]
name = "data"
from = "sender.D1"
to   = "board.D1"
rate = "1 kHz"
)";

CheckResult checked(const std::string& text) { return check(text, "bench.toml", {}); }

std::string told(const Problems& problems) {
    std::string out;
    for (const Problem& problem : problems) out += render(problem);
    return out;
}

TEST(Jobs, CheckJudgesTheEndsJoinedDirectly) {
    const CheckResult result = checked(direct);
    ASSERT_TRUE(result.bench) << told(result.problems);
    EXPECT_FALSE(result.given_wiring);
    EXPECT_TRUE(result.wiring.direct);
    // 5.25 V on a 3.3 V pin that is not tolerant: 4.0 V is the usual absolute maximum (common practice).
    EXPECT_EQ(result.judgement.verdict, Verdict::harmful);
    EXPECT_EQ(exit_code(result.problems, result.judgement.verdict), 1);
    EXPECT_EQ(complaint(parsed(to_json(result))), "");
}

TEST(Jobs, PlanMakesTheSameBenchWork) {
    const PlanResult result = make_plan(direct, "bench.toml", {});
    ASSERT_TRUE(result.bench) << told(result.problems);
    EXPECT_EQ(result.plan.before.verdict, checked(direct).judgement.verdict);
    ASSERT_EQ(result.plan.links.size(), 1u);
    EXPECT_TRUE(result.plan.links[0].chosen);
    EXPECT_EQ(exit_code(result.problems, result.plan.judgement.verdict), 0);
    EXPECT_EQ(complaint(parsed(to_json(result))), "");
}

TEST(Jobs, UnknownPartOfAnInterfaceCircuitIsRefusedAtItsPlace) {
    std::string text = direct;
    const auto at = text.find("[[links]]\n");
    ASSERT_NE(at, std::string::npos);
    text.insert(at + 10, "interface = \"low-rail-buffer LVC 542\"\n");
    const CheckResult result = check(text, "bench.toml", {});
    ASSERT_EQ(result.problems.size(), 1u);
    EXPECT_EQ(result.problems[0].code, "unknown-type");
    EXPECT_EQ(result.problems[0].place.column, 30);
    EXPECT_EQ(result.problems[0].place.width, 7);
    text.replace(text.find("LVC 542"), 7, "LVC 541");
    EXPECT_TRUE(check(text, "bench.toml", {}).bench);
}

TEST(Jobs, UnknownInterfaceCircuitIsRefusedWithTheNearestName) {
    std::string text = direct;
    const auto at = text.find("[[links]]\n");
    ASSERT_NE(at, std::string::npos);
    text.insert(at + 10, "interface = \"dividr\"\n");
    const CheckResult result = check(text, "bench.toml", {});
    EXPECT_FALSE(result.bench);
    ASSERT_EQ(result.problems.size(), 1u);
    EXPECT_EQ(result.problems[0].code, "unknown-interface");
    EXPECT_EQ(result.problems[0].nearest, "divider");
    EXPECT_EQ(result.problems[0].excerpt, "interface = \"dividr\"");
    EXPECT_EQ(result.problems[0].place.column, 13);
    EXPECT_EQ(result.problems[0].place.width, 8);

    text = "ambient = \"20 V\"\n" + text + "[[links]]\nfrom = \"nobody.OUT\"\nto = \"nobody.IN\"\n";
    const Problems all = check(text, "bench.toml", {}).problems;
    ASSERT_EQ(all.size(), 4u) << "all in one run";
    EXPECT_EQ(all[1].code, "unknown-interface");
    for (size_t k = 1; k < all.size(); ++k) EXPECT_LE(all[k - 1].place.line, all[k].place.line);
}

TEST(Jobs, AWireThatJoinsRailsIsShownInItsLine) {
    const std::string text = std::string("rails.a = \"5 V\"\nrails.b = \"3.3 V\"\n") +
                             "parts.c = { type = \"controller-5v\", supply = \"a\" }\n"
                             "[wiring]\nwires = [[\"rail a\", \"rail b\"]]\n";
    for (const Problems& problems : {check(text, "b.toml", {}).problems, predict(text, "b.toml", {}).problems}) {
        const auto joined = std::ranges::find(problems, "rails-joined", &Problem::code);
        ASSERT_NE(joined, problems.end());
        EXPECT_EQ(joined->excerpt, "wires = [[\"rail a\", \"rail b\"]]");
    }
}

// A plan written into the bench as its [wiring] is judged and read like the plan.
TEST(Jobs, PlanWrittenBackIsTheGivenWiring) {
    const PlanResult planned = make_plan(direct, "bench.toml", {});
    ASSERT_TRUE(planned.bench);
    const std::string wired = wired_bench(direct, "bench.toml", planned.plan.wiring).value();
    const CheckResult result = checked(wired);
    ASSERT_TRUE(result.bench) << told(result.problems);
    EXPECT_TRUE(result.given_wiring);
    EXPECT_EQ(result.judgement.verdict, planned.plan.judgement.verdict);

    const ReadingsResult from_plan = predict(direct, "bench.toml", {}),
                         from_wires = predict(wired, "bench.toml", {});
    EXPECT_TRUE(from_plan.planned);
    EXPECT_FALSE(from_wires.planned);
    const auto points = [](const ReadingsResult& readings) {
        std::map<std::pair<std::string, std::string>, double> out;
        for (const StateReading& r : readings.readings) out[{r.point, r.state}] = r.nominal;
        return out;
    };
    const auto expected = points(from_plan), found = points(from_wires);
    EXPECT_FALSE(expected.empty());
    ASSERT_EQ(found.size(), expected.size());
    for (const auto& [key, volts] : expected) {
        ASSERT_TRUE(found.contains(key)) << key.first << ", " << key.second;
        EXPECT_NEAR(found.at(key), volts, 1e-6) << key.first << ", " << key.second;
    }
    EXPECT_EQ(complaint(parsed(to_json(from_wires))), "");
}

TEST(Jobs, MistakesRefuseTheInputInEveryJob) {
    std::string text = direct;
    text.replace(text.find("sender.D1"), 9, "sendr.D1");
    const CheckResult result = checked(text);
    EXPECT_FALSE(result.bench);
    EXPECT_TRUE(result.judgement.findings.empty() && result.wiring.parts.empty());
    ASSERT_TRUE(has_error(result.problems));
    EXPECT_EQ(result.problems[0].place.line, 13);
    EXPECT_EQ(exit_code(result.problems, result.judgement.verdict), 3);
    EXPECT_EQ(make_plan(text, "bench.toml", {}).problems.size(), result.problems.size());
    EXPECT_EQ(predict(text, "bench.toml", {}).problems.size(), result.problems.size());
    EXPECT_EQ(complaint(parsed(to_json(result))), "");
}

TEST(Jobs, BadWiresRefuseCheckAndReadings) {
    const std::string text = direct + "\n[wiring]\nwires = [[\"sender.D1\", \"nobody.D1\"]]\n";
    EXPECT_FALSE(checked(text).bench);
    EXPECT_NE(told(checked(text).problems).find("nobody"), std::string::npos);
    EXPECT_FALSE(predict(text, "bench.toml", {}).bench);
    EXPECT_EQ(exit_code(checked(text).problems, Verdict::safe), 3);
}

TEST(Jobs, AnyBytesGiveProblemsNotCrashes) {
    for (const std::string& text :
         {std::string(), std::string("\xFF\xFE\0\0", 4), std::string("[["), std::string(1000, '['),
          std::string("title = \"a\x80\""), std::string("rails = 3\nparts = 4\nlinks = 5\n")}) {
        const CheckResult result = checked(text);
        EXPECT_EQ(result.bench.has_value(), !has_error(result.problems));
        EXPECT_EQ(complaint(parsed(to_json(result))), "");
        EXPECT_EQ(complaint(parsed(to_json(make_plan(text, "bench.toml", {})))), "");
    }
}

// Every example through every job and every format; its findings come to what their table says.
TEST(Jobs, ExamplesPassTheSchemaAndTheTableOfFindings) {
    std::map<std::string, std::string, std::less<>> verdicts;
    for (const FindingCode& code : finding_codes()) verdicts.emplace(code.code, code.verdicts);
    const auto hold = [&](const Judgement& judgement) {
        for (const Finding& f : judgement.findings)
            EXPECT_NE(verdicts[f.code].find(to_word(f.verdict)), std::string::npos)
                << f.code << " " << to_word(f.verdict);
    };
    int read = 0;
    for (const auto& file : std::filesystem::directory_iterator(std::string(VOLTSILL_ROOT) + "/examples")) {
        if (file.path().extension() != ".toml") continue;
        ++read;
        SCOPED_TRACE(file.path().filename().string());
        const std::string text = test::file_text(file.path());
        const CheckResult checked_bench = checked(text);
        ASSERT_TRUE(checked_bench.bench) << told(checked_bench.problems);
        const PlanResult planned = make_plan(text, "bench.toml", {});
        hold(checked_bench.judgement);
        hold(planned.plan.judgement);
        EXPECT_EQ(complaint(parsed(to_json(checked_bench))), "");
        EXPECT_EQ(complaint(parsed(to_json(planned))), "");
        EXPECT_EQ(complaint(parsed(to_json(predict(text, "bench.toml", {})))), "");
        EXPECT_EQ(parsed(to_sarif(checked_bench, "0"))["runs"][0]["results"].size(),
                  checked_bench.problems.size() + checked_bench.judgement.findings.size());
        EXPECT_NE(to_junit(checked_bench).find("</testsuites>"), std::string::npos);
    }
    EXPECT_GT(read, 0);
}

TEST(Jobs, CatalogueIsValidJson) {
    std::vector<const PartType*> types;
    for (const auto& type : Catalogue::built_in().types()) types.push_back(type.get());
    ASSERT_FALSE(types.empty());
    const json out = parsed(parts_to_json(types));
    EXPECT_EQ(out["parts"].size(), types.size());
    EXPECT_EQ(complaint(out), "");
}

}  // namespace
