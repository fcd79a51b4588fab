#pragma once
/// The three circuits that the transient solver is measured on, with spread: R 5 %, C 20 %, Vth
/// 30 %, rails 5 %, all uniform. All figures invented, in the usual range of such parts.
#include <cmath>
#include <random>
#include <string>

#include "support/timed_circuit.h"

namespace voltsill::testing {

/// (a) 5 V push-pull output, divider, 3.3 V input with clamps.
inline TimedCircuit divider_into_clamps() {
    TimedCircuit k{.name = "divider into clamps"};
    const Node v5 = k.rail("5 V", 5.0), v3 = k.rail("3.3 V", 3.3);
    const Node out = k.net.add_node("out"), row = k.net.add_node("row"), mid = k.net.add_node("mid"),
               gate = k.net.add_node("gate");
    const Table side{{0.0, 0.5, 5.0}, {0.0, 12e-3, 45e-3}};
    const StageId s = k.stage("driver", out, v5, side, side, 6e-9);
    k.r("contact", out, row, 1.0);
    k.r("R1", row, mid, 1e3);
    k.r("R2", mid, ground_node, 2.2e3);
    k.r("Rin", mid, gate, 100.0);
    k.c("C out", out, 8e-12);
    k.c("C row", row, 15e-12);
    k.c("C mid", mid, 20e-12);
    k.c("C in", gate, 8e-12);
    const ParamId vf = k.spread("clamp", 0.65, 0.05);
    k.net.diode("clamp up", gate, v3, vf);
    k.net.diode("clamp down", ground_node, gate, vf);
    k.problem.start.levels[s] = Logic::zero;
    for (int i = 0; i < 4; ++i)
        k.problem.drives.push_back({50e-9 + i * 400e-9, s, i % 2 ? Logic::zero : Logic::one});
    k.problem.end = 1.6e-6;
    k.watched = {out, row, mid, gate};
    return k;
}

/// (b) two-way shifter: FET with body diode, 10 k pull-ups, open-drain outputs on both sides.
inline TimedCircuit two_way_fet() {
    TimedCircuit k{.name = "two-way FET"};
    const Node v5 = k.rail("5 V", 5.0), v3 = k.rail("3.3 V", 3.3);
    const Node low = k.net.add_node("low"), high = k.net.add_node("high"),
               low_pin = k.net.add_node("low pin"), high_pin = k.net.add_node("high pin"),
               far = k.net.add_node("far end");
    const Table sink{{0.0, 0.4, 3.0}, {0.0, 8e-3, 25e-3}};
    const StageId a = k.stage("low side", low_pin, v3, {}, sink, 20e-9);
    const StageId b = k.stage("high side", high_pin, v5, {}, sink, 20e-9);
    k.r("pull-up low", v3, low, 10e3);
    k.r("pull-up high", v5, high, 10e3);
    k.r("contact low", low_pin, low, 2.0);
    k.r("contact high", high_pin, high, 2.0);
    k.r("wire", high, far, 5.0);
    k.net.mosfet("Q1", high, v3, low, k.spread("Vth", 1.2, 0.3), k.spread("K", 0.12, 0.2));
    k.net.diode("Q1 body", low, high, k.spread("body", 0.7, 0.05));
    k.c("C low", low, 60e-12);
    k.c("C high", high, 120e-12);
    k.c("C low pin", low_pin, 10e-12);
    k.c("C high pin", high_pin, 10e-12);
    k.c("C far", far, 60e-12);
    k.c("Q1 gate-drain", high, 12e-12, v3);
    for (int i = 0; i < 4; ++i) {
        k.problem.drives.push_back({1e-6 + i * 10e-6, i % 2 ? b : a, Logic::zero});
        k.problem.drives.push_back({5e-6 + i * 10e-6, i % 2 ? b : a, Logic::Z});
    }
    k.problem.end = 41e-6;
    k.watched = {low, high, low_pin, high_pin, far};
    return k;
}

/// (c) a driver by tables, 15 cm of wire as five LC sections, a clamped input.
inline TimedCircuit table_into_line() {
    TimedCircuit k{.name = "table driver into a line"};
    const Node v3 = k.rail("3.3 V", 3.3);
    const Table side{{-2.0, -0.8, 0.0, 0.2, 0.5, 0.9, 1.5, 2.2, 3.3, 6.6},
                     {-95e-3, -42e-3, 0.0, 9.5e-3, 22e-3, 35e-3, 47e-3, 53e-3, 57e-3, 62e-3}};
    Node at = k.net.add_node("out");
    const StageId s = k.stage("driver", at, v3, side, side, 1.5e-9);
    k.c("C comp", at, 5e-12);
    k.watched = {at};
    const double henries = 150e-9, farads = 7.5e-12;  // 15 cm at 1 uH/m and 50 pF/m
    for (int i = 0; i < 5; ++i) {
        const std::string name = "wire " + std::to_string(i + 1);
        const Node next = k.net.add_node(name);
        k.net.resistor(name, at, next, k.spread(name + " R", 0.05, 0.05));
        k.dynamics.inductors.push_back(
            {static_cast<DeviceId>(k.net.devices.size()) - 1, k.spread(name + " L", henries / 5, 0.05)});
        k.c(name + " C", next, farads / 5);
        k.watched.push_back(next);
        at = next;
    }
    const Node gate = k.net.add_node("gate");
    k.r("R in", at, gate, 20.0);
    k.c("C in", gate, 6e-12);
    const ParamId vf = k.spread("clamp", 0.65, 0.05);
    k.net.diode("clamp up", gate, v3, vf);
    k.net.diode("clamp down", ground_node, gate, vf);
    k.watched.push_back(gate);
    k.problem.start.levels[s] = Logic::zero;
    for (int i = 0; i < 4; ++i)
        k.problem.drives.push_back({2e-9 + i * 25e-9, s, i % 2 ? Logic::zero : Logic::one});
    k.problem.end = 100e-9;
    return k;
}

/// Uniform over every parameter's range, from the sample's index alone.
inline void fill_uniform(const Netlist& net, std::uint64_t index, std::span<double> values) {
    std::mt19937_64 engine(0x9e3779b97f4a7c15ULL * (index + 1));
    for (std::size_t p = 0; p < values.size(); ++p) {
        const Parameter& parameter = net.parameters[p];
        if (parameter.lo < parameter.hi)
            values[p] = parameter.lo +
                        (parameter.hi - parameter.lo) * std::ldexp(static_cast<double>(engine() >> 11), -53);
    }
}

/// The values sample `index` runs with.
inline std::vector<double> values_of(const Netlist& net, std::uint64_t index) {
    std::vector<double> values = net.nominal_values();
    fill_uniform(net, index, values);
    return values;
}

}  // namespace voltsill::testing
