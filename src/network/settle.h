#pragma once
/// The levels of the logic fixed point of dc.h, for those who want no more.
#include <map>

#include "network/dc.h"

namespace voltsill {

/// Volts of the nodes of every block at the levels of its stages met so far: many told levels leave most of a
/// netlist as it was. For one netlist, partition and set of values; a block that found no balance reads NaN.
struct VoltsMet {
    std::vector<std::map<std::vector<Logic>, std::vector<double>>> of_block;
};

/// The levels `settle` would give, by stage, without asking whether what stays at X could come to rest at all,
/// which takes most of its time where many stages stay at X, as behind a supply or ground that is missing.
/// Empty: the netlist cannot be solved whatever its levels.
std::vector<Logic> settle_levels(const Netlist& netlist, const Partition& partition, std::span<const double> values,
                                 const State& state, VoltsMet* met = nullptr, const DcOptions& options = {});

}  // namespace voltsill
