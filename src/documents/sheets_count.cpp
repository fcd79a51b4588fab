/// Counting kits out and back, and what the drawer lacks.
#include <fmt/format.h>

#include <algorithm>

#include "documents/sheets_teaching.h"

namespace voltsill {
namespace {

/// Boxes that a page holds beside the names.
constexpr int seats_across = 10;

doc::Table bags(const Sheets& sheets, int first, int last) {
    doc::Table table{
        .caption = first == last ? fmt::format("Seat {}", first) : fmt::format("Seats {} to {}", first, last),
        .columns = {{"into every bag"}, {"count", doc::Align::right, false}}};
    for (int seat = first; seat <= last; ++seat)
        table.columns.push_back({std::to_string(seat), doc::Align::center, false});
    for (const KitEntry& entry : sheets.kit) {
        std::vector<doc::Text> row{{entry.what}, {std::to_string(entry.per_seat)}};
        for (int seat = first; seat <= last; ++seat)
            row.push_back({doc::tick(fmt::format("seat {}: {}", seat, entry.what))});
        table.rows.push_back(std::move(row));
    }
    return table;
}

std::string stock_words(const std::optional<int>& stock) { return stock ? std::to_string(*stock) : "not counted"; }

}  // namespace

doc::Document count_out_sheet(const Bench& bench, const Sheets& sheets) {
    doc::Document out{"Count out: " + bench.title, {}};
    out.blocks.push_back(doc::paragraph(
        {"Version ", doc::code(sheets.version),
         fmt::format(", {} {}. Count, seal the bag, tick. The learner counts again with the same list.", sheets.seats,
                     sheets.seats == 1 ? "seat" : "seats")}));
    for (int first = 1; first <= sheets.seats; first += seats_across)
        out.blocks.push_back(bags(sheets, first, std::min(first + seats_across - 1, sheets.seats)));
    doc::Table spares{.caption = "Spares, kept by the instructor",
                      .columns = {{"what"},
                                  {"a seat x seats", doc::Align::right, false},
                                  {"spares", doc::Align::right, false},
                                  {"in all", doc::Align::right, false},
                                  {"there", doc::Align::center, false}}};
    for (const KitEntry& entry : sheets.kit)
        spares.rows.push_back({{entry.what},
                               {fmt::format("{} x {} = {}", entry.per_seat, entry.seats, entry.per_seat * entry.seats)},
                               {std::to_string(entry.spares)},
                               {doc::strong(std::to_string(entry.total()))},
                               {doc::tick("spares there: " + entry.what)}});
    out.blocks.push_back(std::move(spares));
    out.blocks.push_back(doc::paragraph({"Counted by: ..............................   Date: ................"}));
    return out;
}

doc::Document count_back_sheet(const Bench& bench, const Sheets& sheets) {
    doc::Document out{"Count back: " + bench.title, {}};
    out.blocks.push_back(doc::paragraph(
        {"Version ", doc::code(sheets.version),
         fmt::format(
             ", {} {}. Test what is in doubt, bag it apart, write what has to be bought. The shares lost, out of "
             "what went out, are the spares to keep next time.",
             sheets.seats, sheets.seats == 1 ? "seat" : "seats")}));
    doc::Table table{.columns = {{"what"},
                                 {"out", doc::Align::right, false},
                                 {"back", doc::Align::center, false},
                                 {"broken", doc::Align::center, false},
                                 {"missing", doc::Align::center, false},
                                 {"buy", doc::Align::center, false}}};
    for (const KitEntry& entry : sheets.kit)
        table.rows.push_back(
            {{entry.what}, {std::to_string(entry.total())}, {"......"}, {"......"}, {"......"}, {"......"}});
    out.blocks.push_back(std::move(table));
    out.blocks.push_back(doc::paragraph({"Counted by: ..............................   Date: ................"}));
    return out;
}

Blocks stock_blocks(const StockReport& report) {
    Blocks out;
    if (report.counted) {
        doc::Table lacking{.caption = "What the drawer lacks",
                           .columns = {{"part"},
                                       {"needed", doc::Align::right, false},
                                       {"in stock", doc::Align::right, false},
                                       {"lacking", doc::Align::right, false}}};
        for (const PartNeed& need : report.needs)
            if (need.lacking() > 0)
                lacking.rows.push_back({{need.type},
                                        {std::to_string(need.needed)},
                                        {stock_words(need.stock)},
                                        {doc::strong(std::to_string(need.lacking()))}});
        if (lacking.rows.empty())
            out.push_back(doc::paragraph({"The [stock] of the bench holds all of it, spares counted."}));
        else
            out.push_back(std::move(lacking));
    } else {
        out.push_back(doc::paragraph({"The bench has no [stock]: nobody said what is in the drawer."}));
    }
    if (report.substitutes.empty()) return out;
    out.push_back(doc::heading(2, {"What may stand in"}));
    out.push_back(
        doc::paragraph({"Each was put in the place of every part of its kind, and the whole wiring was judged."}));
    doc::Table table{.columns = {{"in place of"},
                                 {"this part"},
                                 {"may it", doc::Align::left, false},
                                 {"because"},
                                 {"in stock", doc::Align::right, false}}};
    for (const Substitute& s : report.substitutes)
        table.rows.push_back({{s.wanted},
                              {s.instead},
                              {doc::strong(s.works ? "yes" : "no"), " ", doc::verdict(s.verdict)},
                              {s.because},
                              {stock_words(s.stock)}});
    out.push_back(std::move(table));
    return out;
}

}  // namespace voltsill
