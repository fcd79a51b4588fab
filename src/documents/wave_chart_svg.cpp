/// The wave chart as a line drawing: a row a point, on one time axis and one voltage axis. Lines
/// are told apart by their dashes, and every level by a word beside it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "documents/html.h"
#include "documents/polyline.h"
#include "documents/text.h"
#include "documents/wave_axis.h"

namespace voltsill::doc {
namespace {

// User units; the drawing is as narrow as a telephone so that its letters need not shrink there.
constexpr double page = 360, plot_left = 30, plot_right = 276, plot_height = 84;
constexpr double letter = 5.6, line_height = 11;
constexpr double total_points = 5000;  // of all curves: about 60 kB

struct Drawing {
    const WaveChart& chart;
    std::string id;
    Axis volts = voltage_axis(chart, 5);
    TimeAxis time = time_axis(chart);
    std::string body;
    double y = 4;

    double x_of(double seconds) const { return plot_left + time.share(seconds) * (plot_right - plot_left); }
    double y_of(double v) const { return y + plot_height * (1 - std::clamp(volts.share(v), 0.0, 1.0)); }

    void text(double at, double base, std::string_view anchor, std::string_view classes,
              std::string_view words) {
        body += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\" class=\"{}\">{}</text>\n", at,
                            base, anchor, classes, escape_html(bind_units(clean(words))));
    }
    void line(double x1, double y1, double x2, double y2, std::string_view classes) {
        body += fmt::format("<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" class=\"{}\"/>\n",
                            x1, y1, x2, y2, classes);
    }

    /// Curves take equal parts of the points that a drawing may have.
    std::vector<DrawnPoint> curve(const std::vector<double>& seconds, const std::vector<double>& v) const {
        std::vector<DrawnPoint> points;
        for (std::size_t k = 0; k < std::min(seconds.size(), v.size()); ++k)
            if (std::isfinite(seconds[k]) && std::isfinite(v[k]))
                points.push_back({x_of(seconds[k]), y_of(v[k])});
        const double curves = 5.0 * static_cast<double>(std::max<std::size_t>(1, chart.rows.size()));
        const auto most = static_cast<std::size_t>(std::clamp(total_points / curves, 24.0, 800.0));
        return simplified(column_extremes(points, 0.25), 0.12, most);
    }
    void polyline(const std::vector<double>& seconds, const std::vector<double>& v,
                  std::string_view classes) {
        const auto points = curve(seconds, v);
        if (points.size() > 1)
            body += fmt::format("<polyline points=\"{}\" class=\"{}\"/>\n", point_list(points), classes);
    }
    void range(const Envelope& e) {
        std::vector<DrawnPoint> outline = curve(e.seconds, e.hi);
        const std::vector<DrawnPoint> below = curve(e.seconds, e.lo);
        outline.insert(outline.end(), below.rbegin(), below.rend());
        if (outline.size() > 3)
            body += fmt::format("<polygon points=\"{}\" class=\"wave-range\"/>\n", point_list(outline));
    }

    /// Samples of the lines with their words.
    void key() {
        const WaveKey key = key_of(chart);
        const std::pair<std::string, const char*> entries[] = {{key.nominal, "wave-nominal"},
                                                               {key.worst, "wave-worst"},
                                                               {key.median, "wave-median"},
                                                               {key.range, "wave-range"}};
        double x = 2;
        for (const auto& [words, classes] : entries) {
            if (words.empty()) continue;
            const double width = 24 + letter * display_width(words) + 10;
            if (x > 2 && x + width > page) x = 2, y += line_height + 3;
            if (std::string_view(classes) == "wave-range")
                body +=
                    fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"20\" height=\"8\" class=\"{}\"/>\n",
                                x, y + 2, classes);
            else
                line(x, y + 6, x + 20, y + 6, classes);
            text(x + 24, y + 9.5, "start", "", words);
            x += width;
        }
        if (x > 2) y += line_height + 5;
    }

    /// The bits over the rows, where there is room for a digit.
    void bits() {
        const double width = chart.bit_time > 0 ? x_of(time.begin + chart.bit_time) - plot_left : 0;
        if (chart.bits.empty() || width < letter + 1) return;
        text(2, y + 9, "start", "", "bits");
        for (std::size_t k = 0; k < chart.bits.size(); ++k) {
            const double x = x_of((static_cast<double>(k) + 0.5) * chart.bit_time);
            if (x < plot_right) text(x, y + 9, "middle", "", std::string(1, chart.bits[k]));
        }
        y += line_height + 4;
    }

    void grid() {
        for (const auto& [seconds, word] : time_ticks(time, 6))
            line(x_of(seconds), y, x_of(seconds), y + plot_height, "grid");
        for (const double v : ticks(volts)) {
            if (v < volts.lo || v > volts.hi) continue;
            line(plot_left, y_of(v), plot_right, y_of(v), "grid");
            text(plot_left - 4, y_of(v) + 3.5, "end", "", fmt::format("{:.4g}", v + 0.0));
        }
        text(plot_left - 4, y - 3, "end", "", "V");
        body += fmt::format(
            "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" class=\"frame\"/>\n",
            plot_left, y, plot_right - plot_left, plot_height);
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
                         room = y + line_height * static_cast<double>(all.size() - k);
            const double base = std::max(std::min(at + 3.5, below - line_height), room - 8);
            below = base;
            const char* classes = all[k].kind == WaveMark::Kind::threshold ? "threshold"
                                  : all[k].kind == WaveMark::Kind::supply  ? "supply"
                                                                           : "limit";
            line(plot_left, at, plot_right, at, classes);
            line(plot_right, at, plot_right + 5, base - 3.5, "leader");
            text(plot_right + 7, base, "start", "", mark_words(all[k]));
        }
    }

    void row(const WaveRow& r) {
        const std::string note = r.note.empty() ? "" : ", " + r.note;
        text(plot_left, y + 10, "start", "point halo", fit(r.point + note, 54));
        y += 16;
        grid();
        if (r.range) range(*r.range);
        marks(r);
        if (r.range) polyline(r.range->seconds, r.range->median, "wave-median");
        polyline(r.worst.seconds, r.worst.volts, "wave-worst");
        polyline(r.nominal.seconds, r.nominal.volts, "wave-nominal");
        y += plot_height + 8;
    }

    void ruler() {
        y -= 4;
        for (const auto& [seconds, word] : time_ticks(time, 6)) {
            line(x_of(seconds), y - 4, x_of(seconds), y, "ink");
            text(x_of(seconds), y + 10, "middle", "", word);
        }
        y += 16;
    }

    static std::string fit(const std::string& words, int columns) {
        std::string out;
        int used = 0;
        for (const Cluster& c : clusters(clean(words))) {
            if (used + c.width > columns - 1) return out + "…";
            out += c.bytes;
            used += c.width;
        }
        return out;
    }

    /// What stands between <svg> and </svg>.
    std::string inside() {
        key();
        bits();
        for (const WaveRow& r : chart.rows) row(r);
        ruler();
        std::string description;
        for (const WaveRow& r : chart.rows) description += fmt::format("{}: {}. ", r.point, in_words(r));
        return fmt::format("<title id=\"{0}-title\">{1}</title>\n<desc id=\"{0}-desc\">{2}</desc>\n{3}", id,
                           escape_html(clean(chart.title)), escape_html(clean(description)), body);
    }
};

std::string opening(const Drawing& drawing, std::string_view more) {
    return fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {:.0f} {:.0f}\" role=\"img\" "
        "aria-labelledby=\"{}-title {}-desc\"{}>\n",
        page, drawing.y, drawing.id, drawing.id, more);
}

}  // namespace

std::string wave_chart_svg(const WaveChart& chart, int number) {
    Drawing drawing{.chart = chart, .id = fmt::format("waves-{}", number), .body = {}};
    const std::string inside = drawing.inside();
    return opening(drawing, "") + inside + "</svg>\n";
}

std::string wave_chart_file(const WaveChart& chart) {
    Drawing drawing{.chart = chart, .id = "waves", .body = {}};
    drawing.y += 16;
    drawing.text(2, 13, "start", "title", Drawing::fit(chart.title, 58));
    const std::string inside = drawing.inside();
    return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" +
           opening(drawing, fmt::format(" class=\"chart\" width=\"720\" height=\"{:.0f}\"", 2 * drawing.y)) +
           fmt::format("<style>\n{}</style>\n<rect width=\"100%\" height=\"100%\" class=\"paper\"/>\n",
                       chart_style()) +
           inside + "</svg>\n";
}

}  // namespace voltsill::doc
