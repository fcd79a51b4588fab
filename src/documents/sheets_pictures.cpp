/// The drawings of a build, where they belong.
#include <fmt/format.h>

#include <algorithm>

#include "documents/sheets_pieces.h"
#include "drawing/circuit_link.h"
#include "drawing/package_plan.h"
#include "drawing/rail_map.h"
#include "drawing/tie_point_plan.h"

namespace voltsill {
namespace {

void boards(const Bench& bench, const Sheets& sheets, Blocks& blocks) {
    const Placement& placement = sheets.placed.placement;
    blocks.push_back(doc::heading(2, {"Where everything goes"}, "tie-points"));
    const int count = static_cast<int>(placement.boards.size());
    for (int board = 0; board < count; ++board)
        blocks.push_back(
            doc::Picture{drawing::tie_point_plan(bench, sheets.wiring(), placement, board), ""});
    blocks.push_back(doc::Picture{drawing::tie_point_key(bench, sheets.wiring(), placement), ""});
}

/// Packages whose pins a builder counts: those with two rows of them.
void packages(const Bench& bench, const Sheets& sheets, Blocks& blocks) {
    const std::vector<WiredPart>& parts = sheets.wiring().parts;
    bool any = false;
    for (size_t p = 0; p < parts.size(); ++p) {
        if (!parts[p].added || !parts[p].package || !drawing::two_rows(*parts[p].package)) continue;
        if (!any) blocks.push_back(doc::heading(2, {"Packages from above"}, "packages"));
        any = true;
        blocks.push_back(doc::Picture{drawing::package_plan(bench, sheets.wiring(), static_cast<int>(p)), ""});
    }
}

}  // namespace

Blocks circuit_blocks(const Bench& bench, const Sheets& sheets, const std::string& link) {
    drawing::Drawing circuit = drawing::link_circuit(bench, sheets.wiring(), link);
    if (circuit.items.empty()) return {};
    return {doc::Picture{std::move(circuit), ""}};
}

Blocks picture_blocks(const Bench& bench, const Sheets& sheets) {
    Blocks blocks{doc::heading(2, {"Map of rails"}, "rails")};
    for (drawing::Drawing& map : drawing::rail_maps(bench, &sheets.wiring(), &sheets.judgement))
        blocks.push_back(doc::Picture{std::move(map), ""});
    if (sheets.has_holes()) boards(bench, sheets, blocks);
    packages(bench, sheets, blocks);
    return blocks;
}

}  // namespace voltsill
