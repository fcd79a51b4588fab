/// Time plans against the formula of their header, worked by hand here.
#include "teaching/time_plan.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "teaching/kits.h"

namespace voltsill {
namespace {

const WorkCounts seat{
    .kinds = 20, .parts = 8, .wires = 60, .resistances = 20, .rails = 3, .readings = 40, .links = 18, .questions = 8};

const TimePhase& phase_of(const TimePlan& plan, const std::string& id) {
    return *std::ranges::find(plan.phases, id, &TimePhase::id);
}

TEST(TimePlan, WithoutLogsItIsCountsTimesMinutes) {
    const TimePlan plan = time_plan(seat);
    double sum = 0;
    for (const TimePhase& p : plan.phases) {
        EXPECT_EQ(p.factor, 1.0) << p.id;
        EXPECT_DOUBLE_EQ(p.minutes(), p.fixed + p.each * p.items) << p.id;
        sum += p.minutes();
    }
    EXPECT_DOUBLE_EQ(plan.minutes(), sum);
    EXPECT_EQ(phase_of(plan, "wires").items, 60);
    EXPECT_EQ(phase_of(plan, "levels").items, 40);
    WorkCounts more = seat;
    more.wires += 10;
    EXPECT_NEAR(time_plan(more).minutes() - plan.minutes(), 10 * phase_of(plan, "wires").each, 1e-9);
}

/// factor = (w + sum of ratios) / (w + N), w = 3.
TEST(TimePlan, OneLogMovesItAQuarterOfTheWay) {
    const double planned = phase_of(time_plan(seat), "wires").prior();
    const TimePlan plan = time_plan(seat, {}, {{"wires", 2 * planned}});
    EXPECT_NEAR(phase_of(plan, "wires").minutes(), 1.25 * planned, 1e-9);
    EXPECT_EQ(phase_of(plan, "levels").factor, 1.0) << "another phase moved";
}

TEST(TimePlan, ManyLogsAreTheirMean) {
    const double planned = phase_of(time_plan(seat), "wires").prior();
    std::vector<LoggedMinutes> logs;
    for (int k = 0; k < 3000; ++k) logs.push_back({"wires", planned * (k % 2 ? 1.4 : 1.8)});
    EXPECT_NEAR(phase_of(time_plan(seat, {}, logs), "wires").factor, 1.6, 2e-3);
}

TEST(TimePlan, MinutesOfACourseTakeThePlaceOfCommonPractice) {
    const TimePlan plan = time_plan(seat, {{"wires", 0.5}, {"introduction", 20}});
    EXPECT_DOUBLE_EQ(phase_of(plan, "wires").minutes(), phase_of(plan, "wires").fixed + 30);
    EXPECT_DOUBLE_EQ(phase_of(plan, "introduction").minutes(), 20);
}

TEST(CourseFiles, LogsAreReadWithTheirMistakes) {
    Problems problems;
    const auto logs = read_time_log(
        "phase,minutes\r\nwires,75\r\n# evening of 3 May\r\n\r\nlevels; 42.5\nwire,10\nparts,ten\nparts\nparts,-1\n",
        "log.csv", problems);
    ASSERT_EQ(logs.size(), 2u);
    EXPECT_EQ(logs[0].phase, "wires");
    EXPECT_EQ(logs[0].minutes, 75);
    EXPECT_EQ(logs[1].minutes, 42.5);
    ASSERT_EQ(problems.size(), 4u);
    EXPECT_EQ(problems[0].code, "unknown-name");
    EXPECT_EQ(problems[0].nearest, "wires");
    EXPECT_EQ(problems[0].place.line, 6);
    EXPECT_EQ(problems[1].code, "not-a-number");
    EXPECT_EQ(problems[1].place.column, 7);
    EXPECT_EQ(problems[2].code, "missing-column");
    EXPECT_EQ(problems[3].code, "out-of-range");
    EXPECT_EQ(problems[3].place.line, 9);
}

TEST(CourseFiles, AnyBytesAreRead) {
    Problems problems;
    read_time_log(std::string("\0\xff,\xfe;;\n,,,\n\"\n\",\"\n1,1", 22), "x", problems);
    EXPECT_FALSE(problems.empty());
    EXPECT_TRUE(read_time_log("", "x", problems).empty());
}

TEST(CourseFiles, SparesNamedTakeThePlaceOfCommonPractice) {
    Problems problems;
    const SpareRates rates =
        read_spare_rates("kind,share\nintegrated circuits,9\nwire,0.5\nresistor,0\n", "spares.csv", problems);
    EXPECT_EQ(rates.wire, 0.5);
    EXPECT_EQ(rates.resistor, 0);
    EXPECT_EQ(rates.integrated_circuit, 0.2) << "a name that is wrong changed something";
    ASSERT_EQ(problems.size(), 1u);
    EXPECT_EQ(problems[0].nearest, "integrated circuit");
}

}  // namespace
}  // namespace voltsill
