#include "wiring/footprint.h"

namespace voltsill {

Footprint footprint_of(const WiredPart& part) {
    if (!part.package) return {};
    const std::string& name = part.package->name;
    if (part.type->kind == PartKind::module && name.starts_with("HEADER-")) return {};
    const int leads = static_cast<int>(part.package->pin_of_number.size());
    Footprint footprint{.kind = FootprintKind::row, .leads = leads, .adapter = !part.package->fits_board};
    const bool single_row = name.starts_with("SOT-") || name.starts_with("SC-");
    if (name.starts_with("AXIAL-") && leads == 2)
        footprint = {FootprintKind::two, 2, 3, 8};
    else if (leads == 2)
        footprint = {FootprintKind::two, 2, 1, 4};
    else if (leads % 2 == 0 && (name.starts_with("DIP-") || (footprint.adapter && !single_row)))
        footprint.kind = FootprintKind::dip;
    return footprint;
}

}  // namespace voltsill
