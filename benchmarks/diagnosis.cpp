// Steady states a second for fault dictionaries: a network of 20 unknowns with 20 diodes and 4 FETs,
// 359 single faults in 16 states, packing of values and faults included. Answers of a random subset
// are checked against the scalar solver first; no ratio is printed if one is off by more than 1 uV.
//
// Then work at a bench, played (tests/support/bench_work.h): on all examples and on generated benches faults are
// drawn by weight among those some meter shows, it is said which links work, and readings are taken as asked,
// until one group of faults that no meter tells apart has nine tenths: that is "found". Readings count every
// answer after the symptoms, looks too. Counted apart: faults that show, so that somebody looks for one, and
// silent ones with which every link works. The bound: a reading of m answers tells at most log2 m bits, so that n
// readings for H bits need n >= H / log2 m (C. E. Shannon 1948; T. M. Cover, J. A. Thomas, Elements of
// Information Theory, ch. 5, from memory). Times are of the processor, so that others on the machine do not count.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>
#include <thread>

#include "network/batch.h"
#include "planning/plan.h"
#include "support/bench_work.h"
#include "support/generated_bench.h"

using namespace voltsill;

namespace {

constexpr int faults = 359, states = 16;

struct TestNetwork {
    Netlist net;
    std::vector<Node> nodes;
    std::vector<ParamId> open_by_ohms, open_by_amps;  ///< an open is 1 Tohm, or a tiny K or reference current

    TestNetwork() {
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
Faults single_faults(const TestNetwork& bench) {
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

double processor_seconds() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

/// What a number of games came to.
struct Tally {
    int games = 0, first = 0, top_three = 0, found = 0;
    double bits = 0, answers = 0;
    std::vector<int> readings;
    bool asked_harmful = false;
    void add(const test::Game& g) {
        ++games, first += g.first, top_three += g.top_three, found += g.found;
        bits += g.bits_at_start, answers += g.outcomes;
        readings.push_back(g.readings);
        asked_harmful |= g.asked_harmful;
    }
    double median() {
        std::ranges::sort(readings);
        return readings.empty() ? 0 : readings[readings.size() / 2];
    }
    double mean() const {
        double sum = 0;
        for (const int r : readings) sum += r;
        return readings.empty() ? 0 : sum / static_cast<double>(readings.size());
    }
    void show(const char* name) {
        fmt::print("{}: {} games, found {}, true group first {}, in the top three {}, readings median {} mean {:.2f}\n",
                   name, games, found, first, top_three, median(), mean());
    }
};

struct Tabletop {
    std::string name;
    voltsill::Bench bench;
    PlacedWiring build;
};

std::optional<Tabletop> table_of(const std::string& name, const std::string& text) {
    BenchReading reading = read_bench(text, name);
    if (!reading.bench) return std::nullopt;
    Tabletop table{name, std::move(*reading.bench), {}};
    Problems problems;
    table.build =
        place(table.bench, table.bench.wiring ? wire_as_given(table.bench, problems) : plan(table.bench).wiring,
              {.effort = 0.2});
    return table.build.trouble.empty() ? std::optional(std::move(table)) : std::nullopt;
}

std::vector<Tabletop> tables(int generated) {
    std::vector<Tabletop> out;
    for (const auto& file : std::filesystem::directory_iterator(std::string(VOLTSILL_ROOT) + "/examples")) {
        if (file.path().extension() != ".toml") continue;
        std::ifstream in(file.path(), std::ios::binary);
        std::stringstream text;
        text << in.rdbuf();
        if (auto table = table_of(file.path().filename().string(), text.str())) out.push_back(std::move(*table));
    }
    for (int seed = 1; seed <= generated; ++seed)
        if (auto table = table_of(fmt::format("generated {}", seed), test::generated_bench(seed, 1 + seed % 3)))
            out.push_back(std::move(*table));
    return out;
}

void dictionary_times(const Tabletop& demo) {
    const std::vector<Fault> faults = faults_of(demo.bench, demo.build);
    const double begin = processor_seconds();
    Dictionary dictionary(demo.bench, demo.build, faults);
    const double built = processor_seconds() - begin;
    std::mt19937_64 random(1);
    test::FaultyTable table(demo.bench, demo.build, faults[faults.size() / 2], random);
    const std::vector<Reading> symptoms = table.symptoms(dictionary.questions());
    diagnose(dictionary, symptoms);
    const double step_begin = processor_seconds();
    for (int k = 0; k < 5; ++k) diagnose(dictionary, symptoms);
    const double step = (processor_seconds() - step_begin) / 5;
    fmt::print("demo bench: {} faults, {} questions, dictionary {:.2f} s, a step {:.1f} ms\n", faults.size(),
               dictionary.worth_asking().size(), built, 1e3 * step);
    fmt::print("ratio dictionary-time-of-one-core {:.3f} 1\n", 1 / built);
    const int cores = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
    const double shared = best_seconds(3, [&] { Dictionary(demo.bench, demo.build, faults, {.threads = cores}); });
    fmt::print("demo bench: with {} threads, as every command and the page make it, {:.2f} s on the clock\n", cores,
               shared);
    fmt::print("ratio dictionary-time {:.3f} 1\n", 1 / shared);
    fmt::print("ratio diagnosis-step {:.2f} 1\n", 0.1 / step);
    const double pairs_begin = processor_seconds();
    dictionary.add_pairs(20'000);
    diagnose(dictionary, symptoms);
    const double pairs = processor_seconds() - pairs_begin;
    fmt::print("demo bench: {} pairs with a first step {:.2f} s\n", dictionary.hypotheses().size() - 1 - faults.size(),
               pairs);
    fmt::print("ratio pairs-time {:.2f} 1\n", 60 / pairs);
}

void play_all() {
    constexpr int generated = 50, games_a_bench = 6;
    Tally best, half, random_order, shown, silent;
    unsigned number = 0;
    for (Tabletop& table : tables(generated)) {
        ++number;
        if (table.name == "rain-garden.toml") dictionary_times(table);
        Dictionary dictionary(table.bench, table.build, faults_of(table.bench, table.build));
        for (unsigned k = 0; k < games_a_bench; ++k) {
            std::mt19937_64 draw(1000 * number + k);
            const int fault = test::draw_fault(dictionary, draw);
            if (fault < 0) continue;
            for (auto& [order, tally] : {std::pair{test::Order::best, &best}, {test::Order::half_split, &half},
                                         {test::Order::random, &random_order}}) {
                std::mt19937_64 random(2000 * number + k);
                const test::Game game = test::play(table.bench, table.build, dictionary, fault, order, random);
                tally->add(game);
                if (tally == &best) (game.silent ? silent : shown).add(game);
            }
        }
    }
    best.show("as proposed");
    shown.show("as proposed, faults that show");
    silent.show("as proposed, silent faults");
    half.show("half-split");
    random_order.show("at random");
    if (best.games == 0 || best.asked_harmful) {
        fmt::print("power was asked for while it could harm\n");
        return;
    }
    const double games = best.games, bound = best.bits / games / std::log2(std::max(2.0, best.answers / games));
    fmt::print(
        "{:.2f} bits open after the symptoms, {:.1f} answers a reading: no order needs fewer than {:.2f} readings on "
        "average\n",
        best.bits / games, best.answers / games, bound);
    fmt::print("ratio true-group-first {:.3f} 0.95\n", best.first / games);
    fmt::print("ratio true-group-in-top-three {:.3f} 0.99\n", best.top_three / games);
    fmt::print("ratio median-readings {:.2f} 1\n", 4 / std::max(1.0, best.median()));
    fmt::print("ratio median-readings-of-faults-that-show {:.2f} 1\n", 4 / std::max(1.0, shown.median()));
    fmt::print("ratio readings-against-random {:.2f} 1\n", random_order.mean() / best.mean());
    fmt::print("ratio readings-against-half-split {:.2f} 1\n", half.mean() / best.mean());
    fmt::print("ratio readings-against-bound {:.2f} 0.3\n", bound / best.mean());
}

}  // namespace

int main(int argc, char** argv) {
    InstructionSet set = best_instruction_set();
    for (const InstructionSet choice :
         {InstructionSet::baseline, InstructionSet::avx2, InstructionSet::avx512})
        if (argc > 1 && std::string_view(argv[1]) == to_string(choice) && runs_here(choice)) set = choice;

    const TestNetwork bench;
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
    play_all();
    return 0;
}
