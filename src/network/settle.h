#pragma once
/// The levels of the logic fixed point of dc.h, for those who want no more.
#include "network/dc.h"

namespace voltsill {

/// The levels `settle` would give, by stage, without asking whether what stays at X could come to rest at all,
/// which takes most of its time where many stages stay at X, as behind a supply or ground that is missing.
/// Empty: the netlist cannot be solved whatever its levels.
std::vector<Logic> settle_levels(const Netlist& netlist, const Partition& partition, std::span<const double> values,
                                 const State& state, const DcOptions& options = {});

}  // namespace voltsill
