#include "documents/wave_axis.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "quantity/print.h"
#include "signals/measure.h"

namespace voltsill::doc {
namespace {

using Take = std::function<void(std::span<const double> seconds, std::span<const double> volts)>;

void each_wave(const WaveChart& chart, const Take& take) {
    for (const WaveRow& row : chart.rows) {
        take(row.nominal.seconds, row.nominal.volts);
        take(row.worst.seconds, row.worst.volts);
        if (!row.range) continue;
        take(row.range->seconds, row.range->lo);
        take(row.range->seconds, row.range->hi);
    }
}

void widen(double& lo, double& hi, double value) {
    if (!std::isfinite(value)) return;
    lo = std::min(lo, value);
    hi = std::max(hi, value);
}

std::string between(const Measurement& lo, const Measurement& hi) {
    return lo && hi ? band_words({.lo = *lo, .hi = *hi}) : "-";
}

std::string range_words(const Envelope& e) {
    return between(lowest(WaveView(e.seconds, e.lo)), highest(WaveView(e.seconds, e.hi)));
}

std::string marks_in_words(const WaveRow& row) {
    std::string out;
    for (const WaveMark& m : row.marks)
        if (std::isfinite(m.volts)) out += (out.empty() ? "" : ", ") + mark_words(m);
    return out;
}

Table values_table(const WaveChart& chart) {
    Table table{.caption = chart.title,
                .columns = {{"point"},
                            {"nominal", Align::right, false},
                            {"over all samples", Align::right, false},
                            {"low level", Align::right, false},
                            {"high level", Align::right, false},
                            {"held against"}}};
    for (const WaveRow& row : chart.rows) {
        const auto levels = state_levels(row.nominal);
        table.rows.push_back({{row.point},
                              {between(lowest(row.nominal), highest(row.nominal))},
                              {row.range ? range_words(*row.range) : "-"},
                              {levels ? volts_words(levels->low) : "-"},
                              {levels ? volts_words(levels->high) : "-"},
                              {marks_in_words(row)}});
    }
    return table;
}

Table crossings_table(const WaveChart& chart) {
    constexpr std::size_t most = 60;
    struct Passing {
        LevelCrossing at;
        const WaveRow* row;
        double volts;
    };
    std::vector<Passing> all;
    for (const WaveRow& row : chart.rows)
        if (const auto levels = state_levels(row.nominal))
            for (const LevelCrossing& c :
                 crossings(row.nominal, levels->at(0.5), 0.1 * (levels->high - levels->low)))
                all.push_back({c, &row, levels->at(0.5)});
    std::ranges::stable_sort(all, {}, [](const Passing& p) { return p.at.seconds; });
    Table table{.caption = "Half of the swing is passed (nominal)",
                .columns = {{"time", Align::right, false}, {"point"}, {"direction"}, {"at", Align::right}}};
    if (all.size() > most) table.caption += fmt::format(": the first {} of {} times", most, all.size());
    for (const Passing& p : all) {
        if (table.rows.size() == most) break;
        table.rows.push_back({{print(Seconds{p.at.seconds}, {.digits = 4})},
                              {p.row->point},
                              {p.at.direction == Direction::rising ? "rises" : "falls"},
                              {volts_words(p.volts)}});
    }
    return table;
}

}  // namespace

TimeAxis time_axis(const WaveChart& chart) {
    double begin = 0, end = 0;
    each_wave(chart, [&](std::span<const double> seconds, std::span<const double>) {
        for (const double t : seconds) widen(begin, end, t);
    });
    return {begin, end > begin ? end : begin + 1};
}

Axis voltage_axis(const WaveChart& chart, int steps) {
    double lo = 0, hi = 0;
    each_wave(chart, [&](std::span<const double>, std::span<const double> volts) {
        for (const double v : volts) widen(lo, hi, v);
    });
    const double near = 0.15 * (hi - lo), bottom = lo - near, top = hi + near;
    for (const WaveRow& row : chart.rows)
        for (const WaveMark& m : row.marks)
            if (m.kind != WaveMark::Kind::limit || (m.volts >= bottom && m.volts <= top))
                widen(lo, hi, m.volts);
    const double step = axis_over(lo, hi, steps).step, spare = 0.06 * (hi - lo);
    Axis axis{.lo = lo - spare, .hi = hi + spare, .step = step};
    if (!(axis.lo < axis.hi)) axis = {-0.1, 1.1, 1};
    return axis;
}

bool shown(const WaveMark& mark, const Axis& axis) {
    return std::isfinite(mark.volts) && mark.volts >= axis.lo && mark.volts <= axis.hi;
}

std::vector<std::pair<double, std::string>> time_ticks(const TimeAxis& axis, int most) {
    static constexpr std::pair<int, const char*> units[] = {
        {0, "s"}, {-3, "ms"}, {-6, "µs"}, {-9, "ns"}, {-12, "ps"}};
    const double step = round_step(axis.end - axis.begin, std::max(1, most));
    const std::vector<double> at = multiples(step, axis.begin, axis.end);
    double largest = 0;
    for (const double t : at) largest = std::max(largest, std::abs(t));
    auto unit = units[4];
    for (const auto& u : units)
        if (largest >= 0.999 * std::pow(10.0, u.first)) {
            unit = u;
            break;
        }
    std::vector<std::pair<double, std::string>> out;
    for (const double t : at) out.emplace_back(t, fmt::format("{:.4g}", t / std::pow(10.0, unit.first)));
    if (!out.empty()) out.back().second += std::string(" ") + unit.second;
    return out;
}

std::string mark_words(const WaveMark& mark) { return mark.name + " " + volts_words(mark.volts); }

std::string in_words(const WaveRow& row) {
    std::string out = row.nominal.volts.empty()
                          ? "nothing known"
                          : "nominal " + between(lowest(row.nominal), highest(row.nominal));
    if (row.range) out += ", over all samples " + range_words(*row.range);
    const std::string marks = marks_in_words(row);
    return marks.empty() ? out : out + "; " + marks;
}

WaveKey key_of(const WaveChart& chart) {
    WaveKey key;
    for (const WaveRow& row : chart.rows) {
        if (!row.nominal.volts.empty())
            key.nominal = chart.nominal_words.empty() ? "nominal" : chart.nominal_words;
        if (!row.worst.volts.empty()) key.worst = chart.worst_words.empty() ? "worst" : chart.worst_words;
        if (row.range) key.range = chart.range_words.empty() ? "all samples" : chart.range_words;
        if (row.range && !row.range->median.empty()) key.median = "median";
    }
    return key;
}

std::vector<Table> tables_of(const WaveChart& chart) {
    std::vector<Table> out{values_table(chart)};
    if (Table crossing = crossings_table(chart); !crossing.rows.empty()) out.push_back(std::move(crossing));
    return out;
}

}  // namespace voltsill::doc
