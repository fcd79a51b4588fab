/// One edge at its own scale: a millisecond of bits hides what nanoseconds do.
#include <algorithm>

#include "documents/trace_pieces.h"
#include "signals/measure.h"

namespace voltsill {
namespace {

/// s
struct Period {
    double begin = 0, end = 0;
};

/// From the first rise of the driver until the last point has followed by nine tenths of its swing.
std::optional<Period> first_edge(const LinkTrace& trace) {
    std::optional<Period> out;
    for (const TracePoint& p : trace.points) {
        const auto levels = state_levels(p.nominal);
        if (!levels && !out) return std::nullopt;  // the driver, which comes first
        if (!levels) continue;
        for (const Edge& e : edges(p.nominal, levels->at(0.1), levels->at(0.9))) {
            if (out ? e.end <= out->begin : e.direction != Direction::rising) continue;
            out = out ? Period{out->begin, std::max(out->end, e.end)} : Period{e.begin, e.end};
            break;
        }
        if (!out) return std::nullopt;
    }
    return out;
}

/// The points of a line within the period and its values at both ends.
Wave part_of(const std::vector<double>& seconds, const std::vector<double>& volts, const Period& part) {
    const WaveView wave(seconds, volts);
    if (wave.size() == 0) return {};
    Wave out{{part.begin}, {value_at(wave, part.begin)}};
    for (std::size_t k = 0; k < wave.size(); ++k) {
        if (wave.seconds[k] <= part.begin || wave.seconds[k] >= part.end) continue;
        out.seconds.push_back(wave.seconds[k]);
        out.volts.push_back(wave.volts[k]);
    }
    out.seconds.push_back(part.end);
    out.volts.push_back(value_at(wave, part.end));
    return out;
}

}  // namespace

std::optional<doc::WaveChart> edge_chart(const LinkTrace& trace) {
    const auto edge = first_edge(trace);
    if (!edge) return std::nullopt;
    const double length = edge->end - edge->begin;
    const Period part{std::max(0.0, edge->begin - 0.5 * length),
                      std::min(trace.duration, edge->end + 1.5 * length)};
    if (!(part.begin < part.end) || part.end - part.begin > trace.duration / 20) return std::nullopt;
    const auto cut = [&](const std::vector<double>& seconds, const std::vector<double>& volts) {
        Wave wave = part_of(seconds, volts, part);
        for (double& t : wave.seconds) t -= edge->begin;
        return wave;
    };
    doc::WaveChart chart = wave_chart(trace);
    chart.title = "First rising edge of " + trace.link;
    chart.bits.clear();
    for (doc::WaveRow& row : chart.rows) {
        row.nominal = cut(row.nominal.seconds, row.nominal.volts);
        row.worst = cut(row.worst.seconds, row.worst.volts);
        if (!row.range) continue;
        const std::vector<double> seconds = std::move(row.range->seconds);
        row.range->lo = cut(seconds, row.range->lo).volts;
        row.range->median = cut(seconds, row.range->median).volts;
        Wave top = cut(seconds, row.range->hi);
        row.range->hi = std::move(top.volts);
        row.range->seconds = std::move(top.seconds);
    }
    return chart;
}

}  // namespace voltsill
