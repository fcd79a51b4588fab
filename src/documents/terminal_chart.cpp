#include <algorithm>
#include <cmath>
#include <iterator>

#include "documents/level_axis.h"
#include "documents/terminal_blocks.h"

namespace voltsill::doc {
namespace {

constexpr int margin = 9;  // "arrives  "

/// A bar of one-column signs on the axis.
struct Bar {
    const Axis& axis;
    std::vector<std::string> signs;

    Bar(const Axis& a, int columns) : axis(a), signs(static_cast<std::size_t>(columns), " ") {}

    int column(double volts) const {
        const int last = static_cast<int>(signs.size()) - 1;
        return std::clamp(static_cast<int>(std::lround(axis.share(volts) * last)), 0, last);
    }
    void fill(double lo, double hi, const std::string& sign) {
        for (int k = column(lo); k <= column(hi); ++k) signs[static_cast<std::size_t>(k)] = sign;
    }
    void set(double volts, const std::string& sign) { signs[static_cast<std::size_t>(column(volts))] = sign; }
    std::string text() const {
        std::string out;
        for (const std::string& s : signs) out += s;
        return out;
    }
};

/// Numbers under the axis, centred on their ticks where they do not touch.
std::string tick_words(const Axis& axis, int columns) {
    std::string out;
    const Bar bar(axis, columns);
    const std::vector<double> at = ticks(axis);
    for (std::size_t k = 0; k < at.size(); ++k) {
        std::string word = volts_words(at[k]);
        if (k + 1 < at.size()) word.resize(word.size() - 2);  // only the last one names the unit
        const int length = static_cast<int>(word.size());
        const int begin = std::max(0, std::min(bar.column(at[k]) - (length - 1) / 2, columns - length));
        if (!out.empty() && begin <= static_cast<int>(out.size())) continue;
        out.resize(static_cast<std::size_t>(begin), ' ');
        out += word;
    }
    return out;
}

char sign_of(Zone zone) {
    switch (zone) {
        case Zone::low:
            return 'L';
        case Zone::undefined:
            return '?';
        case Zone::high:
            return 'H';
        case Zone::beyond:
            return '!';
    }
    return ' ';
}

}  // namespace

std::vector<Line> chart_lines(const LevelChart& chart, int width, const TerminalStyle& style) {
    const Axis axis = axis_of(chart);
    const int columns = width - margin;
    std::vector<Line> out = wrap(glyphs_of(chart.title, style, "1"), width);
    std::string group;
    const auto put = [&](std::string_view text) { out.push_back(glyphs_of(text, style)); };
    for (const ChartRow& row : chart.rows) {
        if (row.group != group)
            std::ranges::move(wrap(glyphs_of(row.group + ":", style), width), std::back_inserter(out));
        group = row.group;
        Line name = glyphs_of(row.point + ": ", style, "1");
        std::ranges::move(glyphs_of(in_words(row), style), std::back_inserter(name));
        std::ranges::move(wrap(name, width), std::back_inserter(out));
        Bar arrives(axis, columns);
        for (const ChartBand& band : row.bands) {
            if (band.floats) continue;
            const char* high = style.unicode ? "█" : "#";
            const char* low = style.unicode ? "░" : "-";
            const char* any = style.unicode ? "▒" : "=";
            arrives.fill(band.lo, band.hi, band.any ? any : band.high ? high : low);
        }
        for (const ChartBand& band : row.bands)
            if (!band.floats) arrives.set(band.nominal, "|");
        put("arrives  " + arrives.text());
        const std::vector<ZoneSpan> spans = zones(row, axis);
        if (spans.empty()) continue;
        Bar reads(axis, columns);
        for (const ZoneSpan& span : spans) reads.fill(span.lo, span.hi, std::string(1, sign_of(span.zone)));
        put((is_read(spans) ? "reads    " : "stands   ") + reads.text());
    }
    Bar rule(axis, columns);
    rule.fill(axis.lo, axis.hi, style.unicode ? "─" : "-");
    for (const double volts : ticks(axis)) rule.set(volts, style.unicode ? "┴" : "+");
    put("         " + rule.text());
    put("         " + tick_words(axis, columns));
    return out;
}

std::vector<Line> chart_legend(int width, const TerminalStyle& style) {
    const std::string bands =
        style.unicode ? "░ low, █ high, ▒ any level, | nominal" : "- low, # high, = any level, | nominal";
    return wrap(
        glyphs_of(bands + "; L read as low, ? undefined, H read as high, ! beyond the absolute maximum",
                  style),
        width);
}

}  // namespace voltsill::doc
