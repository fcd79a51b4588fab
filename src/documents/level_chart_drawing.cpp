/// The level chart as a line drawing. Two lanes per point: what arrives (bands filled in one hue,
/// pale for low voltages and dark for high ones) and how the point reads it. Every meaning has a
/// sign beside its colour: hatching, line weight, dashes and words.
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "documents/charts.h"
#include "documents/level_axis.h"

namespace voltsill::doc {
namespace {

using namespace drawing;

// Units of the drawing.
constexpr double plot_left = 46, plot_right = 350;
constexpr double lane = 12, gap = 6, line_height = 11.5;

/// A word that belongs to a place on the axis.
struct PlacedWord {
    double x;
    std::string text;
    double at = 0;  ///< centre of the word
    int line = 0;
};

/// Words move to the first line where they do not touch their left neighbour.
int place(std::vector<PlacedWord>& words) {
    std::ranges::stable_sort(words, {}, &PlacedWord::x);
    std::vector<double> taken;
    for (PlacedWord& word : words) {
        const double half = 0.5 * text_width(word.text, chart_letters);
        word.at = std::clamp(word.x, 2 + half, chart_width - 2 - half);
        std::size_t line = 0;
        while (line < taken.size() && taken[line] > word.at - half) ++line;
        if (line == taken.size()) taken.push_back(0);
        taken[line] = word.at + half + gap;
        word.line = static_cast<int>(line);
    }
    return static_cast<int>(taken.size());
}

/// Words give way to the lines that lead past them to words further down, as long as they stay under their own
/// place and off their neighbours.
void clear_leaders(std::vector<PlacedWord>& words) {
    constexpr double off_line = 2.5, off_word = 4;
    const auto half = [](const PlacedWord& w) { return 0.5 * text_width(w.text, chart_letters); };
    for (PlacedWord& word : words) {
        double left = 2, right = chart_width - 2;
        for (const PlacedWord& w : words) {
            if (&w == &word || w.line < word.line) continue;
            if (w.line > word.line && w.x > word.x) right = std::min(right, std::max(word.x, w.x - off_line));
            if (w.line > word.line && w.x <= word.x) left = std::max(left, std::min(word.x, w.x + off_line));
            if (w.line == word.line && w.at > word.at) right = std::min(right, w.at - half(w) - off_word);
            if (w.line == word.line && w.at <= word.at) left = std::max(left, w.at + half(w) + off_word);
        }
        if (left + half(word) <= right - half(word))
            word.at = std::clamp(word.at, left + half(word), right - half(word));
    }
}

struct LevelDrawing {
    const LevelChart& chart;
    Axis axis = axis_of(chart);
    std::vector<Item> items = {};
    double y = 4;

    double x(double volts) const { return plot_left + axis.share(volts) * (plot_right - plot_left); }

    void text(double at, double base, Anchor anchor, std::string words) {
        items.push_back(
            Label{.at = {at, base}, .text = std::move(words), .anchor = anchor, .size = chart_letters, .halo = true});
    }
    void upright(double at, double top, double bottom, Stroke stroke) {
        items.push_back(line({at, top}, {at, bottom}, stroke));
    }
    void across(double lo, double hi, double top, Colour fill, Hatch hatch, double outline) {
        Path area = box(lo, top, std::max(1.5, hi - lo), lane, fill, {Tone::ink, outline});
        area.hatch = hatch;
        items.push_back(std::move(area));
    }

    void bands(const ChartRow& row) {
        std::vector<PlacedWord> words;
        for (const ChartBand& band : row.bands)
            words.push_back(
                {band.floats ? (plot_left + plot_right) / 2 : x((band.lo + band.hi) / 2), level_words(band)});
        const int lines = std::max(1, place(words));
        for (const PlacedWord& w : words) text(w.at, y + line_height * (lines - w.line) - 3, Anchor::middle, w.text);
        y += line_height * lines + 2;
        text(plot_left - 6, y + lane - 2.5, Anchor::end, "arrives");
        items.push_back(line({plot_left, y + lane}, {plot_right, y + lane}, {Tone::ink, 1}));
        for (const ChartBand& band : row.bands)
            if (!band.floats) across(x(band.lo), x(band.hi), y, {Tone::volts, band.hi}, Hatch::none, 1);
        for (const ChartBand& band : row.bands) {
            if (band.floats) continue;
            for (const Stroke stroke : {Stroke{Tone::paper, 4}, Stroke{Tone::ink, 2}})
                upright(x(band.nominal), y - 2, y + lane + 2, stroke);
        }
        y += lane + 4;
    }

    /// The wider piece of a zone that the line of the supply cuts.
    std::pair<double, double> beside_supply(const ChartRow& row, const ZoneSpan& span) const {
        const double from = x(span.lo), to = x(span.hi), cut = row.supply ? x(*row.supply) : from;
        if (cut <= from || cut >= to) return {from, to};
        return cut - from > to - cut ? std::pair{from, cut} : std::pair{cut, to};
    }

    void reads(const ChartRow& row) {
        const auto spans = zones(row, axis);
        if (!spans.empty()) text(plot_left - 6, y + lane - 2.5, Anchor::end, is_read(spans) ? "is read" : "stands");
        for (const ZoneSpan& span : spans) {
            const Hatch hatch = span.zone == Zone::undefined ? Hatch::sparse
                                : span.zone == Zone::beyond  ? Hatch::dense
                                                             : Hatch::none;
            across(x(span.lo), x(span.hi), y, hatch == Hatch::none ? Tone::paper : Tone::none, hatch, 0.8);
            const std::string word = span.zone == Zone::low ? "low" : span.zone == Zone::high ? "high" : "?";
            const auto [from, to] = beside_supply(row, span);
            if (span.zone != Zone::beyond && to - from > text_width(word, chart_letters) + gap / 2)
                text((from + to) / 2, y + lane - 2.5, Anchor::middle, word);
        }
        if (!spans.empty()) y += lane;
    }

    void marks(const ChartRow& row, double top) {
        std::vector<PlacedWord> words;
        const auto mark = [&](const std::optional<double>& volts, const char* name, Stroke stroke) {
            if (!volts) return;
            const std::string word = fmt::format("{} {}", name, volts_words(*volts));
            if (*volts > axis.hi) {
                words.push_back({plot_right, word + " →"});
                return;
            }
            if (stroke.width > 0) upright(x(*volts), top - 2, y + 3, stroke);
            words.push_back({x(*volts), word});
        };
        mark(row.low_threshold, "VIL", no_stroke);
        mark(row.high_threshold, "VIH", no_stroke);
        mark(row.supply, "supply", {Tone::ink, 1.2, Dash::dashed});
        mark(row.limit_max, "max", {Tone::ink, 2.5});
        const int lines = place(words);
        clear_leaders(words);
        for (const PlacedWord& w : words) upright(w.x, y, y + 3 + line_height * w.line, {Tone::line, 0.8});
        for (const PlacedWord& w : words) text(w.at, y + 2 + line_height * (w.line + 1) - 1, Anchor::middle, w.text);
        y += line_height * lines + (lines > 0 ? 4 : 2);
    }

    void heading(const std::string& words, bool group) {
        Label label{
            .at = {2, y + 10}, .text = words, .size = chart_letters, .bold = !group, .italic = group, .halo = true};
        label.text = fitted(words, chart_width - 4, label.size, label.bold);
        items.push_back(std::move(label));
    }

    void rows() {
        std::string group;
        for (const ChartRow& row : chart.rows) {
            if (row.group != group) {
                y += 4;
                heading(row.group, true);
                y += 16;
            }
            group = row.group;
            heading(row.point, false);
            y += 14;
            bands(row);
            const double top = y - lane - 4;  // of the upper lane
            reads(row);
            marks(row, top);
            y += 7;
        }
    }

    void ruler() {
        items.push_back(line({plot_left, y}, {plot_right, y}, {Tone::ink, 1}));
        const std::vector<double> at = ticks(axis);
        for (std::size_t k = 0; k < at.size(); ++k) {
            upright(x(at[k]), y, y + 4, {Tone::ink, 1});
            std::string word = volts_words(at[k]);
            if (k + 1 < at.size()) word.resize(word.size() - 2);
            text(x(at[k]), y + 14, k + 1 < at.size() ? Anchor::middle : Anchor::end, word);
        }
        y += 20;
    }

    drawing::Drawing finish() {
        rows();
        std::vector<Item> grid;
        for (const double volts : ticks(axis)) grid.push_back(line({x(volts), 4}, {x(volts), y}, {Tone::hair, 1}));
        ruler();
        items.insert(items.begin(), grid.begin(), grid.end());
        std::string description;
        for (const ChartRow& row : chart.rows)
            description += fmt::format("{}{}{}: {}. ", row.group, row.group.empty() ? "" : ", ", row.point,
                                       in_words(row));
        return {chart_width, y, chart.title, description, std::move(items)};
    }
};

}  // namespace

drawing::Drawing level_chart_drawing(const LevelChart& chart) { return LevelDrawing{.chart = chart}.finish(); }

}  // namespace voltsill::doc
