/// The wave chart as a line drawing: a row a point, on one time axis and one voltage axis. Lines
/// are told apart by their dashes, and every level by a word beside it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "documents/charts.h"
#include "documents/polyline.h"
#include "documents/wave_axis.h"

namespace voltsill::doc {
namespace {

using namespace drawing;

// Units of the drawing.
constexpr double wave_left = 30, wave_right = 276, plot_height = 84;
constexpr double wave_line = 11;
constexpr double total_points = 5000;  // of all curves: about 60 kB

const Stroke nominal_line{Tone::ink, 1.5}, worst_line{Tone::alarm, 1.5, Dash::dashed},
    median_line{Tone::soft, 1.1, Dash::dotted}, grid_line{Tone::hair, 1};

Stroke stroke_of(WaveMark::Kind kind) {
    switch (kind) {
        case WaveMark::Kind::threshold:
            return {Tone::ink, 0.8, Dash::chain};
        case WaveMark::Kind::supply:
            return {Tone::ink, 1.2, Dash::dashed};
        case WaveMark::Kind::limit:
            return {Tone::ink, 2.5};
    }
    return {};
}

struct WaveDrawing {
    const WaveChart& chart;
    Axis volts = voltage_axis(chart, 5);
    TimeAxis time = time_axis(chart);
    std::vector<Item> items = {};
    double y = 4;

    double x_of(double seconds) const { return wave_left + time.share(seconds) * (wave_right - wave_left); }
    double y_of(double v) const { return y + plot_height * (1 - std::clamp(volts.share(v), 0.0, 1.0)); }

    void text(double at, double base, Anchor anchor, std::string words) {
        items.push_back(Label{.at = {at, base}, .text = std::move(words), .anchor = anchor, .size = chart_letters});
    }
    void straight(Point from, Point to, Stroke stroke) { items.push_back(line(from, to, stroke)); }

    /// Curves take equal parts of the points that a drawing may have.
    std::vector<Point> curve(const std::vector<double>& seconds, const std::vector<double>& v) const {
        std::vector<Point> points;
        for (std::size_t k = 0; k < std::min(seconds.size(), v.size()); ++k)
            if (std::isfinite(seconds[k]) && std::isfinite(v[k]))
                points.push_back({x_of(seconds[k]), y_of(v[k])});
        const double curves = 5.0 * static_cast<double>(std::max<std::size_t>(1, chart.rows.size()));
        const auto most = static_cast<std::size_t>(std::clamp(total_points / curves, 24.0, 800.0));
        return simplified(column_extremes(points, 0.25), 0.12, most);
    }
    void wave(const std::vector<double>& seconds, const std::vector<double>& v, Stroke stroke) {
        const auto points = curve(seconds, v);
        if (points.size() > 1) items.push_back(polyline(points, stroke));
    }
    void range(const Envelope& e) {
        std::vector<Point> outline = curve(e.seconds, e.hi);
        const std::vector<Point> below = curve(e.seconds, e.lo);
        outline.insert(outline.end(), below.rbegin(), below.rend());
        if (outline.size() > 3) items.push_back(polygon(outline, Tone::range, no_stroke));
    }

    /// Samples of the lines with their words.
    void key() {
        const WaveKey key = key_of(chart);
        const std::pair<std::string, Stroke> entries[] = {
            {key.nominal, nominal_line}, {key.worst, worst_line}, {key.median, median_line}, {key.range, no_stroke}};
        double x = 2;
        for (const auto& [words, stroke] : entries) {
            if (words.empty()) continue;
            const std::string shown = fitted(words, chart_width - 28, chart_letters);
            const double width = 24 + text_width(shown, chart_letters) + 10;
            if (x > 2 && x + width > chart_width) x = 2, y += wave_line + 3;
            if (stroke.width > 0)
                straight({x, y + 6}, {x + 20, y + 6}, stroke);
            else
                items.push_back(box(x, y + 2, 20, 8, Tone::range, no_stroke));
            text(x + 24, y + 9.5, Anchor::start, shown);
            x += width;
        }
        if (x > 2) y += wave_line + 5;
    }

    /// The bits over the rows, where there is room for a digit.
    void bits() {
        const double width = chart.bit_time > 0 ? x_of(time.begin + chart.bit_time) - wave_left : 0;
        if (chart.bits.empty() || width < text_width("0", chart_letters) + 0.5) return;
        text(2, y + 9, Anchor::start, "bits");
        for (std::size_t k = 0; k < chart.bits.size(); ++k) {
            const double x = x_of((static_cast<double>(k) + 0.5) * chart.bit_time);
            if (x < wave_right) text(x, y + 9, Anchor::middle, std::string(1, chart.bits[k]));
        }
        y += wave_line + 4;
    }

    void grid() {
        for (const auto& [seconds, word] : time_ticks(time, 6))
            straight({x_of(seconds), y}, {x_of(seconds), y + plot_height}, grid_line);
        for (const double v : ticks(volts)) {
            straight({wave_left, y_of(v)}, {wave_right, y_of(v)}, grid_line);
            text(wave_left - 4, y_of(v) + 3.5, Anchor::end, fmt::format("{:.4g}", v + 0.0));
        }
        text(wave_left - 4, y - 3, Anchor::end, "V");
        items.push_back(box(wave_left, y, wave_right - wave_left, plot_height, Tone::none, {Tone::line, 0.8}));
    }

    /// Words at the right, moved apart from below where they would touch.
    void marks(const WaveRow& row) {
        std::vector<WaveMark> all;
        for (const WaveMark& m : row.marks)
            if (shown(m, volts)) all.push_back(m);
        std::ranges::stable_sort(all, {}, &WaveMark::volts);
        double below = y + plot_height + 12;
        for (std::size_t k = 0; k < all.size(); ++k) {
            const double at = y_of(all[k].volts),
                         room = y + wave_line * static_cast<double>(all.size() - k);
            const double base = std::max(std::min(at + 3.5, below - wave_line), room - 8);
            below = base;
            straight({wave_left, at}, {wave_right, at}, stroke_of(all[k].kind));
            straight({wave_right, at}, {wave_right + 5, base - 3.5}, {Tone::line, 0.8});
            text(wave_right + 7, base, Anchor::start,
                 fitted(mark_words(all[k]), chart_width - wave_right - 9, chart_letters));
        }
    }

    void row(const WaveRow& r) {
        const std::string note = r.note.empty() ? "" : ", " + r.note;
        items.push_back(Label{.at = {wave_left, y + 10},
                              .text = fitted(r.point + note, chart_width - wave_left - 2, chart_letters, true),
                              .size = chart_letters,
                              .bold = true,
                              .halo = true});
        y += 16;
        grid();
        if (r.range) range(*r.range);
        marks(r);
        if (r.range) wave(r.range->seconds, r.range->median, median_line);
        wave(r.worst.seconds, r.worst.volts, worst_line);
        wave(r.nominal.seconds, r.nominal.volts, nominal_line);
        y += plot_height + 8;
    }

    void ruler() {
        y -= 4;
        for (const auto& [seconds, word] : time_ticks(time, 6)) {
            straight({x_of(seconds), y - 4}, {x_of(seconds), y}, {Tone::ink, 1});
            text(x_of(seconds), y + 10, Anchor::middle, word);
        }
        y += 16;
    }

    void title() {
        items.push_back(
            Label{.at = {2, 13}, .text = fitted(chart.title, chart_width - 4, 11, true), .size = 11, .bold = true});
        y += 16;
    }

    drawing::Drawing finish() {
        key();
        bits();
        for (const WaveRow& r : chart.rows) row(r);
        ruler();
        std::string description;
        for (const WaveRow& r : chart.rows) description += fmt::format("{}: {}. ", r.point, in_words(r));
        return {chart_width, y, chart.title, description, std::move(items)};
    }
};

}  // namespace

drawing::Drawing wave_chart_drawing(const WaveChart& chart, bool titled) {
    WaveDrawing out{.chart = chart};
    if (titled) out.title();
    return out.finish();
}

}  // namespace voltsill::doc
