// Steady states a second for fault dictionaries: a network of 20 unknowns with 20 diodes and 4 FETs,
// 359 single faults in 16 states, packing of values and faults included. Answers of a random subset
// are checked against the scalar solver first; no ratio is printed if one is off by more than 1 uV.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <random>

#include "network/batch.h"

using namespace voltsill;

namespace {

constexpr int faults = 359, states = 16;

struct Bench {
    Netlist net;
    std::vector<Node> nodes;
    std::vector<ParamId> open_by_ohms, open_by_amps;  ///< an open is 1 Tohm, or a tiny K or reference current

    Bench() {
        const Node r5 = rail("5V", 5.0), r3 = rail("3V3", 3.3);
        const int drive = net.add_table({{-1.0, 0.0, 0.4, 1.5, 5.0}, {-0.02, 0.0, 0.008, 0.02, 0.024}});
        for (int k = 0; k < 20; ++k) nodes.push_back(net.add_node("n" + std::to_string(k)));
        for (int k = 0; k < 4; ++k)
            net.add_stage(
                {"stage" + std::to_string(k), nodes[5 * k], k % 2 ? r3 : r5, ground_node, drive, drive});
        for (int k = 0; k < 20; ++k) {
            if (k % 5) resistor(nodes[k - 1], nodes[k], 470.0 * (1 + k % 3));  // a line behind each driver
            if (k % 5 == 2) resistor(nodes[k], nodes[(k + 5) % 20], 22e3);
            resistor(nodes[k], k % 3 ? ground_node : r5, 10e3 * (1 + k % 4));
            clamp(nodes[k], k % 2 ? r3 : r5, k);
        }
        for (int k = 0; k < 4; ++k) {
            const ParamId gain = net.add_constant(0.1);
            net.mosfet("Q", nodes[5 * k + 4], r3, nodes[(5 * k + 8) % 20], net.add_constant(1.3), gain);
            open_by_amps.push_back(gain);
        }
    }
    Node rail(const char* name, double volts) {
        const Node n = net.add_node(name);
        net.source(name, n, ground_node, net.add_constant(volts));
        return n;
    }
    void resistor(Node a, Node b, double ohms) {
        open_by_ohms.push_back(net.add_constant(ohms));
        net.resistor("R", a, b, open_by_ohms.back());
    }
    void clamp(Node n, Node rail_node, int k) {
        const DeviceId d = net.diode("D", n, rail_node, net.add_constant(0.6 + 0.005 * k));
        open_by_amps.push_back(net.devices[d].params[1]);
    }
};

struct Faults {
    std::vector<ValueChange> changes;  ///< one, or none for a bridge
    std::vector<std::pair<Node, Node>> bridges;
    std::vector<State> states;
};

/// All opens, resistors ten times too large and too small (one colour band misread), then bridges
/// between pairs of points, near ones first, up to 359 faults.
Faults single_faults(const Bench& bench) {
    Faults f;
    for (ParamId p : bench.open_by_ohms) f.changes.push_back({p, 1e12});
    for (const double factor : {10.0, 0.1})
        for (ParamId p : bench.open_by_ohms)
            f.changes.push_back({p, factor * bench.net.parameters[p].nominal});
    for (ParamId p : bench.open_by_amps) f.changes.push_back({p, 1e-15});
    const Node points = static_cast<Node>(bench.net.node_names.size());
    for (int distance = 1; distance < points; ++distance)
        for (Node a = 0; a + distance < points; ++a) f.bridges.emplace_back(a, a + distance);
    f.bridges.resize(std::min<std::size_t>(f.bridges.size(), faults - f.changes.size()));
    for (int bits = 0; bits < states; ++bits) {
        State s;
        for (int k = 0; k < 4; ++k) s.levels.push_back(bits >> k & 1 ? Logic::one : Logic::zero);
        f.states.push_back(s);
    }
    return f;
}

std::vector<BatchCase> cases_of(const Faults& f) {
    std::vector<BatchCase> cases;
    cases.reserve((f.changes.size() + f.bridges.size()) * f.states.size());
    for (const ValueChange& change : f.changes)
        for (const State& s : f.states) cases.push_back({.changes = {&change, 1}, .state = &s});
    for (const auto& [a, b] : f.bridges)
        for (const State& s : f.states) cases.push_back({.state = &s, .bridge = {a, b}});
    return cases;
}

DcSolution scalar(const Netlist& base, const BatchCase& c) {
    Netlist net = base;
    for (const ValueChange& change : c.changes) net.parameters[change.parameter].nominal = change.value;
    if (c.bridge[0] >= 0) net.resistor("bridge", c.bridge[0], c.bridge[1], net.add_constant(c.bridge_ohms));
    return solve_dc(net, net.nominal_values(), *c.state);
}

bool answers_agree(const Netlist& net, const std::vector<BatchCase>& cases, const BatchResult& result) {
    std::mt19937_64 random(1);
    double worst = 0.0;
    const std::size_t nodes = net.node_names.size();
    for (int k = 0; k < 500; ++k) {
        const std::size_t pick = random() % cases.size();
        const DcSolution expected = scalar(net, cases[pick]);
        if (expected.status != DcStatus::converged || result.status[pick] != DcStatus::converged) {
            fmt::print("case {} did not converge: {}\n", pick, expected.trouble);
            return false;
        }
        for (std::size_t n = 0; n < nodes; ++n)
            worst = std::max(worst, std::abs(result.volts[pick * nodes + n] - expected.volts[n]));
    }
    fmt::print("largest difference to the scalar solver over 500 cases: {:.2g} V\n", worst);
    return worst <= 1e-6;
}

template <class Work>
double best_seconds(int rounds, Work work) {
    double best = 1e9;
    for (int k = 0; k < rounds; ++k) {
        const auto start = std::chrono::steady_clock::now();
        work();
        best =
            std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    }
    return best;
}

/// Target states a second. The one for baseline is our choice; the others are the project's.
double target(InstructionSet set) {
    if (set == InstructionSet::avx512) return 400000;
    return set == InstructionSet::avx2 ? 200000 : 80000;
}

}  // namespace

int main(int argc, char** argv) {
    InstructionSet set = best_instruction_set();
    for (const InstructionSet choice :
         {InstructionSet::baseline, InstructionSet::avx2, InstructionSet::avx512})
        if (argc > 1 && std::string_view(argv[1]) == to_string(choice) && runs_here(choice)) set = choice;

    const Bench bench;
    const Faults f = single_faults(bench);
    const std::vector<double> values = bench.net.nominal_values();
    BatchResult result;
    std::vector<BatchCase> cases = cases_of(f);
    BatchSolver(bench.net, {}, set).solve(values, cases, result);
    fmt::print("{}: {} faults x {} states, {} solved one by one\n", to_string(set), cases.size() / states,
               states, result.one_by_one);
    if (cases.size() != faults * states || !answers_agree(bench.net, cases, result)) return 1;

    const double batch = best_seconds(7, [&] {
        cases = cases_of(f);
        BatchSolver(bench.net, {}, set).solve(values, cases, result);
    });
    // The scalar solver on the opens, which need no second netlist.
    const Partition partition(bench.net, {});
    const std::size_t opens = f.changes.size() * states;
    const double scalar_time = best_seconds(3, [&] {
        std::vector<double> changed = values;
        for (std::size_t k = 0; k < opens; ++k) {
            const ValueChange& change = cases[k].changes[0];
            changed[change.parameter] = change.value;
            solve_dc(bench.net, partition, changed, *cases[k].state);
            changed[change.parameter] = values[change.parameter];
        }
    });
    const double rate = static_cast<double>(cases.size()) / batch;
    const double scalar_rate = static_cast<double>(opens) / scalar_time;
    fmt::print("batch {:.2f} us, scalar {:.2f} us a state\n", 1e6 / rate, 1e6 / scalar_rate);
    fmt::print("ratio dc-states-per-second {:.0f} {:.0f}\n", rate, target(set));
    fmt::print("ratio dc-batch-over-scalar {:.1f} {}\n", rate / scalar_rate,
               set == InstructionSet::baseline ? 2 : 5);
    return 0;
}
