#pragma once
/// Device laws: every device is a few control voltages and a few flows between its terminals.
///
///     u_k = v(plus_k) - v(minus_k),      i_j = law_j(u; coefficients), from terminal to terminal
///
/// The coefficients are computed from the parameters once per solve (`coefficients`). Laws are
/// templates: on double they give currents, on `Dual` over u the Jacobian, on `Dual` over a
/// parameter a sensitivity. Shockley's diode, Shichman-Hodges' square law (H. Shichman,
/// D. A. Hodges, IEEE J. Solid-State Circuits SC-3, 1968, pp. 285-289) written symmetrically as
/// the difference of two saturation currents, and Ebers-Moll in transport form (I. Getreu,
/// "Modeling the Bipolar Transistor", 1976, ch. 2), all from memory.
#include <array>
#include <cmath>
#include <span>
#include <string>

#include "network/dual.h"
#include "network/netlist.h"

namespace voltsill {

inline constexpr double thermal_volts = 0.025852;   ///< kT/q at 300 K
inline constexpr double junction_amps_limit = 0.5;  ///< a junction's law is linear above this
inline constexpr double led_emission_volts = 0.035;
inline constexpr double bjt_reference_amps = 1e-3;
inline constexpr double opto_saturation_volts = 0.1;
inline constexpr double least_headroom_volts = 1e-3;  ///< half swing of an amplifier without supply

/// Terminals between which a device is controlled and conducts, as indices into Device::nodes.
struct DeviceShape {
    int terminals, controls, flows;
    signed char control[3][2], flow[3][2];
};
const DeviceShape& shape_of(DeviceKind kind);
inline bool two_terminal(DeviceKind kind) { return shape_of(kind).terminals == 2; }
inline bool ideal_source(const Device& d) { return d.kind == DeviceKind::source && d.params[1] == no_param; }

/// Why the shape (nodes, parameter and table indices) or the parameter values of a device or
/// stage cannot be solved; "" if they can.
std::string shape_refusal(const Netlist& netlist, const Device& device);
std::string shape_refusal(const Netlist& netlist, const Stage& stage);
std::string shape_refusal(const Table& table);
std::string value_refusal(const Netlist& netlist, const Device& device, std::span<const double> values);
std::string value_refusal(const Netlist& netlist, const Stage& stage, std::span<const double> values);

template <class C>
using Coefficients = std::array<C, 5>;

/// v_lin, i_lin, 1/emission, i_s of i = i_lin exp_then_line((v - v_lin) / emission) - i_s, which is the
/// exponential through (0, 0) and (forward, reference), linear above 0.5 A (above the reference
/// current, if that is more).
template <class C>
Coefficients<C> junction(const C& forward, const C& reference, const C& emission) {
    using std::exp, std::expm1, std::log;
    const C below = exp(-forward / emission);
    const C amps = reference / -expm1(-forward / emission);
    const C limit = C(junction_amps_limit) + positive_part(reference - C(junction_amps_limit));
    return {forward + emission * log(limit / amps), limit, C(1.0) / emission, amps * below, C(0.0)};
}

/// Coefficients from parameters (`p`, in the order of DeviceKind; 1 where there is no parameter).
/// `closed`: position of a switch. `gain_limit` bounds an amplifier's gain, for continuation.
template <class C>
Coefficients<C> coefficients(const Device& device, const std::array<C, 4>& p, bool closed,
                             double gain_limit) {
    switch (device.kind) {
        case DeviceKind::resistor:
            return {C(1.0) / p[0]};
        case DeviceKind::source:
            return {p[0], C(1.0) / p[1]};
        case DeviceKind::current:
            return {p[0]};
        case DeviceKind::diode:
            return junction(p[0], p[1], p[2]);
        case DeviceKind::mosfet:
            return {p[0], C(0.5) * p[1]};
        case DeviceKind::bjt: {
            const auto j = junction(p[1], C(bjt_reference_amps), C(thermal_volts));
            return {j[0], j[1], j[3], C(1.0) / p[0], C(1.0) / p[2]};
        }
        case DeviceKind::table:
            return {C(1.0) / p[0], p[1]};
        case DeviceKind::opto: {
            const auto j = junction(p[0], p[1], C(led_emission_volts));
            return {j[0], j[1], j[2], j[3], p[2]};
        }
        case DeviceKind::amplifier:
            return {p[0], p[1], value_of(p[2]) < gain_limit ? p[2] : C(gain_limit), C(1.0) / p[3]};
        case DeviceKind::switch_:
            return {C(1.0) / (closed ? p[0] : p[1])};
    }
    return {};
}

/// Segment of `table` that holds `volts`; the outer segments go on beyond the ends.
int table_segment(const Table& table, double volts);

template <class V, class C>
V table_current(const Table& table, const C& scale, const V& u, const C& strength) {
    const V at = u * scale;
    const int k = table_segment(table, value_of(at));
    const double slope = (table.amps[k + 1] - table.amps[k]) / (table.volts[k + 1] - table.volts[k]);
    return ((at - table.volts[k]) * slope + table.amps[k]) * strength;
}

template <class V, class C>
V junction_current(const C& v_lin, const C& i_lin, const C& per_emission, const C& i_s, const V& u) {
    return exp_then_line((u - v_lin) * per_emission) * i_lin - i_s;
}

/// Current of a device with two terminals at the voltage `u` across it.
template <class V, class C>
V two_terminal_current(const Netlist& netlist, const Device& device, const Coefficients<C>& c, const V& u) {
    switch (device.kind) {
        case DeviceKind::resistor:
        case DeviceKind::switch_:
            return u * c[0];
        case DeviceKind::source:
            return (u - c[0]) * c[1];
        case DeviceKind::current:
            return V(c[0]);
        case DeviceKind::diode:
            return junction_current(c[0], c[1], c[2], c[3], u);
        case DeviceKind::table:
            return table_current(netlist.tables[device.table], c[0], u, c[1]);
        default:
            return V(0.0);
    }
}

template <class V, class C>
V saturation_current(const C& half_k, const C& vth, const V& u) {
    const V over = positive_part(u - vth);
    return over * over * half_k;
}

/// Output current of an amplifier (into the output), all voltages from the negative supply:
/// u = { output, plus - minus, supply+ }.
template <class V, class C>
V amplifier_current(const Coefficients<C>& c, const V* u) {
    using std::tanh;
    const V half = V(least_headroom_volts) +
                   positive_part((u[2] - V(c[0]) - V(c[1])) * C(0.5) - V(least_headroom_volts));
    const V middle = (u[2] + V(c[1]) - V(c[0])) * C(0.5);
    return (u[0] - middle - half * tanh(u[1] * c[2] / half)) * c[3];
}

/// Flows of the devices with more terminals, in the order of their shape.
template <class V, class C>
void many_terminal_flows(const Device& device, const Coefficients<C>& c, const V* u, V* flow) {
    using std::tanh;
    switch (device.kind) {
        case DeviceKind::mosfet:
            flow[0] = saturation_current(c[1], c[0], u[0]) - saturation_current(c[1], c[0], u[1]);
            return;
        case DeviceKind::bjt: {
            const V forward = junction_current(c[0], c[1], C(1.0 / thermal_volts), c[2], u[0]);
            const V reverse = junction_current(c[0], c[1], C(1.0 / thermal_volts), c[2], u[1]);
            flow[0] = forward - reverse;
            flow[1] = forward * c[3];
            flow[2] = reverse * c[4];
            return;
        }
        case DeviceKind::opto:
            flow[0] = junction_current(c[0], c[1], c[2], c[3], u[0]);
            flow[1] =
                positive_part(flow[0]) * c[4] * tanh(positive_part(u[1]) * C(1.0 / opto_saturation_volts));
            return;
        case DeviceKind::amplifier: {
            const V into = amplifier_current(c, u);
            flow[0] = positive_part(into);
            flow[1] = positive_part(-into);
            return;
        }
        default:
            return;
    }
}

}  // namespace voltsill
