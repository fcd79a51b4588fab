/// Faults planted for a class: the key by seat for the instructor, a sheet to find one by for the learner.
#include <fmt/format.h>

#include "documents/sheets_pieces.h"

namespace voltsill {
namespace {

constexpr int lines_to_fill = 10;

std::string grade_words(const PlantedFault& planted) {
    const std::size_t n = planted.steps.size();
    return fmt::format("{}: {} reading{} by the best strategy", to_word(planted.grade), n, n == 1 ? "" : "s");
}

doc::Block seat_table(const PlantedSet& set) {
    doc::Table table{.caption = "Which fault is at which seat",
                     .columns = {{"seat", doc::Align::right, false},
                                 {"fault"},
                                 {"grade", doc::Align::left, false},
                                 {"planted", doc::Align::center, false},
                                 {"found", doc::Align::center, false},
                                 {"mended", doc::Align::center, false}}};
    for (std::size_t seat = 0; seat < set.of_seat.size(); ++seat) {
        const int k = set.of_seat[seat];
        const std::string where = fmt::format(" at seat {}", seat + 1);
        table.rows.push_back({{fmt::format("{}", seat + 1)},
                              {fmt::format("{}. {}", k + 1, set.faults[k].fault.words)},
                              {std::string(to_word(set.faults[k].grade))},
                              {doc::tick("planted" + where)},
                              {doc::tick("found" + where)},
                              {doc::tick("mended" + where)}});
    }
    return table;
}

Blocks fault_blocks(const PlantedFault& planted, std::size_t number) {
    Blocks out{doc::heading(2, {fmt::format("{}. {}", number, planted.fault.words)}, fmt::format("fault-{}", number))};
    out.push_back(doc::Definitions{{{{"plant"}, {planted.plant}},
                                    {{"what fails"}, {planted.symptom}},
                                    {{"mend"}, {planted.remedy}},
                                    {{"grade"}, {grade_words(planted)}}}});
    doc::Table table{.columns = {{"", doc::Align::right, false},
                                 {"reading"},
                                 {"reads", doc::Align::right},
                                 {"as planned", doc::Align::right}}};
    for (std::size_t k = 0; k < planted.steps.size(); ++k)
        table.rows.push_back({{fmt::format("{}", k + 1)},
                              {planted.steps[k].question},
                              {planted.steps[k].reads},
                              {planted.steps[k].planned}});
    out.push_back(std::move(table));
    return out;
}

}  // namespace

doc::Document planted_sheet(const Bench& bench, const Sheets& sheets) {
    doc::Document out{"Planted faults, key: " + bench.title, {}};
    const PlantedSet& set = *sheets.planted;
    out.blocks.push_back(doc::paragraph({"Version ", doc::code(sheets.version), ". " + set.sentence}));
    if (set.faults.empty()) return out;
    out.blocks.push_back(doc::paragraph(
        {"For the instructor only. None of these harms anything when powered, as judged, and none shows to a look at "
         "wires and parts. Plant with the power off; tick what was mended before the kit goes back."}));
    out.blocks.push_back(seat_table(set));
    for (std::size_t k = 0; k < set.faults.size(); ++k) append(out.blocks, fault_blocks(set.faults[k], k + 1));
    return out;
}

doc::Document fault_finding_sheet(const Bench& bench, const Sheets& sheets) {
    doc::Document out{"Find the fault: " + bench.title, {}};
    out.blocks.push_back(
        doc::paragraph({"Name: ..............................   Seat: ........   Date: ................"}));
    out.blocks.push_back(doc::paragraph({"Version ", doc::code(sheets.version),
                                         ". One thing is wrong with this build. It does not show to the eye, and it "
                                         "harms nothing."}));
    out.blocks.push_back(doc::paragraph(
        {"Before each reading write what it should be if nothing is wrong; after it, what is now ruled out. Power off "
         "before anything moves."}));
    out.blocks.push_back(care_block());
    // Room for a hand, over the whole width of A4; broken at the blanks where there is less.
    const std::string dots(34, '.'), cell = dots + " " + dots, line = cell + " " + dots;
    out.blocks.push_back(doc::paragraph({doc::strong("What the bench does wrong: "), line}));
    doc::Table table{.columns = {{"", doc::Align::right, false},
                                 {"point, and what drivers say"},
                                 {"should read", doc::Align::right, false},
                                 {"reads", doc::Align::right, false},
                                 {"this rules out"}}};
    for (int k = 1; k <= lines_to_fill; ++k)
        table.rows.push_back({{fmt::format("{}", k)}, {cell}, {"............"}, {"............"}, {cell}});
    out.blocks.push_back(std::move(table));
    for (const char* wanted : {"What is wrong: ", "The reading that shows it: ", "How it is mended: "})
        out.blocks.push_back(doc::paragraph({doc::strong(wanted), line}));
    return out;
}

}  // namespace voltsill
