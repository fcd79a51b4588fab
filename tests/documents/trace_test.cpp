// What a trace is shown as: on a terminal, in a page, as a table, as files of its own.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <limits>
#include <regex>

#include "documents/charts.h"
#include "documents/html.h"
#include "documents/markdown.h"
#include "documents/polyline.h"
#include "documents/reports.h"
#include "documents/terminal.h"
#include "documents/wave_axis.h"
#include "drawing/svg.h"
#include "drawing/text.h"
#include "judging/traced.h"
#include "support/made_trace.h"

namespace voltsill {
namespace {

using ::testing::AllOf;
using ::testing::Contains;
using ::testing::Each;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

Bench bench() {
    Bench b;
    b.title = "Rain-garden station";
    return b;
}

std::string trace_page(const std::vector<LinkTrace>& traces, int width = 100, bool unicode = true) {
    return doc::render_terminal(trace_report(bench(), traces),
                                {.width = width, .unicode = unicode, .details = true});
}

/// The lines of one point's plot, between its name and the next.
std::vector<std::string> plot_of(const std::string& text) {
    std::vector<std::string> out;
    for (const std::string_view line : lines_of(text))
        if (line.find("│") != std::string_view::npos || line.find("┤") != std::string_view::npos)
            out.emplace_back(line);
    return out;
}

TEST(TraceReport, SaysWhatDecidesWithNumberAndSource) {
    const std::string text = trace_page({made::trace()});
    EXPECT_THAT(text, HasSubstr("≠ unreadable: edge rate at controller.D4 comes to 540 ns/V"));
    EXPECT_THAT(text, HasSubstr("6 of them break it."));
    EXPECT_THAT(text, HasSubstr("invented"));
    EXPECT_THAT(text, HasSubstr("194 of 200"));
    EXPECT_THAT(text, HasSubstr("Wilson"));
    EXPECT_THAT(text, HasSubstr("--replay 17"));
    EXPECT_THAT(text, HasSubstr("--seed 7"));
    EXPECT_THAT(text, HasSubstr("R1 80 %"));
    EXPECT_THAT(text, HasSubstr("15 pF a net (common practice)"));
    EXPECT_THAT(text, Not(HasSubstr("Partial")));
}

TEST(TraceReport, SaysNothingOfBitsWhereALevelIsFollowed) {
    LinkTrace level = made::trace();
    ASSERT_THAT(trace_page({level}), HasSubstr("Pattern " + level.pattern + " at"));
    level.analog = true;
    EXPECT_THAT(trace_page({level}), HasSubstr("From the lower end of its range to the upper and back at"));
    EXPECT_THAT(trace_page({level}), Not(HasSubstr("Pattern")));
    EXPECT_EQ(wave_chart(level).bits, "");
    EXPECT_EQ(wave_chart(made::trace()).bits, made::trace().pattern);
}

TEST(TraceReport, MarksWhatIsPartialFailedOrAssumed) {
    LinkTrace cancelled = made::trace("strip data", 60);
    cancelled.asked = 4096;
    cancelled.cancelled = true;
    cancelled.failed = 3;
    cancelled.rate_assumed = true;
    const std::string text = trace_page({cancelled, made::failed("pump relay")});
    EXPECT_THAT(text, HasSubstr("Partial: cancelled after 60 of 4096 samples."));
    EXPECT_THAT(text, HasSubstr("3 more samples had no solution"));
    EXPECT_THAT(text, HasSubstr("assumed: the bench states no rate"));
    EXPECT_THAT(text, HasSubstr("? unknown: it could not be simulated: nothing drives it."));
    EXPECT_LT(text.find("strip data"), text.find("pump relay")) << "worst first";
}

TEST(TraceReport, WithoutSamplesNothingIsSaidOfThem) {
    const std::string text = trace_page({made::trace("quiet", 0)});
    EXPECT_THAT(text, HasSubstr("nominal only."));
    EXPECT_THAT(text, HasSubstr("✓ safe"));
    for (const char* word : {"Wilson", "replay", "lowest..highest", "░", "kept in"})
        EXPECT_THAT(text, Not(HasSubstr(word)));
}

TEST(TraceReport, MissingFiguresSayWhy) {
    LinkTrace t = made::trace("echo", 0);
    t.measures[0].nominal = std::nullopt;
    t.measures[0].why = "a one does not stay past its threshold";
    const std::string text = trace_page({t});
    EXPECT_THAT(text,
                HasSubstr("≠ unreadable: there is no set-up time left at controller.D4: a one does not"));
}

TEST(TraceReport, TellsALineThatStaysBeyondItsRatingFromOneThatRings) {
    LinkTrace t = made::trace("direct", 0);
    TracePoint& end = t.points.back();
    Measured top = made::measured(MeasureKind::highest, end.label, 4.0, 4.0, 4.0, 4.0);
    top.lo = top.median = top.hi = std::nullopt;
    top.limit = 3.6;
    t.measures = {top};
    end.nominal = {{0, 1e-6, 1e-6, 1.01e-6, 1.02e-6, 2e-6}, {0, 0, 4.0, 4.0, 3.3, 3.3}};
    const std::string rings = trace_page({t});
    EXPECT_THAT(rings, HasSubstr("controller.D4 rings to 4 V for a moment"));
    EXPECT_THAT(rings, Not(HasSubstr("stays at")));
    t.measures[0].lasting = true;
    const std::string stays = trace_page({t});
    EXPECT_THAT(stays, HasSubstr("controller.D4 stays at 4 V, beyond its rating of 3.6 V"));
    EXPECT_THAT(stays, Not(HasSubstr("rings")));
}

TEST(TraceReport, ShowsAnEdgeAtItsOwnScaleWhereBitsHideIt) {
    LinkTrace slow = made::trace("slow");
    EXPECT_THAT(trace_page({slow}), Not(HasSubstr("First rising edge"))) << "an edge of half a bit shows by itself";
    for (TracePoint& p : slow.points) {  // the same edges in bits a thousand times as long
        for (Wave* w : {&p.nominal, &p.worst})
            for (double& t : w->seconds) {
                const double bit = std::floor(t / made::bit_time * (1 + 1e-12));
                t = t + 999 * bit * made::bit_time;
            }
        p.envelope.reset();
    }
    slow.duration *= 1000;
    slow.rate /= 1000;
    const std::string text = trace_page({slow});
    ASSERT_THAT(text, HasSubstr("First rising edge of slow"));
    EXPECT_THAT(text.substr(text.find("First rising edge")), HasSubstr(" µs"));
}

TEST(TraceReport, LinksThatShareANameAreToldApart) {
    LinkTrace other = made::trace("bus data", 0);
    other.points.back().label = "display.SDA";
    const std::string text = trace_page({made::trace("bus data", 0), other});
    EXPECT_THAT(text, HasSubstr("bus data (controller.D4)"));
    EXPECT_THAT(text, HasSubstr("bus data (display.SDA)"));
}

TEST(Traced, InputOfWhichNobodySaysWhatItReadsIsUnknown) {
    LinkTrace t = made::trace("quiet", 0);
    Measured kept = made::measured(MeasureKind::setup_left, t.points.back().label, 1, 0.5, 1, 2);
    kept.limit = 0;
    kept.limit_is_maximum = false;
    t.measures = {kept};
    t.points.back().reads = true;
    EXPECT_EQ(verdict_of(t), Verdict::safe);
    t.points.back().vih.reset();
    EXPECT_EQ(verdict_of(t), Verdict::unknown);
}

TEST(Traced, VerdictsFollowLimits) {
    Measured m = made::measured(MeasureKind::setup_left, "x", 1, 0.5, 1, 2);
    EXPECT_FALSE(verdict_of(m)) << "no limit";
    m.limit = 0;
    m.limit_is_maximum = false;
    EXPECT_EQ(verdict_of(m), Verdict::safe);
    m.lo = -0.1;
    EXPECT_EQ(verdict_of(m), Verdict::unreadable) << "one sample breaks it";
    m.kind = MeasureKind::highest;
    EXPECT_EQ(verdict_of(m), Verdict::thin);
    m.lasting = true;
    EXPECT_EQ(verdict_of(m), Verdict::harmful) << "the point rests beyond its rating";
    Measured none{.kind = MeasureKind::setup_left, .limit = 0, .limit_is_maximum = false};
    EXPECT_EQ(verdict_of(none), Verdict::unreadable) << "a one that never arrives";
    none.kind = MeasureKind::rise_time;
    EXPECT_EQ(verdict_of(none), Verdict::unknown);
    EXPECT_EQ(verdict_of(LinkTrace{}), Verdict::unknown);
    EXPECT_EQ(verdict_of(made::trace()), Verdict::unreadable);
    EXPECT_EQ(verdict_of(made::trace("x", 0)), Verdict::safe);
}

TEST(WaveChart, TerminalDrawsTheWaveAndItsThresholdsWhereTheyAre) {
    // A step from 0 to 4 V at half of the time: low on the left, high on the right.
    doc::WaveChart chart{
        .title = "t",
        .rows = {{.point = "p", .nominal = {{0, 1, 1, 2}, {0, 0, 4, 4}}, .marks = {{"VIH", 2}}}}};
    const auto lines = plot_of(doc::render_terminal({"x", {chart}}, {.width = 60}));
    ASSERT_EQ(lines.size(), 12u);
    const auto at = [&](const char* label) {
        return std::ranges::find_if(lines,
                                    [&](const std::string& l) { return l.find(label) != std::string::npos; });
    };
    const auto high = at(" 4 V"), threshold = at("VIH 2 V"), low = at(" 0 V");
    ASSERT_TRUE(high != lines.end() && threshold != lines.end() && low != lines.end());
    EXPECT_LT(high, threshold);
    EXPECT_LT(threshold, low);
    EXPECT_THAT(*threshold, HasSubstr("╌╌╌╌╌┃╌╌╌╌╌")) << *threshold;
    EXPECT_LT(low->find("━"), low->find("┃") == std::string::npos ? low->size() : low->find("┃"));
    EXPECT_GT(high->find("━"), low->find("━"));
}

TEST(WaveChart, ALimitHasALineOfItsOwnUntilItIsBroken) {
    using enum doc::WaveMark::Kind;
    for (const double top : {5.0, 5.4, 8.0}) {  // at the supply, a little above the limit, far above it
        doc::WaveChart chart{.title = "t",
                             .rows = {{.point = "p",
                                       .nominal = {{0, 1, 1, 2}, {0, 0, top, top}},
                                       .marks = {{"supply", 5, supply}, {"max", 5.3, limit}, {"min", -0.3, limit}}}}};
        const auto lines = plot_of(doc::render_terminal({"x", {chart}}, {.width = 60}));
        const auto of = [&](const char* label) {
            return *std::ranges::find_if(lines,
                                         [&](const std::string& l) { return l.find(label) != std::string::npos; });
        };
        EXPECT_THAT(of("min"), AllOf(HasSubstr("!!!!!!!!!!"), Not(HasSubstr("━")))) << top;
        EXPECT_EQ(of("max").find("━") == std::string::npos && of("max").find("┃") == std::string::npos, top < 5.3)
            << top;
        EXPECT_NE(of("supply"), of("max")) << top;
        EXPECT_THAT(of("supply"), HasSubstr("·····")) << top;
    }
}

TEST(WaveChart, EveryWidthHoldsInUnicodeAndAscii) {
    const doc::Document report = trace_report(bench(), {made::trace(), made::trace("q", 0)});
    for (int width = 40; width <= 200; width += 7)
        for (const bool unicode : {true, false}) {
            const std::string text = doc::render_terminal(report, {.width = width, .unicode = unicode});
            for (const std::string_view line : lines_of(text))
                ASSERT_LE(display_width(line), width) << line;
            const bool ascii = std::ranges::all_of(text, [](char c) { return c >= 0; });
            ASSERT_TRUE(unicode || ascii);
        }
}

const doc::WaveChart& chart_of(const std::vector<doc::Block>& blocks) {
    for (const doc::Block& block : blocks)
        if (const auto* chart = std::get_if<doc::WaveChart>(&block)) return *chart;
    static const doc::WaveChart none;
    return none;
}

TEST(WaveChart, TellsLinesApartWithoutColour) {
    const doc::Document report = trace_report(bench(), {made::trace()});
    const drawing::Drawing drawn = doc::wave_chart_drawing(chart_of(report.blocks));
    std::vector<std::string> words;
    for (const drawing::Label* label : drawing::labels_of(drawn)) words.push_back(label->text);
    for (const char* expected :
         {"worst (sample 17)", "all 200 samples", "VIH 2 V", "VIL 0.8 V", "max 3.6 V", "supply 5 V"})
        EXPECT_THAT(words, Contains(expected));
    // The key comes first: a sample of each line before its word.
    std::vector<drawing::Dash> dashes;
    for (const drawing::Item& item : drawn.items)
        if (const auto* path = std::get_if<drawing::Path>(&item); path && dashes.size() < 3)
            dashes.push_back(path->stroke.dash);
    EXPECT_THAT(dashes, ElementsAre(drawing::Dash::solid, drawing::Dash::dashed, drawing::Dash::dotted));
    EXPECT_THAT(drawn.description, HasSubstr("gauge.ECHO: nominal"));
    EXPECT_THAT(doc::render_html(report), HasSubstr("<desc id=\"drawing-1-desc\">gauge.ECHO: nominal"));
}

TEST(WaveChart, DrawingsStaySmallWhateverTheWave) {
    doc::WaveChart chart{.title = "noise", .rows = {}};
    for (int r = 0; r < 8; ++r) {
        doc::WaveRow row{.point = "p" + std::to_string(r)};
        unsigned state = 1;
        for (int k = 0; k < 100000; ++k) {
            row.nominal.seconds.push_back(k * 1e-9);
            row.nominal.volts.push_back((state = state * 1664525u + 1013904223u) / 4294967296.0 * 5);
        }
        row.worst = row.nominal;
        chart.rows.push_back(std::move(row));
    }
    EXPECT_LT(drawing::svg_element(doc::wave_chart_drawing(chart), 1).size(), 100000u);
}

TEST(WaveChart, NoWaveNoNumberNoTroubleInAnyMedium) {
    const double nan = std::numeric_limits<double>::quiet_NaN(),
                 inf = std::numeric_limits<double>::infinity();
    const doc::WaveRow rows[] = {
        {.point = "empty"},
        {.point = "one", .nominal = {{1e-9}, {3}}},
        {.point = "flat", .nominal = {{0, 1}, {0, 0}}},
        {.point = "nan", .nominal = {{0, 1, 2}, {nan, nan, nan}}},
        {.point = "huge", .nominal = {{0, 1}, {-1e300, 1e300}}, .marks = {{"VIH", inf}}}};
    for (const doc::WaveRow& row : rows) {
        const doc::Document d{"x", {doc::WaveChart{.title = "t", .rows = {row}}}};
        EXPECT_THAT(doc::render_html(d), Not(HasSubstr("nan,"))) << row.point;
        EXPECT_THAT(doc::render_html(d), Not(HasSubstr("inf"))) << row.point;
        EXPECT_THAT(doc::render_terminal(d), HasSubstr(row.point));
        EXPECT_THAT(doc::render_markdown(d), HasSubstr(row.point));
    }
    EXPECT_FALSE(doc::render_terminal({"x", {doc::WaveChart{}}}).empty());
}

TEST(WaveChart, MarkdownListsWhenHalfTheSwingIsPassed) {
    const std::string text = doc::render_markdown(trace_report(bench(), {made::trace()}));
    EXPECT_THAT(text, HasSubstr("| point | nominal |"));
    // ln 2 of 0.35 us after the second bit begins at 2 us
    EXPECT_THAT(text, HasSubstr("| 2.242 µs | controller.D4 | rises | 1.55 V |"));
}

TEST(WaveAxis, TimeTicksShareAPrefixAndAreRound) {
    const auto ticks = doc::time_ticks({0, 2.3e-6}, 6);
    std::vector<std::string> words;
    for (const auto& [seconds, word] : ticks) words.push_back(word);
    EXPECT_EQ(words, (std::vector<std::string>{"0", "0.5", "1", "1.5", "2 µs"}));
    EXPECT_LE(doc::time_ticks({0, 1e-12}, 4).size(), 5u);
}

TEST(Polyline, KeepsTheShapeWithinTheTolerance) {
    std::vector<drawing::Point> curve;
    for (int k = 0; k <= 5000; ++k) curve.push_back({k * 0.05, 40 * std::sin(k * 0.01)});
    const auto kept = doc::simplified(curve, 0.1, 1000);
    EXPECT_LT(kept.size(), 300u);
    for (const auto& p : curve) {
        const auto next = std::ranges::lower_bound(kept, p.x, {}, &drawing::Point::x);
        if (next == kept.begin()) continue;
        const auto before = std::prev(next);
        const double share = (p.x - before->x) / (next->x - before->x);
        EXPECT_NEAR(std::lerp(before->y, next->y, share), p.y,
                    0.1 * std::hypot(1, 8));  // the slope is at most 8
    }
    EXPECT_LE(doc::simplified(curve, 0.1, 10).size(), 10u);
}

TEST(Polyline, ColumnsKeepTheirExtremes) {
    const std::vector<drawing::Point> curve{{0, 0}, {0.1, 9}, {0.2, -9}, {0.3, 1}, {5, 2}};
    const auto kept = doc::column_extremes(curve, 1);
    ASSERT_EQ(kept.size(), 5u);
    EXPECT_EQ(kept[1].y, 9);
    EXPECT_EQ(kept[2].y, -9);
}

std::vector<std::string> rows_of(const std::string& csv) {
    std::vector<std::string> out;
    for (std::size_t at = 0, end; (end = csv.find("\r\n", at)) != std::string::npos; at = end + 2)
        out.push_back(csv.substr(at, end - at));
    return out;
}

TEST(TraceCsv, EveryRowHasEveryColumn) {
    LinkTrace t = made::trace();
    t.points[0].label = "odd, \"name\"";
    const auto rows = rows_of(trace_csv(t));
    ASSERT_GT(rows.size(), 2000u);
    EXPECT_THAT(rows[0], HasSubstr("time (s),\"odd, \"\"name\"\" nominal (V)\",controller.D4 nominal (V),"));
    const std::vector<std::string> body(rows.begin() + 1, rows.end());
    for (const std::string& row : body) ASSERT_EQ(std::ranges::count(row, ','), 10) << row;
    EXPECT_EQ(rows[1].substr(0, 6), "0,0,0,");
}

TEST(TraceCsv, StepsTakeTwoRows) {
    LinkTrace t;
    t.points.push_back({.label = "p", .nominal = {{0, 1, 1, 2}, {0, 0, 5, 5}}, .worst = {}});
    EXPECT_EQ(trace_csv(t), "time (s),p nominal (V)\r\n0,0\r\n1,0\r\n1,5\r\n2,5\r\n");
    EXPECT_EQ(trace_csv(LinkTrace{}), "time (s)\r\n");
}

TEST(TraceSvg, StandsAlone) {
    const std::string svg = trace_svg(made::trace("<&> echo"));
    EXPECT_EQ(svg.rfind("<?xml", 0), 0u);
    EXPECT_THAT(svg, HasSubstr("xmlns=\"http://www.w3.org/2000/svg\""));
    EXPECT_THAT(svg, HasSubstr("prefers-color-scheme: dark"));
    EXPECT_THAT(svg, HasSubstr("&lt;&amp;&gt; echo"));
    EXPECT_LT(svg.size(), 100000u);
}

}  // namespace
}  // namespace voltsill
