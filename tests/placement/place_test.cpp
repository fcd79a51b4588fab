/// Placements of every example and of generated benches: the holes make the planned nets and nothing else.
#include "placement/place.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <map>
#include <set>
#include <sstream>

#include "planning/plan.h"
#include "support/generated_bench.h"
#include "support/wiring_differences.h"
#include "wiring/footprint.h"

namespace voltsill {
namespace {

std::string file(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

Bench bench_of(const std::string& text) {
    const BenchReading reading = read_bench(text, "test.toml");
    for (const Problem& problem : reading.problems)
        if (problem.severity == Severity::error) ADD_FAILURE() << render(problem);
    return *reading.bench;
}

Wiring wiring_of(const Bench& bench) {
    Problems problems;
    return bench.wiring ? wire_as_given(bench, problems) : plan(bench).wiring;
}

std::vector<std::string> examples() {
    std::vector<std::string> found;
    for (const auto& entry : std::filesystem::directory_iterator(VOLTSILL_ROOT "/examples"))
        if (entry.path().extension() == ".toml") found.push_back(entry.path().string());
    std::ranges::sort(found);
    return found;
}

void expect_right(const Bench& bench, const PlacedWiring& placed) {
    ASSERT_EQ(placed.trouble, "");
    EXPECT_THAT(impossible(placed.wiring, placed.placement), testing::IsEmpty());
    const Wiring made = nets_of_holes(bench, placed.wiring, placed.placement);
    EXPECT_THAT(test::differences(placed.wiring, made), testing::IsEmpty());
    EXPECT_THAT(shorts(bench, placed.wiring, placed.placement), testing::IsEmpty());
}

class EveryExample : public testing::TestWithParam<std::string> {};

TEST_P(EveryExample, HolesMakeThePlannedNets) {
    const Bench bench = bench_of(file(GetParam()));
    expect_right(bench, place(bench, wiring_of(bench)));
}

INSTANTIATE_TEST_SUITE_P(Examples, EveryExample, testing::ValuesIn(examples()), [](const auto& info) {
    std::string name = std::filesystem::path(info.param).stem().string();
    std::ranges::replace(name, '-', '_');
    return name;
});

class Generated : public testing::TestWithParam<int> {};

TEST_P(Generated, HolesMakeThePlannedNets) {
    static const char* const boards[] = {"",       "\"full\"",           "\"full split\"",
                                         "\"half\"", "\"half one-sided\"", "\"half\", \"mini\""};
    const int seed = GetParam();
    const Bench bench = bench_of(test::generated_bench(seed, 2 + seed % 11, boards[seed % 6]));
    expect_right(bench, place(bench, plan(bench).wiring));
}

INSTANTIATE_TEST_SUITE_P(Benches, Generated, testing::Range(0, 60));

/// Mutation: a lead or wire end in the next row is seen, unless that row is on the same net.
TEST(PlacedExample, EveryShiftedEndIsSeen) {
    const Bench bench = bench_of(file(VOLTSILL_ROOT "/examples/rain-garden.toml"));
    const PlacedWiring placed = place(bench, wiring_of(bench));
    ASSERT_EQ(placed.trouble, "");
    int shifted = 0;
    for (std::size_t w = 0; w < placed.placement.wires.size(); ++w)
        for (const bool at_from : {true, false}) {
            Placement changed = placed.placement;
            WireEnd& end = at_from ? changed.wires[w].from : changed.wires[w].to;
            const BoardKind& board = *changed.boards[end.hole.board];
            if (end.kind != WireEnd::Kind::hole || board.columns[end.hole.column].strip) continue;
            const int node = board.node_of(end.hole.row, end.hole.column);
            end.hole.row += end.hole.row < board.rows ? 1 : -1;
            ASSERT_NE(board.node_of(end.hole.row, end.hole.column), node);
            ++shifted;
            const Wiring made = nets_of_holes(bench, placed.wiring, changed);
            bool same_net = false;  // the neighbour may be on the net already, joined another way
            for (std::size_t p = 0; p < changed.parts.size(); ++p)
                for (std::size_t n = 0; n < changed.parts[p].holes.size(); ++n) {
                    const Hole& hole = changed.parts[p].holes[n];
                    const int pin = placed.wiring.parts[p].package->pin_of_number[n];
                    same_net = same_net ||
                               (pin >= 0 && hole.board == end.hole.board &&
                                board.node_of(hole.row, hole.column) == board.node_of(end.hole.row, end.hole.column) &&
                                placed.wiring.parts[p].net_of_pin[pin] == changed.wires[w].net);
                }
            if (!same_net) {
                EXPECT_THAT(test::differences(placed.wiring, made), testing::Not(testing::IsEmpty()))
                    << "wire " << changed.wires[w].number;
            }
        }
    EXPECT_GT(shifted, 40);
}

/// Practice: 100 nF at each package's own supply pin. Here: in the row of that pin, its other lead no
/// more than 4 pitches (10 mm) away (common practice, no source).
TEST_P(EveryExample, DecouplingSitsAtItsPins) {
    const Bench bench = bench_of(file(GetParam()));
    const PlacedWiring placed = place(bench, wiring_of(bench));
    for (std::size_t p = 0; p < placed.wiring.parts.size(); ++p) {
        const WiredPart& part = placed.wiring.parts[p];
        if (!part.purpose.starts_with("decouples ")) continue;
        const std::string name = part.purpose.substr(10, part.purpose.find(' ', 10) - 10);
        const int of = placed.wiring.part(name);
        ASSERT_GE(of, 0) << part.purpose;
        const auto& holes = placed.placement.parts[p].holes;
        ASSERT_EQ(holes.size(), 2u);
        const BoardKind& board = *placed.placement.boards[holes[0].board];
        bool at_pin = false;
        for (std::size_t n = 0; n < placed.placement.parts[of].holes.size(); ++n) {
            const int pin = placed.wiring.parts[of].package->pin_of_number[n];
            if (pin < 0 || placed.wiring.parts[of].type->pins[pin].role != PinRole::supply) continue;
            const Hole& at = placed.placement.parts[of].holes[n];
            for (const Hole& hole : holes)
                at_pin = at_pin || (hole.board == at.board &&
                                    board.node_of(hole.row, hole.column) == board.node_of(at.row, at.column));
        }
        EXPECT_TRUE(at_pin) << part.name << " " << part.purpose;
        const BoardPoint a = point_of(placed.placement, holes[0]), b = point_of(placed.placement, holes[1]);
        EXPECT_LE(std::hypot(a.across - b.across, a.down - b.down), 4.0 + 1e-9);
    }
}

/// Split strips: a rail that uses both halves has them bridged, else they are apart; and strips of a
/// board nobody has named never carry two rails.
TEST(PlacedExample, SplitStripsAreBridged) {
    const Bench bench = bench_of(file(VOLTSILL_ROOT "/examples/rain-garden.toml"));
    PlacedWiring placed = place(bench, wiring_of(bench));
    const auto bridge = std::ranges::find_if(placed.placement.wires, [&](const LaidWire& wire) {
        return wire.use == WireUse::bridge && wire.from.hole.board == wire.to.hole.board &&
               wire.from.hole.column == wire.to.hole.column;
    });
    ASSERT_NE(bridge, placed.placement.wires.end());
    std::map<std::pair<int, int>, NetId> strips;
    for (const LaidWire& wire : placed.placement.wires)
        for (const WireEnd* end : {&wire.from, &wire.to}) {
            if (end->kind != WireEnd::Kind::hole) continue;
            if (!placed.placement.boards[end->hole.board]->columns[end->hole.column].strip) continue;
            const auto [strip, fresh] = strips.emplace(std::pair(end->hole.board, end->hole.column), wire.net);
            EXPECT_EQ(strip->second, wire.net);
        }
    placed.placement.wires.erase(bridge);
    EXPECT_THAT(test::differences(placed.wiring, nets_of_holes(bench, placed.wiring, placed.placement)),
                testing::Not(testing::IsEmpty()));
}

TEST(PlacedExample, TakesSeveralBoardsOrSaysWhyNot) {
    const Bench bench = bench_of(file(VOLTSILL_ROOT "/examples/rain-garden.toml"));
    const Wiring wiring = wiring_of(bench);
    const PlacedWiring halves = place(bench, wiring, {.boards = {"half"}});
    expect_right(bench, halves);
    EXPECT_GT(halves.placement.boards.size(), 1u);
    const PlacedWiring minis = place(bench, wiring, {.boards = {"mini"}});
    expect_right(bench, minis);
    EXPECT_GT(minis.placement.boards.size(), 2u);
    EXPECT_THAT(place(bench, wiring, {.boards = {"haff"}}).trouble, testing::HasSubstr("\"half\""));
}

TEST(PlacedExample, PackagesTooLongForTheBoardAreNamed) {
    Bench bench = bench_of(file(VOLTSILL_ROOT "/examples/eight-pairs.toml"));
    BoardKind tiny = *bench.board_kind("mini");
    tiny.name = "tiny", tiny.rows = 5;
    bench.boards = {std::make_shared<const BoardKind>(tiny)};
    EXPECT_THAT(place(bench, plan(bench).wiring).trouble, testing::HasSubstr("fits nowhere"));
}

/// IEC 60757 letter codes (from memory); black is 0 V and nothing else, a rail has one colour, and no
/// signal has a rail's.
TEST_P(EveryExample, ColoursTellRailsApart) {
    const Bench bench = bench_of(file(GetParam()));
    const PlacedWiring placed = place(bench, wiring_of(bench));
    std::map<std::string, std::set<std::string>> kinds;
    for (const LaidWire& wire : placed.placement.wires) {
        const Net& net = placed.wiring.nets[wire.net];
        kinds[wire.colour].insert(net.ground ? "ground" : net.rail.empty() ? "signal" : net.rail);
        EXPECT_EQ(net.ground, wire.colour == "BK");
    }
    for (const auto& [colour, nets] : kinds) EXPECT_EQ(nets.size(), 1u) << colour;
}

TEST(PlacedExample, MoreEffortIsNeverWorse) {
    for (const char* name : {"/examples/eight-pairs.toml", "/examples/up-shift.toml"}) {
        const Bench bench = bench_of(file(std::string(VOLTSILL_ROOT) + name));
        const Wiring wiring = wiring_of(bench);
        double last = std::numeric_limits<double>::infinity();
        for (const double effort : {0.0, 1.0, 3.0, 7.0}) {
            const double cost = place(bench, wiring, {.effort = effort}).quality.cost;
            EXPECT_LE(cost, last) << name << " effort " << effort;
            last = cost;
        }
    }
}

}  // namespace
}  // namespace voltsill
