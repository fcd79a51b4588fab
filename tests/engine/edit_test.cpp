/// Edits as values: what they make of a bench is what the reader and the judge then say of it.
#include "engine/edit.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <regex>
#include <set>

#include "engine/engine.h"
#include "engine/pictures.h"
#include "schema_check.h"
#include "support/file_text.h"

namespace voltsill {
namespace {

using nlohmann::json;

void expect_valid(const std::string& document) { EXPECT_EQ(sample::complaint(json::parse(document)), ""); }

std::string garden_bytes() {
    return voltsill::test::file_text("examples/rain-garden.toml");
}

EditResult edited(const std::string& text, const std::string& edits) {
    return edit_bench(text, "bench.toml", {}, edits);
}
std::string made(const std::string& text, const std::string& edits) {
    EditResult result = edited(text, edits);
    EXPECT_TRUE(result.text) << (result.problems.empty() ? "" : render(result.problems[0]));
    return result.text.value_or("");
}
std::string code_of(const EditResult& result) {
    return result.problems.empty() ? std::string() : result.problems[0].code;
}

TEST(EditBench, BuildsABenchFromNothing) {
    const std::string text = made("", R"([
        {"do":"set","path":["title"],"value":"mine"},
        {"do":"add-rail","name":"usb","entries":{"volts":"5 V ± 5 %"}},
        {"do":"add-rail","name":"logic","entries":{"volts":"3.3 V","from":"controller.3V3"}},
        {"do":"add-part","name":"gauge","entries":{"type":"controller-5v","supply":"usb"}},
        {"do":"add-part","name":"controller","entries":{"type":"controller-3v3","supplies":{"5V":"usb"}}},
        {"do":"add-link","entries":{"name":"echo","from":"gauge.D1","to":["controller.D4"],"invert":true}}])");
    const CheckResult checked = check(text, "bench.toml", {});
    ASSERT_TRUE(checked.bench) << render(checked.problems.at(0)) << text;
    EXPECT_EQ(checked.bench->title, "mine");
    ASSERT_TRUE(checked.bench->link("echo"));
    EXPECT_TRUE(checked.bench->link("echo")->invert_allowed);
    EXPECT_EQ(checked.judgement.verdict, Verdict::harmful);  // 5 V into 3.3 V
}

TEST(EditBench, TakesThePlanAndDropsItAgain) {
    const std::string text = garden_bytes();
    const std::string wired = made(text, R"([{"do":"take-plan"}])");
    const CheckResult judged = check(wired, "bench.toml", {});
    ASSERT_TRUE(judged.bench);
    EXPECT_TRUE(judged.given_wiring);
    EXPECT_EQ(judged.judgement.verdict, make_plan(text, "bench.toml", {}).plan.judgement.verdict);
    const CheckResult again = check(made(wired, R"([{"do":"drop-wiring"}])"), "bench.toml", {});
    EXPECT_FALSE(again.given_wiring);
    EXPECT_EQ(to_json(check(text, "bench.toml", {})), to_json(again));
}

TEST(EditBench, ChoosesACircuitAndGivesItBack) {
    const std::string chosen = made(garden_bytes(), R"([{"do":"choose","link":"tank echo","circuit":"divider"}])");
    EXPECT_EQ(read_bench(chosen, "").bench->link("tank echo")->interface, "divider");
    EXPECT_EQ(made(chosen, R"([{"do":"choose","link":"tank echo","circuit":null}])"), garden_bytes());
}

TEST(EditBench, AllOrNothingAndSaysWhy) {
    const std::string text = garden_bytes();
    for (const auto& [edits, code] : std::vector<std::pair<std::string, std::string>>{
             {"", "bad-edit"},
             {"{}", "bad-edit"},
             {"[1]", "bad-edit"},
             {R"([{"do":"fly"}])", "bad-edit"},
             {R"([{"do":"set","path":["title"]}])", "bad-edit"},
             {R"([{"do":"set","path":[1],"value":"x"}])", "bad-edit"},
             {R"([{"do":"set","path":["title"],"value":[null]}])", "bad-edit"},
             {R"([{"do":"add-part","name":"x","entries":[]}])", "bad-edit"},
             {R"([{"do":"rename","kind":"net","from":"a","to":"b"}])", "bad-edit"},
             {R"([{"do":"rename","kind":"part","from":"nobody","to":"b"}])", "unknown-name"},
             {R"([{"do":"choose","link":"no such","circuit":"divider"}])", "unknown-name"},
             {R"([{"do":"set","path":["title"],"value":"x"},{"do":"add-rail","name":"usb","entries":{}}])",
              "duplicate-name"}}) {
        const EditResult result = edited(text, edits);
        EXPECT_FALSE(result.text) << edits;
        EXPECT_EQ(code_of(result), code) << edits;
        expect_valid(to_json(result));
    }
    const std::string deep = std::string(100'000, '[') + std::string(100'000, ']');
    EXPECT_EQ(code_of(edited(text, R"([{"do":"set","path":["about"],"value":)" + deep + "}]")), "bad-edit");
    EXPECT_EQ(edited(text, R"([{"do":"chose","link":"a"}])").problems[0].nearest, "choose");
    EXPECT_EQ(made(text, "[]"), text);
}

TEST(EditBench, TextsAreTomlWhateverTheyHold) {
    const std::string hard = "quote \" back \\ line\n tab\t bell\x07 é 💧";
    const json edits = json::array({{{"do", "set"}, {"path", {"about"}}, {"value", hard}}});
    EXPECT_EQ(read_bench(made(garden_bytes(), edits.dump()), "").bench->about, hard);
}

TEST(Pictures, ShowEveryLinkAsTheJudgementsSay) {
    const std::string text = garden_bytes();
    const PicturesResult drawn = draw_bench(text, "bench.toml", {});
    expect_valid(to_json(drawn));
    ASSERT_EQ(drawn.links.size(), drawn.bench->links.size());
    const Plan planned = make_plan(text, "bench.toml", {}).plan;
    std::set<std::string> ids;
    const std::regex id("id=\"([^\"]+)\"");
    std::string all = drawn.rail_map;
    for (const LinkPictures& link : drawn.links) {
        const auto judged = std::ranges::find(planned.judgement.links, link.link, &LinkJudgement::link);
        EXPECT_EQ(link.after.empty(), judged->levels.empty()) << link.link;
        EXPECT_FALSE(link.circuit.empty()) << link.link;
        all += link.before + link.after + link.circuit;
    }
    for (const PackagePicture& package : drawn.packages) all += package.svg;
    for (auto at = std::sregex_iterator(all.begin(), all.end(), id); at != std::sregex_iterator(); ++at)
        EXPECT_TRUE(ids.insert((*at)[1]).second) << "one name twice: " << (*at)[1];
    EXPECT_EQ(draw_bench(text, "bench.toml", {}, {"tank echo"}).links.size(), 1u);
    EXPECT_FALSE(draw_bench("rails = 3", "bench.toml", {}).bench);
    expect_valid(to_json(draw_bench("rails = 3", "bench.toml", {})));
}

TEST(Pictures, ABuildHasItsBoardsAndPages) {
    const std::string text = garden_bytes();
    const SheetsResult built = make_sheets(text, "bench.toml", {}, {.audience = Audience::build, .slips = false});
    EXPECT_EQ(built.sheets.slips.slips, 0);
    const std::string as_json = build_to_json(built);
    expect_valid(as_json);
    EXPECT_EQ(json::parse(as_json)["boards"].size(), built.sheets.placed.placement.boards.size());
    expect_valid(pages_to_json(built));
    const SheetsResult refused = make_sheets(text, "bench.toml", {}, {.place = {.boards = {"no such board"}}});
    EXPECT_FALSE(json::parse(build_to_json(refused))["accepted"]);
    expect_valid(build_to_json(refused));
}

TEST(TraceInSteps, EndsWithWhatTraceSaysAndShowsSomethingBefore) {
    const std::string text = garden_bytes();
    const TraceOptions ask{.links = {"tank echo"}, .samples = 100, .seed = 5};
    std::vector<int> steps;
    std::string last;
    trace_in_steps(text, "bench.toml", {}, ask, [&](const TraceResult& result, int samples, bool end) {
        steps.push_back(samples);
        expect_valid(trace_step_to_json(result, samples, end));
        EXPECT_EQ(end, samples == 100);
        last = to_json(result);
        return true;
    });
    EXPECT_EQ(steps, (std::vector{0, 64, 100}));
    EXPECT_EQ(last, to_json(trace(text, "bench.toml", {}, ask)));
    steps.clear();
    trace_in_steps(text, "bench.toml", {}, ask, [&](const TraceResult&, int samples, bool) {
        steps.push_back(samples);
        return false;
    });
    EXPECT_EQ(steps, std::vector{0});
}

}  // namespace
}  // namespace voltsill
