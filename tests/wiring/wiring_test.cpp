/// Wirings: nets by hand and by the wires of a bench file, and the lists made from them.
#include "wiring/ground_notes.h"
#include "wiring/wiring.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <map>
#include <numeric>
#include <set>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

Build pair_of_parts() {
    Build b({five, three});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", ttl(), true)}, "three");
    return b;
}

TEST(Wiring, MergeMovesEveryPinAndKeepsTheRail) {
    for (bool rail_goes : {false, true}) {
        const Build b = pair_of_parts();
        Wiring w = wire_supplies(b.bench);
        const NetId signal = w.add_net("signal"), rail_net = w.rail("five");
        w.connect(w.part("D"), "OUT", signal);
        w.connect(w.part("R"), "VCC", rail_net);
        if (rail_goes)
            w.merge(signal, rail_net);
        else
            w.merge(rail_net, signal);
        const NetId joined = w.net_at("D", "OUT");
        EXPECT_EQ(joined, w.net_at("R", "VCC"));
        EXPECT_EQ(w.nets[joined].rail, "five");
        EXPECT_EQ(w.rail("five"), joined);
    }
}

TEST(Wiring, MergeKeepsTheGround) {
    Wiring w = wire_supplies(pair_of_parts().bench);
    const NetId signal = w.add_net("signal");
    w.connect(w.part("D"), "OUT", signal);
    w.merge(signal, w.ground());
    EXPECT_EQ(w.net_at("D", "OUT"), w.ground());
}

TEST(Wiring, DirectWiringJoinsTheEndsOfEveryLink) {
    Bench bench = pair(five, output(""), three, input("", ttl(), true));
    bench.links.push_back(link("again", {"D", "OUT", {}}, {"R", "IN", {}}));  // a second link on the same net
    const Wiring w = wire_directly(bench);
    EXPECT_TRUE(w.direct);
    EXPECT_NE(w.net_at("D", "OUT"), unconnected);
    EXPECT_EQ(w.net_at("D", "OUT"), w.net_at("R", "IN"));
    EXPECT_EQ(w.nets[w.net_at("D", "VCC")].rail, "five");
    EXPECT_EQ(w.nets[w.net_at("R", "VCC")].rail, "three");
    EXPECT_EQ(w.net_at("R", "GND"), w.ground());
}

TEST(Wiring, FreshNamesFillGapsAndCountNothingElse) {
    Wiring w;
    for (const char* name : {"R1", "R2", "R4", "Rx", "U1"})
        w.parts.push_back({.name = name, .type = resistor()});
    EXPECT_EQ(w.fresh_name("R"), "R3");
    EXPECT_EQ(w.fresh_name("U"), "U2");
    EXPECT_EQ(w.fresh_name("C"), "C1");
}

// As given
// ------------------------------------------------------------------------------------------------------

TEST(Given, PinsByNumberAndByNameAreTheSamePins) {
    Build b = pair_of_parts();
    b.added("U1", stock("HCT 541"), {"five"});
    b.join("U1.2", "D.OUT");  // SCLS007D: A1 is pin 2, Y1 pin 18, OE1 pin 1
    b.join("U1.18", "R.IN");
    b.join("U1.1", "ground");
    const Wiring w = b.wiring();
    EXPECT_EQ(w.net_at("U1", "A1"), w.net_at("D", "OUT"));
    EXPECT_EQ(w.net_at("U1", "Y1"), w.net_at("R", "IN"));
    EXPECT_EQ(w.net_at("U1", "OE1"), w.ground());
    EXPECT_NE(w.net_at("U1", "A1"), unconnected);
}

TEST(Given, OnlyWhatIsWrittenIsWired) {
    Build b = pair_of_parts();
    b.bench.wiring->wires.clear();
    const Wiring w = b.wiring();
    for (const WiredPart& p : w.parts)
        for (NetId n : p.net_of_pin) EXPECT_EQ(n, unconnected);
}

TEST(Given, EveryBadEndIsTold) {
    Build b = pair_of_parts();
    b.added("U1", stock("HCT 541"), {"five"});
    b.join("D.OUTT", "R.IN");
    b.join("E.OUT", "R.IN");
    b.join("rail fife", "R.IN");
    b.join("nothing", "R.IN");
    b.join("U1.21", "R.IN");
    b.join("U1.0", "R.IN");
    Problems problems;
    const Wiring w = wire_as_given(b.bench, problems);
    ASSERT_EQ(problems.size(), 6u);
    for (const Problem& p : problems) EXPECT_EQ(p.code, "bad-wire-end");
    EXPECT_EQ(problems[0].nearest, "OUT");
    EXPECT_EQ(problems[2].nearest, "rail five");
    EXPECT_EQ(w.net_at("R", "IN"), unconnected);
}

TEST(Given, RailsJoinedAreRefused) {
    Build b = pair_of_parts();
    b.join("rail five", "R.IN");
    b.join("rail three", "R.IN");
    b.join("ground", "rail five");
    Problems problems;
    const Wiring w = wire_as_given(b.bench, problems);
    ASSERT_EQ(problems.size(), 2u);
    for (const Problem& p : problems) EXPECT_EQ(p.code, "rails-joined");
    EXPECT_EQ(w.nets[w.net_at("R", "IN")].rail, "five");
}

// Lists
// ---------------------------------------------------------------------------------------------------------

/// Parts with many pins joined at random: nets come back from the wire list alone.
struct Sets {
    std::map<std::string, std::string> parent;
    std::string find(const std::string& x) {
        auto at = parent.try_emplace(x, x).first;
        return at->second == x ? x : at->second = find(at->second);
    }
    void join(const std::string& a, const std::string& b) { parent[find(a)] = find(b); }
};

Wiring random_wiring() {
    Build b({five, three});
    Wiring w = wire_supplies(b.bench);
    const int nets = *rc::gen::inRange(1, 8);
    for (int k = 0; k < nets; ++k) w.add_net("net " + std::to_string(k));
    const auto types = {stock("HCT 541"), stock("LVC 245"), stock("resistor"), stock("capacitor"),
                        stock("npn")};
    const int parts = *rc::gen::inRange(1, 8);
    for (int k = 0; k < parts; ++k) {
        const auto type = *rc::gen::elementOf(std::vector(types));
        const int p = w.add_part(type->kind == PartKind::logic      ? "U"
                                 : type->kind == PartKind::bjt      ? "Q"
                                 : type->kind == PartKind::resistor ? "R"
                                                                    : "C",
                                 type, "test");
        for (NetId& n : w.parts[p].net_of_pin) n = *rc::gen::inRange(-1, static_cast<int>(w.nets.size()));
    }
    return w;
}

RC_GTEST_PROP(Lists, WireListJoinsExactlyTheNets, ()) {
    const Wiring w = random_wiring();
    Sets sets;
    for (const WireListEntry& wire : wire_list(w)) sets.join(wire.from, wire.to);
    std::map<std::string, std::set<NetId>> nets_of_set;
    std::map<NetId, std::set<std::string>> sets_of_net;
    for (const WiredPart& part : w.parts)
        for (size_t k = 0; k < part.net_of_pin.size(); ++k) {
            if (part.net_of_pin[k] == unconnected) continue;
            int number = 0;  // the end as a board builder reads it: "U1.18 (Y1)", "R1.2", "Q1.1 (E)"
            for (size_t n = 0; part.package && n < part.package->pin_of_number.size(); ++n)
                if (part.package->pin_of_number[n] == static_cast<int>(k) && number == 0)
                    number = static_cast<int>(n) + 1;
            const std::string& name = part.type->pins[k].name;
            const std::string plain = part.name + "." + name;
            const std::string end = number == 0 || std::to_string(number) == name
                                        ? plain
                                        : part.name + "." + std::to_string(number) + " (" + name + ")";
            const std::string root = sets.find(end);
            nets_of_set[root].insert(part.net_of_pin[k]);
            sets_of_net[part.net_of_pin[k]].insert(root);
        }
    for (const auto& [root, nets] : nets_of_set) RC_ASSERT(nets.size() == 1u);
    for (const auto& [net, roots] : sets_of_net) RC_ASSERT(roots.size() == 1u);
}

RC_GTEST_PROP(Lists, WhatIsWrittenDownWiresTheSameNets, ()) {
    const Wiring w = random_wiring();
    Bench bench;
    bench.rails = {five, three};
    bench.wiring = given_wiring(w);
    Problems problems;
    const Wiring again = wire_as_given(bench, problems);
    RC_ASSERT(problems.empty());
    std::map<NetId, NetId> same;
    std::map<NetId, int> pins;
    for (const WiredPart& part : w.parts)
        for (NetId n : part.net_of_pin) ++pins[n];
    for (const WiredPart& part : w.parts)
        for (size_t k = 0; k < part.net_of_pin.size(); ++k) {
            const NetId before = part.net_of_pin[k];
            const NetId after = again.parts[again.part(part.name)].net_of_pin[k];
            const bool fixed = before >= 0 && (w.nets[before].ground || !w.nets[before].rail.empty());
            if (before == unconnected || (pins[before] == 1 && !fixed)) {  // a net of one pin is no wire
                RC_ASSERT(after == unconnected);
                continue;
            }
            RC_ASSERT(same.try_emplace(before, after).first->second == after);
            RC_ASSERT(w.nets[before].rail == again.nets[after].rail);
        }
}

TEST(Lists, SafeThingsComeFirst) {
    Build b = pair_of_parts();
    b.added("U1", stock("HCT 541"), {"five"});
    b.added("C1", stock("capacitor"));
    b.join("C1.1", "rail five");
    b.join("C1.2", "ground");
    b.join("U1.OE1", "ground");
    b.join("U1.A1", "D.OUT");
    b.join("U1.Y1", "R.IN");
    std::vector<std::string> reasons;
    for (const WireListEntry& w : wire_list(b.wiring()))
        if (reasons.empty() || reasons.back() != w.reason) reasons.push_back(w.reason);
    ASSERT_GE(reasons.size(), 4u);
    EXPECT_EQ(reasons[0], "common ground");
    EXPECT_EQ(reasons[1], "supply");
    const auto at = [&](std::string_view r) { return std::ranges::find(reasons, r) - reasons.begin(); };
    EXPECT_LT(at("supply"), at("enable"));
    EXPECT_LT(at("enable"), at("at U1.A1"));
}

TEST(Lists, PartsAreCountedByWhatTheyAre) {
    Build b = pair_of_parts();
    for (int k = 0; k < 10; ++k) b.resistor(10e3, "D.OUT", "ground");
    b.resistor(4.7e3, "D.OUT", "ground");
    b.resistor(10e3, "D.OUT", "ground", 0.01);
    b.added("U1", stock("HCT 541"), {"five"});
    b.added("C1", stock("capacitor"));
    b.added("C2", stock("capacitor"));
    b.bench.wiring->parts.back().value = 100e-9;
    std::map<std::string, PartsListEntry> found;
    int parts = 0;
    for (const PartsListEntry& e : parts_list(b.wiring())) {
        found[e.what] = e;
        parts += e.count;
        EXPECT_EQ(e.names.size(), static_cast<size_t>(e.count));
    }
    EXPECT_EQ(parts, 17);  // two modules, twelve resistors, one octal, two capacitors
    EXPECT_EQ(found["capacitor 100 nF"].names, std::vector<std::string>{"C2"});
    EXPECT_EQ(found["capacitor RADIAL-2"].names, std::vector<std::string>{"C1"}) << "no value is said";
    ASSERT_TRUE(found.contains("resistor 10 kΩ 5 %"));
    EXPECT_EQ(found["resistor 10 kΩ 5 %"].count, 10);
    EXPECT_EQ(found["resistor 10 kΩ 5 %"].spares, 1);  // one in ten breaks or rolls away (common practice)
    EXPECT_EQ(found["resistor 10 kΩ 1 %"].count, 1);
    EXPECT_EQ(found["resistor 4.7 kΩ 5 %"].count, 1);
    EXPECT_EQ(found["HCT 541 DIP-20"].spares, 1);
    EXPECT_EQ(found["driver"].count + found["D"].count, 1);
    EXPECT_EQ(found["D"].spares, 1);  // one module in ten, as in the kit (common practice)
}

/// A module has a ground, described or not: without its pin no wire is laid to it, and that is said.
TEST(Lists, ASupplyWithoutAGroundPinIsNoted) {
    Wiring w = pair_of_parts().wiring();
    EXPECT_TRUE(ground_notes(w).empty());
    PartType bare = *w.parts[w.part("D")].type;
    std::erase_if(bare.pins, [](const Pin& pin) { return pin.role == PinRole::ground; });
    w.parts[w.part("D")].type = std::make_shared<PartType>(bare);
    const auto notes = ground_notes(w);
    ASSERT_EQ(notes.size(), 1u);
    EXPECT_TRUE(notes[0].starts_with("D: no ground pin")) << notes[0];
}

/// Practice F01: in a DIP of 20 pins n faces 21 - n; on 245 and 541 input A6 on pin 7 faces 14, but
/// leaves on pin 13 (SCLS020H, SCLS007D).
TEST(Lists, FacingPinNotesForOctals) {
    for (const auto& [type, out] : {std::pair{"LVC 245", "B6"}, {"HCT 541", "Y6"}}) {
        Build b = pair_of_parts();
        b.added("U1", stock(type), {"three"});
        EXPECT_TRUE(facing_pin_notes(b.wiring()).empty()) << type;
        b.join("U1.7", "D.OUT");
        b.join("U1.13", "R.IN");
        const auto notes = facing_pin_notes(b.wiring());
        ASSERT_EQ(notes.size(), 1u) << type;
        EXPECT_NE(notes[0].find("pin 7 (A6)"), std::string::npos) << notes[0];
        EXPECT_NE(notes[0].find(std::string("pin 13 (") + out + ")"), std::string::npos) << notes[0];
        EXPECT_NE(notes[0].find("pin 14"), std::string::npos) << notes[0];
    }
}

}  // namespace
}  // namespace voltsill
