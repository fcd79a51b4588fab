/// Waves as files of their own: a table after RFC 4180 and a drawing.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "documents/charts.h"
#include "drawing/svg.h"
#include "drawing/text.h"
#include "documents/trace_pieces.h"
#include "signals/measure.h"

namespace voltsill {
namespace {

struct Column {
    std::string title;
    WaveView wave;
};

/// Section 2: fields with a comma, a quote or a line break stand in quotes, quotes doubled.
std::string field(const std::string& text) {
    if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
    std::string out = "\"";
    for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
    return out + "\"";
}

std::vector<Column> columns_of(const LinkTrace& trace) {
    std::vector<Column> out;
    const auto add = [&](const TracePoint& p, const char* what, const std::vector<double>& seconds,
                         const std::vector<double>& volts) {
        if (!seconds.empty() && !volts.empty())
            out.push_back({fmt::format("{} {} (V)", clean(p.label), what), {seconds, volts}});
    };
    for (const TracePoint& p : trace.points) add(p, "nominal", p.nominal.seconds, p.nominal.volts);
    for (const TracePoint& p : trace.points) add(p, "worst", p.worst.seconds, p.worst.volts);
    for (const TracePoint& p : trace.points) {
        if (!p.envelope) continue;
        add(p, "lowest", p.envelope->seconds, p.envelope->lo);
        add(p, "median", p.envelope->seconds, p.envelope->median);
        add(p, "highest", p.envelope->seconds, p.envelope->hi);
    }
    return out;
}

/// Before a step at that very time.
double value_before(WaveView wave, double seconds) {
    const auto k =
        static_cast<std::size_t>(std::ranges::lower_bound(wave.seconds, seconds) - wave.seconds.begin());
    return k < wave.size() && wave.seconds[k] == seconds ? wave.volts[k] : value_at(wave, seconds);
}

std::string row(double seconds, const std::vector<Column>& columns, double (*value)(WaveView, double)) {
    std::string out = fmt::format("{}", seconds);
    for (const Column& c : columns) {
        const double v = value(c.wave, seconds);
        out += std::isfinite(v) ? fmt::format(",{}", v) : std::string(",");
    }
    return out + "\r\n";
}

}  // namespace

std::string trace_csv(const LinkTrace& trace) {
    const std::vector<Column> columns = columns_of(trace);
    std::set<double> times, steps;
    for (const Column& c : columns)
        for (const double t : c.wave.seconds) {
            if (!std::isfinite(t)) continue;
            times.insert(t);
            if (value_before(c.wave, t) != value_at(c.wave, t)) steps.insert(t);
        }
    std::string out = "time (s)";
    for (const Column& c : columns) out += "," + field(c.title);
    out += "\r\n";
    for (const double t : times) {
        if (steps.contains(t)) out += row(t, columns, value_before);
        out += row(t, columns, value_at);
    }
    return out;
}

std::string trace_svg(const LinkTrace& trace) {
    return drawing::svg_file(doc::wave_chart_drawing(wave_chart(trace), true));
}

}  // namespace voltsill
