#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "documents/part_figures.h"
#include "documents/report_pieces.h"
#include "parts/words.h"

namespace voltsill {
namespace {

/// Pins with the same role, supply and figures.
struct PinGroup {
    std::vector<std::string> names;
    const Pin* like;
    FigureRows rows;
};

std::vector<PinGroup> grouped_pins(const PartType& type) {
    std::vector<PinGroup> groups;
    for (const Pin& pin : type.pins) {
        FigureRows rows = figures_of(pin);
        const auto at = std::ranges::find_if(groups, [&](const PinGroup& g) {
            return g.like->role == pin.role && g.like->supply == pin.supply && g.like->note == pin.note &&
                   g.like->must_be_tied == pin.must_be_tied && g.like->reset_state == pin.reset_state &&
                   g.rows == rows;
        });
        if (at != groups.end())
            at->names.push_back(pin.name);
        else
            groups.push_back({{pin.name}, &pin, std::move(rows)});
    }
    return groups;
}

void append_rows(Blocks& blocks, const FigureRows& rows) {
    if (!rows.known.empty()) {
        doc::Table table{.columns = {{"figure"}, {"value"}, {"at"}, {"source"}}};
        for (const FigureRow& r : rows.known)
            table.rows.push_back({{r.name}, {r.value}, {r.at}, {words(r.origin)}});
        blocks.push_back(std::move(table));
    }
    if (!rows.missing.empty())
        blocks.push_back(doc::paragraph({fmt::format("Not known: {}.", fmt::join(rows.missing, ", "))}));
}

std::string logic_word(ChannelLogic logic) {
    for (const auto& [word, value] : logic_words())
        if (value == logic) return word;
    return {};
}

doc::Table channel_table(const PartType& type) {
    const auto name = [&](int pin) { return pin < 0 ? std::string() : type.pins[pin].name; };
    doc::Table table{.columns = {{"channel"}, {"does"}, {"from"}, {"to"}, {"enabled by"}, {"direction"}}};
    for (const Channel& c : type.channels) {
        std::vector<std::string> inputs, enables;
        for (const int k : c.inputs) inputs.push_back(name(k));
        for (size_t k = 0; k < c.enables.size(); ++k)
            enables.push_back(fmt::format("{} {}", name(c.enables[k]), c.enable_high[k] ? "high" : "low"));
        const std::string direction = c.direction < 0 ? ""
                                                      : fmt::format("{} high: {} to {}", name(c.direction),
                                                                    fmt::join(inputs, ", "), name(c.output));
        table.rows.push_back({{c.name},
                              {logic_word(c.logic)},
                              {fmt::format("{}", fmt::join(inputs, ", "))},
                              {name(c.output)},
                              {fmt::format("{}", fmt::join(enables, ", "))},
                              {direction}});
    }
    return table;
}

doc::Table package_table(const PartType& type, const Package& package) {
    doc::Table table{.caption = "Pins of " + package.name,
                     .columns = {{"pin", doc::Align::right, false}, {"name"}, {"kind"}}};
    for (size_t n = 0; n < package.pin_of_number.size(); ++n) {
        const int k = package.pin_of_number[n];
        table.rows.push_back({{std::to_string(n + 1)},
                              {k < 0 ? std::string("no connection") : type.pins[k].name},
                              {k < 0 ? std::string() : std::string(to_word(type.pins[k].role))}});
    }
    return table;
}

void head(Blocks& blocks, const PartType& type) {
    if (!type.title.empty()) blocks.push_back(doc::paragraph({type.title + "."}));
    if (type.invented)
        blocks.push_back(
            doc::Caution{"Invented for an example", {{"No such part exists; its figures are made up."}}});
    doc::Definitions facts;
    facts.rows.push_back({{"kind"}, {std::string(to_word(type.kind))}});
    if (!type.family.empty()) facts.rows.push_back({{"family"}, {type.family}});
    if (!type.function.empty()) facts.rows.push_back({{"function"}, {type.function}});
    facts.rows.push_back({{"source"}, {words(type.origin)}});
    if (!type.note.empty()) facts.rows.push_back({{"note"}, {type.note}});
    blocks.push_back(std::move(facts));
}

void pin_group(Blocks& blocks, const PartType& type, const PinGroup& group) {
    std::string title = fmt::format("{}: {}", fmt::join(group.names, ", "), to_word(group.like->role));
    if (group.like->schmitt) title += ", Schmitt trigger";
    blocks.push_back(doc::heading(3, {title}));
    if (!group.like->note.empty()) blocks.push_back(doc::paragraph({group.like->note}));
    std::vector<std::string> facts;
    if (group.like->supply >= 0)
        facts.push_back("Levels follow " + type.supplies[group.like->supply].name + ".");
    if (group.like->must_be_tied) facts.push_back("Must not be left open.");
    if (!group.like->reset_state.empty())
        facts.push_back("Until software runs: " + group.like->reset_state + ".");
    if (group.like->load && !group.like->load->consequence.empty())
        facts.push_back("When on: " + group.like->load->consequence + ".");
    if (!facts.empty()) blocks.push_back(doc::paragraph({fmt::format("{}", fmt::join(facts, " "))}));
    append_rows(blocks, group.rows);
}

}  // namespace

doc::Document part_report(const PartType& type) {
    doc::Document out{type.name, {}};
    head(out.blocks, type);
    if (const FigureRows rows = figures_of_model(type); !rows.known.empty() || !rows.missing.empty()) {
        out.blocks.push_back(doc::heading(2, {"The part as a whole"}, "whole"));
        append_rows(out.blocks, rows);
    }
    if (!type.supplies.empty()) out.blocks.push_back(doc::heading(2, {"Supplies"}, "supplies"));
    for (const SupplyPort& supply : type.supplies) {
        out.blocks.push_back(doc::heading(3, {supply.name}));
        append_rows(out.blocks, figures_of(supply));
    }
    std::vector<PinGroup> groups = grouped_pins(type);
    std::erase_if(groups, [](const PinGroup& g) { return g.rows.known.empty() && g.rows.missing.empty(); });
    if (!groups.empty()) out.blocks.push_back(doc::heading(2, {"Pins"}, "pins"));
    for (const PinGroup& group : groups) pin_group(out.blocks, type, group);
    if (!type.channels.empty()) {
        out.blocks.push_back(doc::heading(2, {"Channels"}, "channels"));
        out.blocks.push_back(channel_table(type));
    }
    if (!type.packages.empty()) out.blocks.push_back(doc::heading(2, {"Packages"}, "packages"));
    for (const Package& package : type.packages) {
        const std::string note = package.fits_board ? "" : " (needs an adapter for a solderless board)";
        out.blocks.push_back(doc::Details{{package.name + note}, {package_table(type, package)}});
    }
    return out;
}

namespace {

/// Of a base whatever it gives; what it leaves open is open on purpose.
FigureRows figures_of(const PinTrait& trait) {
    Pin pin = trait.pin();
    if (pin.role != PinRole::passive) return figures_of(pin);
    pin.role = PinRole::io;
    FigureRows rows = figures_of(pin);
    rows.missing.clear();
    return rows;
}

}  // namespace

doc::Document trait_report(const PinTrait& trait) {
    const bool base = trait.pin().role == PinRole::passive;
    doc::Document out{trait.name, {}};
    out.blocks.push_back(doc::paragraph({base ? "A base for pins: what the pin is must be said beside it."
                                              : "How a pin of a part of one's own behaves."}));
    doc::Definitions facts;
    facts.rows.push_back(
        {{"write"},
         {doc::code(fmt::format("pins.NAME = {{ like = \"{}\"{} }}", trait.name, base ? ", is = \"input\"" : ""))}});
    if (!base) facts.rows.push_back({{"kind"}, {trait.part.title}});
    if (!trait.like.empty()) facts.rows.push_back({{"builds on"}, {trait.like}});
    facts.rows.push_back({{"source"}, {words(trait.part.origin)}});
    if (!trait.part.note.empty()) facts.rows.push_back({{"note"}, {trait.part.note}});
    out.blocks.push_back(std::move(facts));
    append_rows(out.blocks, figures_of(trait));
    return out;
}

}  // namespace voltsill
