// Markdown against CommonMark 0.31.2 (sections named) and the table extension of GFM 0.29.
#include "documents/markdown.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include "drawing/text.h"
#include "random_document.h"

namespace voltsill::doc {
namespace {

using ::testing::HasSubstr;

std::string markdown_of(Block block) { return render_markdown({"t", {std::move(block)}}); }

/// 2.4: a backslash before ASCII punctuation stands for that sign.
std::string unescaped(std::string_view text) {
    std::string out;
    for (std::size_t k = 0; k < text.size(); ++k) {
        if (text[k] == '\\' && k + 1 < text.size() && std::ispunct(static_cast<unsigned char>(text[k + 1])))
            ++k;
        out += text[k];
    }
    return out;
}

RC_GTEST_PROP(Markdown, EscapesReadBack, ()) {
    const std::string text = *random_text();
    const std::string escaped = escape_markdown(text);
    RC_ASSERT(unescaped(escaped) == clean(text));
    bool guarded = false;  // no sign of inline markup without a backslash
    for (const char c : escaped) {
        if (!guarded) RC_ASSERT(std::string_view("`*_[]<>|&~").find(c) == std::string_view::npos);
        guarded = !guarded && c == '\\';
    }
}

TEST(Markdown, StartOfABlockIsNoMarkup) {
    for (const auto& [text, wanted] : {std::pair{"# x", "\\# x"},
                                       {"1. x", "1\\. x"},
                                       {"- x", "\\- x"},
                                       {"+ x", "\\+ x"},
                                       {"    x", "x"},
                                       {"12) x", "12\\) x"},
                                       {"3.3 V", "3\\.3 V"}})
        EXPECT_THAT(markdown_of(paragraph({text})), HasSubstr("\n\n" + std::string(wanted) + "\n"));
}

TEST(Markdown, CodeSpansAndFencesOutlastBackticks) {
    EXPECT_THAT(markdown_of(paragraph({code("a`b")})), HasSubstr("``a`b``"));  // 6.1
    EXPECT_THAT(markdown_of(paragraph({code("`a")})), HasSubstr("`` `a ``"));
    EXPECT_THAT(markdown_of(arithmetic("```\nx")), HasSubstr("\n````\n```\nx\n````\n"));  // 4.5
}

TEST(Markdown, StepsAreTaskListItems) {
    // GFM 5.3; what belongs to an item stands as far in as its text (CommonMark 5.2).
    EXPECT_THAT(markdown_of(Steps{{{{"Strap"}, {"A3 to B4"}}, {{"Measure"}, {}}}, true, 9}),
                HasSubstr("\n9. [ ] Strap\n\n   A3 to B4\n\n10. [ ] Measure\n"));
    EXPECT_THAT(markdown_of(Steps{{{{"Strap"}, {}}}, false}), HasSubstr("\n- [ ] Strap\n"));
    EXPECT_THAT(markdown_of(paragraph({tick("A3")})), HasSubstr("☐"));
}

TEST(Markdown, TablesKeepTheirCells) {
    const Table table{.caption = {},
                      .columns = {{"a|b"}, {"n", Align::right}, {"m", Align::center}},
                      .rows = {{{"x|y"}, {code("p|q")}, {verdict(Verdict::thin)}}}};
    EXPECT_THAT(
        markdown_of(table),
        HasSubstr("\n| a\\|b | n | m |\n| --- | ---: | :---: |\n| x\\|y | `p\\|q` | **\\~ thin** |\n"));
}

TEST(Markdown, BoldStarsTouchLetters) {
    EXPECT_THAT(markdown_of(paragraph({"a", strong(" b "), "c"})), HasSubstr("a **b** c"));  // 6.2
}

TEST(Markdown, ChartIsATableOfItsNumbers) {
    const ChartRow row{.group = "direct",
                       .point = "D4",
                       .bands = {{false, 0, 0.1, 0.4}, {true, 4.4, 5, 5.25}},
                       .low_threshold = 0.8,
                       .high_threshold = 2.0,
                       .limit_max = 3.6,
                       .supply = 3.3};
    EXPECT_THAT(markdown_of(LevelChart{"Levels", {row}}),
                HasSubstr("| direct | D4 | 0..0.4 V | 4.4..5.25 V | 0.8 V | 2 V | 3.6 V | 3.3 V |"));
}

TEST(Markdown, AnAnalogueSignalHasALowestAndAHighest) {
    const ChartRow row{
        .group = {}, .point = "A0", .bands = {{.high = true, .lo = 0, .nominal = 2, .hi = 4, .any = true}}};
    EXPECT_THAT(markdown_of(LevelChart{"Levels", {row}}), HasSubstr("| A0 | 0 V | 4 V |"));
}

}  // namespace
}  // namespace voltsill::doc
