#include "documents/report_pieces.h"
#include "documents/reports.h"

namespace voltsill {
namespace {

doc::Table named_table(const char* what) { return {.columns = {{what, doc::Align::left, false}, {"what it is"}}}; }

}  // namespace

doc::Document catalogue_report(const std::string& title, const std::vector<const PartType*>& types,
                               const std::vector<PinTrait>& traits) {
    doc::Document out{title, {}};
    if (!types.empty()) {
        doc::Table table = named_table("part type");
        for (const PartType* type : types) table.rows.push_back({{doc::code(type->name)}, {type->title}});
        out.blocks.push_back(std::move(table));
    }
    if (traits.empty()) return out;
    out.blocks.push_back(doc::heading(2, {"Traits"}, "traits"));
    out.blocks.push_back(doc::paragraph(
        {"For a pin of a part of one's own: ", doc::code("pins.NAME = { like = \"...\" }"), "."}));
    doc::Table table = named_table("trait");
    for (const PinTrait& trait : traits) table.rows.push_back({{doc::code(trait.name)}, {trait.part.title}});
    out.blocks.push_back(std::move(table));
    return out;
}

}  // namespace voltsill
