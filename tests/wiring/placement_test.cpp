/// Holes and the nets they make, on placements written down by hand.
#include "wiring/placement.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/wiring_differences.h"

namespace voltsill {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

Bench bench_with_supply() {
    const BenchReading reading = read_bench(
        "[rails]\nusb = \"5 V ± 5 %\"\n[parts]\na = { type = \"controller-3v3\", supply = \"usb\" }\n", "hand.toml");
    EXPECT_TRUE(reading.bench);
    return *reading.bench;
}

std::shared_ptr<const BoardKind> board(const Bench& bench, std::string_view name) { return bench.board_kind(name); }

/// Two resistors in series from the rail to ground on a "half" board: R1 in a5 and a9, R2 in b9 and b13.
struct Hand {
    Bench bench = bench_with_supply();
    Wiring wiring;
    Placement placement;

    Hand() {
        wiring.nets = {{.name = "ground", .ground = true}, {.name = "rail usb", .rail = "usb"}, {.name = "middle"}};
        const auto resistor = [&](NetId top, NetId bottom) {
            for (const auto& type : bench.catalogue->types())
                if (type->name == "resistor") {
                    const int part = wiring.add_part("R", type, "");
                    wiring.parts[part].net_of_pin = {top, bottom};
                }
        };
        resistor(1, 2);
        resistor(2, 0);
        const auto kind = board(bench, "half");
        placement.boards = {kind};
        const int a = kind->column("a"), b = kind->column("b"), s = kind->column("s"), t = kind->column("t");
        placement.parts = {{.holes = {{0, 5, a}, {0, 9, a}}}, {.holes = {{0, 9, b}, {0, 13, b}}}};
        wire({.kind = WireEnd::Kind::supply, .rail = "usb"}, {.hole = {0, 1, t}}, 1);
        wire({.kind = WireEnd::Kind::ground, .rail = "usb"}, {.hole = {0, 1, s}}, 0);
        wire({.hole = {0, 5, t}}, {.hole = {0, 5, b}}, 1);
        wire({.hole = {0, 13, s}}, {.hole = {0, 13, a}}, 0);
    }
    void wire(WireEnd from, WireEnd to, NetId net) {
        placement.wires.push_back({.number = static_cast<int>(placement.wires.size()) + 1, .from = std::move(from),
                                   .to = std::move(to), .net = net, .metres = 0.05, .colour = "BK"});
    }
    std::vector<std::string> made() const { return test::differences(wiring, nets_of_holes(bench, wiring, placement)); }
    Hole& end(int wire) { return placement.wires[wire - 1].to.hole; }
};

TEST(Placement, HolesMakeTheNets) {
    const Hand hand;
    EXPECT_THAT(hand.made(), IsEmpty());
    EXPECT_THAT(impossible(hand.wiring, hand.placement), IsEmpty());
    const Wiring made = nets_of_holes(hand.bench, hand.wiring, hand.placement);
    EXPECT_EQ(made.parts[0].net_of_pin[0], made.rail("usb"));
    EXPECT_EQ(made.parts[1].net_of_pin[1], made.ground());
    EXPECT_EQ(made.nets[made.parts[0].net_of_pin[1]].name, "middle");
}

TEST(Placement, AWireOneRowOffIsNamed) {
    Hand hand;
    hand.end(3).row = 6;
    EXPECT_THAT(hand.made(), ElementsAre("R1.1 is not joined with rail usb"));
}

TEST(Placement, ASecondHoleOfTheSameRowIsTheSameNet) {
    Hand hand;
    hand.end(3).column = hand.placement.boards[0]->column("c");
    EXPECT_THAT(hand.made(), IsEmpty());
}

TEST(Placement, AJoinIsNamed) {
    Hand hand;
    hand.end(3).row = 9;  // the rail at the middle, R1 open at its upper end
    EXPECT_THAT(hand.made(), ElementsAre("rail usb and R1.2 are joined", "R1.1 is not joined with rail usb"));
}

TEST(Placement, RailAndGroundJoinedAreAShort) {
    Hand hand;
    hand.end(3).row = 13;
    EXPECT_THAT(shorts(hand.bench, hand.wiring, hand.placement), ElementsAre(std::pair("ground", "rail usb")));
}

/// No current returns to a supply whose 0 V is wired to nothing else: the rail is not there.
TEST(Placement, ASupplyWithoutItsGroundHoldsNothing) {
    Hand hand;
    WireEnd elsewhere{.hole = {0, 20, hand.placement.boards[0]->column("a")}};
    hand.placement.wires[1].to = elsewhere;
    const Wiring made = nets_of_holes(hand.bench, hand.wiring, hand.placement);
    EXPECT_EQ(made.parts[1].net_of_pin[1], unconnected);
}

TEST(Placement, SplitStripsAreNotJoined) {
    Hand hand;
    hand.placement.boards = {board(hand.bench, "full split")};
    const auto& kind = *hand.placement.boards[0];
    for (LaidWire& wire : hand.placement.wires) {
        if (wire.from.kind != WireEnd::Kind::hole) wire.to.hole.row = 3;
        if (wire.number == 4) wire.from.hole.row = 15, wire.from.hole.column = kind.column("s");
    }
    EXPECT_THAT(hand.made(), IsEmpty());
    hand.placement.wires[2].from.hole.row = 40;  // below the split: nothing feeds it
    EXPECT_THAT(hand.made(), ElementsAre("R1.1 is not joined with rail usb"));
    const int t = kind.column("t");
    hand.wire({.hole = {0, 31, t}}, {.hole = {0, 33, t}}, 1);
    EXPECT_THAT(hand.made(), IsEmpty());
}

TEST(Placement, WhatNoBoardAllows) {
    Hand hand;
    hand.end(3) = {0, 5, hand.placement.boards[0]->column("a")};
    EXPECT_THAT(impossible(hand.wiring, hand.placement), ElementsAre("pin 1 of R1 and wire 3 are both in 5a"));
    hand.end(3) = {0, 31, 2};
    EXPECT_THAT(impossible(hand.wiring, hand.placement), ElementsAre("wire 3 is in a hole that is not there"));
    hand.end(3) = {0, 6, hand.placement.boards[0]->column("t")};
    EXPECT_THAT(impossible(hand.wiring, hand.placement), ElementsAre("wire 3 is in a hole that is not there"))
        << "every sixth row of a strip has no hole";
    hand.end(3) = {0, 5, hand.placement.boards[0]->column("b")};
    hand.placement.wires[3].metres = 0;
    EXPECT_THAT(impossible(hand.wiring, hand.placement), ElementsAre("wire 4 has no length"));
}

TEST(Placement, AHeaderPinTakesOneJumper) {
    Hand hand;
    hand.wiring.parts.push_back(
        {.name = "a", .type = hand.bench.parts[0].type, .package = hand.bench.parts[0].package});
    hand.wiring.parts.back().net_of_pin.assign(hand.bench.parts[0].type->pins.size(), unconnected);
    hand.placement.parts.emplace_back();
    const WireEnd pin{.kind = WireEnd::Kind::pin, .part = 2, .pin = 0};
    const int c = hand.placement.boards[0]->column("c");
    hand.wire(pin, {.hole = {0, 5, c}}, 1);
    EXPECT_THAT(impossible(hand.wiring, hand.placement), IsEmpty());
    hand.wire(pin, {.hole = {0, 9, c}}, 1);
    EXPECT_THAT(impossible(hand.wiring, hand.placement),
                ElementsAre(testing::EndsWith(" has two wires")));
}

TEST(Placement, WordsNameTheHole) {
    Hand hand;
    EXPECT_EQ(words(hand.placement, hand.placement.parts[0].holes[1]), "9a");
    EXPECT_EQ(words(hand.placement, hand.wiring, hand.placement.wires[0].from), "supply usb +");
    EXPECT_EQ(words(hand.placement, hand.wiring, hand.placement.wires[1].from), "supply usb 0 V");
    EXPECT_EQ(words(hand.placement, hand.wiring, hand.placement.wires[2].from), "5t");
    hand.placement.boards.push_back(hand.placement.boards[0]);
    EXPECT_EQ(words(hand.placement, {1, 9, 2}), "B 9a");
}

TEST(Placement, ADipStraddlesTheTrench) {
    Hand hand;
    for (const auto& type : hand.bench.catalogue->types())
        if (type->name == "HCT 125") hand.wiring.add_part("U", type, "");
    ASSERT_EQ(hand.wiring.parts.size(), 3u);
    ASSERT_EQ(hand.wiring.parts[2].package->name, "DIP-14");
    const int e = hand.placement.boards[0]->column("e"), f = hand.placement.boards[0]->column("f");
    PlacedPart dip;
    for (int n = 1; n <= 14; ++n)
        dip.holes.push_back(n <= 7 ? Hole{0, 19 + n, e} : Hole{0, 20 + 14 - n, f});
    hand.placement.parts.push_back(dip);
    EXPECT_THAT(impossible(hand.wiring, hand.placement), IsEmpty());
    std::swap(hand.placement.parts[2].holes[0], hand.placement.parts[2].holes[1]);
    EXPECT_THAT(impossible(hand.wiring, hand.placement), ElementsAre("U1 does not straddle the trench"));
}

}  // namespace
}  // namespace voltsill
