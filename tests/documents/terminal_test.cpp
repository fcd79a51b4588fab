// Laws of the terminal page: width, harmlessness, nothing lost; and what tables do when it narrows.
#include "documents/terminal.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include "documents/level_axis.h"
#include "drawing/text.h"
#include "random_document.h"

namespace voltsill::doc {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

std::string page(Block block, const TerminalStyle& style = {}) {
    return render_terminal({"t", {std::move(block)}}, style);
}

/// The line that begins with `head`, without it.
std::string line_after(const std::string& text, const std::string& head) {
    for (const std::string_view line : lines_of(text))
        if (line.starts_with(head)) return std::string(line.substr(head.size()));
    return "no such line";
}

RC_GTEST_PROP(Terminal, NeverWiderAndNeverSteered, ()) {
    const Document document = *random_document();
    const int width = *rc::gen::inRange(40, 201);
    for (const bool unicode : {false, true}) {
        const std::string out =
            render_terminal(document, {.width = width, .unicode = unicode, .details = true});
        RC_ASSERT(clean_lines(out) == out);
        for (const std::string_view line : lines_of(out)) RC_ASSERT(display_width(line) <= width);
        if (!unicode)
            for (const unsigned char c : out) RC_ASSERT(c == '\n' || (c >= 0x20 && c < 0x7F));
    }
}

RC_GTEST_PROP(Terminal, WrappingLosesNoLetter, ()) {
    const Text text = *random_runs();
    std::string wanted, got;
    for (const char c : clean(plain_text(text)))
        if (c != ' ') wanted += c;
    const std::string out = page(paragraph(text), {.width = *rc::gen::inRange(40, 80)});
    for (const char c : out.substr(out.find('\n', out.find('\n') + 1)))  // below title and rule
        if (c != ' ' && c != '\n') got += c;
    RC_ASSERT(got == wanted);
}

TEST(Terminal, ColourIsOnlyAddedWhereAsked) {
    const Block block = paragraph({verdict(Verdict::harmful), " at D4"});
    EXPECT_THAT(page(block), Not(HasSubstr("\x1b")));
    const std::string coloured = page(block, {.colour = true});
    EXPECT_THAT(coloured, HasSubstr("harmful\x1b[0m at D4"));
    EXPECT_THAT(page(block), HasSubstr("✗ harmful at D4"));
    EXPECT_THAT(page(block, {.unicode = false}), HasSubstr("x harmful at D4"));
}

TEST(Terminal, WidthIsHeldToItsRange) {
    const Block block = paragraph({std::string(300, 'x')});
    EXPECT_THAT(page(block, {.width = 5}), HasSubstr("\n" + std::string(40, 'x') + "\n"));
    EXPECT_THAT(page(block, {.width = 900}), HasSubstr("\n" + std::string(200, 'x') + "\n"));
}

TEST(Terminal, NumberAndUnitStayOnOneLine) {
    EXPECT_THAT(page(paragraph({"The resistor that was found here has 4.7 kΩ"}), {.width = 40}),
                HasSubstr("here has\n4.7 kΩ"));
}

TEST(Terminal, StepsHaveANumberAndABox) {
    const Block steps = Steps{{{{"Put the strap in"}, {"A3 to B4"}}, {{"Measure"}, {}}}, true, 9};
    EXPECT_THAT(page(steps), HasSubstr("   9. ☐ Put the strap in\n        A3 to B4\n  10. ☐ Measure\n"));
    EXPECT_THAT(page(steps, {.unicode = false}), HasSubstr("   9. [ ] Put the strap in\n          A3 to B4\n"));
    EXPECT_EQ(render_terminal({"t", {paragraph({"a"}), PageBreak{}, paragraph({"b"})}}),
              render_terminal({"t", {paragraph({"a"}), paragraph({"b"})}}));
}

TEST(Terminal, PicturesAreSaid) {
    EXPECT_THAT(page(Picture{{10, 10, "Map", "two rails", {}}, "caption"}),
                HasSubstr("[Picture: Map. two rails]\ncaption\n"));
}

TEST(Terminal, DetailsOpenOnRequest) {
    const Block block = Details{{"more"}, {paragraph({"inside"})}};
    EXPECT_THAT(page(block), HasSubstr("+ more"));
    EXPECT_THAT(page(block), Not(HasSubstr("inside")));
    EXPECT_THAT(page(block, {.details = true}), HasSubstr("inside"));
}

const Table three{
    .caption = {},
    .columns = {{"pin"}, {"volts", Align::right, false}, {"remark"}},
    .rows = {{{"D4"}, {"5.25 V"}, {"above what the pin stands by far"}}, {{"D5"}, {"3 V"}, {"fine"}}}};

TEST(TerminalTable, StandsAtItsNaturalWidth) {
    EXPECT_THAT(page(three, {.width = 60}), HasSubstr("pin   volts  remark\n"
                                                      "───  ──────  ────────────────────────────────\n"
                                                      "D4   5.25 V  above what the pin stands by far\n"
                                                      "D5      3 V  fine\n"));
}

TEST(TerminalTable, WrapsWhereItMay) {
    EXPECT_THAT(page(three, {.width = 40, .unicode = false}),
                HasSubstr("pin   volts  remark\n"
                          "---  ------  ---------------------------\n"
                          "D4   5.25 V  above what the pin stands\n"
                          "             by far\n"));
}

TEST(TerminalTable, StacksBeforeAColumnIsTooNarrowToRead) {
    Table table = three;
    table.columns.insert(table.columns.begin() + 1, Column{"circuit", Align::left, false});
    for (auto& row : table.rows) row.insert(row.begin() + 1, Text{"divider 2 over 3"});
    EXPECT_THAT(page(table, {.width = 40}),
                HasSubstr("pin: D4\n  circuit: divider 2 over 3\n  volts: 5.25 V\n  remark: above"));
}

TEST(TerminalTable, StacksWhenEvenWordsDoNotFit) {
    Table table = three;
    table.rows[0][1] = {std::string(20, '5') + " over " + std::string(12, '4')};  // may not wrap: 38 columns
    const std::string out = page(table, {.width = 40});
    EXPECT_THAT(out, HasSubstr("pin: D4\n  volts: "));
    EXPECT_THAT(out, HasSubstr("\n\npin: D5\n  volts: 3 V\n  remark: fine\n"));
}

TEST(TerminalChart, SignsStandAtTheirVolts) {
    // Axis 0..6 V by hand: the largest number is 5.25 V, steps of 1 V. 61 columns put 0.1 V into one.
    const ChartRow row{.group = {},
                       .point = "D4",
                       .bands = {{true, 4.4, 5.0, 5.2}},
                       .low_threshold = 0.8,
                       .high_threshold = 2.0,
                       .limit_min = -0.3,
                       .limit_max = 3.6,
                       .supply = 5.25};
    const std::string out = page(LevelChart{"c", {row}}, {.width = 70, .unicode = false});
    const std::string arrives = line_after(out, "arrives  "), reads = line_after(out, "reads    ");
    EXPECT_EQ(arrives.find('#'), 44u);
    EXPECT_EQ(arrives.find('|'), 50u);
    EXPECT_EQ(arrives.size(), 53u);
    EXPECT_EQ(reads.find('?'), 8u);
    EXPECT_EQ(reads.find('H'), 20u);
    EXPECT_EQ(reads.find('!'), 36u);
    EXPECT_EQ(reads.size(), 61u);
    EXPECT_EQ(line_after(out, "         0").find('6'), 57u);  // "6 V" ends with the axis, column 60
}

TEST(TerminalChart, NothingIsReadWithoutThresholds) {
    const std::string out = page(LevelChart{"c", {{.group = {}, .point = "D4", .bands = {{true, 4, 5, 5}}}}});
    EXPECT_EQ(line_after(out, "reads"), "no such line");
    EXPECT_THAT(out, HasSubstr("D4: high 4..5 V"));
}

TEST(TerminalChart, APointThatReadsNothingOnlyStands) {
    const ChartRow row{.group = {}, .point = "D4", .bands = {{true, 4, 5, 5}}, .limit_max = 5.5};
    const std::string out = page(LevelChart{"c", {row}});
    EXPECT_EQ(line_after(out, "reads"), "no such line");
    EXPECT_THAT(line_after(out, "stands   "), HasSubstr("!"));
}

TEST(TerminalChart, AnAnalogueSignalIsNeitherHighNorLow) {
    const ChartRow row{
        .group = {}, .point = "A0", .bands = {{.high = true, .lo = 0, .nominal = 2, .hi = 4, .any = true}}};
    const std::string out = page(LevelChart{"c", {row}}, {.width = 70, .unicode = false});
    EXPECT_THAT(out, HasSubstr("A0: any level 0..4 V"));
    EXPECT_THAT(line_after(out, "arrives  "), HasSubstr("===|==="));
}

TEST(LevelAxis, AMaximumFarAboveAllElseDoesNotSqueezeTheRest) {
    ChartRow row{.group = {}, .point = "TIP", .bands = {{true, 3.6, 4, 4.2}}, .limit_max = 26, .supply = 5};
    EXPECT_EQ(axis_of({"c", {row}}).hi, 6);
    EXPECT_EQ(zones(row, axis_of({"c", {row}})).size(), 0u) << "nothing of the axis is beyond it";
    EXPECT_THAT(in_words(row), HasSubstr("stands up to 26 V"));
    row.limit_max = 9.5;
    EXPECT_GT(axis_of({"c", {row}}).hi, 9.5);
}

RC_GTEST_PROP(LevelAxis, HoldsEveryNumberAndZonesCoverIt, ()) {
    const auto volts = [] { return *rc::gen::inRange(-200, 3600) * 0.01; };
    const ChartRow row{.group = {},
                       .point = "p",
                       .bands = {{true, volts(), volts(), volts()}},
                       .low_threshold = volts(),
                       .high_threshold = volts(),
                       .limit_min = volts(),
                       .limit_max = volts(),
                       .supply = volts()};
    const Axis axis = axis_of({"c", {row}});
    double highest = 0;
    for (const double v : {row.bands[0].lo, row.bands[0].nominal, row.bands[0].hi, *row.low_threshold,
                           *row.high_threshold, *row.supply, 0.0}) {
        RC_ASSERT(axis.lo <= v && v <= axis.hi);
        highest = std::max(highest, v);
    }
    RC_ASSERT(*row.limit_max <= axis.hi || *row.limit_max > 2 * highest);
    RC_ASSERT(ticks(axis).size() >= 2u);
    RC_ASSERT(ticks(axis).size() <= 12u);
    double at = axis.lo;
    for (const ZoneSpan& z : zones(row, axis)) {
        RC_ASSERT(z.lo == at);
        RC_ASSERT(z.hi > z.lo);
        at = z.hi;
    }
    RC_ASSERT(at == axis.hi);
}

}  // namespace
}  // namespace voltsill::doc
