#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>

#include "documents/terminal_blocks.h"
#include "drawing/text.h"
#include "documents/wave_axis.h"
#include "signals/measure.h"

namespace voltsill::doc {
namespace {

constexpr int height = 12;  ///< the first and the last line are for limits that would fall on what they bound

/// What a cell shows, the later over the earlier.
enum class Sign { none, range, supply, threshold, limit, worst, flat, steep };

struct Signs {
    const char* unicode;
    const char* ascii;
};
Signs signs_of(Sign sign) {
    switch (sign) {
        case Sign::none:
            return {" ", " "};
        case Sign::range:
            return {"░", "."};
        case Sign::supply:
            return {"·", ":"};
        case Sign::threshold:
            return {"╌", "-"};
        case Sign::limit:
            return {"!", "!"};
        case Sign::worst:
            return {"×", "x"};
        case Sign::flat:
            return {"━", "="};
        case Sign::steep:
            return {"┃", "|"};
    }
    return {" ", " "};
}

/// A plot of cells, the top row first.
struct Plot {
    const Axis& volts;
    const TimeAxis& time;
    int columns;
    std::vector<std::vector<Sign>> cells;

    Plot(const Axis& v, const TimeAxis& t, int width)
        : volts(v),
          time(t),
          columns(width),
          cells(height, std::vector<Sign>(static_cast<std::size_t>(width), Sign::none)) {}

    int row(double v) const {
        return 1 + std::clamp(static_cast<int>(std::lround((1 - volts.share(v)) * (height - 3))), 0, height - 3);
    }
    /// A limit has a line of its own: what keeps it, a supply or a wave at rest, does not touch it.
    int row(const WaveMark& m, const WaveRow& of) const {
        const int at = row(m.volts);
        if (m.kind != WaveMark::Kind::limit) return at;
        const auto kept = [&](double v) { return (m.volts > 0 ? v <= m.volts : v >= m.volts) && row(v) == at; };
        const auto touches = [&](const WaveMark& o) { return o.kind == WaveMark::Kind::supply && kept(o.volts); };
        const bool touched = kept(0.0) || std::ranges::any_of(of.marks, touches) ||
                             std::ranges::any_of(of.nominal.volts, kept) || std::ranges::any_of(of.worst.volts, kept);
        return touched ? at + (m.volts > 0 ? -1 : 1) : at;
    }
    void put(int r, int c, Sign sign) {
        Sign& cell = cells[static_cast<std::size_t>(r)][static_cast<std::size_t>(c)];
        cell = std::max(cell, sign);
    }
    void across(int at, Sign sign) {
        for (int c = 0; c < columns; ++c) put(at, c, sign);
    }
    double begin_of(int column) const {
        return std::lerp(time.begin, time.end, column / static_cast<double>(columns));
    }
    /// Lowest and highest voltage while the column lasts.
    auto in_column(WaveView wave, int column) const {
        return extremes(wave, begin_of(column), begin_of(column + 1));
    }
    void wave(const Wave& w, Sign flat, Sign steep) {
        if (w.seconds.empty()) return;
        for (int c = 0; c < columns; ++c) {
            const auto range = in_column(w, c);
            if (!range || begin_of(c) > w.seconds.back()) continue;
            const int top = row(range->high), bottom = row(range->low);
            for (int r = top; r <= bottom; ++r) put(r, c, top == bottom ? flat : steep);
        }
    }
    void range(const Envelope& e) {
        const WaveView lo(e.seconds, e.lo), hi(e.seconds, e.hi);
        for (int c = 0; c < columns; ++c) {
            const auto below = in_column(lo, c), above = in_column(hi, c);
            if (!below || !above) continue;
            for (int r = row(above->high); r <= row(below->low); ++r) put(r, c, Sign::range);
        }
    }
    std::string text(int r, bool unicode) const {
        std::string out;
        for (const Sign s : cells[static_cast<std::size_t>(r)])
            out += unicode ? signs_of(s).unicode : signs_of(s).ascii;
        return out;
    }
};

/// What stands left of each line of a plot: levels by name, else round volts.
std::map<int, std::string> labels_of(const WaveRow& row, const Plot& plot) {
    std::map<int, std::string> labels;
    for (const WaveMark& m : row.marks) {
        if (!shown(m, plot.volts)) continue;
        std::string& label = labels[plot.row(m, row)];
        label = label.empty() ? mark_words(m) : m.name + "/" + label.substr(0, label.find(' '));
    }
    for (const double v : ticks(plot.volts)) labels.try_emplace(plot.row(v), volts_words(v));
    return labels;
}

int margin_of(const WaveChart& chart, const Axis& volts, const TimeAxis& time) {
    int widest = 4;
    const Plot plot(volts, time, 1);
    for (const WaveRow& row : chart.rows)
        for (const auto& [r, label] : labels_of(row, plot)) widest = std::max(widest, display_width(label));
    return std::min(widest, 14) + 2;
}

void ruler(std::vector<Line>& out, const TimeAxis& time, int margin, int columns,
           const TerminalStyle& style) {
    std::string rule, words;
    const auto marks = time_ticks(time, std::max(1, columns / 12));
    std::vector<bool> tick(static_cast<std::size_t>(columns));
    for (const auto& [seconds, word] : marks) {
        const int c = std::clamp(static_cast<int>(time.share(seconds) * columns), 0, columns - 1);
        tick[static_cast<std::size_t>(c)] = true;
        const int length = display_width(word), begin = std::clamp(c - length / 2, 0, columns - length);
        if (begin < display_width(words) + (words.empty() ? 0 : 1)) continue;
        words.append(static_cast<std::size_t>(begin - display_width(words)), ' ');
        words += word;
    }
    for (const bool t : tick) rule += style.unicode ? (t ? "┴" : "─") : (t ? "+" : "-");
    const std::string blank(static_cast<std::size_t>(margin), ' ');
    out.push_back(glyphs_of(blank + rule, style));
    out.push_back(glyphs_of(blank + words, style));
}

Line cut(const Line& line, int width) {
    Line out;
    int used = 0;
    for (const Glyph& g : line) {
        if (used + g.width > width) break;
        used += g.width;
        out.push_back(g);
    }
    return out;
}

std::string legend(const WaveChart& chart, bool unicode) {
    const WaveKey key = key_of(chart);
    const auto sign = [&](Sign s) { return std::string(unicode ? signs_of(s).unicode : signs_of(s).ascii); };
    std::string out;
    const auto add = [&](const std::string& signs, const std::string& words) {
        if (!words.empty()) out += (out.empty() ? "" : ", ") + signs + " " + words;
    };
    add(sign(Sign::flat) + sign(Sign::steep), key.nominal);
    add(sign(Sign::worst), key.worst);
    add(sign(Sign::range), key.range);
    add(sign(Sign::threshold), "threshold");
    add(sign(Sign::supply), "supply");
    add(sign(Sign::limit), "absolute maximum");
    return out;
}

}  // namespace

std::vector<Line> wave_lines(const WaveChart& chart, int width, const TerminalStyle& style) {
    const Axis volts = voltage_axis(chart, 4);
    const TimeAxis time = time_axis(chart);
    const int margin = margin_of(chart, volts, time), columns = std::max(1, width - margin);
    std::vector<Line> out = wrap(glyphs_of(chart.title, style, "1"), width);
    for (const WaveRow& row : chart.rows) {
        Line name = glyphs_of(row.point + (row.note.empty() ? "" : ", " + row.note) + ": ", style, "1");
        std::ranges::move(glyphs_of(in_words(row), style), std::back_inserter(name));
        std::ranges::move(wrap(name, width), std::back_inserter(out));
        Plot plot(volts, time, columns);
        if (row.range) plot.range(*row.range);
        for (const WaveMark& m : row.marks)
            if (shown(m, volts))
                plot.across(plot.row(m, row), m.kind == WaveMark::Kind::threshold ? Sign::threshold
                                              : m.kind == WaveMark::Kind::supply  ? Sign::supply
                                                                                  : Sign::limit);
        plot.wave(row.worst, Sign::worst, Sign::worst);
        plot.wave(row.nominal, Sign::flat, Sign::steep);
        const std::map<int, std::string> labels = labels_of(row, plot);
        for (int r = 0; r < height; ++r) {
            const auto label = labels.find(r);
            const std::string words = label == labels.end() ? "" : label->second;
            Line line = padded(cut(glyphs_of(words, style), margin - 2), margin - 2, Align::right);
            const char* edge =
                label == labels.end() ? (style.unicode ? " │" : " |") : (style.unicode ? " ┤" : " +");
            std::ranges::move(glyphs_of(edge + plot.text(r, style.unicode), style), std::back_inserter(line));
            out.push_back(std::move(line));
        }
    }
    ruler(out, time, margin, columns, style);
    std::ranges::move(wrap(glyphs_of(legend(chart, style.unicode), style), width), std::back_inserter(out));
    return out;
}

}  // namespace voltsill::doc
