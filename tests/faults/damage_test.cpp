/// What may be hurt after a mistake, and what a diode test reads at a sound part.
#include "faults/damage.h"

#include <gtest/gtest.h>

#include <random>
#include <set>

#include "faults/made_faults.h"
#include "faults/placed_benches.h"
#include "support/how_many.h"

namespace voltsill {
namespace {
using namespace hand;
using made::Made;

Made divider_bench() {
    Build build({rail("five", 4.75, 5.25), rail("three", 3.2, 3.4)});
    build.module("G", {output("OUT")}, "five");
    build.module("C", {input("IN", ttl(), false)}, "three");
    build.module("S", {input("IN", ttl(), false)}, "three");
    build.resistor(2.2e3, "G.OUT", "C.IN");
    build.resistor(3.3e3, "C.IN", "ground");
    build.link("signal", {"G", "OUT", {}}, {"C", "IN", {}});
    return Made(std::move(build));
}

/// 220 Ω in place of 2.2 kΩ puts 4.9 V less what its clamp takes on a pin that stands 3.4 V + 0.3 V: C is hurt; what
/// hangs on it is G, whose output feeds the line, and S on the rail that the clamp leads to.
TEST(Damage, ComesToThePartThatSawTooMuchThenToWhatHangsOnIt) {
    const Made bench = divider_bench();
    const Damage damage = damage_of(bench.build.bench, bench.placed, bench.fault("wrong-value/R1/220-Ω"));
    ASSERT_FALSE(damage.parts.empty());
    EXPECT_EQ(bench.placed.wiring.parts[damage.parts[0].part].name, "C");
    EXPECT_GT(damage.parts[0].over, 1);
    EXPECT_FALSE(damage.parts[0].discard);
    std::set<std::string> behind;
    for (std::size_t k = 1; k < damage.parts.size(); ++k) {
        EXPECT_EQ(damage.parts[k].over, 0) << damage.parts[k].words;
        behind.insert(bench.placed.wiring.parts[damage.parts[k].part].name);
    }
    EXPECT_EQ(behind, (std::set<std::string>{"S"}));  // G is behind R1, on another line
    EXPECT_EQ(damage.cautions.size(), 4u);
    EXPECT_NE(damage.sentence.find("test C first"), std::string::npos) << damage.sentence;
}

TEST(Damage, OfAHarmlessFaultIsNone) {
    const Made bench = divider_bench();
    const Damage damage = damage_of(bench.build.bench, bench.placed, bench.fault("wrong-value/R1/22-kΩ"));
    EXPECT_TRUE(damage.parts.empty());
    EXPECT_TRUE(damage.cautions.empty());
    EXPECT_FALSE(damage.sentence.empty());
}

/// A pin with both diodes reads each one way: from ground to the pin, and from the pin to the supply; without the
/// upper diode the second is open (common practice; failure mode F103 gives 0.5 to 0.7 V both).
TEST(DiodeTests, FollowTheDiodesOfThePin) {
    WiredPart part{.name = "C", .type = hand::module("C", {input("IN", ttl(), false), input("TOL", ttl(), true)})};
    part.net_of_pin.assign(part.type->pins.size(), 0);
    const int in = part.type->pin_index("IN"), tolerant = part.type->pin_index("TOL");
    const auto tests = diode_tests(part, std::vector<int>{in, tolerant});
    ASSERT_EQ(tests.size(), 5u);
    EXPECT_EQ(tests[0].red, "C.GND");  // the substrate: ground to supply
    EXPECT_EQ(tests[0].black, "C.VCC");
    EXPECT_EQ(tests[0].expected, "0.4..0.8 V");
    EXPECT_EQ(tests[1].red, "C.GND");
    EXPECT_EQ(tests[1].black, "C.IN");
    EXPECT_EQ(tests[1].expected, "0.5..0.7 V");  // as the pin's figure says
    EXPECT_EQ(tests[2].red, "C.IN");
    EXPECT_EQ(tests[2].black, "C.VCC");
    EXPECT_FALSE(tests[2].open);
    EXPECT_FALSE(tests[3].open);
    EXPECT_EQ(tests[4].red, "C.TOL");
    EXPECT_TRUE(tests[4].open);
    EXPECT_EQ(tests[4].expected, "open");
}

/// Silicon from anode to cathode about 0.6 V, the body diode of an N-channel FET from source to drain, base to
/// emitter of an NPN (common practice).
TEST(DiodeTests, OfDiscretePartsAreTheirJunctions) {
    const auto tests_of = [](std::string_view name) {
        WiredPart part{.name = "X"};
        for (const auto& type : Catalogue::built_in().types())
            if (type->name == name) part.type = type;
        part.net_of_pin.assign(part.type->pins.size(), unconnected);
        return diode_tests(part, {});
    };
    const auto diode = tests_of("silicon diode");
    ASSERT_EQ(diode.size(), 2u);
    EXPECT_EQ(diode[0].red, "X.A");
    EXPECT_TRUE(diode[0].lo < 0.6 && 0.6 < diode[0].hi);
    EXPECT_TRUE(diode[1].open);
    const auto fet = tests_of("n-mosfet 1.5 V threshold");
    EXPECT_EQ(fet[0].red, "X.S");
    EXPECT_EQ(fet[0].black, "X.D");
    for (std::size_t k = 1; k < fet.size(); ++k) EXPECT_TRUE(fet[k].open);
    const auto npn = tests_of("npn");
    EXPECT_EQ(npn[0].red, "X.B");
    const auto pnp = tests_of("pnp");
    EXPECT_EQ(pnp[0].black, "X.B");
}

/// A chip with its supply the wrong way round is thrown away, and comes first (failure mode F03).
TEST(Damage, WhatWasReversedIsNotUsedAgain) {
    int reversed = 0;
    for (const char* name : {"existing-build.toml", "generated 1", "many ways"}) {
        const placed::Build& build = placed::named(name);
        const FaultJudge judge(build.bench, build.placed);
        for (const Fault& fault : faults_of(build.bench, build.placed, {.kinds = {FaultKind::part_turned}})) {
            const auto findings = judge.findings_of(with_fault(build.bench, build.placed, fault));
            if (std::ranges::none_of(findings, [](const Finding& f) { return f.code == "supply-reversed"; })) continue;
            ++reversed;
            const Damage damage = damage_of(build.placed.wiring, findings);
            ASSERT_FALSE(damage.parts.empty());
            const auto turned = std::ranges::find(damage.parts, fault.part, &SuspectPart::part);
            ASSERT_NE(turned, damage.parts.end());
            EXPECT_TRUE(turned->discard) << name << " " << fault.id;
        }
    }
    EXPECT_GT(reversed, 0);
}

/// Of faults drawn at random: parts once each, the worst first, nothing hurt that the judge does not accuse.
TEST(Damage, IsOrderedAndLeansOnTheJudge) {
    std::mt19937 random(3);
    int harmful = 0;
    for (const char* name : {"first-bench.toml", "existing-build.toml", "two-way-bus.toml"}) {
        const placed::Build& build = placed::named(name);
        const FaultJudge judge(build.bench, build.placed);
        std::vector<Fault> faults = faults_of(build.bench, build.placed);
        std::ranges::shuffle(faults, random);
        faults.resize(std::min<std::size_t>(faults.size(), made::how_many(40)));
        for (const Fault& fault : faults) {
            const FaultyBuild faulty = with_fault(build.bench, build.placed, fault);
            const auto findings = judge.findings_of(faulty);
            const Damage damage = damage_of(faulty.wiring, findings);
            std::set<int> seen;
            double before = 1e300;
            for (const SuspectPart& part : damage.parts) {
                EXPECT_TRUE(seen.insert(part.part).second) << fault.id;
                EXPECT_LT(part.part, static_cast<int>(build.placed.wiring.parts.size())) << fault.id;
                EXPECT_FALSE(part.why.empty()) << fault.id;
                EXPECT_FALSE(part.advice.empty());
                EXPECT_LE(part.over, before) << fault.id;
                before = part.over;
                const std::string& who = faulty.wiring.parts[part.part].name;
                const bool accused = std::ranges::any_of(findings, [&](const Finding& f) { return f.part == who; });
                EXPECT_EQ(part.over > 0, accused) << fault.id << " " << who;
                for (const DiodeTest& test : part.tests) EXPECT_NE(test.red, test.black) << fault.id;
            }
            harmful += !damage.parts.empty();
        }
    }
    EXPECT_GT(harmful, static_cast<int>(made::how_many(40) / 8));
}

}  // namespace
}  // namespace voltsill
