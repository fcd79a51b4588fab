/// Joins of nets: the cut gives what the whole gives, and what Ohm's law says of two outputs.
#include "placement/join_harm.h"

#include <gtest/gtest.h>

#include <random>
#include <set>

#include "placement/example_benches.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

std::set<std::string> new_harm(const Judgement& base, const Judgement& changed) {
    const auto keys = [](const Judgement& j) {
        std::set<std::string> out;
        for (const Finding& f : j.findings)
            if (f.verdict == Verdict::harmful)
                out.insert(f.code + " " + f.part + "." + f.pin + (f.part.empty() ? " " + f.net : ""));
        return out;
    };
    std::set<std::string> now = keys(changed);
    for (const std::string& old : keys(base)) now.erase(old);
    return now;
}

std::set<std::string> keys(const Harm& harm) {
    std::set<std::string> out;
    for (const Finding& f : harm.findings)
        if (f.verdict == Verdict::harmful)
            out.insert(f.code + " " + f.part + "." + f.pin + (f.part.empty() ? " " + f.net : ""));
    return out;
}

Wiring joined(const Wiring& wiring, NetId a, NetId b) {
    Wiring out = wiring;
    if (out.nets[b].ground) std::swap(a, b);
    out.merge(a, b);
    out.nets[b].rail.clear();
    return out;
}

bool used(const Wiring& wiring, NetId net) {
    for (const WiredPart& part : wiring.parts)
        if (std::ranges::find(part.net_of_pin, net) != part.net_of_pin.end()) return true;
    return false;
}

/// The law that makes the search honest: judged on the cut, a join harms what it harms on the whole.
void expect_law(const examples::Example& example, int most_pairs) {
    const Judgement base = judge(example.bench, example.wiring);
    JoinHarm joins(example.bench, example.wiring);
    std::vector<std::pair<NetId, NetId>> pairs;
    for (NetId a = 0; a < static_cast<NetId>(example.wiring.nets.size()); ++a)
        for (NetId b = a + 1; b < static_cast<NetId>(example.wiring.nets.size()); ++b)
            if (used(example.wiring, a) && used(example.wiring, b)) pairs.emplace_back(a, b);
    std::mt19937 random(7);
    std::ranges::shuffle(pairs, random);
    if (static_cast<int>(pairs.size()) > most_pairs) pairs.resize(most_pairs);
    int harmful = 0;
    for (const auto& [a, b] : pairs) {
        const auto whole = new_harm(base, judge(example.bench, joined(example.wiring, a, b)));
        harmful += !whole.empty();
        const std::string words =
            example.name + ": " + example.wiring.nets[a].name + " with " + example.wiring.nets[b].name;
        const Harm harm = joins.of(a, b);
        EXPECT_EQ(keys(harm), whole) << words;
        EXPECT_EQ(joins.harmful(a, b), harm.possible()) << words;
        EXPECT_EQ(joins.harmful(b, a), harm.possible()) << words;
        EXPECT_EQ(keys(joins.of(b, a)), whole) << words;
    }
    EXPECT_GT(harmful, 0) << example.name;
}

TEST(JoinHarm, CutGivesWhatTheWholeGives) {
    for (const examples::Example& example : examples::all()) expect_law(example, 40);
}

/// Networks solved for one change are remembered for the next: to the last bit what would be solved again.
TEST(JoinHarm, WhatWasJudgedBeforeChangesNothing) {
    const examples::Example example = examples::read("existing-build.toml");
    const HarmJudge seasoned(example.bench, example.wiring);
    std::vector<Wiring> changes;
    for (NetId a = 0; a < static_cast<NetId>(example.wiring.nets.size()); ++a)
        if (const NetId b = a + 1 < static_cast<NetId>(example.wiring.nets.size()) ? a + 1 : 0;
            used(example.wiring, a) && used(example.wiring, b) && changes.size() < 12)
            changes.push_back(joined(example.wiring, a, b));
    ASSERT_GT(changes.size(), 3u);
    for (const Wiring& change : changes) seasoned.harm_of(change);
    int found = 0;
    for (const Wiring& change : changes) {
        const HarmJudge fresh(example.bench, example.wiring);
        const Harm again = seasoned.harm_of(change), first = fresh.harm_of(change);
        ASSERT_EQ(again.findings.size(), first.findings.size());
        for (std::size_t k = 0; k < first.findings.size(); ++k) {
            EXPECT_EQ(again.findings[k].sentence, first.findings[k].sentence);
            EXPECT_EQ(again.findings[k].state, first.findings[k].state);
            EXPECT_EQ(again.findings[k].margin, first.findings[k].margin);
        }
        EXPECT_EQ(again.trouble, first.trouble);
        found += !first.findings.empty();
    }
    EXPECT_GT(found, 0);
}

/// Two push-pull outputs of opposite level on one net are a divider of their own resistances: each loses
/// `drop` at 4 mA, so is drop / 4 mA, at its strongest a quarter of that (wiring/assumed.h); by Ohm's law
///
///     I = V hi / (2 * drop / 4 mA / 4)
///
/// The rating is 40 mA: harm from 5.25 V / (drop / 8 mA) = 40 mA on, that is below a drop of 1.05 V.
TEST(JoinHarm, TwoOutputsFollowOhmsLaw) {
    for (const double drop : {0.4, 0.9, 1.0, 1.1, 1.3}) {
        Build build({rail("five", 4.75, 5.25)});
        build.module("A", {output("OUT", drop)}, "five");
        build.module("B", {output("OUT", drop)}, "five");
        build.module("C", {input("IN", cmos(), false), input("IN2", cmos(), false)}, "five");
        build.join("A.OUT", "C.IN");
        build.join("B.OUT", "C.IN2");
        const Wiring wiring = build.wiring();
        JoinHarm joins(build.bench, wiring);
        const NetId a = wiring.net_at("A", "OUT"), b = wiring.net_at("B", "OUT");
        ASSERT_NE(a, b);
        const double amps = 5.25 / (2 * drop / 4e-3 / 4);
        const Harm harm = joins.of(a, b);
        ASSERT_FALSE(harm.findings.empty()) << drop;
        EXPECT_EQ(harm.findings.front().code, "contention");
        EXPECT_NEAR(harm.findings.front().value->value, amps, 1e-3 * amps) << drop;
        EXPECT_EQ(harm.findings.front().margin<0, amps> 40e-3) << drop;
    }
}

/// The same output straight at a supply: only its own resistance is left.
TEST(JoinHarm, OutputAtASupplyFollowsOhmsLaw) {
    for (const char* at : {"ground", "rail five"}) {
        Build build({rail("five", 4.75, 5.25)});
        build.module("A", {output("OUT", 0.4)}, "five");
        build.module("C", {input("IN", cmos(), false)}, "five");
        build.join("A.OUT", "C.IN");
        const Wiring wiring = build.wiring();
        JoinHarm joins(build.bench, wiring);
        const NetId supply = std::string_view(at) == "ground" ? wiring.ground() : wiring.rail("five");
        const Harm harm = joins.of(wiring.net_at("A", "OUT"), supply);
        ASSERT_TRUE(harm.harmful) << at;
        EXPECT_EQ(harm.findings.front().code, "output-overload");
        EXPECT_NEAR(harm.findings.front().value->value, 5.25 / (0.4 / 4e-3 / 4), 1e-3) << at;
    }
}

TEST(JoinHarm, InputsOfOneSupplyMayMeet) {
    Build build({rail("five", 4.75, 5.25)});
    build.module("A", {input("IN", cmos(), false)}, "five");
    build.module("B", {input("IN", cmos(), false)}, "five");
    build.resistor(10e3, "A.IN", "rail five");
    build.resistor(10e3, "B.IN", "ground");
    const Wiring wiring = build.wiring();
    JoinHarm joins(build.bench, wiring);
    EXPECT_FALSE(joins.harmful(wiring.net_at("A", "IN"), wiring.net_at("B", "IN")));
    EXPECT_FALSE(joins.harmful(wiring.net_at("A", "IN"), wiring.net_at("A", "IN")));
}

TEST(JoinHarm, SuppliesMayNotMeet) {
    Build build({rail("five", 4.75, 5.25), rail("three", 3.2, 3.4)});
    build.module("A", {input("IN", ttl(), true)}, "five");
    build.module("B", {input("IN", ttl(), true)}, "three");
    const Wiring wiring = build.wiring();
    JoinHarm joins(build.bench, wiring);
    EXPECT_TRUE(joins.harmful(wiring.rail("five"), wiring.rail("three")));
    EXPECT_TRUE(joins.harmful(wiring.rail("five"), wiring.ground()));
    EXPECT_TRUE(joins.harmful(wiring.ground(), wiring.rail("three")));
}

/// Currents of a part add up over all its outputs, also over those a cut leaves out: four outputs of
/// 20 mA each into loads of their own are within 100 mA together, a fifth load is not.
TEST(JoinHarm, SumsOfAPartCountWhatTheCutLeavesOut) {
    Build build({rail("five", 5.0, 5.0)});
    std::vector<Pin> pins;
    for (int k = 1; k <= 5; ++k) pins.push_back(output("O" + std::to_string(k), 0.1));
    auto type = std::make_shared<PartType>(*module("driver", pins));
    type->supply_current_max = {Span<Amps>::exactly(Amps{90e-3}), sheet};
    build.part("D", type, {"five"});
    for (int k = 1; k <= 4; ++k) build.resistor(240, "D.O" + std::to_string(k), "ground", 0);
    build.module("C", {input("IN", cmos(), false)}, "five");
    build.join("D.O5", "C.IN");
    build.module("L", {input("FREE", cmos(), false)}, "five");
    build.resistor(240, "L.FREE", "ground", 0);
    const Wiring wiring = build.wiring();
    JoinHarm joins(build.bench, wiring);
    const Harm harm = joins.of(wiring.net_at("D", "O5"), wiring.net_at("L", "FREE"));
    ASSERT_TRUE(harm.harmful);
    EXPECT_EQ(harm.findings.front().code, "part-overload");
}

}  // namespace
}  // namespace voltsill
