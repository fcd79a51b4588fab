/// The search: every move keeps a layout right and its cost known, a seed means one placement, more effort
/// is never worse.
#include "placement/search.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "placement/lay.h"
#include "placement/start.h"
#include "planning/plan.h"
#include "support/generated_bench.h"
#include "support/wiring_differences.h"

namespace voltsill {
namespace {

using testing::IsEmpty;

Bench read_of(const std::string& text) { return *read_bench(text, "test.toml").bench; }

bool rails_only(const Wiring& wiring, NetId a, NetId b) {
    return !wiring.nets[a].rail.empty() || !wiring.nets[b].rail.empty();
}

struct Started {
    Bench bench;
    Layout layout;
    std::vector<Home> homes;

    explicit Started(int seed, int links, const std::string& boards = "")
        : bench(read_of(test::generated_bench(seed, links, boards))),
          layout(bench, plan(bench).wiring),
          homes(homes_of(layout)) {
        BoardSupply supply{bench.boards};
        if (supply.kinds.empty()) supply.kinds = {bench.board_kind("full split")};
        EXPECT_EQ(start(layout, homes, supply), "");
    }
    NetPairHarm harm() const {
        return [w = layout.wiring](NetId a, NetId b) { return rails_only(w, a, b); };
    }
};

class MovesOf : public testing::TestWithParam<int> {};

/// Law: what is kept up to date move by move, undone or not, is what a fresh count gives; and after every
/// few moves the holes still make the planned nets.
TEST_P(MovesOf, KeepCostAndNets) {
    Started s(GetParam(), 6 + GetParam() % 5, GetParam() % 2 ? "\"half\"" : "");
    Score score(s.layout, s.harm());
    Random random(7);
    Moves moves(s.layout, score, s.homes, random);
    int kept = 0, made = 0;
    for (int step = 0; step < 400; ++step) {
        const long before = score.cost();
        if (!moves.propose()) {
            EXPECT_EQ(score.cost(), before);
            continue;
        }
        ++made;
        const long after = score.settle();
        if (after > before && step % 3) {
            moves.undo();
            EXPECT_EQ(score.cost(), before);
        } else if (after >= std::numeric_limits<long>::max() / 4) {
            moves.undo();
        } else {
            ++kept;
        }
        if (step % 40) continue;
        Layout copy = s.layout;
        EXPECT_EQ(Score(copy, s.harm()).cost(), score.cost()) << "step " << step;
        const Placement placement = lay(s.layout);
        EXPECT_THAT(impossible(s.layout.wiring, placement), IsEmpty());
        EXPECT_THAT(test::differences(s.layout.wiring, nets_of_holes(s.bench, s.layout.wiring, placement)), IsEmpty());
    }
    EXPECT_GT(made, 40);
    EXPECT_GT(kept, 10);
}

INSTANTIATE_TEST_SUITE_P(Benches, MovesOf, testing::Range(0, 10));

TEST(Search, ASeedMeansOnePlacement) {
    const auto run = [](std::uint64_t seed) {
        Started s(3, 8);
        search(s.layout, s.homes, s.harm(), {.moves = 3000, .seed = seed});
        std::string text;
        const Placement placement = lay(s.layout);
        for (const LaidWire& wire : placement.wires)
            text +=
                words(placement, s.layout.wiring, wire.from) + " " + words(placement, s.layout.wiring, wire.to) + "\n";
        return text;
    };
    EXPECT_EQ(run(1), run(1));
    EXPECT_NE(run(1), run(2));
}

TEST(Search, GetsBetterAndStopsWhenTold) {
    Started s(4, 9);
    const long before = Score(s.layout, s.harm()).cost();
    const Snapshot best = search(s.layout, s.homes, s.harm(), {.moves = 4000, .seed = 1});
    EXPECT_LT(best.cost, before);
    EXPECT_EQ(Score(s.layout, s.harm()).cost(), best.cost) << "the layout is left at the best";
    Started t(4, 9);
    long calls = 0;
    search(t.layout, t.homes, t.harm(),
           {.moves = 1'000'000'000, .seed = 1, .progress = [&](long) { return ++calls < 3; }});
    EXPECT_EQ(calls, 3);
}

/// The pins of a signal are the plan's: reports, drawings of links and build sheets must name the same ones.
TEST(Search, MovesPartsAndWiresButNoSignalToAnotherPin) {
    for (int seed = 0; seed < 6; ++seed) {
        Started s(seed, 8);
        const Wiring before = s.layout.wiring;
        search(s.layout, s.homes, s.harm(), {.moves = 2000, .seed = 1});
        for (std::size_t p = 0; p < before.parts.size(); ++p)
            EXPECT_EQ(before.parts[p].net_of_pin, s.layout.wiring.parts[p].net_of_pin) << before.parts[p].name;
    }
}

}  // namespace
}  // namespace voltsill
