/// Tables of instruments: the variants in which they come (common practice, no source; RFC 4180 for
/// quotes).
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "collected.h"

namespace {
using namespace collected;
using testing::DoubleEq;
using testing::ElementsAre;
using testing::Pointwise;

const std::vector<double> times = {-0.001, 0, 0.0005}, volts = {0.1, 3.3, -0.25};

void expect_table(const std::string& bytes, const std::string& name = "CH1") {
    const Read r = read(bytes);
    EXPECT_TRUE(r.problems.empty()) << bytes << (r.problems.empty() ? "" : r.problems[0].message);
    ASSERT_EQ(r.all.channels.size(), 1u) << bytes;
    EXPECT_EQ(r.all.channels[0].name, name) << bytes;
    EXPECT_THAT(r.all.seconds, Pointwise(DoubleEq(), times)) << bytes;
    EXPECT_THAT(r.all.values[0], Pointwise(DoubleEq(), volts)) << bytes;
}

TEST(Csv, SeparatorsDecimalSignsAndLineEnds) {
    expect_table("Time,CH1\n-0.001,0.1\n0,3.3\n0.0005,-0.25\n");
    expect_table("Time;CH1\r\n-0,001;0,1\r\n0;3,3\r\n0,0005;-0,25\r\n");
    expect_table("Time\tCH1\n-0.001\t0.1\n0\t3.3\n0.0005\t-0.25");
    expect_table("Time|CH1\n-1.0e-3|+1E-1\n0.|.33e1\n5.0e-04|-25e-2\n");
    expect_table("Time CH1\n-0.001  0.1\n 0  3.3\n 0.0005 -0.25\n");
    expect_table("\xEF\xBB\xBFTime, CH1\n-0.001, 0.1\n0, 3.3\n0.0005, -0.25\n");
    expect_table("\"Time\",\"CH1\"\n\"-0.001\",\"0.1\"\n\"0\",\"3.3\"\n\"0.0005\",\"-0.25\"\n");
    expect_table("Time,CH1,\n-0.001,0.1,\n0,3.3,\n0.0005,-0.25,\n");
}

TEST(Csv, NamesAndUnits) {
    expect_table("-0.001,0.1\n0,3.3\n0.0005,-0.25\n");
    expect_table("x-axis,1\nsecond,Volt\n-0.001,0.1\n0,3.3\n0.0005,-0.25\n", "1");
    expect_table("Time,echo\nms,mV\n-1,100\n0,3300\n0.5,-250\n", "echo");
    expect_table("Time (ms);echo (mV)\n-1;100\n0;3300\n0,5;-250\n", "echo");
    expect_table("Time [us],echo [V]\n-1000,0.1\n0,3.3\n500,-0.25\n", "echo");
    expect_table("in s,CH1 in V\n-0.001,0.1\n0,3.3\n0.0005,-0.25\n");
    EXPECT_EQ(read("Time,a,b\ns,V,A\n0,1,2\n1,1,2\n").all.channels[1].unit, "A");
}

TEST(Csv, MetadataAboveTheTable) {
    expect_table(
        "Model,Invented 12\nRecord "
        "Length,3\nDate,2031-05-06\n\nTime,CH1\nSecond,Volt\n-0.001,0.1\n0,3.3\n0.0005,-0.25\n");
}

TEST(Csv, SettingsBesideTheFirstRows) {
    expect_table("Record Length,3,,-0.001,0.1\nUnits,s,,0,3.3\n,,,0.0005,-0.25\n");
}

TEST(Csv, SampleIntervalInPlaceOfTimes) {
    for (const char* head : {"Sample Interval,0.5\nCH1\n", "Sample Rate: 2 Hz\nCH1\n",
                             "Sampling Rate,2,Hz\nCH1,\n", "X,CH1,Start,Increment\nSequence,Volt,0,0.5\n"}) {
        const bool counted = std::string(head).starts_with("X");
        const Read r = read(std::string(head) + (counted ? "0,1,,\n1,2,,\n2,3,,\n" : "1\n2\n3\n"));
        EXPECT_THAT(r.all.seconds, ElementsAre(0, 0.5, 1)) << head;
        ASSERT_FALSE(r.all.values.empty()) << head;
        EXPECT_THAT(r.all.values[0], ElementsAre(1, 2, 3)) << head;
    }
    EXPECT_THAT(read("5\n6\n7\n", 64, {.sample_interval = 2}).all.seconds, ElementsAre(0, 2, 4));
    EXPECT_EQ(read("5\n6\n7\n").problem("csv-no-time").severity, Severity::error);
}

TEST(Csv, MissingCellsAreNoValues) {
    const Read r = read("Time,CH1,CH2\n0,1,2\n1,,2\n2,NaN,2\n3,---,OVERFLOW\n4,1\n");
    EXPECT_TRUE(r.problems.empty());
    ASSERT_EQ(r.all.values.size(), 2u);
    EXPECT_TRUE(std::isnan(r.all.values[0][1]) && std::isnan(r.all.values[0][2]) &&
                std::isnan(r.all.values[1][3]) && std::isnan(r.all.values[1][4]));
    EXPECT_EQ(r.all.values[0][4], 1);
}

TEST(Csv, RowsThatAreNoneAreReportedAndLeftOut) {
    const Read r = read("Time,CH1\n0,1\n1,oops\n2,3\n3,4,5\n4,6\n");
    EXPECT_THAT(r.all.values[0], ElementsAre(1, 3, 6));
    const Problem& p = r.problem("csv-row");
    EXPECT_EQ(p.place.line, 3);
    EXPECT_EQ(p.place.column, 3);
    EXPECT_EQ(p.place.width, 4);
    EXPECT_EQ(p.excerpt, "1,oops");
    EXPECT_NE(p.message.find("oops"), std::string::npos);
    EXPECT_EQ(r.problems[1].place.line, 5);
}

TEST(Csv, TimeThatGoesBackBeginsAnotherSweep) {
    const Read r = read("Time,CH1\n0,1\n1,2\n0.5,3\n2,4\n");
    EXPECT_THAT(r.all.values[0], ElementsAre(1, 2, 3, 4));
    EXPECT_THAT(r.all.restarts, ElementsAre(2));
    EXPECT_EQ(r.problem("time-goes-back").place.line, 4);
}

TEST(Csv, LastRowCutOffMarksTheFilePartial) {
    const Read cut = read("Time,CH1,CH2\n0,1,2\n1,3,4\n2,5");
    EXPECT_TRUE(cut.truncated);
    EXPECT_THAT(cut.all.values[1], ElementsAre(2, 4));
    EXPECT_FALSE(read("Time,CH1,CH2\n0,1,2\n1,3,4\n2,5,6").truncated);
}

TEST(Csv, DecimalCommaThatTheFirstLinesDoNotShow) {
    std::string bytes = "Time;CH1\n";
    for (int k = 0; k < 600; ++k) bytes += std::to_string(k) + ";3\n";
    const Read r = read(bytes + "600,5;3,25\n");
    EXPECT_TRUE(r.problems.empty());
    EXPECT_EQ(r.all.seconds.back(), 600.5);
    EXPECT_EQ(r.all.values[0].back(), 3.25);
}

TEST(Csv, WhatIsNoTableIsRefusedInOneSentence) {
    EXPECT_EQ(read("").problem("csv-no-rows").severity, Severity::error);
    EXPECT_EQ(read("hello\nworld\n").problem("csv-no-rows").place.line, 1);
    EXPECT_TRUE(read(std::string("a\0b,1", 5)).has("not-a-capture"));
    EXPECT_TRUE(read("PK\x03\x04zzzz").has("not-a-capture"));
    EXPECT_TRUE(read(std::string("\xFF\xFEt\0i\0", 6)).has("not-a-capture"));
    std::string wide = "0";
    for (int k = 1; k < 100000; ++k) wide += ",1";
    EXPECT_EQ(read(wide + "\n" + wide + "\n").problem("csv-columns").severity, Severity::error);
}

TEST(Csv, HostileNumbersAndLines) {
    const std::string head = "Time,CH1\n0,1\n1,2\n";
    const Read r = read(head + "1e999,3\n2,1e999\n3,-1e99999999999\n4," + std::string(5000, '9') + "\n5," +
                        std::string(1000, '9') + "\n" + std::string("6,\0\0\n", 5) + "7,1e-999\n");
    EXPECT_EQ(r.all.values[0].back(), 0);
    EXPECT_TRUE(r.has("csv-time") || r.has("csv-row"));
    const Read longest = read(head + std::string(100u << 20, 'x') + "\n2,3\n");
    EXPECT_TRUE(longest.has("line-too-long"));
    EXPECT_THAT(longest.all.values[0], ElementsAre(1, 2, 3));
}

}  // namespace
