/// What boards allow, where their points lie, and which node is 0 V: on placements written down by hand.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>

#include "support/hand_parts.h"
#include "wiring/placed_nodes.h"

namespace voltsill {
namespace {

using namespace hand;
using testing::ElementsAre;
using testing::IsEmpty;

std::shared_ptr<const BoardKind> half_board() {
    for (const auto& kind : built_in_boards())
        if (kind->name == "half") return kind;
    return nullptr;
}

/// A part in a DIP of `leads`, its holes as `hole` says of every lead from 1.
template <class F>
std::vector<std::string> dip(int leads, F hole) {
    auto type = std::make_shared<PartType>();
    type->packages = {{.name = "DIP-8", .pin_of_number = std::vector<int>(static_cast<size_t>(leads), 0)}};
    Wiring wiring;
    wiring.parts = {{.name = "U1", .type = type, .package = &type->packages[0]}};
    Placement placement{.boards = {half_board()}, .parts = {{}}, .wires = {}};
    for (int n = 1; n <= leads; ++n) placement.parts[0].holes.push_back(hole(n));
    return impossible(wiring, placement);
}

/// Pins 1 to 4 down one side of the trench, 5 to 8 up the other; e and f are next to it, 3 pitches apart.
TEST(BoardRules, ADipStandsOverTheTrenchInOrder) {
    const auto board = half_board();
    const auto placed = [&](const char* left, const char* right, int step) {
        return dip(8, [&](int n) {
            return n <= 4 ? Hole{0, 10 + step * (n - 1), board->column(left)}
                          : Hole{0, 10 + step * (8 - n), board->column(right)};
        });
    };
    EXPECT_THAT(placed("e", "f", 1), IsEmpty());
    EXPECT_THAT(placed("f", "e", -1), IsEmpty()) << "turned round";
    const auto refused = ElementsAre("U1 does not straddle the trench");
    EXPECT_THAT(placed("e", "f", 2), refused) << "a row between the legs";
    EXPECT_THAT(placed("d", "f", 1), refused) << "too wide";
    EXPECT_THAT(placed("e", "g", 1), refused) << "too wide";
    EXPECT_THAT(placed("b", "e", 1), refused) << "three pitches, but on one side";
    EXPECT_THAT(dip(8,
                    [&](int n) {
                        return Hole{0, n <= 4 ? 9 + n : 18 - n + (n == 5), board->column(n <= 4 ? "e" : "f")};
                    }),
                refused)
        << "one leg off";
    EXPECT_THAT(dip(2, [&](int n) { return Hole{0, 10, board->column(n == 1 ? "e" : "f")}; }), IsEmpty());
}

TEST(BoardRules, APartHasAHoleForEveryLead) {
    Wiring wiring;
    auto type = std::make_shared<PartType>();
    type->packages = {{.name = "TO-92", .pin_of_number = {0, 1, 2}}};
    wiring.parts = {{.name = "Q1", .type = type, .package = &type->packages[0]}};
    Placement placement{.boards = {half_board()}, .parts = {{.holes = {{0, 1, 2}, {0, 2, 2}, {0, 3, 2}}}}, .wires = {}};
    EXPECT_THAT(impossible(wiring, placement), IsEmpty());
    placement.parts[0].holes.pop_back();
    EXPECT_THAT(impossible(wiring, placement), ElementsAre("Q1 has not as many leads as holes"));
    wiring.parts[0].package = nullptr;
    EXPECT_THAT(impossible(wiring, placement), ElementsAre("Q1 has not as many leads as holes"));
}

TEST(BoardRules, AWireGoesFromOnePlaceToAnother) {
    Wiring wiring;
    auto type = std::make_shared<PartType>();
    type->pins = {{.name = "1"}};
    type->packages = {{.name = "PAD-1", .pin_of_number = {0}}};
    wiring.parts = {{.name = "P", .type = type, .package = &type->packages[0]}};
    Placement placement{.boards = {half_board()}, .parts = {{.holes = {{0, 1, 2}}}}, .wires = {}};
    const WireEnd pin{.kind = WireEnd::Kind::pin, .part = 0, .pin = 0}, hole{.hole = {0, 5, 2}};
    placement.wires = {{.number = 1, .from = pin, .to = hole, .metres = 0.1}};
    EXPECT_THAT(impossible(wiring, placement), ElementsAre("wire 1 ends on P.1, which is on a board"));
    const WireEnd terminal{.kind = WireEnd::Kind::supply, .rail = "usb"};
    placement.wires = {{.number = 1, .from = terminal, .to = terminal, .metres = 0.1}};
    EXPECT_THAT(impossible(wiring, placement), ElementsAre("wire 1 begins where it ends"));
}

/// Boards lie below each other, 4 pitches apart: row 3 of the second is one board and 4 further down.
TEST(BoardRules, PointsLieByTheBoards) {
    const auto board = half_board();
    Placement placement{
        .boards = {board, board}, .parts = {{.right = false, .down = 7}, {.right = true, .down = 2}}, .wires = {}};
    Bench bench;
    bench.rails = {five, three};
    const int c = board->column("c");
    EXPECT_EQ(point_of(placement, Hole{0, 3, c}).down, 3);
    EXPECT_EQ(point_of(placement, Hole{1, 3, c}).down, 3 + board->rows + 4);
    EXPECT_EQ(point_of(placement, Hole{1, 3, c}).across, board->columns[static_cast<size_t>(c)].across);
    EXPECT_EQ(point_of(placement, bench, WireEnd{.hole = {1, 3, c}}).down, 3 + board->rows + 4);
    const BoardPoint left = point_of(placement, bench, {.kind = WireEnd::Kind::pin, .part = 0, .pin = 2}),
                     right = point_of(placement, bench, {.kind = WireEnd::Kind::pin, .part = 1, .pin = 0});
    EXPECT_EQ(left.across, -beside_gap);
    EXPECT_EQ(left.down, 9) << "a pitch a pin";
    EXPECT_EQ(right.across, board->columns.back().across + 1 + beside_gap) << "beyond the last column's own pitch";
    EXPECT_EQ(right.down, 2);
    std::vector<double> across;
    for (const char* rail : {"five", "three"})
        for (const WireEnd::Kind kind : {WireEnd::Kind::supply, WireEnd::Kind::ground}) {
            const BoardPoint at = point_of(placement, bench, {.kind = kind, .rail = rail});
            EXPECT_EQ(at.down, -beside_gap);
            across.push_back(at.across);
        }
    EXPECT_THAT(across, ElementsAre(0, 2, 4, 6)) << "plus and 0 V of one supply beside each other, then the next";
}

TEST(BoardRules, BoardsAreLettered) {
    EXPECT_EQ(board_letters(0) + board_letters(25), "AZ");
    EXPECT_EQ(board_letters(26), "AA");
    EXPECT_EQ(board_letters(51), "AZ");
    EXPECT_EQ(board_letters(52), "BA");
    EXPECT_EQ(board_letters(26 + 26 * 26), "AAA");
}

// Which node is 0 V
// ------------------------------------------------------------------------------------------------------

/// Two supplies with their terminals in rows 1 to 4 of column a: plus and 0 V of "five", plus and 0 V of "three".
struct Supplies {
    Bench bench;
    Wiring wiring;
    Placement placement;
    Supplies() {
        bench.rails = {five, three};
        placement.boards = {half_board()};
        int row = 0;
        for (const char* rail : {"five", "three"})
            for (const WireEnd::Kind kind : {WireEnd::Kind::supply, WireEnd::Kind::ground})
                lay({.kind = kind, .rail = rail}, at(++row));
    }
    WireEnd at(int row) const { return {.hole = {0, row, placement.boards[0]->column("a")}}; }
    WireEnd beside(int row) const { return {.hole = {0, row, placement.boards[0]->column("b")}}; }
    void lay(const WireEnd& from, const WireEnd& to) {
        placement.wires.push_back({.from = from, .to = to, .metres = 0.1});
    }
    PlacedNodes nodes() const { return {bench, wiring, placement}; }
};

TEST(ZeroVolts, IsWhereMostSuppliesHaveIt) {
    Supplies two;
    EXPECT_EQ(two.nodes().ground_root(), two.nodes().root_of(two.at(2))) << "the first of equals";
    EXPECT_GE(two.nodes().rail_root(five), 0);
    EXPECT_EQ(two.nodes().rail_root(three), -1) << "no current returns to it";
    two.lay(two.beside(2), two.beside(4));
    EXPECT_EQ(two.nodes().rail_root(three), two.nodes().root_of(two.at(3)));
    Rail third = rail("third", 8, 9);
    two.bench.rails.insert(two.bench.rails.begin(), third);
    EXPECT_EQ(two.nodes().ground_root(), two.nodes().root_of(two.at(2))) << "two against one";
    EXPECT_EQ(two.nodes().rail_root(third), -1);
}

/// With a 0 V each, ground pins decide.
TEST(ZeroVolts, ThenWhereMostGroundPinsAre) {
    Supplies two;
    two.wiring.parts = {{.name = "M", .type = module("m", {}), .net_of_pin = {unconnected, unconnected}}};
    two.placement.parts = {{}};
    two.lay({.kind = WireEnd::Kind::pin, .part = 0, .pin = two.wiring.parts[0].type->ground_pin()}, two.beside(4));
    EXPECT_EQ(two.nodes().ground_root(), two.nodes().root_of(two.at(4)));
    EXPECT_EQ(two.nodes().rail_root(five), -1);
}

TEST(ZeroVolts, HolesThatAreNotThereAreNoNode) {
    const Supplies two;
    const PlacedNodes nodes = two.nodes();
    const int a = two.placement.boards[0]->column("a");
    EXPECT_EQ(nodes.root_of({.hole = {-1, 1, a}}), -1);
    EXPECT_EQ(nodes.root_of({.hole = {1, 1, a}}), -1);
    EXPECT_EQ(nodes.root_of({.hole = {0, 0, a}}), -1);
    EXPECT_EQ(nodes.root_of({.kind = WireEnd::Kind::supply, .rail = "none"}), -1);
    EXPECT_GE(nodes.root_of(two.at(30)), 0);
}

TEST(ZeroVolts, ARailsPlusOnItIsAShort) {
    Supplies two;
    two.lay(two.beside(2), two.beside(4));
    EXPECT_THAT(shorts(two.bench, two.wiring, two.placement), IsEmpty());
    Supplies rails = two;
    rails.lay(rails.beside(1), rails.beside(3));
    EXPECT_THAT(shorts(rails.bench, rails.wiring, rails.placement),
                ElementsAre(testing::Pair("rail five", "rail three")));
    two.lay(two.beside(2), two.beside(3));
    EXPECT_THAT(shorts(two.bench, two.wiring, two.placement), ElementsAre(testing::Pair("ground", "rail three")));
}

// Words of lists
// ------------------------------------------------------------------------------------------------------

TEST(StrapReasons, SayWhatThePinIs) {
    WiredPart part{.name = "U1", .type = stock("LVC 245"), .purpose = "holds the bus"};
    const auto of = [&](const char* pin) { return strap_reason(part, part.type->pin_index(pin)); };
    EXPECT_EQ(of("DIR"), "direction");
    EXPECT_EQ(of("OE"), "enable");
    EXPECT_EQ(of("A3"), "unused input");
    EXPECT_EQ(of("B3"), "unused input");
    EXPECT_EQ(of("VCC"), "holds the bus");
    part.purpose.clear();
    EXPECT_EQ(of("VCC"), "strap");
}

/// A net of n pins takes n - 1 wires from pin to pin; the ground and a rail take one to every pin.
TEST(WireList, EveryWireJoinsOneMorePin) {
    Build b({five});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", ttl(), true)}, "five");
    b.module("S", {input("IN", ttl(), true)}, "five");
    b.join("D.OUT", "R.IN"), b.join("D.OUT", "S.IN");
    std::map<std::string, int> wires;
    for (const WireListEntry& wire : wire_list(b.wiring())) {
        EXPECT_NE(wire.from, wire.to);
        ++wires[std::string(to_word(wire.use))];
    }
    EXPECT_THAT(wires, testing::UnorderedElementsAre(testing::Pair("ground", 3), testing::Pair("supply", 3),
                                                     testing::Pair("signal", 2)));
}

/// A signal goes on from the pin it came to, so that a header pin takes no more than two wires; the ground and a rail
/// reach every pin from their strip. What is written down is wired the same way.
TEST(WireList, ASignalIsAChainAndARailAStar) {
    Build b({five});
    for (const char* name : {"D", "R", "S", "T"}) b.module(name, {input("IN", ttl(), true)}, "five");
    b.join("D.IN", "R.IN"), b.join("D.IN", "S.IN"), b.join("D.IN", "T.IN");
    const Wiring w = b.wiring();
    std::vector<std::string> listed, written;
    for (const WireListEntry& wire : wire_list(w)) {
        if (wire.use == WireUse::signal) {
            listed.push_back(wire.from + " " + wire.to);
        } else {
            EXPECT_EQ(wire.from, wire.use == WireUse::ground ? "ground" : "rail five") << wire.to;
        }
    }
    const std::vector<std::string> chain{"D.IN R.IN", "R.IN S.IN", "S.IN T.IN"};
    EXPECT_EQ(listed, chain);
    for (const Wire& wire : given_wiring(w).wires) {
        if (wire.to.ends_with(".IN")) {
            written.push_back(wire.from + " " + wire.to);
        } else {
            EXPECT_EQ(wire.from, wire.to.ends_with(".GND") ? "ground" : "rail five") << wire.to;
        }
    }
    EXPECT_EQ(written, chain);
}

/// A pin that a wire holds at a rail or at ground is a strap, named by what it decides; only a supply pin is supplied.
TEST(WireList, AStrapIsNamedByWhatItDecides) {
    Build b({five});
    b.module("D", {output("OUT")}, "five");
    b.added("U1", stock("LVC 245"), {"five"});
    b.join("U1.DIR", "rail five"), b.join("U1.OE", "ground"), b.join("U1.A1", "rail five"), b.join("U1.B1", "D.OUT");
    std::map<std::string, std::string> said;
    for (const WireListEntry& wire : wire_list(b.wiring()))
        said[wire.to.substr(0, wire.to.find(' '))] =
            wire.use == WireUse::signal ? "signal" : fmt::format("{}: {}", to_word(wire.use), wire.reason);
    EXPECT_EQ(said["U1.1"], "strap: direction");
    EXPECT_EQ(said["U1.19"], "strap: enable");
    EXPECT_EQ(said["U1.2"], "strap: unused input");
    EXPECT_EQ(said["U1.20"], "supply: supply");
    EXPECT_EQ(said["U1.10"], "ground: common ground");
    EXPECT_EQ(said["U1.18"], "signal");
}

/// In a DIP of 4 pins 1 faces 4. No note for a channel that leaves there, on its input's own side, or on no pin.
TEST(FacingPins, AreNotedOnlyAcrossThePackage) {
    for (const auto& [numbers, notes] : std::vector<std::pair<std::vector<int>, size_t>>{
             {{0, 2, 3, 1}, 0}, {{0, 1, 2, 3}, 0}, {{0, 3, 2, -1}, 0}, {{0, 2, 1, 3}, 1}, {{2, 0, 3, 1}, 1}}) {
        auto type = module("buffer", {input("A", cmos(), true), output("Y")});
        type->channels = {{.logic = ChannelLogic::buffer, .inputs = {0}, .output = 1, .name = "1"}};
        type->packages = {{.name = "DIP-4", .pin_of_number = numbers}};
        Wiring wiring;
        wiring.parts = {
            {.name = "U1", .type = type, .package = &type->packages[0], .net_of_pin = {0, 1, 2, 3}, .added = true}};
        EXPECT_EQ(facing_pin_notes(wiring).size(), notes) << numbers[1] << numbers[2];
    }
}

/// A rail may be made by a part: "controller.3V3" is joined to that part's own pin.
TEST(Wiring, ARailIsJoinedToThePortThatMakesIt) {
    Bench bench = pair(five, output(""), three, input("", ttl(), true));
    bench.rails[1].from = "D.VCC";
    EXPECT_EQ(wire_supplies(bench).nets[static_cast<size_t>(wire_supplies(bench).net_at("D", "VCC"))].rail, "three");
    bench.rails[1].from = "D.VDD";
    EXPECT_EQ(wire_supplies(bench).nets[static_cast<size_t>(wire_supplies(bench).net_at("D", "VCC"))].rail, "five");
    bench.parts[1].grounded = false;
    EXPECT_EQ(wire_supplies(bench).net_at("R", "GND"), unconnected);
    EXPECT_EQ(wire_supplies(bench).net_at("D", "GND"), wire_supplies(bench).ground());
}

}  // namespace
}  // namespace voltsill
