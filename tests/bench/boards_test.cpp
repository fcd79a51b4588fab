/// Boards as data: the built-in ones, those of a bench, and what is refused.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "bench/bench.h"

namespace voltsill {
namespace {

BenchReading bench_with(const std::string& boards) {
    return read_bench("[rails]\nusb = \"5 V ± 5 %\"\n[parts]\na = { type = \"controller-3v3\", supply = \"usb\" }\n" +
                          boards,
                      "boards.toml");
}

const BoardKind& built_in(std::string_view name) {
    for (const auto& board : built_in_boards())
        if (board->name == name) return *board;
    ADD_FAILURE() << "no board " << name;
    return *built_in_boards().front();
}

int tie_points(const BoardKind& board, bool strips) {
    int count = 0;
    for (int row = 1; row <= board.rows; ++row)
        for (std::size_t c = 0; c < board.columns.size(); ++c)
            if (board.columns[c].strip == strips) count += board.has_hole(row, static_cast<int>(c));
    return count;
}

TEST(Boards, BuiltInFileIsRight) {
    Problems problems;
    EXPECT_GE(read_built_in_boards(problems).size(), 5u);
    for (const Problem& problem : problems) ADD_FAILURE() << render(problem);
}

/// Boards are sold by their tie points: 830 (630 and 4 x 50), 400 (300 and 4 x 25), 170. Common
/// practice, no source.
TEST(Boards, HaveTheTiePointsTheyAreSoldBy) {
    EXPECT_EQ(tie_points(built_in("full"), false), 630);
    EXPECT_EQ(tie_points(built_in("full"), true), 200);
    EXPECT_EQ(tie_points(built_in("full split"), true), 200);
    EXPECT_EQ(tie_points(built_in("half"), false), 300);
    EXPECT_EQ(tie_points(built_in("half"), true), 100);
    EXPECT_EQ(tie_points(built_in("mini"), false) + tie_points(built_in("mini"), true), 170);
}

/// Law: nodes are numbered without gaps, a node of rows has as many holes as a side has columns, and
/// columns stand from left to right.
TEST(Boards, NodesPartitionTheHoles) {
    for (const auto& board : built_in_boards()) {
        std::map<int, int> holes;
        for (int row = 1; row <= board->rows; ++row)
            for (std::size_t c = 0; c < board->columns.size(); ++c)
                if (const int node = board->node_of(row, static_cast<int>(c)); node >= 0) ++holes[node];
        EXPECT_EQ(static_cast<int>(holes.size()), board->node_count()) << board->name;
        EXPECT_EQ(holes.begin()->first, 0);
        EXPECT_EQ(holes.rbegin()->first, board->node_count() - 1);
        for (const auto& [node, count] : holes)
            if (node < 2 * board->rows) EXPECT_EQ(count, 5) << board->name;
        for (std::size_t c = 1; c < board->columns.size(); ++c)
            EXPECT_LT(board->columns[c - 1].across, board->columns[c].across) << board->name;
    }
}

/// A DIP straddles the trench: 7.62 mm between rows of pins (JEDEC MS-001, from memory).
TEST(Boards, TrenchFitsADip) {
    for (const auto& board : built_in_boards()) {
        const auto& columns = board->columns;
        EXPECT_DOUBLE_EQ(
            (columns[board->column("f")].across - columns[board->column("e")].across) * pitch_metres, 7.62e-3);
    }
}

TEST(Boards, SplitStripsAreTwoNodes) {
    const BoardKind &split = built_in("full split"), &whole = built_in("full");
    for (const char* strip : {"s", "t", "x", "y"}) {
        const int c = split.column(strip), d = whole.column(strip);
        EXPECT_NE(split.node_of(3, c), split.node_of(61, c));
        EXPECT_EQ(whole.node_of(3, d), whole.node_of(61, d));
        EXPECT_FALSE(split.has_hole(32, c));
    }
}

TEST(Boards, ABenchUsesAndDescribesBoards) {
    const BenchReading reading = bench_with(
        "[boards]\nuse = [\"full split\", \"short\"]\n[boards.kinds.short]\ntitle = \"ten rows\"\nrows = 10\n"
        "strips.z = { side = \"right\", pieces = \"1..10\" }\nstrip_groups = 0\n");
    for (const Problem& problem : reading.problems)
        if (problem.severity == Severity::error) ADD_FAILURE() << render(problem);
    ASSERT_TRUE(reading.bench);
    ASSERT_EQ(reading.bench->boards.size(), 2u);
    EXPECT_EQ(reading.bench->boards[0]->name, "full split");
    const BoardKind& own = *reading.bench->boards[1];
    EXPECT_EQ(own.rows, 10);
    EXPECT_EQ(own.node_count(), 21);
    EXPECT_TRUE(own.has_hole(6, own.column("z")));
    EXPECT_EQ(own.place.line, 7);
}

struct Refused {
    const char *text, *code, *at;
};
class RefusedBoards : public testing::TestWithParam<Refused> {};

TEST_P(RefusedBoards, IsReportedWithItsPlace) {
    const auto [text, code, at] = GetParam();
    const BenchReading reading = bench_with(text);
    EXPECT_FALSE(reading.bench);
    const auto found = std::ranges::find(reading.problems, code, &Problem::code);
    ASSERT_NE(found, reading.problems.end()) << text;
    EXPECT_THAT(found->excerpt, testing::HasSubstr(at));
    EXPECT_GT(found->place.line, 4);
}

INSTANTIATE_TEST_SUITE_P(
    All, RefusedBoards,
    testing::Values(
        Refused{"[boards]\nuse = [\"full spilt\"]\n", "unknown-board", "full spilt"},
        Refused{"[boards]\nkind = \"half\"\n", "unknown-key", "kind"},
        Refused{"[boards.kinds.k]\ntitle = \"t\"\nrows = 9\nstrips.w = { side = \"left\", pieces = \"1..10\" }\n",
                "bad-pieces", "1..10"},
        Refused{"[boards.kinds.k]\ntitle = \"t\"\nrows = 9\nstrips.w = { side = \"left\", pieces = [\"1..5\", "
                "\"5..9\"] }\n",
                "bad-pieces", "5..9"},
        Refused{"[boards.kinds.k]\ntitle = \"t\"\nrows = 9\nstrips.w = { side = \"left\", pieces = \"9..1\" }\n",
                "reversed-range", "9..1"},
        Refused{"[boards.kinds.k]\ntitle = \"t\"\nrows = 9\nstrips.w = { side = \"left\", pieces = \"all\" }\n",
                "not-rows", "all"},
        Refused{"[boards.kinds.k]\ntitle = \"t\"\nrows = 9\nstrips.a = { side = \"left\", pieces = \"1..9\" }\n",
                "duplicate-name", ""},
        Refused{"[boards.kinds.k]\ntitle = \"t\"\nrows = 9\nleft = \"a bb\"\n", "bad-columns", "bb"},
        Refused{"[boards.kinds.k]\ntitle = \"t\"\nrows = 0\n", "out-of-range", "0"}));

TEST(Boards, UnknownBoardNamesTheNearest) {
    const BenchReading reading = bench_with("[boards]\nuse = \"full spilt\"\n");
    const auto found = std::ranges::find(reading.problems, "unknown-board", &Problem::code);
    ASSERT_NE(found, reading.problems.end());
    EXPECT_EQ(found->nearest, "full split");
}

}  // namespace
}  // namespace voltsill
