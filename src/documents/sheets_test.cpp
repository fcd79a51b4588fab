/// The test sheet: resistance, limited power, static levels, function; in this order.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "documents/sheets_pieces.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

struct TestSheet {
    const Bench& bench;
    const Sheets& sheets;
    bool answers;
    Blocks blocks;

    void ohms() {
        blocks.push_back(doc::heading(2, {"1. Power-off check"}, "power-off"));
        blocks.push_back(doc::paragraph(
            {"All supplies off and unplugged, capacitors given time to empty. The windows hold for the parts "
             "of the wiring alone: where a module hangs on the rail and reads less, unplug it and measure "
             "again. With everything in place, less than 1 kΩ from a logic rail to ground is worth a look "
             "(common practice)."}));
        const auto table_of = [&](const char* caption, auto wanted) {
            doc::Table table{.caption = caption,
                             .columns = {{"from"}, {"to"}, {"expected", doc::Align::right, false}}};
            if (answers) table.columns.push_back({"else it is"});
            add_pen_columns(table);
            for (const OhmCheck& check : sheets.ohms) {
                if (!wanted(check.kind)) continue;
                std::vector<doc::Text> row{{check.from}, {check.to}, {window_words(check)}};
                if (answers) row.push_back({check.wrong});
                add_pen_cells(row, "Ω", fmt::format("{} to {}", check.from, check.to));
                table.rows.push_back(std::move(row));
            }
            if (!table.rows.empty()) blocks.push_back(std::move(table));
        };
        table_of("Must not be joined", [](OhmCheck::Kind k) { return k == OhmCheck::Kind::rail; });
        table_of("Must be joined", [](OhmCheck::Kind k) { return k == OhmCheck::Kind::joined; });
        table_of("Resistors in place", [](OhmCheck::Kind k) { return k == OhmCheck::Kind::part; });
    }

    void power_up() {
        const PowerOrder& order = sheets.order;
        blocks.push_back(doc::heading(2, {"2. Power-up order"}, "power-up"));
        doc::Steps steps;
        for (size_t k = 0; k < order.steps.size(); ++k) {
            const PowerStep& step = order.steps[k];
            doc::Steps::Step item{{doc::strong(fmt::format("{}", fmt::join(step.rails, " with "))), " on"},
                                  {}};
            if (!step.waiting.empty()) {
                item.more = {"then, with " + step.waiting + ": "};
                if (!step.judged)
                    item.more.push_back("not judged; do not stay here");
                else
                    item.more.push_back(doc::verdict(step.verdict));
                if (answers && !step.sentence.empty()) item.more.push_back(". " + step.sentence);
            }
            steps.items.push_back(std::move(item));
        }
        steps.items.push_back({{"Signals from outside last; off in reverse."}, {}});
        blocks.push_back(std::move(steps));
        if (order.verdict > Verdict::thin)
            blocks.push_back(doc::Caution{
                "No order is free of harm",
                {{"Whatever comes first does harm while it waits: switch these rails by one switch."}}});
        if (answers && !order.worst_order.empty())
            blocks.push_back(doc::paragraph(
                {doc::strong("Not in this order: "), order.worst_order + ". " + order.worst_sentence}));
    }

    void limited_power() {
        blocks.push_back(doc::heading(2, {"3. Limited-power check"}, "limited-power"));
        doc::Table table{.caption = "Rails, each set with its output open",
                         .columns = {{"rail"}, {"made by"}, {"expected", doc::Align::right, false}}};
        add_pen_columns(table);
        for (const Rail& rail : bench.rails) {
            std::vector<doc::Text> row{{rail.name},
                                       {rail.from.empty() ? "a supply of its own" : rail.from},
                                       {meter_words(rail.volts.span.lo.si(), rail.volts.span.hi.si())}};
            add_pen_cells(row, "V", "rail " + rail.name);
            table.rows.push_back(std::move(row));
        }
        blocks.push_back(std::move(table));
        currents();
        blocks.push_back(doc::Steps{
            .items = {{{"Touch nothing metallic; after 30 s nothing is warm (common practice: under 40 °C)."},
                       {}},
                      {{"Supply at its limit, or a rail below its window: off at once, back to check 1."},
                       {}}},
            .numbered = false});
    }

    /// Less does not show on the milliampere range of a meter.
    static constexpr double noticeable_amps = 1e-6;

    void currents() {
        doc::Table table{.caption = "Current, all rails up, from all that outputs can say",
                         .columns = {{"rail"},
                                     {"limit to set", doc::Align::right, false},
                                     {"expected", doc::Align::right, false}}};
        if (answers) table.columns.push_back({"at rest", doc::Align::right, false});
        if (answers) table.columns.push_back({"made up of"});
        add_pen_columns(table);
        std::vector<std::string> silent;
        for (const RailCurrent& c : sheets.currents) {
            const Rail* rail = bench.rail(c.rail);
            if (!rail) continue;
            std::vector<doc::Text> row{{c.rail},
                                       {c.source ? print(Amps{limit_to_set(c, *rail)}) : "its maker's"},
                                       {amps_window(c.lo, c.hi)}};
            if (answers) row.push_back({print(Amps{c.nominal})});
            if (answers) {
                std::vector<std::string> shares;
                for (const CurrentShare& s : c.shares)
                    if (s.hi >= noticeable_amps)
                        shares.push_back(fmt::format("{} {}", s.what, amps_window(s.lo, s.hi)));
                row.push_back({fmt::format("{}", fmt::join(shares, "; "))});
            }
            add_pen_cells(row, "mA", "current of rail " + c.rail);
            table.rows.push_back(std::move(row));
            for (const std::string& part : c.silent)
                if (std::ranges::find(silent, part) == silent.end()) silent.push_back(part);
        }
        if (table.rows.empty()) return;
        blocks.push_back(std::move(table));
        if (!silent.empty())
            blocks.push_back(doc::paragraph({fmt::format(
                "Not counted, because their sheets state no current: {}.", fmt::join(silent, ", "))}));
        if (answers)
            blocks.push_back(doc::paragraph(
                {"Under the window: a rail that does not reach its parts. Over it: a short, a package the "
                 "wrong "
                 "way round, two outputs that fight; 10 mA more than expected is contention until shown "
                 "otherwise (common practice)."}));
    }
};

}  // namespace

doc::Document test_sheet(const Bench& bench, const Sheets& sheets, bool answers) {
    TestSheet t{bench, sheets, answers, front_blocks(bench, sheets)};
    t.blocks.push_back(care_block());
    append(t.blocks, slip_blocks(sheets, answers));
    t.ohms();
    t.power_up();
    t.limited_power();
    append(t.blocks, level_blocks(bench, sheets, answers));
    append(t.blocks, function_blocks(bench, sheets, answers));
    return {fmt::format("Test sheet{}: {}", answers ? " with answers" : "", bench.title),
            std::move(t.blocks)};
}

}  // namespace voltsill
