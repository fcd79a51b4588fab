/// The build sheet: what is needed, and every step with a box to tick.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "documents/sheets_pieces.h"
#include "quantity/colour_code.h"

namespace voltsill {
namespace {

const BuildWire& wire_of(const Sheets& sheets, int number) {
    return *std::ranges::find(sheets.wires, number, &BuildWire::number);
}

doc::Steps::Step step_of(const Sheets& sheets, const BuildStep& step) {
    if (step.wire == 0) return {{step.text}, step.more.empty() ? doc::Text{} : doc::Text{step.more}};
    const BuildWire& wire = wire_of(sheets, step.wire);
    doc::Text text{doc::strong(fmt::format("Wire {}", wire.number)), ": ", doc::code(wire.from), " to ",
                   doc::code(wire.to)};
    if (wire.metres > 0)
        text.push_back(fmt::format(", {} mm", static_cast<int>(std::ceil(wire.metres * 1e3 - 1e-6))));
    if (!wire.colour.empty()) text.push_back(fmt::format(", {} ({})", wire.colour, colour_name(wire.colour)));
    return {std::move(text), {wire.reason.empty() ? wire.net : wire.reason}};
}

doc::Table needed(const Sheets& sheets) {
    doc::Table table{.caption = "What one seat needs",
                     .columns = {{"have", doc::Align::center, false},
                                 {"count", doc::Align::right, false},
                                 {"what"},
                                 {"names or wire numbers"}}};
    for (const KitEntry& entry : sheets.kit)
        table.rows.push_back({{doc::tick("have " + entry.what)},
                              {std::to_string(entry.per_seat)},
                              {entry.what},
                              {entry.names}});
    return table;
}

void steps_of(const Bench& bench, const Sheets& sheets, Blocks& blocks) {
    int number = 1;
    for (const BuildPhase& phase : sheets.phases) {
        blocks.push_back(doc::heading(3, {phase.title}));
        if (!phase.about.empty()) blocks.push_back(doc::paragraph({phase.about}));
        if (!phase.link.empty()) append(blocks, circuit_blocks(bench, sheets, phase.link));
        doc::Steps steps{.first = number};
        for (const BuildStep& step : phase.steps) steps.items.push_back(step_of(sheets, step));
        number += static_cast<int>(phase.steps.size());
        if (!phase.gate.empty()) {
            steps.items.push_back({{doc::strong("Check: "), phase.gate}, {}});
            ++number;
        }
        blocks.push_back(std::move(steps));
    }
}

}  // namespace

doc::Document build_sheet(const Bench& bench, const Sheets& sheets) {
    doc::Document out{"Build sheet: " + bench.title, front_blocks(bench, sheets)};
    out.blocks.push_back(care_block());
    out.blocks.push_back(doc::heading(2, {"What you need"}));
    out.blocks.push_back(needed(sheets));
    out.blocks.push_back(doc::paragraph(
        {"Tools: wire cutter and stripper, flat pliers, multimeter with continuity and ohms, a supply with a "
         "current limit, this sheet and a pen."}));
    append(out.blocks, picture_blocks(bench, sheets));
    out.blocks.push_back(doc::heading(2, {"Steps"}));
    steps_of(bench, sheets, out.blocks);
    append(out.blocks, slip_blocks(sheets, false));
    if (const std::vector<std::string> notes = facing_pin_notes(sheets.wiring()); !notes.empty()) {
        doc::BulletList list;
        for (const std::string& note : notes) list.items.push_back({note});
        out.blocks.push_back(doc::heading(2, {"Pins that do not face each other"}));
        out.blocks.push_back(std::move(list));
    }
    return out;
}

}  // namespace voltsill
