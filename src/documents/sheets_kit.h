#pragma once
/// What a course needs: parts and wires of one bench, times the seats, with spares.
///
///     total = per seat x seats + spares,   spares = ceil(rate x per seat x seats)
///
/// Rates are those of SpareRates: common practice, no source, unless a course has its own.
#include <string>
#include <vector>

#include "documents/sheets_steps.h"
#include "wiring/spares.h"

namespace voltsill {

struct KitEntry {
    std::string what;
    int per_seat = 0, seats = 0, spares = 0;
    std::string names;  ///< "R1, R2"; colours and lengths of wires
    int total() const { return per_seat * seats + spares; }
};

/// Supplies, boards, parts, wires; `rates` of modules goes for supplies as well.
std::vector<KitEntry> kit_list(const Bench& bench, const PlacedWiring& placed, const std::vector<BuildWire>& wires,
                               int seats, const SpareRates& rates = {});

}  // namespace voltsill
