// Learners' files: RFC 4180 as it is printed, and mistakes with their places.
#include <gtest/gtest.h>

#include "placement/example_benches.h"
#include "teaching/class_summary.h"
#include "teaching/learner_build.h"

namespace {

using namespace voltsill;

std::vector<std::vector<std::string>> texts(const CsvTable& table) {
    std::vector<std::vector<std::string>> out;
    for (const CsvTableRow& row : table.rows) {
        out.emplace_back();
        for (const CsvTableCell& cell : row) out.back().push_back(cell.text);
    }
    return out;
}
using Texts = std::vector<std::vector<std::string>>;

// RFC 4180, section 2: the examples of its rules 1, 2, 5, 6 and 7.
TEST(CsvTable, ExamplesOfRfc4180) {
    EXPECT_EQ(texts(parse_csv_table("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "x")),
              (Texts{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}));
    EXPECT_EQ(texts(parse_csv_table("aaa,bbb,ccc\r\nzzz,yyy,xxx", "x")),
              (Texts{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}));
    EXPECT_EQ(texts(parse_csv_table("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "x")),
              (Texts{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}));
    EXPECT_EQ(texts(parse_csv_table("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "x")),
              (Texts{{"aaa", "b\r\nbb", "ccc"}, {"zzz", "yyy", "xxx"}}));
    EXPECT_EQ(texts(parse_csv_table("\"aaa\",\"b\"\"bb\",\"ccc\"", "x")), (Texts{{"aaa", "b\"bb", "ccc"}}));
}

TEST(CsvTable, OtherSeparatorsAndMistakes) {
    EXPECT_EQ(texts(parse_csv_table("\xEF\xBB\xBF" "from;to\n1a;2b\n\n", "x")), (Texts{{"from", "to"}, {"1a", "2b"}}));
    const CsvTable open = parse_csv_table("a,b\nc,\"d", "x");
    ASSERT_EQ(open.problems.size(), 1u);
    EXPECT_EQ(open.problems[0].code, "unclosed-quote");
    EXPECT_EQ(open.problems[0].place.line, 2);
    EXPECT_EQ(open.problems[0].place.column, 3);
    EXPECT_EQ(parse_csv_table("a,b\"c\n", "x").problems.at(0).code, "bare-quote");
    EXPECT_EQ(parse_csv_table(std::string("a\0b", 3), "x").problems.at(0).code, "not-text");
}

class LearnerFile : public testing::Test {
  protected:
    static void SetUpTestSuite() {
        example_ = new examples::Example(examples::read("first-bench.toml"));
        build_ = new PlacedWiring(place(example_->bench, example_->wiring, {.effort = 0.1}));
    }
    static LearnerBuild read(const std::string& bytes) {
        return BuildReader(example_->bench, *build_).read(bytes, "anna.csv");
    }
    static examples::Example* example_;
    static PlacedWiring* build_;
};
examples::Example* LearnerFile::example_ = nullptr;
PlacedWiring* LearnerFile::build_ = nullptr;

TEST_F(LearnerFile, EndsOfAllKinds) {
    const LearnerBuild b = read(
        "from,to,note\n12c,sender.OUT,\nU1.3,U1.2A,\nRail Five,supply five 0 V,\n"
        "GROUND,receiver.3,\nsupply three +,12s,\n");
    ASSERT_TRUE(b.problems.empty()) << render(b.problems.front());
    ASSERT_GE(b.placement.wires.size(), 5u);
    EXPECT_EQ(b.placement.wires[0].from.kind, WireEnd::Kind::hole);
    EXPECT_EQ(b.placement.wires[0].from.hole.row, 12);
    EXPECT_EQ(b.placement.wires[1].to.kind, WireEnd::Kind::pin);
    EXPECT_EQ(b.placement.wires[2].from.kind, WireEnd::Kind::supply);
    EXPECT_EQ(b.placement.wires[2].to.kind, WireEnd::Kind::ground);
    EXPECT_EQ(b.placement.wires[4].to.hole.row, 12);
    EXPECT_EQ(b.placement.wires.size(), 6u);  // "ground" joins the 0 V of both supplies
}

TEST_F(LearnerFile, EveryMistakeAtOnceWithItsPlace) {
    const LearnerBuild b = read(
        "kind,from,to,value,note\n"
        "wire,12c,sender.OUTT,,\n"          // line 2
        "wire,99a,sender.OUT,,\n"         // 3
        "wier,12c,13c,,\n"                // 4
        "wire,12c,,,\n"                   // 5
        "reading,receiver.IN,sender.OUT hi,3.3 V,\n"  // 6
        "reading,receiver.IN,sender.OUT high,\"3,3 V\",\n"  // 7
        "part,U9,4e,,\n"                  // 8
        "part,U1,4e,upside,\n"            // 9
        "wire,12c,12c,,\n"                // 10
        "wire,12c,13c,,fine\n");
    struct Wanted {
        const char* code;
        int line, column;
    };
    const Wanted wanted[] = {{"unknown-pin", 2, 10},   {"unknown-hole", 3, 6},   {"unknown-kind", 4, 1},
                             {"cell-missing", 5, 1},   {"unknown-state", 6, 21}, {"decimal-comma", 7, 37},
                             {"unknown-part", 8, 6},   {"unknown-word", 9, 12},  {"same-ends", 10, 1}};
    ASSERT_EQ(b.problems.size(), std::size(wanted));
    for (std::size_t k = 0; k < std::size(wanted); ++k) {
        EXPECT_EQ(b.problems[k].code, wanted[k].code);
        EXPECT_EQ(b.problems[k].place.line, wanted[k].line) << wanted[k].code;
        EXPECT_EQ(b.problems[k].place.column, wanted[k].column) << wanted[k].code;
        EXPECT_FALSE(b.problems[k].expected.empty()) << wanted[k].code;
    }
    EXPECT_EQ(b.problems[0].nearest, "OUT");
    EXPECT_EQ(b.problems[2].nearest, "wire");
    EXPECT_EQ(b.placement.wires.size(), 1u);  // the rest of the file counts
    EXPECT_TRUE(b.readable);
}

TEST_F(LearnerFile, WithoutAHeaderNothingIsRead) {
    const LearnerBuild b = read("12c,13c\n");
    EXPECT_FALSE(b.readable);
    EXPECT_EQ(b.problems.at(0).code, "no-header");
}

// Definition 7 of Hyndman and Fan: for 1..10 the quartiles are 3.25, 5.5 and 7.75 (R's default, from memory).
TEST(MarkStatistics, Quartiles) {
    const MarkStatistics s = statistics_of({10, 9, 8, 7, 6, 5, 4, 3, 2, 1});
    EXPECT_DOUBLE_EQ(s.lower_quartile, 3.25);
    EXPECT_DOUBLE_EQ(s.median, 5.5);
    EXPECT_DOUBLE_EQ(s.upper_quartile, 7.75);
    EXPECT_DOUBLE_EQ(s.mean, 5.5);
    EXPECT_EQ(statistics_of({}).count, 0);
}

TEST(Rubric, DefaultHasTheCommonWeights) {
    const Rubric& r = default_rubric();  // common practice, no source: 20, 30, 20, 10, 20
    ASSERT_EQ(r.criteria.size(), 5u);
    EXPECT_DOUBLE_EQ(r.total(), 100);
    EXPECT_DOUBLE_EQ(r.criteria[1].points, 30);
    EXPECT_EQ(r.stop, Stop::harmful);
}

TEST(Rubric, MistakesHaveTheirPlaces) {
    const RubricReading r = read_rubric(
        "title = \"x\"\n[[criteria]]\nid = \"a\"\nwords = \"A\"\npoints = -1\nby = \"magic\"\n"
        "[[criteria]]\nid = \"a\"\nwords = \"B\"\npoints = 1\nby = \"hand\"\n", "r.toml");
    EXPECT_FALSE(r.rubric);
    ASSERT_EQ(r.problems.size(), 3u);
    EXPECT_EQ(r.problems[0].place.line, 5);
    EXPECT_EQ(r.problems[1].place.line, 6);
    EXPECT_EQ(r.problems[2].code, "duplicate-criterion");
    EXPECT_EQ(r.problems[2].place.line, 7);
    EXPECT_EQ(read_rubric("title = \"x\"\ncriteria = []\n", "r.toml").problems.at(0).code, "no-points");
}

}  // namespace
