/// The failure modes of docs/failure-modes.md: each kind of fault does on a small build what the mode is known for,
/// and the table says nothing that the code does not.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

#include "faults/harm.h"
#include "faults/made_faults.h"
#include "faults/placed_benches.h"
#include "support/wiring_differences.h"
#include "wiring/placed_nodes.h"

namespace voltsill {
namespace {
using namespace hand;
using made::Made;

const Fault* first_of(const std::vector<Fault>& faults, FaultKind kind, auto&& where) {
    for (const Fault& fault : faults)
        if (fault.kind == kind && where(fault)) return &fault;
    return nullptr;
}
bool any(const Fault&) { return true; }

/// F02, F84: 5 V through two outputs of 40 mA at most that lose 0.4 V at 4 mA or,
/// at their strongest, a quarter of that.
TEST(FaultModes, TwoPushPullOutputsJoinedHarm) {
    Build build({rail("five", 4.75, 5.25)});
    build.module("A", {output("OUT")}, "five");
    build.module("B", {output("OUT")}, "five");
    build.module("C", {input("IN", ttl(), true)}, "five");
    build.join("A.OUT", "C.IN");
    build.link("signal", {"A", "OUT", {}}, {"C", "IN", {}});
    const Made made(std::move(build));
    FaultyBuild faulty{made.build.bench, made.placed.wiring};
    faulty.wiring.connect(faulty.wiring.part("B"), "OUT", faulty.wiring.net_at("A", "OUT"));
    EXPECT_EQ(FaultJudge(made.build.bench, made.placed).harm_of(faulty).verdict, Verdict::harmful);
}

/// F04, F07: the pin is on nothing, everything else keeps its nets.
TEST(FaultModes, AFoldedPinOpensItsOwnLeadOnly) {
    const placed::Build& build = placed::named("first-bench.toml");
    const Wiring good = wiring_of(build.bench, build.placed.wiring, build.placed.placement);
    int folded = 0;
    for (const Fault& fault : faults_of(build.bench, build.placed, {.kinds = {FaultKind::pin_open}})) {
        const Wiring made = with_fault(build.bench, build.placed, fault).wiring;
        EXPECT_EQ(made.parts[fault.part].net_of_pin[fault.pin], unconnected) << fault.id;
        for (const std::string& difference : test::differences(good, made)) {
            const WiredPart& part = made.parts[fault.part];
            EXPECT_NE(difference.find(part.name + "." + part.type->pins[fault.pin].name), std::string::npos)
                << fault.id << ": " << difference;
            ++folded;
        }
    }
    EXPECT_GT(folded, 0);
}

/// F08: behind a gap that nobody bridged parts have no supply or no ground.
TEST(FaultModes, AnOpenStripGapCutsOffWhatLiesBehind) {
    int gaps = 0;
    for (const char* name : {"first-bench.toml", "existing-build.toml", "generated 1"}) {
        const placed::Build& build = placed::named(name);
        const FaultJudge judge(build.bench, build.placed);
        for (const Fault& fault : faults_of(build.bench, build.placed, {.kinds = {FaultKind::strip_gap_open}})) {
            EXPECT_NE(judge.harm_of(fault, false).verdict, Verdict::safe) << name << " " << fault.id;
            ++gaps;
        }
    }
    EXPECT_GT(gaps, 1);
}

/// F12, F20, F72: two nets where there was one, and the ohms between them.
TEST(FaultModes, OhmsInAWireSplitItsNet) {
    const placed::Build& build = placed::named("generated 1");
    int split = 0;
    for (const Fault& fault : faults_of(build.bench, build.placed, {.kinds = {FaultKind::contact_resistance}})) {
        const Wiring made = with_fault(build.bench, build.placed, fault).wiring;
        if (fault.value == 0) continue;
        ASSERT_EQ(made.parts.size(), build.placed.wiring.parts.size() + 1) << fault.id;
        const WiredPart& ohms = made.parts.back();
        EXPECT_EQ(ohms.value, fault.value);
        ASSERT_NE(ohms.net_of_pin[0], ohms.net_of_pin[1]) << fault.id;
        Wiring joined = made;
        joined.merge(ohms.net_of_pin[0], ohms.net_of_pin[1]);
        joined.parts.pop_back();
        EXPECT_EQ(test::differences(build.placed.wiring, joined), std::vector<std::string>{}) << fault.id;
        ++split;
    }
    EXPECT_GT(split, 20);
}

/// F17: both sides of a translator drive; 3.3 V against 3.3 V through two outputs.
TEST(FaultModes, DirectionOnGroundSetsTwoOutputsAgainstEachOther) {
    const placed::Build& build = placed::named("many ways");
    const auto faults = faults_of(build.bench, build.placed);
    const Fault* fault = first_of(faults, FaultKind::control_wrong_level, [&](const Fault& f) {
        return f.id.find(".DIR/ground") != std::string::npos;
    });
    ASSERT_TRUE(fault);
    const FaultHarm harm = FaultJudge(build.bench, build.placed).harm_of(*fault);
    EXPECT_EQ(harm.verdict, Verdict::harmful);
    EXPECT_EQ(harm.code, "contention");
}

/// F19: no meter shows it, the judge calls it thin.
TEST(FaultModes, AMissingCapacitorIsThinNotHarmful) {
    const placed::Build& build = placed::named("first-bench.toml");
    const auto faults = faults_of(build.bench, build.placed);
    const Fault* fault = first_of(faults, FaultKind::decoupling_missing, any);
    ASSERT_TRUE(fault);
    const FaultHarm harm = FaultJudge(build.bench, build.placed).harm_of(*fault);
    EXPECT_EQ(harm.verdict, Verdict::thin);
    EXPECT_EQ(harm.code, "missing-decoupling");
}

/// F27: 1.8 V CMOS gives 1.71 V - 0.4 V = 1.31 V at least; LVTTL wants 2.0 V (JESD8C.01).
TEST(FaultModes, OnePointEightVoltsAreNotReadAtThreePointThree) {
    Build build({rail("low", 1.71, 1.89), rail("three", 3.2, 3.4)});
    build.module("A", {output("OUT")}, "low");
    build.module("C", {input("IN", ttl(), true)}, "three");
    build.join("A.OUT", "C.IN");
    build.link("signal", {"A", "OUT", {}}, {"C", "IN", {}});
    const Judgement judged = build.judge();
    EXPECT_EQ(judged.verdict, Verdict::unreadable);
}

/// F33: 12 V over 33 kΩ and 10 kΩ gives 12.6 * 10 / 43 = 2.9 V; exchanged 12.6 * 33 / 43 = 9.7 V, and the pin stands
/// 3.7 V.
TEST(FaultModes, ExchangedResistorsOfADividerHarm) {
    Build build({rail("twelve", 11.4, 12.6), rail("three", 3.2, 3.4)});
    Pin out = output("OUT");
    const Span<Volts> any_supply = Span<Volts>::between(Volts{5}, Volts{15});
    out.high.front().supply = out.low.front().supply = any_supply;
    build.part("G", hand::module("G", {out}, 10, 14, 16), {"twelve"});
    build.module("C", {input("IN", ttl(), false)}, "three");
    build.resistor(33e3, "G.OUT", "C.IN");
    build.resistor(10e3, "C.IN", "ground");
    build.link("signal", {"G", "OUT", {}}, {"C", "IN", {}});
    const Made made(std::move(build));
    FaultyBuild exchanged{made.build.bench, made.placed.wiring};
    std::swap(exchanged.wiring.parts[exchanged.wiring.part("R1")].value,
              exchanged.wiring.parts[exchanged.wiring.part("R2")].value);
    const FaultHarm harm = FaultJudge(made.build.bench, made.placed).harm_of(exchanged);
    EXPECT_EQ(harm.verdict, Verdict::harmful) << harm.sentence;
    EXPECT_EQ(harm.part, "C");
}

/// F42: the body diode then leads from the high side to the low one: (5 - 0.6 + 3.3) / 2 = 3.85 V with equal pulls,
/// above the 3.5 V a pin of the lower rail stands.
TEST(FaultModes, DrainAndSourceExchangedLetsTheHighSideThrough) {
    const placed::Build& build = placed::named("two-way-bus.toml");
    const auto faults = faults_of(build.bench, build.placed);
    const Fault* fault = first_of(faults, FaultKind::drain_source_swapped, any);
    ASSERT_TRUE(fault);
    const FaultHarm harm = FaultJudge(build.bench, build.placed).harm_of(*fault);
    EXPECT_EQ(harm.verdict, Verdict::harmful);
    EXPECT_EQ(harm.code, "over-voltage");
}
/// F43: the low side follows the gate up to 5 V - Vth.
TEST(FaultModes, GateOnTheHighRailLetsTheHighSideThrough) {
    const placed::Build& build = placed::named("two-way-bus.toml");
    const auto faults = faults_of(build.bench, build.placed);
    const Fault* fault =
        first_of(faults, FaultKind::gate_on_wrong_rail, [](const Fault& f) { return f.rail == "usb"; });
    ASSERT_TRUE(fault);
    EXPECT_EQ(FaultJudge(build.bench, build.placed).harm_of(*fault).code, "over-voltage");
}
/// F44, F91: 3.3 V at the gate do not surely open a FET of up to 3 V.
TEST(FaultModes, AFetOfHigherThresholdIsNotRead) {
    const placed::Build& build = placed::named("two-way-bus.toml");
    const auto faults = faults_of(build.bench, build.placed);
    const Fault* fault = first_of(faults, FaultKind::near_namesake, [](const Fault& f) {
        return f.variant == "n-mosfet 3 V threshold";
    });
    ASSERT_TRUE(fault);
    EXPECT_EQ(FaultJudge(build.bench, build.placed).harm_of(*fault).verdict, Verdict::unreadable);
}

/// F49, F78: 4.7 kΩ to 5 V twice more is above the 3 mA that an I2C device sinks (UM10204).
TEST(FaultModes, ASecondPullUpAddsToTheSinkCurrent) {
    const placed::Build& build = placed::named("two-way-bus.toml");
    const auto faults = faults_of(build.bench, build.placed);
    const Fault* fault = first_of(faults, FaultKind::pull_doubled, [](const Fault& f) {
        return f.id == "pull-doubled/display.SDA/up";
    });
    ASSERT_TRUE(fault);
    const FaultHarm harm = FaultJudge(build.bench, build.placed).harm_of(*fault);
    EXPECT_EQ(harm.verdict, Verdict::unreadable);
    EXPECT_EQ(harm.code, "sink-current");
}
/// F50: 4.7 kΩ up against a keeper of about 4 kΩ down: 5 V * 4 / 8.7 = 2.3 V for a low.
TEST(FaultModes, AStrongPullAtAKeeperLeavesHalfTheRail) {
    const placed::Build& build = placed::named("many ways");
    const FaultJudge judge(build.bench, build.placed);
    int half = 0;
    for (const Fault& fault : faults_of(build.bench, build.placed, {.kinds = {FaultKind::strong_pull}}))
        half += fault.variant == "up" && judge.harm_of(fault).code == "low-level";
    EXPECT_GT(half, 0);
}
/// F54: both sides of every channel in use, up and down.
TEST(FaultModes, EveryAutoDirectionPinCanMeetAStrongPull) {
    const placed::Build& build = placed::named("many ways");
    std::set<std::pair<int, int>> pins;
    int count = 0;
    for (const Fault& fault : faults_of(build.bench, build.placed, {.kinds = {FaultKind::strong_pull}}))
        pins.insert({fault.part, fault.pin}), ++count;
    EXPECT_EQ(pins.size(), 4u);
    EXPECT_EQ(count, 8);
}

/// F68, F70: every higher voltage of the bench can come to a lower rail.
TEST(FaultModes, ASupplyCanStandAtTheVoltageOfAHigherRail) {
    Build build({rail("twelve", 11.4, 12.6), rail("five", 4.75, 5.25)});
    build.module("C", {input("IN", ttl(), false)}, "five");
    build.part("P", hand::module("P", {output("OUT")}, 10, 14, 16), {"twelve"});
    const Made made(std::move(build));
    const FaultHarm harm = made.harm("supply-high/five/12-V");
    EXPECT_EQ(harm.verdict, Verdict::harmful);
    EXPECT_EQ(harm.code, "supply-too-high");
}

/// F71: the judge says so by name.
TEST(FaultModes, AGroundLeftOutIsNamed) {
    const placed::Build& build = placed::named("first-bench.toml");
    const FaultJudge judge(build.bench, build.placed);
    int named = 0;
    for (const Fault& fault : faults_of(build.bench, build.placed, {.kinds = {FaultKind::ground_not_common}})) {
        const FaultHarm harm = judge.harm_of(fault);
        EXPECT_NE(harm.verdict, Verdict::safe) << fault.id;
        named += harm.code == "no-common-ground";
    }
    EXPECT_GT(named, 0);
}

/// F76: nothing drives the line high.
TEST(FaultModes, WithoutItsPullUpAnOpenDrainLineIsNotRead) {
    Build build({rail("five", 4.75, 5.25)});
    build.module("G", {open_drain("OUT", 10e3)}, "five");
    build.module("C", {input("IN", ttl(), true)}, "five");
    build.join("G.OUT", "C.IN");
    build.link("signal", {"G", "OUT", {}}, {"C", "IN", {}});
    const Made made(std::move(build));
    const FaultHarm harm = made.harm("pull-missing/G.OUT");
    EXPECT_EQ(harm.verdict, Verdict::unreadable);
    EXPECT_EQ(harm.code, "missing-pull-up");
}

std::string text_of(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    std::ostringstream bytes;
    bytes << file.rdbuf();
    return bytes.str();
}

std::set<std::string> matches(const std::string& text, const std::regex& pattern) {
    std::set<std::string> out;
    for (std::sregex_iterator at(text.begin(), text.end(), pattern), end; at != end; ++at)
        out.insert(at->size() > 2 ? (*at)[1].str() + "." + (*at)[2].str() : (*at)[1].str());
    return out;
}

struct ModeRow {
    std::string mode, model, tests;
};
std::vector<ModeRow> mode_rows() {
    std::vector<ModeRow> out;
    std::istringstream lines(text_of(std::filesystem::path(VOLTSILL_ROOT) / "docs/failure-modes.md"));
    const std::regex row(R"(\| (F\d+b?) \| ([^|]+) \| ([^|]+) \| ([^|]+) \|)");
    for (std::string line; std::getline(lines, line);)
        if (std::smatch m; std::regex_match(line, m, row)) out.push_back({m[1], m[3], m[4]});
    return out;
}

TEST(FaultModes, TheTableHasEveryModeOnceAndEveryKind) {
    std::set<std::string> modes, named;
    for (const ModeRow& row : mode_rows()) {
        EXPECT_TRUE(modes.insert(row.mode).second) << row.mode;
        named.merge(matches(row.model, std::regex("`([a-z-]+)`")));
    }
    EXPECT_EQ(modes.size(), 106u);
    for (int k = 1; k <= 103; ++k) EXPECT_TRUE(modes.contains(fmt::format("F{:02}", k))) << k;
    EXPECT_TRUE(modes.contains("F60b") && modes.contains("F71b") && modes.contains("F73b"));
    std::set<std::string> known;
    for (const FaultKind kind : fault_kinds()) {
        EXPECT_TRUE(named.contains(std::string(to_key(kind)))) << to_key(kind) << " models no mode";
        known.insert(std::string(to_key(kind)));
    }
    const std::string findings = text_of(std::filesystem::path(VOLTSILL_ROOT) / "docs/findings.md");
    known.merge(matches(findings, std::regex(R"(\| `([a-z-]+)` \|)")));
    known.insert("safe");  // a key of bench files
    for (const std::string& name : named) EXPECT_TRUE(known.contains(name)) << name << " is no kind and no finding";
}

TEST(FaultModes, TheTableNamesTestsThatAreThere) {
    std::set<std::string> there;
    const std::regex test(R"((?:TEST|TEST_F|TEST_P|RC_GTEST_PROP)\(\s*(\w+),\s*(\w+))");
    for (const auto& file :
         std::filesystem::recursive_directory_iterator(std::filesystem::path(VOLTSILL_ROOT) / "tests"))
        if (file.path().extension() == ".cpp") there.merge(matches(text_of(file.path()), test));
    EXPECT_GT(there.size(), 300u);
    for (const ModeRow& row : mode_rows()) {
        const auto tests = matches(row.tests, std::regex("`([^`]+)`"));
        const bool modelled =
            row.model.find("not modelled:") == std::string::npos && !row.model.starts_with("not on a wiring");
        EXPECT_TRUE(!tests.empty() || !modelled) << row.mode << " has no test";
        for (const std::string& name : tests) EXPECT_TRUE(there.contains(name)) << row.mode << ": " << name;
    }
}

/// Keys, words and weights of the second table are those of the code.
TEST(FaultModes, TheTableOfKindsIsThatOfTheCode) {
    const std::string text = text_of(std::filesystem::path(VOLTSILL_ROOT) / "docs/failure-modes.md");
    for (const FaultKind kind : fault_kinds()) {
        const std::string row = fmt::format("| `{}` | {} | {:g} |", to_key(kind), to_word(kind), usual_weight(kind));
        EXPECT_NE(text.find(row), std::string::npos) << row;
    }
}

}  // namespace
}  // namespace voltsill
