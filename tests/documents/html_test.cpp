// The page against the rules it claims: well-formed, escaped, accessible (WCAG 2.2).
#include "documents/html.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <regex>
#include <set>

#include "documents/charts.h"
#include "documents/fixture.h"
#include "drawing/drawing.h"
#include "random_document.h"

namespace voltsill::doc {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

/// What is wrong with the nesting of elements; empty when each is closed in order. Void elements
/// by the HTML standard, section 13.1.2; `<x/>` closes itself inside SVG.
std::string nesting_trouble(const std::string& page) {
    static const std::set<std::string> empty{"meta", "br", "hr", "img", "link", "input"};
    static const std::regex tag(
        R"(<(/?)([A-Za-z][A-Za-z0-9]*)((?:\s+[A-Za-z][A-Za-z0-9:-]*="[^"<]*")*)\s*(/?)>)");
    std::vector<std::string> open;
    std::string rest = std::regex_replace(page, std::regex("<!DOCTYPE html>"), "");
    // By hand: a regex goes one call deeper for every byte of a style sheet.
    for (std::size_t begin; (begin = rest.find("<style>")) != std::string::npos;) {
        const std::size_t end = rest.find("</style>", begin);
        if (end == std::string::npos) break;
        rest.erase(begin, end + 8 - begin);
    }
    for (std::sregex_iterator at(rest.begin(), rest.end(), tag), end; at != end; ++at) {
        const std::string name = (*at)[2];
        if ((*at)[1].length() == 0) {
            if (!empty.contains(name) && (*at)[4].length() == 0) open.push_back(name);
        } else if (open.empty() || open.back() != name) {
            return "</" + name + "> closes nothing";
        } else {
            open.pop_back();
        }
    }
    if (!open.empty()) return open.back() + " is not closed";
    const std::string text = std::regex_replace(rest, tag, "");
    return text.find_first_of("<>") == std::string::npos
               ? ""
               : "a bare sign: " + text.substr(text.find_first_of("<>"), 30);
}

RC_GTEST_PROP(Html, WellFormedWhateverAUserTypes, ()) {
    const std::string out = render_html(*random_document());
    RC_ASSERT(nesting_trouble(out) == "");
    for (const unsigned char c : out) RC_ASSERT(c >= 0x20 || c == '\n');
}

TEST(Html, EscapesNames) {
    const std::string out =
        render_html({"<script>alert(1)</script>", {paragraph({code("a\" onclick='x' & <b>")})}});
    EXPECT_THAT(out, Not(HasSubstr("<script")));
    EXPECT_THAT(out, HasSubstr("<title>&lt;script&gt;"));
    EXPECT_THAT(out, HasSubstr("<code>a&quot; onclick=&#39;x&#39; &amp; &lt;b&gt;</code>"));
}

TEST(Html, FetchesNothingAndRunsNothing) {
    for (const Document& d :
         {check_report(fixture::bench(), fixture::direct()), part_report(fixture::part())}) {
        const std::string out = render_html(d);
        EXPECT_FALSE(std::regex_search(
            out, std::regex(R"(<script|<link|<img|@import|src=|url\((?!#)|href="(?!#)|\son\w+=)")));
        EXPECT_EQ(nesting_trouble(out), "");
    }
}

TEST(Html, HeadingsInOrderAndLinksLeadSomewhere) {
    const std::string out = render_html(plan_report(fixture::bench(), fixture::plan()));
    int before = 0, first = 0;
    static const std::regex heading("<h([1-6])[ >]");
    for (std::sregex_iterator at(out.begin(), out.end(), heading), end; at != end; ++at) {
        const int level = std::stoi((*at)[1]);
        EXPECT_LE(level, before + 1);  // no level is skipped on the way down (WCAG 1.3.1)
        first += level == 1;
        before = level;
    }
    EXPECT_EQ(first, 1);
    std::set<std::string> ids;
    static const std::regex id(" id=\"([^\"]*)\""),
        reference("href=\"#([^\"]*)\"|aria-labelledby=\"([^\" ]*)|url\\(#([^)]*)\\)");
    for (std::sregex_iterator at(out.begin(), out.end(), id), end; at != end; ++at)
        EXPECT_TRUE(ids.insert((*at)[1]).second) << (*at)[1];
    int links = 0;
    for (std::sregex_iterator at(out.begin(), out.end(), reference), end; at != end; ++at, ++links)
        EXPECT_TRUE(ids.contains((*at)[1].str() + (*at)[2].str() + (*at)[3].str())) << at->str();
    EXPECT_GT(links, 10);
}

TEST(Html, StepsAndTicksAreBoxesWithNames) {
    const std::string out =
        render_html({"t",
                     {Steps{{{{"Strap <in>"}, {"A3"}}}, true, 4}, PageBreak{},
                      Table{"", {{"at"}, {"done"}}, {{{"A3"}, {tick("A3 \"done\"")}}}}}});
    EXPECT_THAT(out, HasSubstr("<ol class=\"steps\" start=\"4\">\n<li><label><input type=\"checkbox\"> Strap "
                               "&lt;in&gt;</label>\n<p>A3</p></li>\n</ol>"));
    EXPECT_THAT(out, HasSubstr("<input type=\"checkbox\" aria-label=\"A3 &quot;done&quot;\">"));  // WCAG 4.1.2
    EXPECT_THAT(out, HasSubstr("<div class=\"page-break\"></div>"));
    EXPECT_THAT(out, HasSubstr(".page-break { break-before: page; }"));
}

TEST(Html, LandmarksLanguageAndTableHeaders) {
    const std::string out = render_html(check_report(fixture::bench(), fixture::direct()));
    for (const char* part : {"<html lang=\"en\">", "<main id=\"main\"", "<header>",
                             "<nav aria-label=", "class=\"skip\" href=\"#main\"", "name=\"viewport\""})
        EXPECT_THAT(out, HasSubstr(part));
    EXPECT_FALSE(std::regex_search(out, std::regex("<th(?![^>]*scope=)(?!ead)")));
    EXPECT_FALSE(std::regex_search(out, std::regex("<svg(?![^>]*role=\"img\")")));
    EXPECT_THAT(out, HasSubstr("</span> harmful</span>"));  // never by colour alone (WCAG 1.4.1)
}

TEST(LevelChartDrawing, MarksStandAtTheirVolts) {
    // Axis 0..6 V over 46..350: 304 / 6 units per volt.
    const ChartRow row{.group = {},
                       .point = "D4",
                       .bands = {{true, 4.5, 5.0, 5.25}},
                       .low_threshold = 0.75,
                       .high_threshold = 2.0,
                       .limit_min = -0.3,
                       .limit_max = 3.6,
                       .supply = 3.3};
    const drawing::Drawing drawn = level_chart_drawing({"Levels", {row}});
    const auto x = [](double volts) { return 46 + volts * 304 / 6; };
    std::vector<const drawing::Path*> paths;
    for (const drawing::Item& item : drawn.items)
        if (const auto* path = std::get_if<drawing::Path>(&item)) paths.push_back(path);
    const auto left_of = [&](auto which) {
        std::vector<double> out;
        for (const drawing::Path* path : paths)
            if (which(*path)) out.push_back(std::round(path->steps.front().to.x * 100) / 100);
        return out;
    };
    const auto at = [&](double volts) { return std::vector<double>{std::round(x(volts) * 100) / 100}; };
    EXPECT_EQ(left_of([](const auto& p) { return p.fill == drawing::Colour(drawing::Tone::volts, 5.25); }), at(4.5));
    EXPECT_EQ(left_of([](const auto& p) { return p.stroke.width == 2.5; }), at(3.6));  // absolute maximum
    EXPECT_EQ(left_of([](const auto& p) { return p.stroke.dash == drawing::Dash::dashed; }), at(3.3));
    EXPECT_EQ(left_of([](const auto& p) { return p.hatch == drawing::Hatch::sparse; }), at(0.75));
    EXPECT_THAT(
        drawn.description,
        HasSubstr(
            "D4: high 4.5..5.25 V; reads low up to 0.75 V, high from 2 V; stands -0.3..3.6 V; supply 3.3 V"));
}

TEST(LevelChartDrawing, AMaximumBeyondTheAxisIsNamedAtItsEnd) {
    const ChartRow row{.group = {}, .point = "TIP", .bands = {{true, 3.6, 4, 4.2}}, .limit_max = 26, .supply = 5};
    const drawing::Drawing drawn = level_chart_drawing({"Levels", {row}});
    int heavy = 0, named = 0;
    for (const drawing::Item& item : drawn.items) {
        if (const auto* path = std::get_if<drawing::Path>(&item)) heavy += path->stroke.width == 2.5;
        if (const auto* label = std::get_if<drawing::Label>(&item)) named += label->text == "max 26 V →";
    }
    EXPECT_EQ(heavy, 0);
    EXPECT_EQ(named, 1);
}

/// A line that leads down to a word crosses no other word.
void no_line_through_a_word(const ChartRow& row) {
    const drawing::Drawing drawn = level_chart_drawing({"Levels", {row}});
    std::vector<const drawing::Label*> words;
    for (const drawing::Item& item : drawn.items)
        if (const auto* label = std::get_if<drawing::Label>(&item); label && label->text.ends_with(" V"))
            words.push_back(label);
    int lines = 0;
    for (const drawing::Item& item : drawn.items) {
        const auto* path = std::get_if<drawing::Path>(&item);
        if (!path || path->stroke.width != 0.8 || path->steps.size() != 2) continue;
        const drawing::Point top = path->steps.front().to, end = path->steps.back().to;
        lines += end.y - top.y > 5;
        for (const drawing::Label* word : words) {
            const double half = 0.5 * drawing::text_width(word->text, word->size);
            if (word->anchor != drawing::Anchor::middle || word->at.y <= top.y || word->at.y > end.y) continue;
            EXPECT_TRUE(top.x > word->at.x + half || top.x < word->at.x - half) << word->text << " at " << top.x;
        }
    }
    EXPECT_GE(lines, 1);
}

TEST(LevelChartDrawing, WordsGiveWayToLines) {
    ChartRow row{.group = {},
                 .point = "D2",
                 .bands = {{false, 0, 0, 0}, {true, 3.2, 3.3, 5}},
                 .low_threshold = 0.825,
                 .high_threshold = 2.47,
                 .limit_max = 3.6,
                 .supply = 3.3};
    no_line_through_a_word(row);  // of the maximum, past the supply
    row.high_threshold = 2.31;
    no_line_through_a_word(row);
    row.bands = {{true, 4.7, 5, 5.25}};
    row.limit_max = 5.5, row.supply = 5;
    no_line_through_a_word(row);
}

}  // namespace
}  // namespace voltsill::doc
