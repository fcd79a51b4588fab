#include "documents/trace_pieces.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "judging/traced.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// Below this a number of the dimension is rounding.
double noise_of(Dimension dimension) {
    switch (dimension) {
        case Dimension::voltage:
            return 50e-6;
        case Dimension::time:
            return 1e-15;
        case Dimension::power:
            return 1e-12;
        default:
            return 0;
    }
}

std::string range_words(const Measured& m) {
    if (!m.lo || !m.hi) return "-";
    const std::string lo = measured_words(m.kind, m.lo), hi = measured_words(m.kind, m.hi);
    const std::size_t a = lo.find(' '), b = hi.find(' ');
    if (lo == hi) return lo;
    return lo.substr(a) == hi.substr(b) ? lo.substr(0, a) + ".." + hi : lo + ".." + hi;
}

/// Interval in percent with as many digits as tell its ends apart.
std::string percent_words(double lo, double hi) {
    const int digits = hi - lo < 0.001 ? 3 : hi - lo < 0.01 ? 2 : 1;
    const std::string top = hi == 1 ? "100" : fmt::format("{:.{}f}", 100 * hi, digits);
    return fmt::format("{:.{}f}..{} %", 100 * lo, digits, top);
}

/// Ratings of parts that hold are many and say little.
bool held_rating(const Measured& m) {
    return verdict_of(m) == Verdict::safe &&
           (m.kind == MeasureKind::highest || m.kind == MeasureKind::lowest || m.kind == MeasureKind::power);
}

/// Nothing of them is news: neither broken nor about time.
bool minor(const Measured& m) { return !m.limit || held_rating(m); }

doc::Text influence_words(const Measured& m) {
    constexpr std::size_t shown = 3;
    doc::Text text{name_of(m) + ": "};
    for (std::size_t k = 0; k < std::min(shown, m.influences.size()); ++k) {
        const Influence& i = m.influences[k];
        if (k > 0) text.push_back("; ");
        text.push_back(doc::strong(i.parameter));
        text.push_back(fmt::format(" {} ({} when it is larger)", print_percent(i.share, {.digits = 2}),
                                   i.raises ? "larger" : "smaller"));
    }
    return text;
}

doc::Table limits_table(std::string caption, const std::vector<const Measured*>& all, bool sampled) {
    doc::Table table{
        .caption = std::move(caption),
        .columns = {
            {"measure"}, {"verdict", doc::Align::left, false}, {"nominal", doc::Align::right, false}}};
    if (sampled) table.columns.push_back({"lowest..highest", doc::Align::right, false});
    table.columns.push_back({"limit and its source"});
    if (sampled) table.columns.push_back({"kept in samples"});
    for (const Measured* m : all) {
        std::vector<doc::Text> row{
            {name_of(*m)}, {doc::verdict(*verdict_of(*m))}, {measured_words(m->kind, m->nominal)}};
        if (!m->nominal && !m->why.empty()) row.front().push_back(": " + m->why);
        if (sampled) row.push_back({range_words(*m)});
        row.push_back({limit_words(*m) + "; " + words(m->limit_origin)});
        if (sampled) row.push_back({yield_words(*m)});
        table.rows.push_back(std::move(row));
    }
    return table;
}

doc::Table others_table(const std::vector<const Measured*>& all, bool sampled) {
    doc::Table table{.caption = "Without a limit",
                     .columns = {{"measure"}, {"nominal", doc::Align::right, false}}};
    if (sampled) {
        table.columns.push_back({"median", doc::Align::right, false});
        table.columns.push_back({"lowest..highest", doc::Align::right, false});
    }
    for (const Measured* m : all) {
        std::vector<doc::Text> row{{name_of(*m)}, {measured_words(m->kind, m->nominal)}};
        if (!m->nominal && !m->why.empty()) row.front().push_back(": " + m->why);
        if (sampled) {
            row.push_back({measured_words(m->kind, m->median)});
            row.push_back({range_words(*m)});
        }
        table.rows.push_back(std::move(row));
    }
    return table;
}

}  // namespace

std::string measured_words(MeasureKind kind, const std::optional<double>& value) {
    if (!value) return "-";
    const Dimension dimension = dimension_of(kind);
    return print_number(dimension, std::abs(*value) < noise_of(dimension) ? 0 : *value);
}

std::string name_of(const Measured& m) {
    const std::string kind(to_word(m.kind));
    return m.point.empty() ? kind : kind + (m.kind == MeasureKind::power ? " of " : " at ") + m.point;
}

std::string limit_words(const Measured& m) {
    return m.limit ? (m.limit_is_maximum ? "at most " : "at least ") + measured_words(m.kind, m.limit) : "-";
}

std::string yield_words(const Measured& m) {
    if (m.counted == 0) return "-";
    return fmt::format("{} of {}: {}", m.kept, m.counted, percent_words(m.yield_lo, m.yield_hi));
}

Blocks measure_blocks(const LinkTrace& trace) {
    std::vector<const Measured*> limited, held, others;
    for (const Measured& m : trace.measures)
        (!m.limit ? others : held_rating(m) ? held : limited).push_back(&m);
    std::ranges::stable_sort(limited, std::ranges::greater{},
                             [](const Measured* m) { return *verdict_of(*m); });
    const bool sampled = trace.samples > 0;
    Blocks out, rest;
    if (!limited.empty()) out.push_back(limits_table("Held against limits", limited, sampled));
    if (!(limited.empty() && held.empty()) && sampled)
        out.push_back(doc::paragraph(
            {"After the count of samples that keep a limit stands the yield that it speaks for: "
             "Wilson's score interval at 95 %."}));
    if (!held.empty()) rest.push_back(limits_table("Ratings that are kept", held, sampled));
    if (!others.empty()) rest.push_back(others_table(others, sampled));
    if (!rest.empty()) out.push_back(doc::Details{{"What else was measured"}, std::move(rest)});
    return out;
}

Blocks influence_blocks(const LinkTrace& trace) {
    doc::BulletList list, rest;
    for (const Measured& m : trace.measures)
        if (!m.influences.empty()) (minor(m) ? rest : list).items.push_back(influence_words(m));
    if (list.items.empty() && rest.items.empty()) return {};
    Blocks out{
        doc::heading(3, {"Which tolerance matters most"}),
        doc::paragraph({"Share of the variance of the ranks that a figure explains (Spearman's rank "
                        "correlation, squared). Shares that chance would give as well are left out."})};
    if (!list.items.empty()) out.push_back(std::move(list));
    if (!rest.items.empty()) out.push_back(doc::Details{{"For everything else"}, {std::move(rest)}});
    return out;
}

}  // namespace voltsill
