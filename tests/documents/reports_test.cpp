// Reports of the hand-made bench: what they must say, and reviewed pages under golden/.
#include "documents/reports.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "documents/fixture.h"
#include "documents/markdown.h"
#include "documents/terminal.h"

namespace voltsill {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

std::string all_of(const doc::Document& d) {
    return doc::render_terminal(d, {.width = 200, .details = true});
}

/// Reviewed by eye; to renew after a wanted change, write what the test prints into the file.
void expect_golden(const std::string& name, const std::string& text) {
    std::ifstream file(std::string(VOLTSILL_ROOT "/tests/documents/golden/") + name);
    std::stringstream wanted;
    wanted << file.rdbuf();
    EXPECT_EQ(text, wanted.str()) << "golden/" << name;
}

TEST(CheckReport, Golden) {
    const doc::Document report = check_report(fixture::bench(), fixture::direct());
    expect_golden("check.txt", doc::render_terminal(report, {.width = 80}));
    expect_golden("check.md", doc::render_markdown(report));
}
TEST(PlanReport, Golden) {
    expect_golden("plan-narrow-ascii.txt",
                  doc::render_terminal(plan_report(fixture::bench(), fixture::plan()),
                                       {.width = 50, .unicode = false, .details = true}));
}
TEST(PartReport, Golden) {
    expect_golden("part.txt",
                  doc::render_terminal(part_report(fixture::part()), {.width = 80, .details = true}));
}

TEST(CheckReport, WorstFirstAndSafeOnesShort) {
    const std::string out =
        doc::render_terminal(check_report(fixture::bench(), fixture::direct()), {.width = 100});
    const size_t harmful = out.find("\ntank echo\n"), thin = out.find("\nstrip data\n"),
                 safe = out.find("\nkey\n");
    EXPECT_LT(harmful, thin);
    EXPECT_LT(thin, safe);
    const std::string of_safe = out.substr(safe, out.find("\nParts and rails\n") - safe);
    EXPECT_THAT(of_safe, HasSubstr("A high has 1.2 V to spare, a low 700 mV."));
    EXPECT_THAT(of_safe, Not(HasSubstr("arrives")));
}

TEST(CheckReport, EveryNumberOfAFindingIsThere) {
    const Judgement judgement = fixture::direct();
    const std::string out = all_of(check_report(fixture::bench(), judgement));
    for (const Finding& f : judgement.findings)
        for (const std::string& part :
             {f.arithmetic, f.value ? f.value->origin.source : "", f.limit ? f.limit->origin.source : "",
              f.state, f.corner, f.advice, f.verdict == Verdict::safe ? "" : f.sentence})
            EXPECT_THAT(out, HasSubstr(part));
}

TEST(CheckReport, SaysWhatAVerdictLeansOn) {
    const std::string out = all_of(check_report(fixture::bench(), fixture::direct()));
    EXPECT_THAT(out, HasSubstr("Leans on what nobody guarantees: VIH min of strip.DIN (assumed)."));
    EXPECT_THAT(out, HasSubstr("Leans on figures entered from memory: VIH min of controller.D5."));
    Judgement weak = fixture::direct();
    for (Finding& f : weak.findings)
        for (auto* e : {&f.value, &f.limit})
            if (*e && (*e)->origin.certainty == Certainty::assumed) (*e)->origin.from_memory = true;
    EXPECT_THAT(all_of(check_report(fixture::bench(), weak)),
                HasSubstr("VIH min of strip.DIN (assumed, from memory)."));
    Judgement firm = fixture::direct();
    for (Finding& f : firm.findings)
        for (auto* e : {&f.value, &f.limit})
            if (*e) (*e)->origin = {Certainty::guaranteed, "sheet", false};
    EXPECT_THAT(all_of(check_report(fixture::bench(), firm)), Not(HasSubstr("Leans on")));
}

/// Links may all be safe while a part is not: the line that sums up says so.
TEST(CheckReport, SumOfPartsAndRailsStandsBesideThatOfLinks) {
    EXPECT_THAT(all_of(check_report(fixture::bench(), fixture::direct())), HasSubstr("; parts and rails: 1 thin."));
    Bench untitled = fixture::bench();
    untitled.title.clear();
    EXPECT_THAT(all_of(check_report(untitled, fixture::direct())), HasSubstr("Check of a bench without a title"));
}

TEST(CheckReport, TroubleOfTheSolverIsToldAloud) {
    Judgement judgement = fixture::direct();
    judgement.trouble = "node x did not settle (all rails up)";
    EXPECT_THAT(all_of(check_report(fixture::bench(), judgement)), HasSubstr(judgement.trouble));
}

TEST(CheckReport, NothingToJudgeIsADocumentToo) {
    const std::string out = all_of(check_report(Bench{.title = "an empty bench"}, Judgement{}));
    EXPECT_THAT(out, HasSubstr("0 links"));
    EXPECT_THAT(out, HasSubstr("Extra-low voltage only"));
}

TEST(CheckReport, ChartShowsTheSupplyOfAddedParts) {
    Judgement judgement = fixture::direct();
    judgement.links[0].levels[0].point = "U1.4 (Y1)";
    judgement.links[0].levels[1].point = "U1.4 (Y1)";
    Plan plan = fixture::plan();
    auto type = std::make_shared<PartType>(fixture::part());
    plan.wiring.parts.push_back(
        {.name = "U1", .type = type, .net_of_pin = {2, 0, -1, -1, -1, -1}, .added = true});
    EXPECT_THAT(all_of(check_report(fixture::bench(), judgement, &plan.wiring)),
                HasSubstr("U1.4 (Y1): low 0..0.1 V, high 3.2..3.4 V; supply 5 V"));
    EXPECT_THAT(all_of(check_report(fixture::bench(), judgement)),
                Not(HasSubstr("high 3.2..3.4 V; supply 5 V")));
}

TEST(PlanReport, ChosenRejectedAndLeftOver) {
    Plan plan = fixture::plan();
    const std::string out = all_of(plan_report(fixture::bench(), plan));
    for (const char* part :
         {"divider 2.2 kΩ over 3.3 kΩ", "ratio 0.600 <= 3.3 V / 5.25 V = 0.629",
          "Edges slow down with long wires", "5.25 V - 3.6 V = 1.65 V over the absolute maximum",
          "Not in the drawer.", "No channel is left over.",
          "joined directly:", "with the interface circuit:", "R1.2"})
        EXPECT_THAT(out, HasSubstr(part));
    plan.links[1].chosen.reset();
    const std::string without = all_of(plan_report(fixture::bench(), plan));
    EXPECT_THAT(without, HasSubstr("Do not join these pins."));
    EXPECT_LT(without.find("\ntank echo\n"),
              without.find("\nstrip data\n"));  // what the plan could not mend comes first
}

TEST(ReadingsReport, ScenesLevelsAndFloatingPoints) {
    const std::string out =
        all_of(readings_report(fixture::bench(), {{.point = "controller.D4",
                                                   .net = "tank echo",
                                                   .state = "all rails up; tank echo high",
                                                   .lo = 2.6,
                                                   .nominal = 3,
                                                   .hi = 3.3,
                                                   .level = '1'},
                                                  {.point = "controller.D5",
                                                   .net = "key",
                                                   .state = "usb down",
                                                   .lo = 0,
                                                   .nominal = 1,
                                                   .hi = 3,
                                                   .level = 'Z'}}));
    EXPECT_THAT(out, HasSubstr("\nall rails up\n"));
    EXPECT_THAT(out, HasSubstr("controller.D4  tank echo high  2.6 V to 3.3 V      3 V  high   tank echo"));
    EXPECT_THAT(out, HasSubstr("\nusb down\n"));
    EXPECT_THAT(out, HasSubstr("floats"));
    EXPECT_THAT(out, Not(HasSubstr("0 V to 3 V")));  // numbers of a floating point mean nothing
}

TEST(ReadingsReport, PinsOfANetStandTogether) {
    const std::string out = all_of(readings_report(fixture::bench(), {{.point = "gauge.ECHO",
                                                                       .net = "n",
                                                                       .state = "all rails up; echo low",
                                                                       .lo = 1e-12,
                                                                       .nominal = 1e-9,
                                                                       .hi = 4e-4,
                                                                       .level = 'X'},
                                                                      {.point = "controller.D4",
                                                                       .net = "n",
                                                                       .state = "all rails up; echo low",
                                                                       .lo = 1e-12,
                                                                       .nominal = 1e-9,
                                                                       .hi = 4e-4,
                                                                       .level = '0'}}));
    EXPECT_THAT(out, HasSubstr("gauge.ECHO, controller.D4  echo low    0 V      0 V  low"));
}

TEST(ReadingsReport, APointIsNamedOnceHoweverOftenItsStateComes) {
    const auto at = [](std::string point, double hi) {
        return StateReading{.point = std::move(point),
                            .net = "n",
                            .state = "all rails up; echo high",
                            .lo = 3,
                            .nominal = 3,
                            .hi = hi,
                            .level = '1'};
    };
    const std::vector<StateReading> twice = {at("a.X", 3.3), at("b.Y", 3.3), at("a.X", 3.3), at("b.Y", 3.3)};
    EXPECT_THAT(all_of(readings_report(fixture::bench(), twice)), HasSubstr("\na.X, b.Y  echo high"));
    const std::vector<StateReading> other = {at("a.X", 3.3), at("a.X", 3.6)};
    const std::string out = all_of(readings_report(fixture::bench(), other));
    EXPECT_THAT(out, HasSubstr("3 V to 3.3 V"));
    EXPECT_THAT(out, HasSubstr("3 V to 3.6 V"));
}

TEST(ReadingsReport, SaysThatAPlannedCircuitIsRead) {
    EXPECT_THAT(all_of(readings_report(fixture::bench(), {}, true)), HasSubstr("readings of the planned circuit"));
    EXPECT_THAT(all_of(readings_report(fixture::bench(), {})), Not(HasSubstr("planned")));
}

TEST(CheckReport, SaysOfARecordingThatItIsNoWorstCase) {
    Judgement judgement;
    judgement.findings.push_back({.code = "measured-level", .verdict = Verdict::thin, .part = "controller", .pin = "D2",
                                  .dimension = Dimension::voltage, .value = Evidence{4.99, {}, "measured high"},
                                  .bound_exact = false, .advice = "Compare `voltsill readings` at controller.D2."});
    judgement.shared = {0};
    const std::string recorded = all_of(check_report(fixture::bench(), judgement));
    EXPECT_THAT(recorded, HasSubstr("bound: what was recorded, not the worst case"));
    EXPECT_THAT(recorded, HasSubstr("Compare voltsill readings at controller.D2."));
    judgement.findings[0].code = "high-level";
    EXPECT_THAT(all_of(check_report(fixture::bench(), judgement)), HasSubstr("bound: searched, not proven"));
}

TEST(CheckReport, CountsAreNoPercentages) {
    Judgement judgement;
    judgement.findings.push_back({.code = "missing-decoupling",
                                  .verdict = Verdict::thin,
                                  .net = "rail logic",
                                  .dimension = Dimension::ratio,
                                  .value = Evidence{0, {}, "capacitors"},
                                  .limit = Evidence{1, {}, "one for each circuit"},
                                  .margin = -1,
                                  .state = "all rails up"});
    judgement.shared = {0};
    const std::string out = all_of(check_report(fixture::bench(), judgement));
    EXPECT_THAT(out, HasSubstr("value: 0, capacitors"));
    EXPECT_THAT(out, HasSubstr("limit: 1, one for each circuit"));
    EXPECT_THAT(out, HasSubstr("margin: -1\n"));
    EXPECT_THAT(out, Not(HasSubstr("%")));
}

TEST(PlanReport, CrossingsOfOneLinkShowItsVerdict) {
    Plan plan = fixture::plan();
    plan.links[1].link = "tank echo to rail logic";
    EXPECT_THAT(all_of(plan_report(fixture::bench(), plan)),
                HasSubstr("Joined directly: ✗ harmful. controller.D4 gets"));
}

TEST(PartReport, AlikePinsStandTogetherAndGapsAreNamed) {
    const std::string out = all_of(part_report(fixture::part()));
    EXPECT_THAT(out, HasSubstr("A1, A2: input"));
    EXPECT_THAT(out, HasSubstr("Not known: absolute minimum, capacitance, leakage."));
    EXPECT_THAT(out, HasSubstr("guaranteed: invented sheet 3, table 1 (from memory)"));
    PartType other = fixture::part();
    other.pins[4].limits_origin.source = "another sheet";
    EXPECT_THAT(all_of(part_report(other)), HasSubstr("\nA2: input\n"));
}

}  // namespace
}  // namespace voltsill
