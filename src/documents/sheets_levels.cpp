/// Static levels and function: what each link is meant to do, where to look, and what else it may mean.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "documents/sheets_pieces.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// Rows of a level chart that a page holds.
constexpr std::size_t most_rows = 8;
/// Wrong readings that are told apart beside one right one.
constexpr std::size_t most_meanings = 3;

/// The numbers of a chart without its names: of links that are alike, one chart says it.
std::string figures_of(const doc::LevelChart& chart) {
    std::string out;
    const auto add = [&](const std::optional<double>& v) { out += v ? fmt::format("{:.4g} ", *v) : "- "; };
    for (const doc::ChartRow& row : chart.rows) {
        out += row.group + "|";
        for (const doc::ChartBand& b : row.bands)
            out += fmt::format("{}{}{} {:.4g} {:.4g} {:.4g} ", b.high, b.floats, b.any, b.lo, b.nominal, b.hi);
        for (const auto& v : {row.low_threshold, row.high_threshold, row.limit_min, row.limit_max, row.supply}) add(v);
    }
    return out;
}

struct LevelSheet {
    const Bench& bench;
    const Sheets& sheets;
    bool answers;
    Blocks blocks = {};
    std::map<std::string, std::string> drawn = {};  ///< first link by the figures of its chart

    bool wired(const std::string& link) const {
        return std::ranges::find(sheets.unwired, link) == sheets.unwired.end();
    }
    /// No part of its own stands between the ends of the link.
    static bool same(const LinkJudgement& a, const LinkJudgement& b) {
        return a.levels.size() == b.levels.size() &&
               std::ranges::equal(a.levels, b.levels, [](const LevelBand& x, const LevelBand& y) {
                   return x.point == y.point && std::abs(x.lo - y.lo) < 1e-3 && std::abs(x.hi - y.hi) < 1e-3;
               });
    }

    void margins(const LinkJudgement* direct, const LinkJudgement* now) {
        doc::Table table{.columns = {{"wiring"},
                                     {"verdict", doc::Align::left, false},
                                     {"high margin", doc::Align::right, false},
                                     {"low margin", doc::Align::right, false}}};
        const auto row = [&](const char* words, const LinkJudgement& j) {
            table.rows.push_back({{words},
                                  {doc::verdict(j.verdict)},
                                  {margin_words(j.high_margin)},
                                  {margin_words(j.low_margin)}});
        };
        if (direct) row("ends joined directly", *direct);
        if (now) row("as wired here", *now);
        if (!table.rows.empty()) blocks.push_back(std::move(table));
    }

    /// What the driver gives and what the receivers need: pins on the way are in the report of the plan, and
    /// the driver stands once.
    doc::LevelChart ends_chart(const Link& link, const LinkJudgement* direct, const LinkJudgement* now) const {
        doc::LevelChart chart = level_chart(bench, link.name, direct, now, &sheets.wiring(), "as wired here");
        const auto among = [](const std::vector<PinRef>& pins, const doc::ChartRow& row) {
            return std::ranges::any_of(pins, [&](const PinRef& p) { return row.point == p.part + "." + p.pin; });
        };
        std::erase_if(chart.rows, [&](const doc::ChartRow& row) {
            const bool again = direct && now && row.group == "as wired here";
            return !among(link.to, row) && (again || !among(link.from, row));
        });
        return chart;
    }

    void chart(const Link& link, const LinkJudgement* direct, const LinkJudgement* now) {
        const doc::LevelChart chart = ends_chart(link, direct, now);
        if (chart.rows.empty()) return;
        const auto [first, is_new] = drawn.emplace(figures_of(chart), link.name);
        if (!is_new) {
            blocks.push_back(doc::paragraph({"Levels and limits are those of ", doc::strong(first->second), "."}));
            return;
        }
        for (std::size_t k = 0; k < chart.rows.size(); k += most_rows) {
            const auto begin = chart.rows.begin() + static_cast<std::ptrdiff_t>(k);
            const auto end =
                chart.rows.begin() + static_cast<std::ptrdiff_t>(std::min(k + most_rows, chart.rows.size()));
            blocks.push_back(doc::LevelChart{k == 0 ? chart.title : chart.title + ", continued", {begin, end}});
        }
    }

    doc::Table readings(const Link& link) const {
        doc::Table table{.caption = "Readings to take",
                         .columns = {{"set"}, {"read at"}, {"expected", doc::Align::right, false}}};
        if (answers) table.columns.push_back({"nominal", doc::Align::right, false});
        table.columns.push_back({"reads as", doc::Align::left, false});
        table.columns.push_back({"limit", doc::Align::right, false});
        add_pen_columns(table);
        for (const LinkReading& r : sheets.levels) {
            if (r.link != link.name) continue;
            const bool floats = r.reading.level == 'Z', high = r.reading.level == '1';
            std::vector<doc::Text> row{{r.driver + " " + set_words(r.set)},
                                       {r.reading.point},
                                       {floats ? "floats" : meter_words(r.reading.lo, r.reading.hi)}};
            if (answers) row.push_back({floats ? "-" : meter_words(r.reading.nominal)});
            row.push_back({high ? "high" : r.reading.level == '0' ? "low" : "-"});
            row.push_back(
                {r.threshold ? fmt::format("{} {}", high ? "over" : "under", meter_words(*r.threshold)) : "-"});
            add_pen_cells(row, "V", fmt::format("{} at {}", set_words(r.set), r.reading.point));
            table.rows.push_back(std::move(row));
        }
        return table;
    }

    /// Answers only: a row for every reading, alike ones together.
    doc::Table wrong(const Link& link) const {
        struct Row {
            std::vector<std::string> sets, points;
            std::string means;
            bool off = false;
        };
        std::vector<Row> rows;
        for (std::size_t k = 0; k < sheets.levels.size() && k < sheets.wrong.size(); ++k) {
            const LinkReading& r = sheets.levels[k];
            if (r.link != link.name || r.set == 'A') continue;
            Row row{{r.driver + " " + set_words(r.set)}, {r.reading.point}, meanings(sheets.wrong[k]),
                    std::ranges::any_of(sheets.wrong[k], &WrongReading::possibly_harmful)};
            const auto like = std::ranges::find_if(rows, [&](const Row& x) {
                return x.means == row.means && x.off == row.off && (x.sets == row.sets || x.points == row.points);
            });
            if (like == rows.end())
                rows.push_back(std::move(row));
            else if (like->sets == row.sets)
                like->points.push_back(r.reading.point);
            else
                like->sets.push_back(row.sets.front());
        }
        doc::Table table{
            .caption = "What a wrong reading means",
            .columns = {{"set"}, {"read at"}, {"reads: look at"}, {"off first", doc::Align::center, false}}};
        for (const Row& row : rows)
            table.rows.push_back({{fmt::format("{}", fmt::join(row.sets, ", "))},
                                  {fmt::format("{}", fmt::join(row.points, ", "))},
                                  {row.means},
                                  {row.off ? "yes" : "-"}});
        return table;
    }
    /// "0 V: wire 3 left out; drifts: wire 5 in 3a in place of 4a, or 2 more"
    static std::string meanings(const std::vector<WrongReading>& wrong) {
        std::vector<std::string> out;
        for (const WrongReading& w : wrong) {
            if (out.size() == most_meanings) {
                out.push_back(fmt::format("{} readings more", wrong.size() - most_meanings));
                break;
            }
            out.push_back(fmt::format("{}: {}", wrong_words(w.reading), cause_words(w.causes)));
        }
        if (out.empty()) return "no likely mistake of the build shows here: the driver, or its setting";
        return fmt::format("{}", fmt::join(out, "; "));
    }

    void levels() {
        blocks.push_back(doc::heading(2, {"4. Static levels"}, "static"));
        blocks.push_back(doc::paragraph(
            {"All rails up. Hold each driver still, read against ground: every tolerance of rails and parts "
             "is in the window. The chart shows what arrives at each pin and how the pin reads it; a margin is "
             "what lies between the two, and below zero where they overlap."}));
        for (const Link& link : bench.links) {
            blocks.push_back(doc::heading(3, {link.name}));
            blocks.push_back(doc::paragraph(ends_of(link)));
            const LinkJudgement *direct = judged(sheets.direct, link.name),
                                *now = wired(link.name) ? judged(sheets.judgement, link.name) : nullptr;
            if (direct && now && same(*direct, *now)) direct = nullptr;
            margins(direct, now);
            chart(link, direct, now);
            doc::Table table = readings(link);
            if (table.rows.empty())
                blocks.push_back(doc::paragraph({"No reading: nothing on this link can be set."}));
            else
                blocks.push_back(std::move(table));
            if (!answers) continue;
            if (doc::Table meanings = wrong(link); !meanings.rows.empty()) blocks.push_back(std::move(meanings));
        }
    }

    /// Does the receiver take the wrong reading for another level than the one expected?
    static bool misread(const LinkReading& r, const WrongReading& w) {
        if (!w.reading.solved || w.reading.floats || !r.threshold) return true;
        return r.reading.level == '1' ? w.reading.lo < *r.threshold : w.reading.hi > *r.threshold;
    }

    /// "wire 12 left out": numbers are enough where the table above has the reasons.
    static std::vector<std::string> without_reasons(std::vector<std::string> causes) {
        for (std::string& cause : causes) cause.resize(std::min(cause.size(), cause.find(" (")));
        return causes;
    }
    doc::Text failing(std::size_t level) const {
        std::vector<std::string> causes;
        if (level < sheets.wrong.size())
            for (const WrongReading& w : sheets.wrong[level])
                if (misread(sheets.levels[level], w)) causes.insert(causes.end(), w.causes.begin(), w.causes.end());
        return {causes.empty() ? "no single mistake of a hand: the program, the pin, or the part"
                               : cause_words(without_reasons(causes))};
    }

    void function() {
        blocks.push_back(doc::heading(2, {"5. Function check"}, "function"));
        blocks.push_back(doc::paragraph(
            {"One end of each link is driven and the other end is looked at, first slowly with a meter, then at "
             "its rate with the program of the bench. A receiver that shows the other level, or one that does "
             "not change, fails."}));
        doc::Table table{.columns = {{"link"},
                                     {"drive"},
                                     {"expect at"},
                                     {"expected", doc::Align::right},
                                     {"that is", doc::Align::left, false}}};
        if (answers) table.columns.push_back({"else look at"});
        table.columns.push_back({"seen", doc::Align::center, false});
        for (std::size_t k = 0; k < sheets.levels.size(); ++k) {
            const LinkReading& r = sheets.levels[k];
            if (!r.receiver) continue;
            const bool floats = r.reading.level == 'Z';
            std::vector<doc::Text> row{
                {r.link},
                {fmt::format("{} {}", r.driver, set_words(r.set))},
                {r.reading.point},
                {floats ? "floats" : meter_words(r.reading.lo, r.reading.hi)},
                {r.reading.level == '1' ? "high" : r.reading.level == '0' ? "low" : "-"}};
            if (answers)
                row.push_back(r.set == 'A' ? doc::Text{"the source first, at both ends of its range"} : failing(k));
            row.push_back({doc::tick(fmt::format("{} at {}", set_words(r.set), r.reading.point))});
            table.rows.push_back(std::move(row));
        }
        if (!table.rows.empty()) blocks.push_back(std::move(table));
        doc::Table rates{.caption = "At its rate, as many changes arrive as are sent",
                         .columns = {{"link"},
                                     {"rate", doc::Align::right, false},
                                     {"sent"},
                                     {"arrived"},
                                     {"ok", doc::Align::center, false}}};
        for (const Link& link : bench.links)
            if (link.rate)
                rates.rows.push_back(
                    {{link.name}, {print(*link.rate)}, {to_fill("")}, {to_fill("")}, {doc::tick(link.name)}});
        if (!rates.rows.empty()) blocks.push_back(std::move(rates));
    }
};

}  // namespace

Blocks level_blocks(const Bench& bench, const Sheets& sheets, bool answers) {
    LevelSheet sheet{bench, sheets, answers};
    sheet.levels();
    return std::move(sheet.blocks);
}

Blocks function_blocks(const Bench& bench, const Sheets& sheets, bool answers) {
    LevelSheet sheet{bench, sheets, answers};
    sheet.function();
    return std::move(sheet.blocks);
}

}  // namespace voltsill
