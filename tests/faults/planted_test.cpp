/// Faults for a class: unseen, harmless by the judge, told apart, found by their own steps.
#include "faults/planted.h"

#include <gtest/gtest.h>

#include <set>

#include "faults/harm.h"
#include "faults/placed_benches.h"

namespace voltsill {
namespace {

struct Class {
    const placed::Build& build;
    Dictionary dictionary;
    explicit Class(const std::string& name)
        : build(placed::named(name)), dictionary(build.bench, build.placed, faults_of(build.bench, build.placed)) {}
};

void expect_fit_for_a_class(const Class& room, const PlantedSet& set) {
    const FaultJudge judge(room.build.bench, room.build.placed);
    std::set<int> groups;
    for (const PlantedFault& planted : set.faults) {
        EXPECT_FALSE(planted.plant.empty()) << planted.fault.id;
        EXPECT_FALSE(planted.remedy.empty()) << planted.fault.id;
        EXPECT_TRUE(!planted.fault.seen_by_eye || planted.fault.by_print) << planted.fault.id;
        // Proved by the judge of the whole build, not by the cut that chose it.
        const FaultyBuild faulty = with_fault(room.build.bench, room.build.placed, planted.fault);
        for (const Finding& f : judge.findings_of(faulty))
            ADD_FAILURE() << planted.fault.id << ": " << f.sentence;
        EXPECT_EQ(judge.harm_of(planted.fault).verdict, Verdict::unreadable) << planted.fault.id;
        EXPECT_TRUE(groups.insert(room.dictionary.alike()[planted.hypothesis]).second) << planted.fault.id;
        EXPECT_FALSE(planted.steps.empty()) << planted.fault.id;
        const bool telling =
            std::ranges::any_of(planted.steps, [](const PlantedStep& s) { return s.reads != s.planned; });
        EXPECT_TRUE(telling) << planted.fault.id;
    }
    for (std::size_t k = 1; k < set.faults.size(); ++k)
        EXPECT_LE(set.faults[k - 1].steps.size(), set.faults[k].steps.size());
}

TEST(Planted, FaultsAreUnseenHarmlessAndToldApart) {
    for (const char* name : {"first-bench.toml", "two-way-bus.toml"}) {
        Class room(name);
        const PlantedSet set = planted_faults(room.dictionary, {.seats = 6, .seed = 3});
        EXPECT_GE(set.faults.size(), 2u) << name << ": " << set.sentence;
        expect_fit_for_a_class(room, set);
        EXPECT_EQ(set.of_seat.size(), 6u);
        for (std::size_t seat = 1; seat < set.of_seat.size(); ++seat)
            EXPECT_NE(set.of_seat[seat - 1], set.of_seat[seat]) << name;
    }
}

TEST(Planted, ASeedMeansOneSet) {
    Class room("first-bench.toml");
    const PlantedSet once = planted_faults(room.dictionary, {.seats = 4, .seed = 5});
    const PlantedSet twice = planted_faults(room.dictionary, {.seats = 4, .seed = 5});
    ASSERT_EQ(once.faults.size(), twice.faults.size());
    for (std::size_t k = 0; k < once.faults.size(); ++k) EXPECT_EQ(once.faults[k].fault.id, twice.faults[k].fault.id);
    EXPECT_EQ(once.of_seat, twice.of_seat);
    std::set<std::string> sets;
    for (const std::uint64_t seed : {1u, 2u, 3u, 4u}) {
        std::string key;
        const PlantedSet set = planted_faults(room.dictionary, {.seats = 3, .seed = seed});
        for (const int at : set.of_seat) key += set.faults[static_cast<std::size_t>(at)].fault.id + ";";
        sets.insert(key);
    }
    EXPECT_GT(sets.size(), 1u);
}

TEST(Planted, OnlyTheGradesThatAreWanted) {
    Class room("first-bench.toml");
    const PlantedSet all = planted_faults(room.dictionary, {.seats = 4});
    ASSERT_FALSE(all.faults.empty());
    const Grade wanted = all.faults.front().grade;
    for (const PlantedFault& planted : planted_faults(room.dictionary, {.seats = 3, .grades = {wanted}}).faults)
        EXPECT_EQ(planted.grade, wanted);
    PlantedOptions stopped{.seats = 4};
    stopped.progress = [](int, int) { return false; };
    EXPECT_TRUE(planted_faults(room.dictionary, stopped).faults.empty());
}

TEST(Planted, OnlyWhatAHandCanHide) {
    const placed::Build& build = placed::named("many ways");
    std::set<FaultKind> kinds;
    for (const Fault& fault : faults_of(build.bench, build.placed)) {
        const std::string how = how_to_plant(build.placed.wiring, fault);
        if (how.empty()) continue;
        kinds.insert(fault.kind);
        EXPECT_TRUE(!fault.seen_by_eye || fault.by_print) << fault.id;
        const bool decade = fault.id == "wrong-value/R1/1-kΩ";
        EXPECT_TRUE(!decade || how == "put a 1 kΩ in place of R1's 10 kΩ, bands downwards") << how;
    }
    EXPECT_TRUE(kinds.contains(FaultKind::wrong_value) && kinds.contains(FaultKind::pin_open));
    EXPECT_FALSE(kinds.contains(FaultKind::one_row_off) || kinds.contains(FaultKind::clamp_shorted));
}

}  // namespace
}  // namespace voltsill
