#include "records/shape.h"

#include <gmock/gmock.h>

#include "sample.h"

namespace {

using namespace voltsill;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

std::vector<std::string> codes(const Problems& problems) {
    std::vector<std::string> result;
    for (const Problem& p : problems) result.push_back(p.code);
    return result;
}

TEST(Shape, ReadsEveryKindOfField) {
    const auto [bench, problems] = sample::read_text(
        "title = \"Station\"\n"
        "[rails]\n"
        "zeta = { volts = \"3.3 V ± 10 %\", limit = \"300 mA\", sinks = true, count = 3, kind = \"load\", "
        "pins = \"A\" }\n"
        "alpha = \"5 V\"\n"
        "[[spare]]\n"
        "volts = \"12 V\"\n"
        "weight = 2\n"
        "pins = [\"B\", \"C\"]\n"
        "[box.inner.first.inner.second]\n"
        "title = \"deep\"\n");
    EXPECT_THAT(problems, IsEmpty());
    EXPECT_EQ(bench.title, "Station");
    ASSERT_EQ(bench.rails.size(), 2u);
    EXPECT_EQ(bench.rails[0].name, "zeta");  // order of the file, not of the alphabet
    EXPECT_EQ(bench.rails[1].name, "alpha");
    EXPECT_EQ(bench.rails[0].place, (Place{"bench.toml", 3, 1, 4}));
    const sample::Rail& zeta = bench.rails[0].value;
    EXPECT_NEAR(zeta.volts.lo.si(), 2.97, 1e-12);
    EXPECT_NEAR(zeta.volts.hi.si(), 3.63, 1e-12);
    EXPECT_EQ(zeta.limit, Amps(0.3));
    EXPECT_TRUE(zeta.sinks);
    EXPECT_EQ(zeta.count, 3);
    EXPECT_EQ(zeta.kind, sample::Kind::load);
    EXPECT_THAT(zeta.pins, ElementsAre("A"));
    EXPECT_EQ(zeta.place, (Place{"bench.toml", 3, 8, 96}));
    ASSERT_NE(zeta.places.find("limit"), nullptr);
    EXPECT_EQ(zeta.places.find("limit")->key_spot.column, 34);
    EXPECT_EQ(zeta.places.find("limit")->value_spot.column, 42);
    EXPECT_EQ(zeta.places.find("weight"), nullptr);
    EXPECT_EQ(bench.rails[1].value.volts.nominal, Volts(5.0));
    ASSERT_EQ(bench.spare.size(), 1u);
    EXPECT_EQ(bench.spare[0].weight, 2.0);
    EXPECT_EQ(bench.spare[0].place.line, 5);
    EXPECT_THAT(bench.spare[0].pins, ElementsAre("B", "C"));
    EXPECT_EQ(bench.box.inner.at(0).value.inner.at(0).value.title, "deep");
}

TEST(Shape, ReportsAllMistakesInOneRun) {
    const auto [bench, problems] = sample::read_text(
        "titel = \"Station\"\n"
        "[rails]\n"
        "a = { volts = \"3.3 A\", limt = \"1 A\" }\n"
        "b = { volts = 5, count = 9, weight = nan, kind = \"lod\" }\n"
        "c = { limit = \"1..2 A\", sinks = \"yes\", pins = [1] }\n"
        "d = 7\n"
        "[box]\n"
        "inner = \"none\"\n");
    EXPECT_THAT(codes(problems),
                ElementsAre("unknown-key", "wrong-unit", "unknown-key", "wrong-type", "out-of-range",
                            "out-of-range", "unknown-word", "not-one-value", "wrong-type", "wrong-type",
                            "missing-key", "wrong-type", "wrong-type", "missing-key"));
    EXPECT_EQ(problems[0].nearest, "title");
    EXPECT_EQ(problems[1].place, (Place{"bench.toml", 3, 20, 1}));  // the unit alone
    EXPECT_EQ(problems[2].nearest, "limit");
    EXPECT_EQ(problems[6].nearest, "load");
    EXPECT_EQ(problems[6].expected, "one of logic, load");
    EXPECT_EQ(problems[10].place, (Place{"bench.toml", 5, 5, 47}));
    EXPECT_THAT(problems[10].expected, HasSubstr("volts = \"3.3 V ± 3 %\""));
    EXPECT_EQ(bench.rails.size(), 4u);
}

TEST(Shape, PlacesATroubleInsideAString) {
    const auto place = [](std::string_view text) {
        const auto result = sample::read_text(text);
        EXPECT_EQ(result.problems.size(), 1u) << text;
        return result.problems.at(0).place;
    };
    const std::string head = "title = \"é漢\"\n";
    // "A" of "3.3 A": after escapes and wide letters on the same line, and in multi-line strings.
    EXPECT_EQ(place(head + "rails = { \"漢\" = \"3.3 A\" }").column, 22);
    EXPECT_EQ(place(head + "rails.a = \"\\u0033.3 A\"").column, 21);
    EXPECT_EQ(place(head + "rails.a = '3.3 A'").column, 16);
    const Place multi = place(head + "rails.a = \"\"\"\n3.3 \\\n   A\"\"\"");
    EXPECT_EQ(std::pair(multi.line, multi.column), std::pair(4, 4));
}

TEST(Shape, IsSilentAboutKeysThatASyntaxErrorMayHide) {
    const auto [bench, problems] =
        sample::read_text("title = Station\n[rails.a]\nvolts = 5 V\n[rails.b]\ncount = 2\n");
    EXPECT_THAT(codes(problems), ElementsAre("missing-quotes", "missing-quotes", "missing-key"));
    EXPECT_EQ(problems[2].place.line, 4);
}

TEST(Shape, StopsListingAtALimit) {
    std::string text = "title = \"many\"\n[rails]\n";
    for (int i = 0; i < 1000; ++i) text += "r" + std::to_string(i) + " = 1\n";
    const auto [bench, problems] = sample::read_text(text);
    ASSERT_EQ(problems.size(), Reader::most_problems + 1u);
    EXPECT_EQ(problems.back().code, "too-many-problems");
    EXPECT_THAT(problems.back().message, HasSubstr("800 more"));
}

}  // namespace
