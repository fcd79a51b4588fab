/// The search against every placement there is, on boards small enough to visit them all.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "placement/search.h"
#include "placement/start.h"

namespace voltsill {
namespace {

/// Two parts in series between two nets, `types` one of them each, on a board of a few rows.
struct Tiny {
    Bench bench;
    Wiring wiring;

    Tiny(const std::string& strips, const std::vector<std::string>& types) {
        const BenchReading reading = read_bench(
            "[rails]\nusb = \"5 V ± 5 %\"\n[parts]\na = { type = \"controller-3v3\", supply = \"usb\" }\n"
            "[boards]\nuse = \"tiny\"\n[boards.kinds.tiny]\ntitle = \"tiny\"\nrows = 6\nstrip_groups = 0\n" + strips,
            "tiny.toml");
        for (const Problem& problem : reading.problems)
            if (problem.severity == Severity::error) ADD_FAILURE() << render(problem);
        bench = *reading.bench;
        wiring.nets = {{.name = "ground", .ground = true}, {.name = "rail usb", .rail = "usb"}, {.name = "middle"}};
        for (std::size_t k = 0; k < types.size(); ++k)
            for (const auto& type : bench.catalogue->types())
                if (type->name == types[k]) {
                    const int part = wiring.add_part("P", type, "");
                    wiring.parts[part].net_of_pin = k == 0 ? std::vector<NetId>{1, 2} : std::vector<NetId>{2, 0};
                }
    }
};

bool all_harm(NetId, NetId) { return true; }

long exact(Layout& layout, std::size_t part) {
    if (part == layout.parts.size()) {
        Layout copy = layout;
        return Score(copy, all_harm).cost();
    }
    long least = std::numeric_limits<long>::max();
    for (std::size_t half = 0; half < layout.halves.size(); ++half)
        for (const int lead : {0, 1})
            for (const auto& holes : spots_at(layout, static_cast<int>(part), lead, static_cast<int>(half))) {
                layout.put(static_cast<int>(part), holes);
                least = std::min(least, exact(layout, part + 1));
                layout.lift(static_cast<int>(part));
            }
    return least;
}

struct Case {
    const char* name;
    std::string strips;
    std::vector<std::string> types;
};
class TinyBoards : public testing::TestWithParam<Case> {};

TEST_P(TinyBoards, SearchFindsTheBest) {
    const Tiny tiny(GetParam().strips, GetParam().types);
    Layout all(tiny.bench, tiny.wiring);
    all.add_board(tiny.bench.boards[0]);
    all.give_strips(0, {1}, true);
    const long best = exact(all, 0);
    ASSERT_LT(best, std::numeric_limits<long>::max() / 4);
    Layout layout(tiny.bench, tiny.wiring);
    const std::vector<Home> homes(tiny.wiring.parts.size());
    ASSERT_EQ(start(layout, homes, {tiny.bench.boards}), "");
    EXPECT_EQ(search(layout, homes, all_harm, {.moves = 6000, .seed = 1}).cost, best);
}

INSTANTIATE_TEST_SUITE_P(
    All, TinyBoards,
    testing::Values(Case{"bare", "", {"capacitor", "capacitor"}}, Case{"resistors", "", {"resistor", "resistor"}},
                    Case{"strips",
                         "strips.w = { side = \"left\", mark = \"-\", pieces = \"1..6\" }\n"
                         "strips.x = { side = \"left\", mark = \"+\", pieces = \"1..6\" }\n",
                         {"resistor", "capacitor"}}),
    [](const auto& info) { return info.param.name; });

}  // namespace
}  // namespace voltsill
