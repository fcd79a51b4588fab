#pragma once
/// Ternary evaluation of logic units: readings of inputs from voltage ranges, outputs from rows.
#include <span>
#include <string>
#include <vector>

#include "network/netlist.h"

namespace voltsill {

struct VoltRange {
    double lo = 0, hi = 0;
};

/// "" if every unit's indices, rows and thresholds can be used.
std::string unit_refusal(const Netlist& netlist, std::span<const double> values);

/// What an input reads over the whole range; a Schmitt input between its thresholds: `before`.
Logic reading(const LogicInput& input, VoltRange volts, Logic before, std::span<const double> values);

/// Level of output `k`: the level all rows agree on that the readings leave possible, else X.
Logic unit_output(const LogicUnit& unit, std::span<const Logic> readings, std::size_t k);

}  // namespace voltsill
