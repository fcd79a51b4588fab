/// How many learners' builds of the demo bench are marked in a second on one core, distinct wrong nets judged
/// as they are met. Answers come first: builds as planned get full marks for their wires, every known slip is
/// named as one mistake that concerns its wire, or nothing is timed.
///
/// The class: of eight builds five are as planned but laid in another way, three have one of the bench's
/// single slips, as often as any other. Files are made before the clock starts; marking begins with an empty
/// memory.
///
///     ratio marking_builds_per_second VALUE TARGET      builds a second of CPU time, over 100,000 builds
///     ratio marking_growth VALUE TARGET                 time a build at 1,000 over time a build at 100,000
#include <fmt/format.h>

#include <cstdlib>
#include <ctime>
#include <fstream>
#include <sstream>

#include "answers.h"
#include "planning/plan.h"
#include "support/made_builds.h"
#include "teaching/class_summary.h"

namespace {
using namespace voltsill;
using namespace measured;

double cpu_seconds() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

struct Class {
    PlacedWiring build;
    std::vector<std::string> planned, slipped;
    const std::string& file(std::size_t k) const {
        return k % 8 < 5 ? planned[k % planned.size()] : slipped[k * 7919 % slipped.size()];
    }
};

void check(const Class& made, const PreparedMarking& marking, const std::vector<Slip>& slips) {
    for (const std::string& file : made.planned) {
        const MarkedBuild m = mark_build(marking, file, "x.csv");
        if (!m.as_planned || m.criteria[0].points != 20 || m.criteria[2].points != 20)
            wrong("a build as planned lost marks");
    }
    for (std::size_t k = 0; k < slips.size(); ++k) {
        const MarkedBuild m = mark_build(marking, made.slipped[k], "x.csv");
        const std::string slip = words(made.build.wiring, made.build.placement, slips[k]);
        if (m.mistakes.size() != 1) wrong(fmt::format("{} has {} mistakes", slip, m.mistakes.size()));
        if (m.points >= 40) wrong(slip + " costs nothing");
    }
}

double seconds_for(const Bench& bench, const Class& made, std::size_t builds) {
    const PreparedMarking fresh(bench, made.build);
    const double begin = cpu_seconds();
    std::vector<MarkedBuild> all;
    constexpr std::size_t kept = 1000;  // what a class sheet is made of
    for (std::size_t k = 0; k < builds; ++k) {
        MarkedBuild m = mark_build(fresh, made.file(k), "x.csv");
        if (all.size() < kept) all.push_back(std::move(m));
    }
    const double seconds = cpu_seconds() - begin;
    const ClassSummary summary = summary_of(all, fresh.rubric());
    fmt::print("{} builds: {:.2f} s, {:.0f} a second; of the first {}: mean {:.1f} of {:g}, most frequent \"{}\"\n",
               builds, seconds, static_cast<double>(builds) / seconds, summary.learners, summary.points.mean,
               summary.of, summary.mistakes.empty() ? "" : summary.mistakes.front().words);
    return seconds;
}

}  // namespace

int main() {
    std::stringstream text;
    text << std::ifstream(std::string(VOLTSILL_ROOT) + "/examples/rain-garden.toml", std::ios::binary).rdbuf();
    BenchReading reading = read_bench(text.str(), "rain-garden.toml");
    if (!reading.bench) wrong("rain-garden.toml is refused");
    const Bench& bench = *reading.bench;
    Class made{.build = place(bench, plan(bench).wiring)};
    if (!made.build.trouble.empty()) wrong(made.build.trouble);
    const std::vector<Slip> slips = slips_of(bench, made.build.wiring, made.build.placement);
    for (const Slip& slip : slips)
        made.slipped.push_back(made::file_of(made.build, with_slip(made.build.placement, slip)));
    std::mt19937_64 random(1);
    for (int k = 0; k < 200; ++k) made.planned.push_back(made::file_of(made.build, made::rewired(made.build, random)));
    fmt::print("{} slips\n", slips.size());
    check(made, PreparedMarking(bench, made.build), slips);

    constexpr std::size_t few = 1'000, many = 100'000;
    const double small = seconds_for(bench, made, few), large = seconds_for(bench, made, many);
    fmt::print("ratio marking_builds_per_second {:.0f} 2000\n", many / large);
    fmt::print("ratio marking_growth {:.3f} 0.9\n", (small / few) / (large / many));
}
