// SVG held against an XML reader (libxml2, strict) and against WCAG 2.2.
#include "drawing/svg.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <libxml/parser.h>
#include <libxml/xpath.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <memory>

#include "drawing/look.h"
#include "drawing/text.h"
#include "support/random_drawing.h"

namespace voltsill::drawing {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

/// No network, no repair, no entity of its own; null when it is no well-formed XML 1.0.
std::shared_ptr<xmlDoc> parsed(const std::string& text) {
    return {xmlReadMemory(text.data(), static_cast<int>(text.size()), nullptr, "UTF-8",
                          XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING | XML_PARSE_PEDANTIC),
            xmlFreeDoc};
}

/// Text of every element `name` in any namespace, in order.
std::vector<std::string> texts_of(xmlDoc* doc, const std::string& name) {
    std::vector<std::string> out;
    const std::unique_ptr<xmlXPathContext, void (*)(xmlXPathContext*)> context(xmlXPathNewContext(doc),
                                                                               xmlXPathFreeContext);
    const std::string path = "//*[local-name()='" + name + "']";
    const std::unique_ptr<xmlXPathObject, void (*)(xmlXPathObject*)> found(
        xmlXPathEval(reinterpret_cast<const xmlChar*>(path.c_str()), context.get()), xmlXPathFreeObject);
    for (int k = 0; found && found->nodesetval && k < found->nodesetval->nodeNr; ++k) {
        const std::unique_ptr<xmlChar, void (*)(void*)> content(xmlNodeGetContent(found->nodesetval->nodeTab[k]),
                                                                xmlFree);
        out.emplace_back(reinterpret_cast<const char*>(content.get()));
    }
    return out;
}

RC_GTEST_PROP(Svg, IsWellFormedAndSaysWhatItWasGiven, ()) {
    const Drawing drawing = *random_drawing();
    const std::string file = svg_file(drawing), element = svg_element(drawing, 3);
    const auto doc = parsed(file);
    RC_ASSERT(doc != nullptr);
    RC_ASSERT(parsed(element) != nullptr);
    std::vector<std::string> expected;
    for (const Label* label : labels_of(drawing)) expected.push_back(bind_units(clean(label->text)));
    RC_ASSERT(texts_of(doc.get(), "text") == expected);
    RC_ASSERT(texts_of(doc.get(), "title").front() == bind_units(clean(drawing.title)));
    RC_ASSERT(texts_of(doc.get(), "desc").front() == bind_units(clean(drawing.description)));
    RC_ASSERT(texts_of(doc.get(), "script").empty());
    for (const char* bad : {"nan", "inf"}) RC_ASSERT(element.find("\"" + std::string(bad)) == std::string::npos);
}

TEST(Svg, NamesItsWordsForReadersWhoDoNotSeeIt) {
    const Drawing d{.width = 20, .height = 10, .title = "Map", .description = "Two rails", .items = {}};
    EXPECT_THAT(svg_element(d, 4), HasSubstr("role=\"img\" aria-labelledby=\"drawing-4-title drawing-4-desc\""));
    EXPECT_THAT(svg_element(d, 4), HasSubstr("<title id=\"drawing-4-title\">Map</title>"));
    EXPECT_THAT(svg_element(d, 4), HasSubstr("<desc id=\"drawing-4-desc\">Two rails</desc>"));
}

TEST(Svg, GroupsCarryDataButNoForeignAttributes) {
    Drawing d;
    d.items = {Group{"wire 3", {{"wire", "3\" onclick=\"x"}, {"x onload=", "1"}, {"", "2"}}, {}}};
    const std::string svg = svg_element(d, 1);
    EXPECT_THAT(svg, HasSubstr("<g data-wire=\"3&quot; onclick=&quot;x\">\n<title>wire 3</title>"));
    EXPECT_THAT(svg, Not(HasSubstr("onload")));
}

TEST(Svg, HatchingIsDefinedWhereItIsUsed) {
    Drawing d;
    Path p = box(0, 0, 10, 10);
    p.hatch = Hatch::dense;
    d.items = {p};
    EXPECT_THAT(svg_element(d, 9), HasSubstr("<pattern id=\"drawing-9-dense\""));
    EXPECT_THAT(svg_element(d, 9), HasSubstr("url(#drawing-9-dense)"));
    EXPECT_THAT(svg_element(d, 9), Not(HasSubstr("sparse")));
}

/// WCAG 2.2, "relative luminance" and "contrast ratio".
double luminance(const Rgb& c) {
    const auto channel = [](double v) { return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4); };
    return 0.2126 * channel(c.red) + 0.7152 * channel(c.green) + 0.0722 * channel(c.blue);
}
double contrast(const Rgb& a, const Rgb& b) {
    const double x = luminance(a), y = luminance(b);
    return (std::max(x, y) + 0.05) / (std::min(x, y) + 0.05);
}

TEST(VoltsTone, LinesStandOutOnEveryPaperAndDarkenWithVoltage) {
    for (const Medium medium : {Medium::light, Medium::dark, Medium::print}) {
        double fill_before = 2, line_before = 2;
        for (const double volts : {0.0, 0.9, 1.8, 3.3, 5.0, 12.0, 24.0, 36.0}) {
            const Rgb line = rgb_of({Tone::volts, volts}, medium, true),
                      fill = rgb_of({Tone::volts, volts}, medium, false);
            EXPECT_GE(contrast(line, rgb_of(Tone::paper, medium, false)), 3.0) << volts;  // 1.4.11
            EXPECT_LT(luminance(line), line_before);
            EXPECT_LT(luminance(fill), fill_before);
            line_before = luminance(line);
            fill_before = luminance(fill);
        }
    }
}

TEST(StyleSheet, ComputesTheColourOfAVoltageAsTheTableDoes) {
    // The share goes into the same formula in the browser: its numbers stand in the sheet.
    const std::string css = style_sheet();
    EXPECT_THAT(css, HasSubstr("hsl(212 calc(45% + 20% * var(--fill-volts)) calc(93% - 65% * var(--fill-volts)))"));
    EXPECT_THAT(css, HasSubstr("--volts-from: 58%; --volts-fall: 36%;"));
    EXPECT_THAT(css, HasSubstr("--volts-from: 92%; --volts-fall: 44%;"));
}

}  // namespace
}  // namespace voltsill::drawing
