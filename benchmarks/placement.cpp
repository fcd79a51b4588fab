/// How good placements are and how long they take. Answers come first: the holes must make the planned
/// nets on the demo bench and on generated ones, or nothing is timed.
///
///     ratio NAME VALUE TARGET      larger is better; quality = cost of a run eight times as long / cost
#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "answers.h"
#include "placement/place.h"
#include "planning/plan.h"
#include "support/generated_bench.h"
#include "support/wiring_differences.h"

namespace {
using namespace voltsill;
using namespace measured;

struct Placed {
    PlacedWiring placed;
    double seconds = 0;
};

Bench bench_of(const std::string& text, const std::string& name) {
    BenchReading reading = read_bench(text, name);
    if (!reading.bench) wrong(name + " is refused");
    return std::move(*reading.bench);
}

Placed run(const Bench& bench, const Wiring& wiring, double effort) {
    const auto begin = std::chrono::steady_clock::now();
    Placed result{place(bench, wiring, {.effort = effort})};
    result.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    const PlacedWiring& placed = result.placed;
    if (!placed.trouble.empty()) wrong(placed.trouble);
    for (const std::string& what : impossible(placed.wiring, placed.placement)) wrong(what);
    for (const std::string& what :
         test::differences(placed.wiring, nets_of_holes(bench, placed.wiring, placed.placement)))
        wrong(what);
    return result;
}

void show(const char* name, const Placed& p) {
    const PlacementQuality& q = p.placed.quality;
    fmt::print("{}: {:.3f} s, {} boards, {} wires, {:.2f} m, {} crossings, {} ends beside harm, cost {:.1f}\n", name,
               p.seconds, p.placed.placement.boards.size(), p.placed.placement.wires.size(), q.metres, q.crossings,
               q.near_harm, q.cost);
}

}  // namespace

int main() {
    const Bench demo =
        bench_of(bytes_of(std::string(VOLTSILL_ROOT) + "/examples/rain-garden.toml"), "rain-garden.toml");
    const Wiring planned = plan(demo).wiring;
    const Placed first = run(demo, planned, 0), quick = run(demo, planned, 1), longer = run(demo, planned, 15);
    show("demo bench, constructed", first);
    show("demo bench", quick);
    show("demo bench, long run", longer);

    double cost = 0, reference = 0;
    for (int seed = 0; seed < 12; ++seed) {
        const Bench bench = bench_of(test::generated_bench(seed, 2 + seed % 5, "\"half\""), "generated.toml");
        const Wiring wiring = plan(bench).wiring;
        cost += run(bench, wiring, 1).placed.quality.cost;
        reference += run(bench, wiring, 15).placed.quality.cost;
    }
    fmt::print("12 small boards: cost {:.1f}, long runs {:.1f}\n", cost, reference);

    double seconds[2];
    const int links[2] = {50, 200};
    for (int k = 0; k < 2; ++k) {
        const Bench bench = bench_of(test::generated_bench(1, links[k]), "generated.toml");
        const Placed placed = run(bench, plan(bench).wiring, 1);
        seconds[k] = placed.seconds;
        show(fmt::format("{} links", links[k]).c_str(), placed);
    }
    fmt::print("ratio demo-placement-time {:.3f} 1\n", 1.0 / quick.seconds);
    fmt::print("ratio demo-placement-quality {:.3f} 0.85\n", longer.placed.quality.cost / quick.placed.quality.cost);
    fmt::print("ratio small-board-quality {:.3f} 0.9\n", reference / cost);
    fmt::print("ratio 200-links-placement-time {:.3f} 1\n", 20.0 / seconds[1]);
    fmt::print("ratio near-linear-growth {:.3f} 1\n", 4 * 1.5 / (seconds[1] / seconds[0]));
}
