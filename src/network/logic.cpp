#include "network/logic.h"

#include <fmt/format.h>

#include <cmath>

namespace voltsill {
namespace {

constexpr std::size_t most_inputs = 16;

bool node_ok(const Netlist& netlist, Node n) {
    return n >= 0 && n < static_cast<Node>(netlist.node_names.size());
}

/// A parameter that must be there and finite.
bool number_ok(ParamId p, std::span<const double> values) {
    return p >= 0 && p < static_cast<ParamId>(values.size()) && std::isfinite(values[p]);
}

}  // namespace

std::string unit_refusal(const Netlist& netlist, std::span<const double> values) {
    std::vector<bool> owned(netlist.stages.size());
    for (const LogicUnit& unit : netlist.units) {
        if (unit.inputs.size() > most_inputs)
            return fmt::format("{}: more than {} inputs", unit.name, most_inputs);
        if (unit.rows.size() != unit.outputs.size() << unit.inputs.size())
            return fmt::format(
                "{}: its table has {} levels, not one for each output and combination of inputs", unit.name,
                unit.rows.size());
        if (!node_ok(netlist, unit.supply) || !node_ok(netlist, unit.ground))
            return fmt::format("{}: no such supply node", unit.name);
        if (unit.min_supply != no_param && !number_ok(unit.min_supply, values))
            return fmt::format("{}: least supply is not a number", unit.name);
        for (const LogicInput& input : unit.inputs)
            if (!node_ok(netlist, input.pin) || !number_ok(input.vil, values) ||
                !number_ok(input.vih, values))
                return fmt::format("{}: an input lacks its pin or a threshold", unit.name);
        for (StageId s : unit.outputs) {
            if (s < 0 || s >= static_cast<StageId>(owned.size()) || owned[s])
                return fmt::format("{}: an output has no stage of its own", unit.name);
            owned[s] = true;
        }
    }
    return {};
}

Logic reading(const LogicInput& input, VoltRange volts, Logic before, std::span<const double> values) {
    const double vil = values[input.vil], vih = values[input.vih];
    if (volts.hi <= vil) return Logic::zero;
    if (volts.lo >= vih) return Logic::one;
    if (input.schmitt && before == Logic::zero && volts.hi < vih) return Logic::zero;
    if (input.schmitt && before == Logic::one && volts.lo > vil) return Logic::one;
    return Logic::X;
}

Logic unit_output(const LogicUnit& unit, std::span<const Logic> readings, std::size_t k) {
    bool any = false;
    Logic common = Logic::X;
    for (std::size_t row = 0; row < std::size_t{1} << readings.size(); ++row) {
        bool possible = true;
        for (std::size_t i = 0; i < readings.size() && possible; ++i)
            possible = readings[i] == (row >> i & 1 ? Logic::one : Logic::zero) || readings[i] == Logic::X ||
                       readings[i] == Logic::Z;
        if (!possible) continue;
        const Logic level = unit.rows[row * unit.outputs.size() + k];
        if (any && level != common) return Logic::X;
        common = level;
        any = true;
    }
    return common;
}

}  // namespace voltsill
