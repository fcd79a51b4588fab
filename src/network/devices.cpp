#include "network/devices.h"

#include <fmt/format.h>

#include <algorithm>

namespace voltsill {
namespace {

/// What the solver can work with: a sign rule per parameter, and whether it may be left out.
constexpr double largest_value = 1e30;  // SI; products of a few such values stay finite
enum class Rule { none, finite, positive, not_negative };
struct ParamRule {
    const char* name;
    Rule rule;
    bool optional = false;
};

constexpr DeviceShape pair_shape{2, 1, 1, {{0, 1}}, {{0, 1}}};
constexpr DeviceShape mosfet_shape{3, 2, 1, {{1, 2}, {1, 0}}, {{0, 2}}};
constexpr DeviceShape bjt_shape{3, 2, 3, {{1, 2}, {1, 0}}, {{0, 2}, {1, 2}, {1, 0}}};
constexpr DeviceShape opto_shape{4, 2, 2, {{0, 1}, {2, 3}}, {{0, 1}, {2, 3}}};
constexpr DeviceShape amplifier_shape{5, 3, 2, {{0, 4}, {1, 2}, {3, 4}}, {{0, 4}, {3, 0}}};

std::array<ParamRule, 4> rules_of(DeviceKind kind) {
    constexpr ParamRule no{"", Rule::none, true};
    switch (kind) {
        case DeviceKind::resistor:
            return {{{"ohms", Rule::positive}, no, no, no}};
        case DeviceKind::source:
            return {{{"volts", Rule::finite}, {"series ohms", Rule::positive, true}, no, no}};
        case DeviceKind::current:
            return {{{"amps", Rule::finite}, no, no, no}};
        case DeviceKind::diode:
            return {{{"forward volts", Rule::positive},
                     {"reference amps", Rule::positive},
                     {"emission volts", Rule::positive},
                     no}};
        case DeviceKind::mosfet:
            return {{{"threshold", Rule::finite}, {"K", Rule::positive}, no, no}};
        case DeviceKind::bjt:
            return {
                {{"beta", Rule::positive}, {"vbe", Rule::positive}, {"reverse beta", Rule::positive}, no}};
        case DeviceKind::table:
            return {{{"volt scale", Rule::positive, true}, {"amp scale", Rule::not_negative, true}, no, no}};
        case DeviceKind::opto:
            return {{{"forward volts", Rule::positive},
                     {"reference amps", Rule::positive},
                     {"transfer ratio", Rule::not_negative},
                     no}};
        case DeviceKind::amplifier:
            return {{{"top headroom", Rule::finite},
                     {"bottom headroom", Rule::finite},
                     {"gain", Rule::positive},
                     {"output ohms", Rule::positive}}};
        case DeviceKind::switch_:
            return {{{"on ohms", Rule::positive}, {"off ohms", Rule::positive}, no, no}};
    }
    return {};
}

bool obeys(double value, Rule rule) {
    if (!(std::abs(value) <= largest_value)) return false;
    if (rule == Rule::positive) return value >= 1.0 / largest_value;
    if (rule == Rule::not_negative) return value >= 0.0;
    return true;
}

const char* wording(Rule rule) {
    if (rule == Rule::positive) return "must be above zero, within 1e-30 .. 1e30";
    return rule == Rule::not_negative ? "must not be negative, up to 1e30" : "must be a number within +-1e30";
}

bool in_range(int index, std::size_t size) { return index >= 0 && index < static_cast<int>(size); }

}  // namespace

const DeviceShape& shape_of(DeviceKind kind) {
    switch (kind) {
        case DeviceKind::mosfet:
            return mosfet_shape;
        case DeviceKind::bjt:
            return bjt_shape;
        case DeviceKind::opto:
            return opto_shape;
        case DeviceKind::amplifier:
            return amplifier_shape;
        default:
            return pair_shape;
    }
}

std::string shape_refusal(const Netlist& netlist, const Device& device) {
    for (int t = 0; t < shape_of(device.kind).terminals; ++t)
        if (!in_range(device.nodes[t], netlist.node_names.size()))
            return fmt::format("{}: terminal {} has no node", device.name, t + 1);
    const auto rules = rules_of(device.kind);
    for (int k = 0; k < 4; ++k) {
        if (device.params[k] == no_param ? !rules[k].optional
                                         : !in_range(device.params[k], netlist.parameters.size()))
            return fmt::format("{}: {} has no parameter", device.name, rules[k].name);
    }
    if (device.kind == DeviceKind::table && !in_range(device.table, netlist.tables.size()))
        return fmt::format("{}: no such table", device.name);
    if (device.kind == DeviceKind::source && !in_range(device.index, netlist.sources))
        return fmt::format("{}: not numbered among the sources", device.name);
    if (device.kind == DeviceKind::switch_ && !in_range(device.index, netlist.switches))
        return fmt::format("{}: not numbered among the switches", device.name);
    return {};
}

std::string shape_refusal(const Netlist& netlist, const Stage& stage) {
    for (Node node : {stage.pin, stage.supply, stage.ground})
        if (!in_range(node, netlist.node_names.size())) return fmt::format("{}: no such node", stage.name);
    for (int table : {stage.up_table, stage.down_table, stage.up_strong_table, stage.down_strong_table})
        if (table != -1 && !in_range(table, netlist.tables.size()))
            return fmt::format("{}: no such table", stage.name);
    for (ParamId p : {stage.up_strength, stage.down_strength})
        if (p != no_param && !in_range(p, netlist.parameters.size()))
            return fmt::format("{}: no such parameter", stage.name);
    return {};
}

std::string shape_refusal(const Table& table) {
    if (table.volts.size() < 2 || table.volts.size() != table.amps.size())
        return "a table needs at least two points";
    for (std::size_t k = 0; k < table.volts.size(); ++k) {
        if (!std::isfinite(table.volts[k]) || !std::isfinite(table.amps[k]))
            return fmt::format("point {} of a table is not a number", k + 1);
        if (k > 0 &&
            !(table.volts[k] > table.volts[k - 1] && table.amps[k] >= table.amps[k - 1] &&
              std::isfinite((table.amps[k] - table.amps[k - 1]) / (table.volts[k] - table.volts[k - 1]))))
            return fmt::format("a table falls or steps at its point {}", k + 1);
    }
    return {};
}

std::string value_refusal(const Netlist& netlist, const Device& device, std::span<const double> values) {
    const auto rules = rules_of(device.kind);
    for (int k = 0; k < 4; ++k) {
        if (device.params[k] == no_param) continue;
        const double value = values[device.params[k]];
        if (!obeys(value, rules[k].rule))
            return fmt::format("{}: {} is {} ({}) and {}", device.name, rules[k].name, value,
                               netlist.parameters[device.params[k]].name, wording(rules[k].rule));
    }
    return {};
}

std::string value_refusal(const Netlist& netlist, const Stage& stage, std::span<const double> values) {
    for (ParamId p : {stage.up_strength, stage.down_strength})
        if (p != no_param && !obeys(values[p], Rule::not_negative))
            return fmt::format("{}: strength is {} ({}) and {}", stage.name, values[p],
                               netlist.parameters[p].name, wording(Rule::not_negative));
    return {};
}

int table_segment(const Table& table, double volts) {
    const auto inner_begin = table.volts.begin() + 1, inner_end = table.volts.end() - 1;
    return static_cast<int>(std::upper_bound(inner_begin, inner_end, volts) - inner_begin);
}

}  // namespace voltsill
