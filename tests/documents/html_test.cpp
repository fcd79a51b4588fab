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

#include "documents/fixture.h"
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

TEST(Html, LandmarksLanguageAndTableHeaders) {
    const std::string out = render_html(check_report(fixture::bench(), fixture::direct()));
    for (const char* part : {"<html lang=\"en\">", "<main id=\"main\"", "<header>",
                             "<nav aria-label=", "class=\"skip\" href=\"#main\"", "name=\"viewport\""})
        EXPECT_THAT(out, HasSubstr(part));
    EXPECT_FALSE(std::regex_search(out, std::regex("<th(?![^>]*scope=)(?!ead)")));
    EXPECT_FALSE(std::regex_search(out, std::regex("<svg(?![^>]*role=\"img\")")));
    EXPECT_THAT(out, HasSubstr("</span> harmful</span>"));  // never by colour alone (WCAG 1.4.1)
}

/// Relative luminance and contrast ratio as WCAG 2.2 defines them.
double luminance(const std::string& hex) {
    const auto channel = [&](int k) {
        const double c = std::stoi(hex.substr(static_cast<size_t>(1 + 2 * k), 2), nullptr, 16) / 255.0;
        return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
    };
    return 0.2126 * channel(0) + 0.7152 * channel(1) + 0.0722 * channel(2);
}
double contrast(const std::string& a, const std::string& b) {
    const double x = luminance(a), y = luminance(b);
    return (std::max(x, y) + 0.05) / (std::min(x, y) + 0.05);
}

TEST(HtmlStyle, ContrastOfTextAndMarks) {
    // The definition against its own ends and one published pair (#767676 on white is 4.54:1).
    EXPECT_NEAR(contrast("#000000", "#ffffff"), 21.0, 1e-9);
    EXPECT_NEAR(contrast("#767676", "#ffffff"), 4.54, 0.005);
    const std::string css(html_style());
    const std::regex block(
        R"(--paper: (#\w{6}); --ink: (#\w{6}); --soft: (#\w{6}); --line: (#\w{6}); --hair: (#\w{6}); --wash: (#\w{6});\s+--link: (#\w{6}); --focus: (#\w{6});)");
    int themes = 0;
    for (std::sregex_iterator at(css.begin(), css.end(), block), end; at != end; ++at, ++themes) {
        const auto colour = [&](int k) { return (*at)[static_cast<size_t>(k)].str(); };
        for (const int paper : {1, 6}) {
            for (const int text : {2, 3, 7})
                EXPECT_GE(contrast(colour(text), colour(paper)), 4.5) << colour(text);
            EXPECT_GE(contrast(colour(8), colour(paper)), 3.0);  // focus ring (1.4.11)
        }
        EXPECT_GE(contrast(colour(4), colour(1)), 3.0);
    }
    EXPECT_EQ(themes, 2);  // light and dark
    int signs = 0;
    const std::regex sign(R"(\.sign \{ background: (#\w{6}); \})");
    for (std::sregex_iterator at(css.begin(), css.end(), sign), end; at != end; ++at, ++signs)
        EXPECT_GE(contrast("#000000", (*at)[1]), 4.5) << at->str();
    EXPECT_EQ(signs, 5);
}

TEST(LevelChartSvg, MarksStandAtTheirVolts) {
    // Axis 0..6 V over 46..350: 304 / 6 units per volt.
    const ChartRow row{.group = {},
                       .point = "D4",
                       .bands = {{true, 4.5, 5.0, 5.25}},
                       .low_threshold = 0.75,
                       .high_threshold = 2.0,
                       .limit_min = -0.3,
                       .limit_max = 3.6,
                       .supply = 3.3};
    const std::string svg = level_chart_svg({"Levels <of> it", {row}}, 7);
    const auto x = [](double volts) { return fmt::format("{:.1f}", 46 + volts * 304 / 6); };
    EXPECT_THAT(svg, HasSubstr(fmt::format("<rect x=\"{}\"", x(4.5))));
    EXPECT_TRUE(
        std::regex_search(svg, std::regex(fmt::format("<line x1=\"{}\"[^>]*class=\"limit\"", x(3.6)))));
    EXPECT_TRUE(
        std::regex_search(svg, std::regex(fmt::format("<line x1=\"{}\"[^>]*class=\"supply\"", x(3.3)))));
    EXPECT_TRUE(std::regex_search(
        svg, std::regex(fmt::format("<rect x=\"{}\"[^>]*url\\(#chart-7-sparse\\)", x(0.75)))));
    EXPECT_THAT(svg, HasSubstr("<title id=\"chart-7-title\">Levels &lt;of&gt; it</title>"));
    EXPECT_THAT(
        svg,
        HasSubstr(
            "D4: high 4.5..5.25 V; reads low up to 0.75 V, high from 2 V; stands -0.3..3.6 V; supply 3.3 V"));
}

TEST(LevelChartSvg, HigherVoltagesAreDarker) {
    int before = 101;
    for (const double volts : {0.0, 1.8, 3.3, 5.0, 12.0, 36.0}) {
        const std::string svg =
            level_chart_svg({"c", {{.group = {}, .point = "p", .bands = {{true, 0, 0, volts}}}}}, 1);
        std::smatch found;
        ASSERT_TRUE(std::regex_search(svg, found, std::regex(R"(hsl\(212 \d+% (\d+)%\))")));
        EXPECT_LT(std::stoi(found[1]), before);
        before = std::stoi(found[1]);
    }
}

}  // namespace
}  // namespace voltsill::doc
