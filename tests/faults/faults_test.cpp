/// Laws of the list of faults, over every example and a few made benches, each on boards and without.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <set>

#include "faults/fault.h"
#include "faults/placed_benches.h"
#include "support/how_many.h"

namespace voltsill {
namespace {

/// The same build as one that no board holds.
PlacedWiring off_boards(const PlacedWiring& placed) {
    return {.wiring = placed.wiring, .trouble = "no boards in this test"};
}

std::string build_key(const FaultyBuild& build) {
    std::string key;
    for (const Rail& rail : build.bench.rails) key += fmt::format("{} {};", rail.name, rail.volts.span.nominal.si());
    for (const Net& net : build.wiring.nets) key += fmt::format("{}{}{};", net.name, net.rail, net.ground);
    for (const WiredPart& part : build.wiring.parts) {
        key +=
            fmt::format("{} {} {} {}", part.name, part.type->name, part.value.value_or(0), part.pulls_removed.size());
        for (const NetId net : part.net_of_pin) key += fmt::format(" {}", net);
        for (const Pin& pin : part.type->pins) key += to_word(pin.role);
        key += ';';
    }
    return key;
}

void expect_laws(const Bench& bench, const PlacedWiring& build, const std::string& name) {
    const std::vector<Fault> faults = faults_of(bench, build);
    ASSERT_FALSE(faults.empty()) << name;
    const bool placed = build.trouble.empty();
    const Wiring made = placed ? wiring_of(bench, build.wiring, build.placement) : build.wiring;
    const std::string right = build_key({bench, build.wiring}), right_made = build_key({bench, made});
    std::set<std::string> ids, sentences;
    std::map<FaultKind, double> sums;  // a place has the weight of its kind, so a kind a whole number of them
    for (const Fault& fault : faults) {
        EXPECT_TRUE(ids.insert(fault.id).second) << name << ": " << fault.id << " twice";
        EXPECT_TRUE(sentences.insert(fault.words).second) << name << ": " << fault.words << " twice";
        EXPECT_TRUE(fault.id.starts_with(std::string(to_key(fault.kind)) + "/")) << fault.id;
        EXPECT_EQ(fault.id.find(' '), std::string::npos) << fault.id;
        EXPECT_FALSE(fault.remedy.empty()) << fault.id;
        EXPECT_GT(fault.weight, 0) << fault.id;
        sums[fault.kind] += fault.weight;
        const FaultyBuild faulty = with_fault(bench, build, fault);
        ASSERT_GE(faulty.wiring.parts.size(), build.wiring.parts.size());
        for (std::size_t p = 0; p < build.wiring.parts.size(); ++p)
            EXPECT_EQ(faulty.wiring.parts[p].name, build.wiring.parts[p].name) << fault.id;
        for (const WiredPart& part : faulty.wiring.parts) {
            ASSERT_EQ(part.net_of_pin.size(), part.type->pins.size()) << fault.id;
            for (const NetId net : part.net_of_pin) EXPECT_LT(net, static_cast<NetId>(faulty.wiring.nets.size()));
        }
        const std::string key = build_key(faulty);
        EXPECT_TRUE(key != right && key != right_made) << name << ": " << fault.id << " changes nothing";
        EXPECT_EQ(faulty.bench.rails.size(), bench.rails.size());
    }
    for (const auto& [kind, sum] : sums) {
        const double places = sum / usual_weight(kind);
        EXPECT_NEAR(places, std::round(places), 1e-6) << to_key(kind);
        EXPECT_GE(places, 1 - 1e-9) << to_key(kind);
    }
}

TEST(Faults, HaveIdsAndWordsOfTheirOwnAndChangeTheBuild) {
    for (const placed::Build* build : placed::all()) expect_laws(build->bench, build->placed, build->name);
}
TEST(Faults, OfABuildWithoutBoardsAreThoseOfItsParts) {
    for (const placed::Build* one : placed::all()) {
        const placed::Build& build = *one;
        expect_laws(build.bench, off_boards(build.placed), build.name);
        for (const Fault& fault : faults_of(build.bench, off_boards(build.placed))) {
            EXPECT_FALSE(fault.slip) << fault.id;
            EXPECT_TRUE(fault.wires.empty()) << fault.id;
        }
    }
}

TEST(Faults, AreTheSameEveryTime) {
    for (const placed::Build* one : placed::all()) {
        const placed::Build& build = *one;
        const auto once = faults_of(build.bench, build.placed), twice = faults_of(build.bench, build.placed);
        ASSERT_EQ(once.size(), twice.size());
        for (std::size_t k = 0; k < once.size(); ++k) {
            EXPECT_EQ(once[k].id, twice[k].id);
            EXPECT_EQ(once[k].weight, twice[k].weight);
        }
        for (std::size_t k = 1; k < once.size(); ++k)
            EXPECT_GE(usual_weight(once[k - 1].kind), usual_weight(once[k].kind)) << once[k].id;
    }
}

TEST(Faults, EveryKindIsFoundOnSomeBuild) {
    std::set<FaultKind> found;
    for (const placed::Build* build : placed::all())
        for (const Fault& fault : faults_of(build->bench, build->placed)) found.insert(fault.kind);
    for (const FaultKind kind : fault_kinds()) EXPECT_TRUE(found.contains(kind)) << to_key(kind);
}

TEST(Faults, KindsReadBackFromTheirKeys) {
    std::set<std::string_view> keys, words;
    for (const FaultKind kind : fault_kinds()) {
        EXPECT_EQ(fault_kind(to_key(kind)), kind);
        EXPECT_TRUE(keys.insert(to_key(kind)).second);
        EXPECT_TRUE(words.insert(to_word(kind)).second);
    }
    EXPECT_EQ(keys.size(), static_cast<std::size_t>(FaultKind::decoupling_missing) + 1);
    EXPECT_FALSE(fault_kind("wire missing"));
}

TEST(Faults, WeightsAreSetByKind) {
    const placed::Build& build = placed::named("first-bench.toml");
    FaultOptions options{.weights = {{FaultKind::wire_missing, 100.0}, {FaultKind::one_row_off, 0.0}}};
    const auto weighed = faults_of(build.bench, build.placed, options);
    for (const Fault& fault : weighed) {
        EXPECT_NE(fault.kind, FaultKind::one_row_off);
        const bool missing = fault.kind == FaultKind::wire_missing;  // there is one way to leave it out
        EXPECT_TRUE(!missing || fault.weight == 100) << fault.id << " " << fault.weight;
    }
    EXPECT_EQ(weighed.front().kind, FaultKind::wire_missing);
    options = {.kinds = {FaultKind::supply_off}};
    for (const Fault& fault : faults_of(build.bench, build.placed, options))
        EXPECT_EQ(fault.kind, FaultKind::supply_off);
}

/// A slip as a fault makes the nets that the same slip makes in room placement.
TEST(Faults, SlipsMakeWhatRoomPlacementSays) {
    for (const placed::Build* one : placed::all()) {
        const placed::Build& build = *one;
        if (!build.placed.trouble.empty()) continue;
        int slips = 0;
        for (const Fault& fault : faults_of(build.bench, build.placed)) {
            if (!fault.slip || ++slips % 7 != 0) continue;
            const Wiring direct =
                wiring_of(build.bench, build.placed.wiring, with_slip(build.placed.placement, *fault.slip));
            const FaultyBuild faulty = with_fault(build.bench, build.placed, fault);
            EXPECT_EQ(build_key({build.bench, direct}), build_key(faulty)) << fault.id;
        }
    }
}

/// Pairs: neither order matters for what is there, and a part of both is the part of one of them.
TEST(Faults, RandomPairsKeepTheContract) {
    std::mt19937 random(5);
    int made = 0, excluded = 0, masked = 0;
    for (const placed::Build* one : placed::all()) {
        const placed::Build& build = *one;
        const std::vector<Fault> faults = faults_of(build.bench, build.placed);
        std::uniform_int_distribution<std::size_t> any(0, faults.size() - 1);
        for (unsigned k = 0; k < made::how_many(150); ++k) {
            const Fault &a = faults[any(random)], &b = faults[any(random)];
            const auto both = with_faults(build.bench, build.placed, a, b);
            const auto turned = with_faults(build.bench, build.placed, b, a);
            ASSERT_EQ(both.has_value(), turned.has_value()) << a.id << " " << b.id;
            if (!both) {
                ++excluded;
                continue;
            }
            ++made;
            EXPECT_NE(a.id, b.id);
            ASSERT_EQ(both->wiring.parts.size(), turned->wiring.parts.size()) << a.id << " " << b.id;
            for (std::size_t p = 0; p < both->wiring.parts.size(); ++p) {
                const WiredPart &x = both->wiring.parts[p], &y = turned->wiring.parts[p];
                ASSERT_EQ(x.net_of_pin.size(), x.type->pins.size());
                if (p >= build.placed.wiring.parts.size()) continue;
                EXPECT_EQ(x.name, build.placed.wiring.parts[p].name);
                EXPECT_EQ(x.type->name, y.type->name) << a.id << " " << b.id;
                EXPECT_EQ(x.value, y.value) << a.id << " " << b.id;
                for (const NetId net : x.net_of_pin) EXPECT_LT(net, static_cast<NetId>(both->wiring.nets.size()));
            }
            masked += build_key(*both) == build_key(with_fault(build.bench, build.placed, a));
        }
        EXPECT_FALSE(with_faults(build.bench, build.placed, faults.front(), faults.front()));
    }
    EXPECT_LT(masked, made / 10);  // where the first has cut off what the second cuts off
    EXPECT_GT(made, excluded);
    EXPECT_GT(excluded, 0);
}

}  // namespace
}  // namespace voltsill
