#include <fmt/format.h>
#include <fmt/ranges.h>

#include "documents/report_pieces.h"

namespace voltsill {

Blocks wire_blocks(const Wiring& wiring) {
    const std::vector<WireListEntry> wires = wire_list(wiring);
    if (wires.empty()) return {doc::paragraph({"No wires."})};
    doc::Table table{.columns = {{"no.", doc::Align::right, false}, {"from"}, {"to"}, {"net"}, {"what for"}}};
    for (size_t k = 0; k < wires.size(); ++k)
        table.rows.push_back({{std::to_string(k + 1)},
                              {doc::code(wires[k].from)},
                              {doc::code(wires[k].to)},
                              {wires[k].net},
                              {wires[k].reason}});
    return {doc::paragraph({"In this order, with all supplies off: grounds first, signals last."}),
            std::move(table)};
}

Blocks parts_blocks(const Wiring& wiring) {
    const std::vector<PartsListEntry> parts = parts_list(wiring);
    if (parts.empty()) return {doc::paragraph({"No parts."})};
    doc::Table table{
        .columns = {
            {"part"}, {"count", doc::Align::right, false}, {"spares", doc::Align::right, false}, {"names"}}};
    for (const PartsListEntry& p : parts)
        table.rows.push_back({{p.what},
                              {std::to_string(p.count)},
                              {std::to_string(p.spares)},
                              {fmt::format("{}", fmt::join(p.names, ", "))}});
    return {std::move(table)};
}

}  // namespace voltsill
