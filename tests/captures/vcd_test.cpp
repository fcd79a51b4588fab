/// Value change dumps: what IEEE Std 1364-2005, clause 18, allows and what it does not.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "collected.h"

namespace {
using namespace collected;
using testing::ElementsAre;

std::string dump(const std::string& declarations, const std::string& values) {
    return "$timescale 10 ns $end\n$scope module top $end\n" + declarations +
           "$upscope $end\n$enddefinitions $end\n" + values;
}

TEST(Vcd, ScalarsVectorsAndReals) {
    const Read r =
        read(dump("$var wire 1 ! clk $end $var reg 4 % e_d [3:0] $end\n$var real 64 & level $end\n",
                  "#0\n$dumpvars 0! bx % r0.5 & $end\n#5 1! b10 %\n#7\nr-1.25e1 &\n#9\n"));
    EXPECT_TRUE(r.problems.empty());
    EXPECT_DOUBLE_EQ(r.all.seconds_per_tick, 1e-8);
    EXPECT_THAT(r.all.names(),
                ElementsAre("top.clk", "top.e_d[0]", "top.e_d[1]", "top.e_d[2]", "top.e_d[3]", "top.level"));
    EXPECT_EQ(r.all.channels[5].kind, ChannelKind::stepped);
    EXPECT_EQ(r.all.of(0), "x@0 0@0 1@5");
    EXPECT_EQ(r.all.of(1), "x@0 0@5");
    EXPECT_EQ(r.all.of(2), "x@0 1@5");
    EXPECT_EQ(r.all.of(4), "x@0 0@5");
    EXPECT_THAT(r.all.steps.back(), (Step{5, 7, -12.5}));
    EXPECT_EQ(r.all.end, 9);
}

TEST(Vcd, IndicesFollowTheDeclaredRange) {
    EXPECT_THAT(read(dump("$var wire 3 ! a [0:2] $end $var wire 2 \" b [9:8] $end $var wire 1 # c [4] $end\n",
                          "#0\n"))
                    .all.names(),
                ElementsAre("top.a[2]", "top.a[1]", "top.a[0]", "top.b[8]", "top.b[9]", "top.c[4]"));
}

TEST(Vcd, SameIdentifierTwiceIsOneSignalWithTwoNames) {
    const Read r = read(dump(
        "$var wire 1 ! clk $end $scope module sub $end $var wire 1 ! ck $end $upscope $end\n", "#0 1!\n"));
    ASSERT_EQ(r.all.channels.size(), 1u);
    EXPECT_THAT(r.all.channels[0].aliases, ElementsAre("top.sub.ck"));
}

TEST(Vcd, NineValuesAreMappedAndReported) {
    const Read r = read(dump("$var wire 1 ! a $end\n", "#0 L!\n#1 H!\n#2 U!\n#3 -!\n#4 W!\n#5 z!\n"));
    EXPECT_EQ(r.all.of(0), "x@0 0@0 1@1 x@2 z@5");
    EXPECT_TRUE(r.has("vcd-nine-values"));
}

TEST(Vcd, DumpOffAndOnAreValuesLikeAny) {
    const Read r = read(dump("$var wire 1 ! a $end\n",
                             "#0 1!\n#5 $dumpoff x! $end\n#9 $dumpon 0! $end\n#12 $dumpall 0! $end\n"));
    EXPECT_EQ(r.all.of(0), "x@0 1@0 x@5 0@9");
    EXPECT_EQ(r.all.end, 12);
    EXPECT_TRUE(r.problems.empty());
}

TEST(Vcd, ValuesBeforeTheFirstTimeStandAtIt) {
    const Read r =
        read(dump("$var wire 1 ! a $end $var real 1 & v $end\n", "$dumpvars 1! r2 & $end\n#100\n#200 0!\n"));
    EXPECT_EQ(r.all.of(0), "1@100 0@200");
    EXPECT_THAT(r.all.steps, ElementsAre(Step{1, 100, 2}));
}

TEST(Vcd, TimeThatGoesBackBeginsAnotherSweep) {
    const Read r = read(dump("$var wire 1 ! a $end\n", "#10 1!\n#4 0!\n#8\n"));
    EXPECT_EQ(r.problem("time-goes-back").place.line, 7);
    EXPECT_EQ(r.problem("time-goes-back").excerpt, "#4");
    EXPECT_THAT(r.all.restarts, ElementsAre(0));
}

TEST(Vcd, MistakesHaveLineReasonAndExpectation) {
    const Read r = read(dump("$var wire 1 ! a $end\n", "#0\n1?\nq!\n#x\nb12 !\nb11 !\n1 !\n#5\n"));
    EXPECT_EQ(r.problem("vcd-identifier").place.line, 7);
    EXPECT_EQ(r.problem("vcd-value").place.line, 8);
    EXPECT_EQ(r.problem("vcd-time").place.line, 9);
    EXPECT_EQ(r.problem("vcd-width").place.line, 11);
    EXPECT_FALSE(r.problem("vcd-value").expected.empty());
    EXPECT_EQ(r.all.end, 5);
    EXPECT_TRUE(read("$timescale 3 ns $end $enddefinitions $end").has("vcd-timescale"));
    EXPECT_EQ(read("$timescael 1 ns $end $var wire 1 ! a $end $enddefinitions $end\n#0 1!\n")
                  .problem("vcd-keyword")
                  .nearest,
              "$timescale");
    EXPECT_TRUE(
        read("$timescale 1e99 s $end $var wire 1 ! a $end $enddefinitions $end\n").has("vcd-timescale"));
    EXPECT_TRUE(has_error(read("$enddefinitions $end\n#0\n").problems));
    EXPECT_TRUE(has_error(read("$var wire 1 ! a $end\n").problems)) << "no end of the header";
    EXPECT_TRUE(has_error(read("$var wire -3 ! a $end $enddefinitions $end\n").problems));
}

TEST(Vcd, AFileCutOffGivesWhatCameBefore) {
    for (const char* tail : {"#9\nb10", "#9\n1", "#9 $comment half"}) {
        const Read r = read(dump("$var wire 1 ! a $end\n", std::string("#3 1!\n") + tail));
        EXPECT_TRUE(r.truncated) << tail;
        EXPECT_FALSE(has_error(r.problems)) << tail;
        EXPECT_EQ(r.all.of(0), "x@3 1@3");
    }
    EXPECT_FALSE(read(dump("$var wire 1 ! a $end\n", "#3 1!\n#9")).truncated)
        << "a file need not end with a line end";
}

TEST(Vcd, CountsManyMistakesWithoutListingThem) {
    std::string values = "#0\n";
    for (int k = 0; k < 1000; ++k) values += "1?\n";
    const Read r = read(dump("$var wire 1 ! a $end\n", values));
    EXPECT_LT(r.problems.size(), 8u);
    EXPECT_NE(r.problems.back().message.find("997 more"), std::string::npos);
}

TEST(Vcd, LimitsAreSaid) {
    std::string declarations;
    for (int k = 0; k < 70000; ++k)
        declarations += "$var wire 1 i" + std::to_string(k) + " n" + std::to_string(k) + " $end\n";
    const Read many = read(dump(declarations, "#0 1i0\n"));
    EXPECT_EQ(many.all.channels.size(), most_channels);
    EXPECT_TRUE(many.has("too-many-channels"));
    const Read wide = read(dump("$var wire 100000 ! a $end\n", "#0 b1 !\n"));
    EXPECT_EQ(wide.all.channels.size(), 64u);
    EXPECT_TRUE(wide.has("vcd-wide"));
    EXPECT_TRUE(read(dump("$var wire 1 ! a $end\n", "#0\nb" + std::string(3u << 20, '1') + " !\n#4 1!\n"))
                    .has("line-too-long"));
}

}  // namespace
