/// The level chart as a line drawing. Two lanes per point: what arrives (bands filled in one hue,
/// pale for low voltages and dark for high ones) and how the point reads it. Every meaning has a
/// sign beside its colour: hatching, line weight, dashes and words.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "documents/html.h"
#include "documents/level_axis.h"
#include "documents/text.h"

namespace voltsill::doc {
namespace {

// User units; the drawing is as narrow as a telephone so that its letters need not shrink there.
constexpr double page = 360, plot_left = 46, plot_right = 350;
constexpr double lane = 12, letter = 5.6, line_height = 11.5;

/// Pale at 0 V, dark at the highest voltage a bench may hold, by ratio as logic supplies go.
std::string fill_of(double volts) {
    const double top = highest_bench_volts.si(), knee = 0.9;
    const double share = std::log1p(std::clamp(volts, 0.0, top) / knee) / std::log1p(top / knee);
    return fmt::format("hsl(212 {:.0f}% {:.0f}%)", 45 + 20 * share, 93 - 65 * share);
}

std::string shortened(const std::string& text, int columns) {
    const std::string fit = clean(text);
    if (display_width(fit) <= columns) return fit;
    std::string out;
    int used = 0;
    for (const Cluster& c : clusters(fit)) {
        if (used + c.width > columns - 1) break;
        out += c.bytes;
        used += c.width;
    }
    return out + "…";
}

/// A word that belongs to a place on the axis.
struct Label {
    double x;
    std::string text;
    double at = 0;  ///< centre of the word
    int line = 0;
};

/// Words move to the first line where they do not touch their left neighbour.
int place(std::vector<Label>& labels) {
    std::ranges::stable_sort(labels, {}, &Label::x);
    std::vector<double> taken;
    for (Label& label : labels) {
        const double half = 0.5 * letter * display_width(label.text);
        label.at = std::clamp(label.x, 2 + half, page - 2 - half);
        std::size_t line = 0;
        while (line < taken.size() && taken[line] > label.at - half) ++line;
        if (line == taken.size()) taken.push_back(0);
        taken[line] = label.at + half + letter;
        label.line = static_cast<int>(line);
    }
    return static_cast<int>(taken.size());
}

struct Drawing {
    const LevelChart& chart;
    int number;
    Axis axis = axis_of(chart);
    std::string body;
    double y = 4;

    double x(double volts) const { return plot_left + axis.share(volts) * (plot_right - plot_left); }

    void text(double at, double base, std::string_view anchor, std::string_view classes,
              std::string_view words) {
        body += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\" class=\"{}\">{}</text>\n", at,
                            base, anchor, classes, escape_html(bind_units(words)));
    }
    void line(double x1, double y1, double x2, double y2, std::string_view classes) {
        body += fmt::format("<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" class=\"{}\"/>\n",
                            x1, y1, x2, y2, classes);
    }
    void box(double lo, double hi, double top, std::string_view classes, std::string_view paint) {
        body += fmt::format(
            "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" class=\"{}\" "
            "style=\"{}\"/>\n",
            lo, top, std::max(1.5, hi - lo), lane, classes, paint);
    }

    void bands(const ChartRow& row) {
        std::vector<Label> labels;
        for (const ChartBand& band : row.bands)
            labels.push_back({x((band.lo + band.hi) / 2),
                              fmt::format("{} {}", band.high ? "high" : "low", band_words(band))});
        const int lines = std::max(1, place(labels));
        for (const Label& l : labels)
            text(l.at, y + line_height * (lines - l.line) - 3, "middle", "halo", l.text);
        y += line_height * lines + 2;
        text(plot_left - 6, y + lane - 2.5, "end", "", "arrives");
        line(plot_left, y + lane, plot_right, y + lane, "ink");
        for (const ChartBand& band : row.bands)
            box(x(band.lo), x(band.hi), y, "band", "fill:" + fill_of(band.hi));
        for (const ChartBand& band : row.bands)
            for (const char* stroke : {"nominal-edge", "nominal"})
                line(x(band.nominal), y - 2, x(band.nominal), y + lane + 2, stroke);
        y += lane + 4;
    }

    void reads(const ChartRow& row) {
        const auto spans = zones(row, axis);
        if (!spans.empty()) text(plot_left - 6, y + lane - 2.5, "end", "", "is read");
        for (const ZoneSpan& span : spans) {
            const char* pattern = span.zone == Zone::undefined ? "sparse" : "dense";
            const bool plain = span.zone == Zone::low || span.zone == Zone::high;
            box(x(span.lo), x(span.hi), y, "zone",
                plain ? "" : fmt::format("fill:url(#chart-{}-{})", number, pattern));
            const std::string word = span.zone == Zone::low ? "low" : span.zone == Zone::high ? "high" : "?";
            if (span.zone != Zone::beyond &&
                x(span.hi) - x(span.lo) > letter * (static_cast<double>(word.size()) + 0.5))
                text((x(span.lo) + x(span.hi)) / 2, y + lane - 2.5, "middle", "halo", word);
        }
        if (!spans.empty()) y += lane;
    }

    void marks(const ChartRow& row, double top) {
        std::vector<Label> labels;
        const auto mark = [&](const std::optional<double>& volts, const char* name, const char* classes) {
            if (!volts) return;
            if (*classes) line(x(*volts), top - 2, x(*volts), y + 3, classes);
            labels.push_back({x(*volts), fmt::format("{} {}", name, volts_words(*volts))});
        };
        mark(row.low_threshold, "VIL", "");
        mark(row.high_threshold, "VIH", "");
        mark(row.supply, "supply", "supply");
        mark(row.limit_max, "max", "limit");
        const int lines = place(labels);
        for (const Label& l : labels) line(l.x, y, l.x, y + 3 + line_height * l.line, "leader");
        for (const Label& l : labels)
            text(l.at, y + 2 + line_height * (l.line + 1) - 1, "middle", "halo", l.text);
        y += line_height * lines + (lines > 0 ? 4 : 2);
    }

    void rows() {
        std::string group;
        for (const ChartRow& row : chart.rows) {
            if (row.group != group) {
                y += 4;
                text(2, y + 10, "start", "group halo", shortened(row.group, 60));
                y += 16;
            }
            group = row.group;
            text(2, y + 10, "start", "point halo", shortened(row.point, 56));
            y += 14;
            bands(row);
            const double top = y - lane - 4;  // of the upper lane
            reads(row);
            marks(row, top);
            y += 7;
        }
    }

    void ruler() {
        line(plot_left, y, plot_right, y, "ink");
        const std::vector<double> at = ticks(axis);
        for (std::size_t k = 0; k < at.size(); ++k) {
            line(x(at[k]), y, x(at[k]), y + 4, "ink");
            std::string word = volts_words(at[k]);
            if (k + 1 < at.size()) word.resize(word.size() - 2);
            text(x(at[k]), y + 14, k + 1 < at.size() ? "middle" : "end", "", word);
        }
        y += 20;
    }

    std::string pattern(std::string_view name, int size, bool crossed) const {
        std::string lines = fmt::format("<path d=\"M0 {0}L{0} 0\" class=\"hatch\"/>", size);
        if (crossed) lines += fmt::format("<path d=\"M0 0L{0} {0}\" class=\"hatch\"/>", size);
        return fmt::format(
            "<pattern id=\"chart-{0}-{1}\" width=\"{2}\" height=\"{2}\" "
            "patternUnits=\"userSpaceOnUse\">{3}</pattern>",
            number, name, size, lines);
    }

    std::string finish() {
        rows();
        std::string grid;
        for (const double volts : ticks(axis))
            grid +=
                fmt::format("<line x1=\"{0:.1f}\" y1=\"4\" x2=\"{0:.1f}\" y2=\"{1:.1f}\" class=\"grid\"/>\n",
                            x(volts), y);
        ruler();
        std::string description;
        for (const ChartRow& row : chart.rows)
            description += fmt::format("{}{}{}: {}. ", row.group, row.group.empty() ? "" : ", ", row.point,
                                       in_words(row));
        return fmt::format(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:.0f} {1:.0f}\" role=\"img\" "
            "aria-labelledby=\"chart-{2}-title chart-{2}-desc\">\n<title id=\"chart-{2}-title\">{3}</title>\n"
            "<desc id=\"chart-{2}-desc\">{4}</desc>\n<defs>{5}{6}</defs>\n{7}{8}</svg>\n",
            page, y, number, escape_html(clean(chart.title)), escape_html(clean(description)),
            pattern("sparse", 5, false), pattern("dense", 3, true), grid, body);
    }
};

}  // namespace

std::string level_chart_svg(const LevelChart& chart, int number) {
    return Drawing{.chart = chart, .number = number, .body = {}}.finish();
}

}  // namespace voltsill::doc
