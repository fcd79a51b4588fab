// Printed pages as Poppler reads them.
#include "printing/pdf.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <regex>
#include <set>
#include <sstream>

#include "documents/charts.h"
#include "documents/random_document.h"
#include "drawing/text.h"
#include "poppler.h"

namespace voltsill::printing {
namespace {

using namespace doc;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

/// Without blanks of any kind: where lines end is the printer's matter.
std::string letters_of(std::string text) {
    for (const char* blank : {" ", "\n", "\f", "\r", "\u00A0"})
        for (std::size_t at; (at = text.find(blank)) != std::string::npos;) text.erase(at, std::string(blank).size());
    return text;
}

drawing::Drawing two_words(double width, double letters) {
    return {
        width,
        120,
        "plan",
        "two words",
        {drawing::box(0, 0, width, 120, {}, {}), drawing::Label{.at = {10, 60}, .text = "leftmost", .size = letters},
         drawing::Label{.at = {width - 10, 60}, .text = "rightmost", .anchor = drawing::Anchor::end, .size = letters}}};
}

Document every_block() {
    Document d{"Sheet of the station", {}};
    d.blocks = {heading(2, {"Supplies"}, "supplies"),
                paragraph({"Verdicts: ", verdict(Verdict::safe), ", ", verdict(Verdict::thin), ", ",
                           verdict(Verdict::unknown), ", ", verdict(Verdict::unreadable), ", ",
                           verdict(Verdict::harmful), "; ", strong("bold"), " and ", code("code"), "."}),
                BulletList{{{"first thing"}, {"second thing, 4.7 kΩ ± 5 %"}}},
                heading(3, {"Below supplies"}),
                Definitions{{{{"term"}, {"what it is"}}, {{"other"}, {"what that is"}}}},
                Table{"Readings",
                      {{"point"}, {"volts", Align::right, false}, {"done"}},
                      {{{"A3"}, {"3.3 V"}, {tick("A3")}}, {{"B4"}, {"5 V"}, {tick("B4")}}}},
                arithmetic("5.25 V - 3.6 V = 1.65 V\nover the maximum"),
                Caution{"Power off", {{"Take both supplies away."}}},
                Picture{two_words(200, 9), "A plan"},
                Steps{{{{"Put the strap in"}, {"A3 to B4, red"}}, {{"Measure"}, {}}}, true, 4},
                PageBreak{},
                heading(2, {"Levels"}, "levels"),
                LevelChart{"Levels of it",
                           {{.group = {}, .point = "D4", .bands = {{true, 4.5, 5, 5.25}}, .high_threshold = 2}}},
                Details{{"More"}, {paragraph({"hidden on a screen, ", leading_to("back to supplies", "supplies")})}}};
    return d;
}

std::string expected_letters(const Document& d) {
    const auto& chart = std::get<LevelChart>(d.blocks[12]);
    std::string labels;
    const drawing::Drawing drawn = level_chart_drawing(chart);
    for (const drawing::Label* l : drawing::labels_of(drawn)) labels += bind_units(l->text);
    return letters_of(
        "Sheet of the station Supplies Verdicts: ✓ safe, ~ thin, ? unknown, ≠ unreadable, ✗ harmful; bold and code. "
        "• first thing • second thing, 4.7 kΩ ± 5 % Below supplies term what it is other what that is "
        "Readings point volts done A3 3.3 V ☐ B4 5 V ☐ 5.25 V - 3.6 V = 1.65 V over the maximum "
        "Power off Take both supplies away. A plan leftmost rightmost "
        "4. ☐ Put the strap in A3 to B4, red 5. ☐ Measure Levels Levels of it" +
        labels + std::string(level_chart_legend) + "More hidden on a screen, back to supplies");
}

TEST(Pdf, SaysEveryWordInOrder) {
    const Document d = every_block();
    const Pdf pdf = render_pdf(d);
    EXPECT_EQ(pdf.trouble, "");
    EXPECT_EQ(letters_of(Printed(pdf.bytes).text()), expected_letters(d));
}

TEST(Pdf, IsOnThePaperAskedForWithItsNumber) {
    for (const auto& [paper, size] : {std::pair{Paper::a4, "595.276 x 841.89 pts (A4)"},  // ISO 216
                                      std::pair{Paper::letter, "612 x 792 pts (letter)"}}) {
        const Pdf pdf = render_pdf(every_block(), {.paper = paper, .footer = "station, version 3"});
        const Printed printed(pdf.bytes);
        EXPECT_THAT(printed.info(), AllOf(HasSubstr(size), HasSubstr("PDF version:     1.5"),
                                          HasSubstr(fmt::format("Pages:           {}", pdf.pages))));
        ASSERT_EQ(pdf.pages, 2);
        EXPECT_THAT(printed.whole_text(1), AllOf(HasSubstr("1 of 2"), HasSubstr("station, version 3")));
        EXPECT_THAT(printed.whole_text(2), HasSubstr("2 of 2"));
    }
}

TEST(Pdf, SaysWhatItIs) {
    const Pdf pdf = render_pdf(every_block(), {.subject = "Bench sheet", .keywords = "rails, levels"});
    const std::string info = Printed(pdf.bytes).info();
    EXPECT_THAT(info, AllOf(HasSubstr("Sheet of the station"), HasSubstr("Bench sheet"), HasSubstr("rails, levels")));
    EXPECT_THAT(info, AllOf(Not(HasSubstr("CreationDate")), Not(HasSubstr("Author"))));
    const Pdf dated = render_pdf(every_block(), {.created = "2031-05-04T10:20:30Z"});
    EXPECT_THAT(Printed(dated.bytes).run("pdfinfo -isodates @").out, HasSubstr("2031-05-04T10:20:30Z"));
}

TEST(Pdf, SameDocumentSameBytes) {
    EXPECT_EQ(render_pdf(every_block()).bytes, render_pdf(every_block()).bytes);
}

/// Types of elements as Poppler finds them, deeper ones after "." as often as they are deep.
std::string elements_of(const Printed& printed) {
    std::istringstream lines(printed.run("pdfinfo -struct @").out);
    std::string out;
    for (std::string line; std::getline(lines, line);) {
        const std::size_t depth = line.find_first_not_of(' ');
        if (depth == std::string::npos || line.find("Object") != std::string::npos) continue;
        out += std::string(depth / 2, '.') + line.substr(depth, line.find(' ', depth) - depth) + " ";
    }
    return out;
}

TEST(Pdf, IsReadAsHeadingsListsAndTables) {
    const Printed printed(render_pdf(every_block()).bytes);
    EXPECT_THAT(printed.info(), ::testing::ContainsRegex("Tagged: +yes"));
    const std::string step = "..LI ...Lbl ...LBody ....P ....P ";
    EXPECT_EQ(elements_of(printed),
              "Document .H1 .H2 .P .L ..LI ...Lbl ...LBody ..LI ...Lbl ...LBody "
              ".H3 .L ..LI ...Lbl ...LBody ..LI ...Lbl ...LBody "
              ".Table ..Caption ..TR ...TH ...TH ...TH ..TR ...TD ...TD ...TD ..TR ...TD ...TD ...TD "
              ".P .Div ..P ..P .Figure ..Caption ..Span "
              ".L " + step + "....P " + step +
              ".H2 .Figure ..Caption ..Span .P .P .P ..Span ..Link ");
    const std::string said = printed.run("pdfinfo -struct-text @").out;
    for (const char* words :
         {"\"Supplies\"", "\"what it is\"", "\"Readings\"", "\"B4\"", "\"Put the strap in\"", "\"A plan\""})
        EXPECT_THAT(said, HasSubstr(words));
    EXPECT_THAT(said, Not(HasSubstr("1 of 2"))) << "the foot of a page is no part of the text";
}

TEST(Pdf, ATableOnSeveralPagesIsReadAsOne) {
    Table table{"", {{"number"}, {"what"}}, {}};
    for (int k = 0; k < 120; ++k) table.rows.push_back({{fmt::format("r{}", k)}, {"row"}});
    const Pdf pdf = render_pdf({"T", {table}});
    ASSERT_GT(pdf.pages, 2);
    std::string expected = "Document .H1 .Table ..TR ...TH ...TH ";
    for (int k = 0; k < 120; ++k) expected += "..TR ...TD ...TD ";
    EXPECT_EQ(elements_of(Printed(pdf.bytes)), expected);
}

TEST(Pdf, HeadingsAreBookmarksAndAnchorsAreReached) {
    const Printed printed(render_pdf(every_block()).bytes);
    const std::string dests = printed.run("pdfinfo -dests @").out;
    EXPECT_TRUE(std::regex_search(dests, std::regex("\n +1 [^\n]*\"supplies\""))) << dests;
    EXPECT_TRUE(std::regex_search(dests, std::regex("\n +2 [^\n]*\"levels\""))) << dests;
    const std::string outline = printed.run("pdftohtml -xml -i -stdout @").out;
    const std::regex nested("<outline>\\s*<item page=\"1\">Supplies</item>\\s*<outline>\\s*<item page=\"1\">Below "
                            "supplies</item>\\s*</outline>\\s*<item page=\"2\">Levels</item>\\s*</outline>");
    EXPECT_TRUE(std::regex_search(outline, nested)) << outline;
    // pdftohtml guesses which letters of a line a link covers, but not where it leads.
    EXPECT_TRUE(std::regex_search(outline, std::regex("<a href=\"[^\"]*#1\">[^<]*back to supplies</a>"))) << outline;
}

TEST(Pdf, EmbedsItsFontsAndDrawsWithoutPixels) {
    const Printed printed(render_pdf(every_block()).bytes);
    const std::string fonts = printed.run("pdffonts @").out;
    int count = 0;
    static const std::regex row("\n([A-Z]{6}\\+DejaVu[^ ]*) .* yes yes yes ");  // embedded, in part, to Unicode
    for (std::sregex_iterator at(fonts.begin(), fonts.end(), row), end; at != end; ++at) ++count;
    EXPECT_EQ(count, std::ranges::count(fonts, '\n') - 2) << fonts;  // two lines of head; every sign is in DejaVu
    EXPECT_GT(count, 1);
    EXPECT_EQ(std::ranges::count(printed.run("pdfimages -list @").out, '\n'), 2);
}

std::string filler(int words) {
    std::string out;
    for (int k = 0; k < words; ++k) out += fmt::format("word{} ", k * 7919 % 1000);
    return out;
}

/// A row's words carry its number: "r17" at its start and in its last cell.
Document long_table() {
    Document d{"Long", {heading(2, {"Wires"})}};
    Table table{"All wires", {{"number"}, {"what it is"}, {"end"}}, {}};
    for (int k = 0; k < 120; ++k) {
        std::string cell;
        for (int w = 0; w < 1 + k % 37; ++w) cell += fmt::format("r{} ", k);
        table.rows.push_back({{fmt::format("r{}", k)}, {cell}, {fmt::format("r{}", k)}});
    }
    d.blocks.push_back(table);
    return d;
}

/// The pages on which each word is found.
std::map<std::string, std::set<int>> pages_by_word(const Printed& printed) {
    std::map<std::string, std::set<int>> out;
    for (const auto& word : printed.words()) out[word.text].insert(word.page);
    return out;
}

TEST(Pdf, CutsNoRowAndRepeatsTheHead) {
    for (const Paper paper : {Paper::a4, Paper::letter}) {
        const Pdf pdf = render_pdf(long_table(), {.paper = paper});
        const Printed printed(pdf.bytes);
        EXPECT_GT(pdf.pages, 3);
        auto pages = pages_by_word(printed);
        for (int k = 0; k < 120; ++k) EXPECT_EQ(pages[fmt::format("r{}", k)].size(), 1u) << k;
        EXPECT_EQ(pages["number"].size(), static_cast<std::size_t>(pdf.pages));
        EXPECT_EQ(pages["Wires"], std::set<int>{1});
    }
}

/// Blocks with a tag in each of their lines, after text of every length: none is found on two pages.
TEST(Pdf, CutsNoCautionStepOrDrawingAndLeavesNoHeadingAlone) {
    for (int before = 0; before < 60; before += 3) {
        std::string lines;
        for (int k = 0; k < before; ++k) lines += "x\n";
        std::string tagged[3];
        for (int w = 0; w < 90; ++w) tagged[0] += "caution ", tagged[1] += "step ", tagged[2] += "after ";
        drawing::Drawing tall{100, 200, "t", "d", {}};
        for (int k = 0; k < 12; ++k) tall.items.emplace_back(drawing::Label{.at = {5, 15.0 + 15 * k}, .text = "drawn"});
        const Document d{"T",
                         {arithmetic(lines), Caution{"C", {{tagged[0]}}}, Steps{{{{tagged[1]}, {tagged[1]}}}},
                          Picture{tall, "figure"}, heading(2, {"Alone"}), paragraph({tagged[2]})}};
        const Printed printed(render_pdf(d).bytes);
        const auto pages = pages_by_word(printed);
        for (const char* tag : {"caution", "step", "drawn"}) EXPECT_EQ(pages.at(tag).size(), 1u) << tag << before;
        EXPECT_EQ(pages.at("figure"), pages.at("drawn"));
        EXPECT_EQ(*pages.at("Alone").begin(), *pages.at("after").begin());
    }
}

/// A short section is not parted, of a table no row is alone, and what says that something comes stands with it.
TEST(Pdf, PartsNoShortSectionAndLeavesNoRowAlone) {
    for (int before = 0; before < 66; before += 2) {
        std::string lines;
        for (int k = 0; k < before; ++k) lines += "x\n";
        BulletList ways{std::vector<Text>(7, Text{"section"})};
        Table table{"", {{"number"}, {"what"}}, {}};
        for (int k = 0; k < 30; ++k) table.rows.push_back({{fmt::format("r{}", k)}, {"row"}});
        Table answers = table;
        answers.columns = {{"answer"}, {"meaning"}};
        const Document d{
            "T",
            {arithmetic(lines), heading(3, {"section"}), paragraph({"section"}), ways, paragraph({"section"}),
             heading(3, {"Rows"}), table, paragraph({"announced:"}), BulletList{{{"first"}, {"second"}}},
             heading(3, {"Symptom"}), paragraph({"caution"}), paragraph({"likely"}), answers}};
        auto pages = pages_by_word(Printed(render_pdf(d).bytes));
        EXPECT_EQ(pages["section"].size(), 1u) << before;
        EXPECT_EQ(pages["r0"], pages["r1"]) << before;
        EXPECT_EQ(pages["r28"], pages["r29"]) << before;
        EXPECT_EQ(pages["announced:"], pages["first"]) << before;
        EXPECT_EQ(pages["Symptom"], pages["likely"]) << before;
        EXPECT_TRUE(pages["answer"].contains(*pages["likely"].begin())) << before << ": words parted from their table";
        const Document ends{"T", {arithmetic(lines), heading(3, {"Rows"}), table}};
        const Pdf pdf = render_pdf(ends);
        const auto words = Printed(pdf.bytes).words();
        const auto rows =
            std::ranges::count_if(words, [&](const auto& w) { return w.text == "row" && w.page == pdf.pages; });
        EXPECT_GT(rows, 4) << before << ": a page for a line or two";
    }
}

TEST(Pdf, NumbersOfStepsAreWholeHoweverManyThereAre) {
    Steps steps{{}, true, 995};
    for (int k = 0; k < 10; ++k) steps.items.push_back({{fmt::format("step{}", k)}, {}});
    std::map<std::string, Printed::Word> at;
    for (const auto& word : Printed(render_pdf({"t", {steps}}).bytes).words()) at[word.text] = word;
    for (int k = 0; k < 10; ++k) {
        const std::string number = fmt::format("{}.", 995 + k), step = fmt::format("step{}", k);
        ASSERT_TRUE(at.contains(number) && at.contains(step)) << number;
        EXPECT_LT(at[number].x1, at[step].x0);
        EXPECT_NEAR(at[number].y0, at[step].y0, 1) << number;
    }
}

TEST(Pdf, AWordOrRowThatNothingHoldsIsBrokenNotLost) {
    const std::string word(900, 'w');
    std::string cell = filler(6000);
    const Document d{
        word, {heading(3, {word}), Table{"", {{word}, {"b", Align::left, false}, {"c"}}, {{{word}, {word}, {cell}}}}}};
    const Pdf pdf = render_pdf(d);
    const std::string text = letters_of(Printed(pdf.bytes).text());
    EXPECT_EQ(std::ranges::count(text, 'w') - 6000, 5 * 900 + std::ranges::count(cell, 'w') - 6000);
    for (const auto& w : Printed(pdf.bytes).words()) {
        EXPECT_LE(w.x1, w.page_width - 40) << w.text;
        EXPECT_LE(w.y1, w.page_height) << w.text;
    }
}

TEST(Pdf, DrawingsKeepTheirSizeUnlessTheyMustShrink) {
    const auto distance = [](const Document& d) {
        double left = 0, right = 0, page = 0;
        for (const auto& w : Printed(render_pdf(d).bytes).words()) {
            if (w.text == "leftmost") left = w.x0, page = w.page_width;
            if (w.text == "rightmost") right = w.x1;
        }
        return std::pair{right - left, page};
    };
    EXPECT_NEAR(distance({"t", {Picture{two_words(200, 9), ""}}}).first, 180, 1);  // its own size
    EXPECT_NEAR(distance({"t", {Picture{two_words(510, 7), ""}}}).first, 490, 1);  // as wide as the page
    // 700 wide in letters of 10: 7.3 points upright. In letters of 9 they would be 6.6: on its side.
    EXPECT_NEAR(distance({"t", {Picture{two_words(700, 10), ""}}}).second, 595.276, 0.01);
    EXPECT_NEAR(distance({"t", {Picture{two_words(700, 9), ""}}}).second, 841.89, 0.01);
    // In letters of 7 it would be 5.1: on its side.
    const auto [width, page] = distance({"t", {Picture{two_words(700, 7), ""}}});
    EXPECT_NEAR(page, 841.89, 0.01);
    EXPECT_NEAR(width, 680, 1);
    EXPECT_EQ(render_pdf({"t", {Picture{two_words(700, 7), ""}}}).trouble, "");
    EXPECT_THAT(render_pdf({"t", {Picture{two_words(1400, 7), ""}}}).trouble, HasSubstr("\"plan\""));
}

RC_GTEST_PROP(Pdf, TakesAnyDocument, ()) {
    const Document d = *random_document();
    const Paper paper = *rc::gen::element(Paper::a4, Paper::letter);
    const Pdf pdf = render_pdf(
        d, {.paper = paper, .footer = *random_text(), .subject = *random_text(), .keywords = *random_text()});
    RC_ASSERT(!pdf.bytes.empty());
    const Printed printed(pdf.bytes);
    const auto info = printed.run("pdfinfo @");
    RC_ASSERT(info.code == 0);
    RC_ASSERT(info.out.find("rror") == std::string::npos);
    RC_ASSERT(info.out.find(fmt::format("Pages:           {}", pdf.pages)) != std::string::npos);
    for (const unsigned char c : printed.text()) RC_ASSERT(c >= 0x20 || c == '\n' || c == '\f');
}

/// A hyphen put in there would lean out, and would be typed as part of the name. Poppler leaves hyphens at the end
/// of a line out of the words, not out of their boxes.
TEST(Pdf, BreaksALongWordWithoutAddingToIt) {
    constexpr double margin = 15 / 25.4 * 72;
    const std::string word =
        "</pre>echo&averylongwordthatmustbebroken\u00e9\u00e9\x1b[2Javerylongwordthatmustbebroken\u03a9";
    const Document d{"", {Definitions{{{{""}, {code(word)}}}}}};
    for (const auto& w : Printed(render_pdf(d).bytes).words()) EXPECT_LT(w.x1, w.page_width - margin + 3) << w.text;
}

/// But for the inside of drawings, which is theirs.
RC_GTEST_PROP(Pdf, KeepsItsWordsBetweenTheMargins, ()) {
    Document d = *random_document();
    std::erase_if(d.blocks, [](const Block& b) {
        return std::holds_alternative<Picture>(b) || std::holds_alternative<LevelChart>(b) ||
               std::holds_alternative<WaveChart>(b);
    });
    constexpr double margin = 15 / 25.4 * 72, slack = 3;  // points; the letters of a line lean out
    for (const auto& w : Printed(render_pdf(d, {.footer = *random_text()}).bytes).words()) {
        RC_ASSERT(w.x0 > margin - slack && w.x1 < w.page_width - margin + slack);
        RC_ASSERT(w.y0 > margin - slack && w.y1 < w.page_height - margin / 2);
    }
}

/// Renders with no other font than those of a folder, says what is wrong on standard error, and ends.
void render_with_fonts_of(const voltsill::testing::Folder& folder) {
    const std::string conf =
        "<fontconfig><dir>" + folder.path("") + "</dir><cachedir>" + folder.path("cache") + "</cachedir></fontconfig>";
    setenv("FONTCONFIG_FILE", folder.write("fonts.conf", conf).c_str(), 1);
    const Pdf pdf = render_pdf(every_block());
    fmt::print(stderr, "{} pages: {}\n", pdf.pages, pdf.trouble);
    std::exit(0);
}

/// In processes of their own, which read their list of fonts afresh.
TEST(PdfDeathTest, SaysWhichFontIsMissing) {
    GTEST_FLAG_SET(death_test_style, "threadsafe");
    const voltsill::testing::Folder none, other;
    EXPECT_EXIT(render_with_fonts_of(none), ::testing::ExitedWithCode(0),
                "0 pages: no font is installed; .*fonts-dejavu-core");
    std::filesystem::copy("/usr/share/fonts/truetype/dejavu/DejaVuSansMono.ttf", other.path("mono.ttf"));
    EXPECT_EXIT(render_with_fonts_of(other), ::testing::ExitedWithCode(0),
                "2 pages: the font DejaVu Sans is not installed");
}

}  // namespace
}  // namespace voltsill::printing
