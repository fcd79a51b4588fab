#pragma once
/// Nodal equations of one block: what every device and stage of it adds to the balance of
/// currents and to its derivative. A sink receives
///
///     flow(from, to, amps)                       current between two nodes
///     slope(from, to, plus, minus, siemens)      d(flow)/d(v(plus) - v(minus))
///     branch(index, plus, minus, device)         an ideal source inside the block
///
/// so that Newton, adjoint sensitivities and source resistances share one set of equations.
#include "network/dc.h"
#include "network/devices.h"

namespace voltsill {

/// What continuation varies on the way to the network as it is (1, no limit).
struct Continuation {
    double sources = 1.0;       ///< factor on every source, current and held node
    double gain_limit = 1e300;  ///< bound of every amplifier's gain
};

/// "" if the netlist can be solved with these values: a sound partition, every value in its range.
std::string network_refusal(const Netlist& netlist, const Partition& partition,
                            std::span<const double> values);

inline bool switch_closed(const State& state, const Device& d) {
    return d.kind == DeviceKind::switch_ && d.index < static_cast<int>(state.switch_on.size()) &&
           state.switch_on[d.index];
}
inline bool source_on(const State& state, const Device& d) {
    return d.kind != DeviceKind::source || d.index >= static_cast<int>(state.source_on.size()) ||
           state.source_on[d.index];
}
inline Logic level_of(const State& state, StageId stage) {
    return stage < static_cast<StageId>(state.levels.size()) ? state.levels[stage] : Logic::Z;
}

inline Coefficients<double> coefficients_at(const Device& d, std::span<const double> values,
                                            const State& state, const Continuation& continuation = {}) {
    std::array<double, 4> p;
    for (int k = 0; k < 4; ++k) p[k] = d.params[k] == no_param ? 1.0 : values[d.params[k]];
    if (d.kind == DeviceKind::source || d.kind == DeviceKind::current) p[0] *= continuation.sources;
    return coefficients(d, p, switch_closed(state, d), continuation.gain_limit);
}

template <class Sink>
void stamp_device(const Netlist& netlist, const Device& d, const Coefficients<double>& c,
                  std::span<const double> volts, Sink& sink) {
    const DeviceShape& shape = shape_of(d.kind);
    if (shape.terminals == 2) {
        const Node a = d.nodes[0], b = d.nodes[1];
        const auto u = Dual<1>::variable(volts[a] - volts[b], 0, 1.0);
        const Dual<1> i = two_terminal_current(netlist, d, c, u);
        sink.flow(a, b, i.value);
        sink.slope(a, b, a, b, i.d[0]);
        return;
    }
    const double sign = d.reversed_polarity ? -1.0 : 1.0;
    Dual<3> u[3], flow[3];
    for (int k = 0; k < shape.controls; ++k)
        u[k] = Dual<3>::variable(
            sign * (volts[d.nodes[shape.control[k][0]]] - volts[d.nodes[shape.control[k][1]]]), k, 1.0);
    many_terminal_flows(d, c, u, flow);
    for (int j = 0; j < shape.flows; ++j) {
        const Node from = d.nodes[shape.flow[j][0]], to = d.nodes[shape.flow[j][1]];
        sink.flow(from, to, sign * flow[j].value);
        for (int k = 0; k < shape.controls; ++k)  // the two signs of polarity cancel
            sink.slope(from, to, d.nodes[shape.control[k][0]], d.nodes[shape.control[k][1]], flow[j].d[k]);
    }
}

/// The side of a stage that conducts at `level`: table (-1: none), its ends and its strength.
struct StageArm {
    int table = -1;
    Node from{}, to{};
    ParamId strength = no_param;
    int strong_table = -1;
    double strongest = 1.0;
};
inline StageArm conducting_arm(const Stage& s, Logic level) {
    if (level == Logic::one) return {s.up_table, s.supply, s.pin, s.up_strength, s.up_strong_table, s.strongest};
    if (level == Logic::zero)
        return {s.down_table, s.pin, s.ground, s.down_strength, s.down_strong_table, s.strongest};
    return {};
}

/// The current of an arm is plain * T(u) + strong * T_strong(u).
struct ArmShares {
    double plain = 1.0, strong = 0.0;
};
inline ArmShares shares_at(const StageArm& arm, double strength) {
    if (arm.strong_table < 0 || strength <= 1.0) return {strength, 0.0};
    if (strength >= arm.strongest) return {0.0, strength};
    const double t = (strength - 1.0) / (arm.strongest - 1.0);
    return {1.0 - t, t * arm.strongest};
}
inline ArmShares shares_of(const StageArm& arm, std::span<const double> values) {
    return shares_at(arm, arm.strength == no_param ? 1.0 : values[arm.strength]);
}
/// How the shares change with the strength.
inline ArmShares slopes_of_shares(const StageArm& arm, std::span<const double> values) {
    const double strength = arm.strength == no_param ? 1.0 : values[arm.strength];
    if (arm.strong_table < 0 || strength < 1.0) return {1.0, 0.0};
    if (strength > arm.strongest) return {0.0, 1.0};
    return {-1.0 / (arm.strongest - 1.0), arm.strongest / (arm.strongest - 1.0)};
}
template <class V>
V arm_current(const Netlist& netlist, const StageArm& arm, const ArmShares& shares, const V& u) {
    V amps = table_current(netlist.tables[arm.table], 1.0, u, shares.plain);
    if (arm.strong_table >= 0) amps = amps + table_current(netlist.tables[arm.strong_table], 1.0, u, shares.strong);
    return amps;
}

template <class Sink>
void stamp_stage(const Netlist& netlist, const Stage& s, Logic level, std::span<const double> values,
                 std::span<const double> volts, Sink& sink) {
    const StageArm arm = conducting_arm(s, level);
    if (arm.table < 0) return;
    const auto u = Dual<1>::variable(volts[arm.from] - volts[arm.to], 0, 1.0);
    const Dual<1> i = arm_current(netlist, arm, shares_of(arm, values), u);
    sink.flow(arm.from, arm.to, i.value);
    sink.slope(arm.from, arm.to, arm.from, arm.to, i.d[0]);
}

/// All devices and stages of a block. `coefficients` in the order of its devices.
template <class Sink>
void stamp_block(const Netlist& netlist, const Partition::Block& block, std::span<const double> values,
                 const State& state, std::span<const Coefficients<double>> coefficients,
                 std::span<const double> volts, Sink& sink) {
    int branch = 0;
    for (std::size_t k = 0; k < block.devices.size(); ++k) {
        const Device& d = netlist.devices[block.devices[k]];
        if (ideal_source(d))
            sink.branch(branch++, d.nodes[0], d.nodes[1], coefficients[k][0]);
        else
            stamp_device(netlist, d, coefficients[k], volts, sink);
    }
    for (StageId id : block.stages)
        stamp_stage(netlist, netlist.stages[id], level_of(state, id), values, volts, sink);
}

}  // namespace voltsill
