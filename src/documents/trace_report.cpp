#include <fmt/format.h>

#include <algorithm>

#include "documents/trace_pieces.h"
#include "judging/traced.h"
#include "quantity/print.h"
#include "signals/measure.h"

namespace voltsill {
namespace {

std::string_view note_of(const TracePoint& p) {
    switch (p.role) {
        case PointRole::driver:
            return "driver";
        case PointRole::receiver:
            return p.inverted ? "receiver, inverted" : "receiver";
        case PointRole::passed:
            break;
    }
    return p.inverted ? "on the way, inverted" : "on the way";
}

std::vector<doc::WaveMark> marks_of(const TracePoint& p) {
    std::vector<doc::WaveMark> out;
    const auto add = [&](const char* name, const std::optional<double>& volts, doc::WaveMark::Kind kind) {
        if (volts) out.push_back({name, *volts, kind});
    };
    using Kind = doc::WaveMark::Kind;
    add("VIL", p.vil, Kind::threshold);
    add("VIH", p.vih, Kind::threshold);
    add("VT-", p.falls, Kind::threshold);
    add("VT+", p.rises, Kind::threshold);
    if (p.supply > 0) add("supply", p.supply, Kind::supply);
    add("min", p.limit_min, Kind::limit);
    add("max", p.limit_max, Kind::limit);
    return out;
}

const Measured* worst_of(const LinkTrace& trace) {
    const Measured* worst = nullptr;
    for (const Measured& m : trace.measures) {
        const auto verdict = verdict_of(m);
        if (!verdict) continue;
        if (!worst || *verdict > *verdict_of(*worst) ||
            (*verdict == *verdict_of(*worst) && m.yield_hi < worst->yield_hi))
            worst = &m;
    }
    return worst;
}

/// The end of the samples that is on the wrong side.
std::string far_end(const Measured& m) { return measured_words(m.kind, m.limit_is_maximum ? m.hi : m.lo); }

doc::Text conditions_of(const LinkTrace& trace) {
    const std::string driven =
        trace.analog ? "From the lower end of its range to the upper and back"
                     : fmt::format("Pattern {}", trace.pattern.empty() ? "-" : trace.pattern);
    doc::Text out{fmt::format(
        "{} at {}{}{}, {}; ", driven,
        print(Hertz{trace.rate}, {.digits = 4}), trace.bits_a_cycle == 2 ? ", two bits a period" : "",
        trace.rate_assumed ? " (assumed: the bench states no rate)" : "", print(Seconds{trace.duration}))};
    if (trace.samples == 0)
        out.push_back("nominal only.");
    else if (trace.samples == 1 && trace.worst_sample)
        out.push_back(fmt::format("nominal and sample {}, seed {}.", *trace.worst_sample, trace.seed));
    else
        out.push_back(fmt::format("nominal and {} samples, seed {}.", trace.samples, trace.seed));
    if (trace.failed > 0)
        out.push_back(fmt::format(" {} more samples had no solution that could be found.", trace.failed));
    return out;
}

/// The link of a bench that a trace is of: of links that share a name, the one that it ends at.
const Link* link_of(const Bench& bench, const LinkTrace& trace) {
    const auto passed = [&](const PinRef& pin) {
        return std::ranges::find(trace.points, pin.part + "." + pin.pin, &TracePoint::label) !=
               trace.points.end();
    };
    for (const Link& link : bench.links)
        if (link.name == trace.link && std::ranges::all_of(link.from, passed) &&
            std::ranges::all_of(link.to, passed))
            return &link;
    return bench.link(trace.link);
}

struct TraceReport {
    const Bench& bench;
    const std::vector<LinkTrace>& traces;
    Blocks blocks;

    /// With its driver where one line is run from several ends, with its receiver where links share a name.
    std::string title_of(const LinkTrace& trace) const {
        if (std::ranges::count(traces, trace.link, &LinkTrace::link) < 2 || trace.points.empty())
            return trace.link;
        const bool one_driver = std::ranges::all_of(traces, [&](const LinkTrace& other) {
            return other.link != trace.link || other.points.empty() ||
                   other.points.front().label == trace.points.front().label;
        });
        return one_driver ? fmt::format("{} ({})", trace.link, trace.points.back().label)
                          : fmt::format("{}, driven by {}", trace.link, trace.points.front().label);
    }

    void link(const LinkTrace& trace, std::size_t index) {
        blocks.push_back(doc::heading(2, {title_of(trace)}, link_anchor(index)));
        if (const Link* l = link_of(bench, trace)) blocks.push_back(doc::paragraph(ends_of(*l)));
        blocks.push_back(doc::paragraph({doc::verdict(verdict_of(trace)), ": " + sentence_of(trace)}));
        if (trace.cancelled)
            blocks.push_back(doc::paragraph({doc::strong(
                fmt::format("Partial: cancelled after {} of {} samples.", trace.samples, trace.asked))}));
        if (trace.points.empty()) return;
        blocks.push_back(doc::paragraph(conditions_of(trace)));
        if (!trace.trouble.empty()) blocks.push_back(doc::paragraph({"Left out: " + trace.trouble + "."}));
        blocks.push_back(wave_chart(trace));
        if (auto edge = edge_chart(trace)) blocks.push_back(std::move(*edge));
        append(blocks, measure_blocks(trace));
        append(blocks, influence_blocks(trace));
        worst_sample(trace);
        if (trace.leans_on.empty()) return;
        blocks.push_back(doc::heading(3, {"Leans on"}));
        doc::BulletList list;
        for (const std::string& figure : trace.leans_on) list.items.push_back({figure});
        blocks.push_back(std::move(list));
    }

    void worst_sample(const LinkTrace& trace) {
        if (!trace.worst_sample) return;
        blocks.push_back(
            doc::paragraph({fmt::format("Worst is sample {}{}. To run it alone: ", *trace.worst_sample,
                                        trace.worst_by.empty() ? "" : ", by " + trace.worst_by),
                            doc::code(fmt::format("voltsill trace BENCH \"{}\" --seed {} --replay {}",
                                                  trace.link, trace.seed, *trace.worst_sample))}));
    }
};

}  // namespace

std::string sentence_of(const LinkTrace& trace) {
    if (trace.points.empty())
        return "it could not be simulated" + (trace.trouble.empty() ? "." : ": " + trace.trouble + ".");
    const Measured* worst = worst_of(trace);
    const auto unread =
        std::ranges::find_if(trace.points, [](const TracePoint& p) { return p.reads && !(p.vil && p.vih); });
    if (unread != trace.points.end() && (!worst || *verdict_of(*worst) < Verdict::unknown))
        return fmt::format("nobody has said which voltages {} reads as high and low.", unread->label);
    if (!worst) return "nothing at its ends states a limit to hold it against.";
    if (*verdict_of(*worst) == Verdict::safe)
        return trace.samples > 0 ? fmt::format("every limit is kept, in all of {} samples.", trace.samples)
                                 : std::string("every limit is kept with every figure at its nominal.");
    if (!worst->nominal)
        return fmt::format("there is no {}: {}.", name_of(*worst),
                           worst->why.empty() ? "it could not be measured" : worst->why);
    const std::string allowed = "allowed is " + limit_words(*worst);
    const bool rings = worst->kind == MeasureKind::highest || worst->kind == MeasureKind::lowest;
    const std::optional<double> reached = worst->limit_is_maximum ? worst->hi : worst->lo;
    if (rings && worst->lasting)
        return fmt::format("{} stays at {}, beyond its rating of {}: see voltsill check for what that does.",
                           worst->point, measured_words(worst->kind, worst->nominal),
                           measured_words(worst->kind, worst->limit));
    if (rings && *verdict_of(*worst) == Verdict::thin)
        return fmt::format(
            "{} rings to {} for a moment{}, past its rating of {}: a series resistor of 33 to 100 Ω at "
            "the driver, or a shorter wire, calms it.",
            worst->point, measured_words(worst->kind, reached ? reached : worst->nominal),
            reached ? " in the worst sample" : "", measured_words(worst->kind, worst->limit));
    if (breaks(*worst, *worst->nominal))
        return fmt::format("{} is {}, {}.", name_of(*worst), measured_words(worst->kind, worst->nominal),
                           allowed);
    return fmt::format("{} comes to {} in the worst of {} samples, {}; {} of them break{} it.",
                       name_of(*worst), far_end(*worst), worst->counted, allowed,
                       worst->counted - worst->kept, worst->counted - worst->kept == 1 ? "s" : "");
}

doc::WaveChart wave_chart(const LinkTrace& trace) {
    doc::WaveChart chart{
        .title = fmt::format("Waves of {}{}", trace.link,
                             trace.points.empty() ? "" : ", driven by " + trace.points[0].label),
        .rows = {},
        .bits = trace.analog ? "" : trace.pattern,
        .bit_time = trace.rate > 0 ? 1 / (trace.rate * trace.bits_a_cycle) : 0,
        .nominal_words = "nominal",
        .worst_words = {},
        .range_words = fmt::format("all {} samples", trace.samples)};
    if (trace.worst_sample) chart.worst_words = fmt::format("worst (sample {})", *trace.worst_sample);
    for (const TracePoint& p : trace.points)
        chart.rows.push_back({.point = p.label,
                              .note = std::string(note_of(p)),
                              .nominal = p.nominal,
                              .worst = p.worst,
                              .range = p.envelope,
                              .marks = marks_of(p)});
    return chart;
}

doc::Document trace_report(const Bench& bench, const std::vector<LinkTrace>& traces) {
    TraceReport report{bench, traces, {}};
    report.blocks.push_back(doc::paragraph(
        {"Voltages over time against ground, simulated; at first with every figure at its nominal, then with "
         "figures drawn from their tolerances where samples were asked for. What samples show is likely, not "
         "proven: the worst case of steady levels is that of ",
         doc::code("voltsill check"), "."}));
    const auto order = worst_first(traces, [](const LinkTrace& t) { return verdict_of(t); });
    if (traces.size() > 1) {
        doc::Table table{.columns = {{"link"}, {"verdict", doc::Align::left, false}, {"what decides"}}};
        for (const std::size_t k : order)
            table.rows.push_back({{doc::leading_to(report.title_of(traces[k]), link_anchor(k))},
                                  {doc::verdict(verdict_of(traces[k]))},
                                  {sentence_of(traces[k])}});
        report.blocks.push_back(std::move(table));
    }
    for (const std::size_t k : order) report.link(traces[k], k);
    report.blocks.push_back(standing_caution());
    return {"Traces of " + title_of(bench), std::move(report.blocks)};
}

}  // namespace voltsill
