#include "documents/sheets_pieces.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <iterator>

#include "quantity/print.h"

namespace voltsill {

std::string amps_window(double lo, double hi) {
    const std::string from = print(Amps{lo}), to = print(Amps{hi});
    return from == to ? from : fmt::format("{} to {}", from, to);
}

std::string set_words(char set) {
    switch (set) {
        case '0':
            return "low";
        case '1':
            return "high";
        case 'Z':
            return "released";
        default:
            return "any level";
    }
}

std::string to_fill(const char* unit) { return fmt::format("........ {}", unit); }

void add_pen_columns(doc::Table& table) {
    table.columns.push_back({"read", doc::Align::right, false});
    table.columns.push_back({"ok", doc::Align::center, false});
}
void add_pen_cells(std::vector<doc::Text>& row, const char* unit, const std::string& what) {
    row.push_back({to_fill(unit)});
    row.push_back({doc::tick(what)});
}

Blocks front_blocks(const Bench& bench, const Sheets& sheets) {
    Blocks out;
    const Judgement& j = sheets.judgement;
    out.push_back(doc::paragraph({"Version ", doc::code(sheets.version), ". As wired here: ",
                                  doc::verdict(j.verdict), ", " + tally(j.links) + "."}));
    doc::Caution stop{"STOP: do not build all of this", {}};
    for (const std::string& name : sheets.unwired)
        stop.paragraphs.push_back(
            {doc::strong(name), ": no interface circuit was found. Its pins stay unjoined."});
    for (const LinkJudgement& link : j.links)
        if (link.verdict > Verdict::thin &&
            std::ranges::find(sheets.unwired, link.link) == sheets.unwired.end())
            stop.paragraphs.push_back(
                {doc::strong(link.link), ": ", doc::verdict(link.verdict), ". " + why(j, link)});
    for (const int k : j.shared)
        if (j.findings[k].verdict > Verdict::thin)
            stop.paragraphs.push_back({doc::verdict(j.findings[k].verdict), " " + j.findings[k].sentence});
    if (!j.trouble.empty()) stop.paragraphs.push_back({j.trouble});
    if (!stop.paragraphs.empty()) out.push_back(std::move(stop));
    if (!sheets.has_holes())
        out.push_back(doc::Caution{"No places on a board",
                                   {{sheets.placed.trouble.empty()
                                         ? std::string("Wires are listed from pin to pin.")
                                         : "Wires are listed from pin to pin: " + sheets.placed.trouble}}});
    if (sheets.slips.slips > 0)
        out.push_back(doc::paragraph({sheets.slips.sentence + " The checks before power are for these."}));
    for (const std::string& note : sheets.placed.notes) out.push_back(doc::paragraph({note}));
    if (const std::string controller = controller_of(bench); !controller.empty() && sheets.planned)
        out.push_back(doc::paragraph({"The wiring is the planner's: the bench file has no [wiring]."}));
    return out;
}

Blocks slip_blocks(const Sheets& sheets, bool answers) {
    const SlipReport& slips = sheets.slips;
    if (slips.rows.empty()) return {};
    constexpr std::size_t most_rows = 12, most_slips = 30;
    Blocks out{doc::heading(2, {"Rows to look at twice"}), doc::paragraph({slips.sentence})};
    doc::Table rows{.caption = "Where a slip of one wire or lead could harm",
                    .columns = {{"where"},
                                {"slips that harm", doc::Align::right},
                                {"not known", doc::Align::right},
                                {"looked twice", doc::Align::center, false}}};
    for (std::size_t k = 0; k < std::min(most_rows, slips.rows.size()); ++k) {
        const RowToCheck& row = slips.rows[k];
        rows.rows.push_back({{row.words},
                             {std::to_string(row.harmful)},
                             {std::to_string(row.unknown)},
                             {doc::tick("looked twice at " + row.words)}});
    }
    out.push_back(std::move(rows));
    if (slips.rows.size() > most_rows)
        out.push_back(doc::paragraph({fmt::format("And {} more with fewer.", slips.rows.size() - most_rows)}));
    if (!answers) return out;
    doc::Table worst{.caption = "What the slips would do", .columns = {{"slip"}, {"what it does"}}};
    for (std::size_t k = 0; k < std::min(most_slips, slips.worst.size()); ++k) {
        const SlipHarm& harm = slips.worst[k];
        worst.rows.push_back({{words(sheets.wiring(), sheets.placed.placement, harm.slip)},
                              {doc::verdict(harm.verdict), " " + harm.sentence}});
    }
    out.push_back(std::move(worst));
    if (slips.worst.size() > most_slips)
        out.push_back(doc::paragraph(
            {fmt::format("And {} more; the JSON document has them all.", slips.worst.size() - most_slips)}));
    return out;
}

doc::Block care_block() {
    return doc::Caution{
        "Care",
        {{"Extra-low voltage only. Nothing here applies to mains or to anything joined to it; where it meets "
          "a "
          "fixed installation, local codes and licensed practice decide."},
         {"Power off before any wire, part or plug is moved. One hand wires, the other reads the sheet."},
         {"If it is hot, smells or the supply limits: off first, think second."}}};
}

void append_sheet(Blocks& blocks, doc::Document sheet) {
    blocks.push_back(doc::heading(2, {sheet.title}));
    for (doc::Block& block : sheet.blocks) {
        if (auto* h = std::get_if<doc::Heading>(&block)) h->level = std::min(h->level + 1, 6);
        blocks.push_back(std::move(block));
    }
}

}  // namespace voltsill
