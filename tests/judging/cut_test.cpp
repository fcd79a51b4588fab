/// What a change of wires reaches, part by part, and that a cut says of it what the whole says.
#include "judging/cut.h"

#include <gtest/gtest.h>

#include "judging/partial.h"
#include "judging/solution_memory.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

/// Four rails, two modules on the second whose inputs have diodes to it, a filter,
/// decoupling, and parts without supply.
Build scattered() {
    Build b({rail("a", 5, 5), rail("b", 3.2, 3.4), rail("c", 5, 5), rail("d", 5, 5)});
    b.module("D", {output("OUT")}, "a");
    b.module("M1", {input("IN", cmos(), false)}, "b");
    b.module("M2", {input("IN", cmos(), false)}, "b");
    b.module("E", {output("OUT")}, "a");
    b.join("D.OUT", "M1.IN");
    b.join("E.OUT", "M2.IN");
    for (const auto& [name, from, to] : {std::tuple{"C1", "rail b", "ground"}, {"C2", "M2.IN", "ground"}}) {
        b.added(name, stock("capacitor"));
        b.join(std::string(name) + ".1", from);
        b.join(std::string(name) + ".2", to);
    }
    b.resistor(10e3, "rail c", "rail d");  // R1
    b.resistor(10e3, "M2.IN", "rail a");   // R2
    b.link("one", {"D", "OUT", {}}, {"M1", "IN", {}});
    b.link("two", {"E", "OUT", {}}, {"M2", "IN", {}});
    return b;
}

struct Reach {
    const Wiring& whole;
    WiringCutter cutter;
    Reach(const Build& b, const Wiring& w, std::vector<bool> loose) : whole(w), cutter(b.bench, w, std::move(loose)) {}
    int pin(const char* part, const char* name) const {
        const int p = whole.part(part);
        return cutter.pin(p, whole.parts[p].type->pin_index(name));
    }
};

/// A rail that every state holds ends what a change reaches; one that some state takes down is a net like any other.
TEST(Cut, OnlyALooseRailCarriesAChangeOn) {
    const Build b = scattered();
    const Wiring wiring = b.wiring();
    for (const bool loose : {true, false}) {
        const Reach r(b, wiring, {false, loose, false, false});
        const WiringCut cut = r.cutter.around({r.pin("D", "OUT")});
        EXPECT_TRUE(cut.moved[r.pin("M1", "IN")]);
        EXPECT_EQ(bool(cut.moved[r.pin("M2", "IN")]), loose) << "by its diode to the rail";
        EXPECT_EQ(bool(cut.moved[r.pin("E", "OUT")]), loose);
        EXPECT_EQ(cut.links, loose ? (std::vector{0, 1}) : std::vector{0});
        EXPECT_TRUE(r.cutter.reads(cut, 0));
        EXPECT_EQ(r.cutter.reads(cut, 1), loose);
    }
}

/// Sums over a rail stay whole: parts keep their supplies, and capacitors from rail to ground stay; what is neither in
/// the cut nor on supplies is left out.
TEST(Cut, KeepsWhatSumsOverARailNeed) {
    const Build b = scattered();
    const Wiring wiring = b.wiring();
    const Reach r(b, wiring, std::vector<bool>(4, false));
    const WiringCut cut = r.cutter.around({r.pin("D", "OUT")});
    std::string names;
    for (const WiredPart& part : cut.wiring.parts) names += part.name + " ";
    EXPECT_EQ(names, "D M1 M2 E C1 ");
    EXPECT_EQ(cut.wiring.net_at("M2", "IN"), unconnected);
    EXPECT_EQ(cut.wiring.nets[cut.wiring.net_at("M2", "VCC")].rail, "b");
    EXPECT_EQ(cut.wiring.net_at("D", "OUT"), cut.wiring.net_at("M1", "IN"));
}

/// To be alone on a net or on none is the same; to be alone or with another is not.
TEST(Cut, APinAloneHasNotMoved) {
    const Build b = scattered();
    Wiring alone = b.wiring();
    for (WiredPart& part : alone.parts)
        if (part.name == "D") {
            part.net_of_pin[0] = static_cast<NetId>(alone.nets.size());
            alone.nets.push_back({.name = "loose end"});
        }
    Wiring open = alone;
    open.parts[open.part("D")].net_of_pin[0] = unconnected;
    for (const auto& [base, changed] : {std::pair{&alone, &open}, {&open, &alone}, {&alone, &alone}}) {
        const Reach r(b, *base, std::vector<bool>(4, false));
        const WiringCut cut = r.cutter.cut(*changed, false);
        EXPECT_TRUE(cut.same);
        EXPECT_TRUE(std::ranges::all_of(cut.moved, [](char m) { return m == 0; }));
    }
    const Wiring joined = b.wiring();
    const Reach r(b, alone, std::vector<bool>(4, false));
    const WiringCut cut = r.cutter.cut(joined, false);
    EXPECT_FALSE(cut.same);
    EXPECT_TRUE(cut.moved[r.pin("D", "OUT")] && cut.moved[r.pin("M1", "IN")]);
    EXPECT_FALSE(cut.moved[r.pin("M2", "IN")]);
}

/// A part of another type or value has changed at all its pins, and so has what hangs on them;
/// its neighbours in the list have not.
TEST(Cut, AReplacedPartHasMovedAndNoOther) {
    const Build b = scattered();
    const Wiring wiring = b.wiring();
    const Reach r(b, wiring, std::vector<bool>(4, false));
    const auto moved = [&](const std::function<void(WiredPart&)>& how) {
        Wiring changed = wiring;
        how(changed.parts[changed.part("M1")]);
        const WiringCut cut = r.cutter.cut(changed, false);
        std::string out;
        for (const auto& [part, pin] : {std::pair{"D", "OUT"},
                                        {"D", "VCC"},
                                        {"M1", "IN"},
                                        {"M1", "VCC"},
                                        {"M2", "IN"},
                                        {"M2", "VCC"},
                                        {"E", "OUT"}})
            if (cut.moved[r.pin(part, pin)]) out += std::string(part) + "." + pin + " ";
        EXPECT_EQ(cut.same, out.empty());
        return out;
    };
    EXPECT_EQ(moved([](WiredPart&) {}), "");
    const std::string all = "D.OUT M1.IN M1.VCC ";
    EXPECT_EQ(moved([](WiredPart& p) { p.type = std::make_shared<PartType>(*p.type); }), all);
    EXPECT_EQ(moved([](WiredPart& p) { p.value = 1.0; }), all);
    EXPECT_EQ(moved([](WiredPart& p) { p.tolerance = 0.1; }), all);
    EXPECT_EQ(moved([](WiredPart& p) { p.pulls_removed = {"IN"}; }), all);
}

/// 3.2 V into an input that wants 0.7 of 5 V is unreadable, in the cut as in the whole. Links whose ends are parts
/// without supply outside of the cut end nowhere in it: nothing is made up of them.
TEST(Cut, SaysOfALinkWhatTheWholeSays) {
    Build b({rail("three", 3.2, 3.4), rail("five", 5, 5)});
    for (Rail& r : b.bench.rails) r.switch_group = "bench";
    b.module("D", {output("OUT")}, "three");
    b.module("R", {input("IN", cmos(), true)}, "five");
    b.module("L", {input("IN", cmos(), true)}, "five");
    b.join("D.OUT", "R.IN");
    const auto bare = [](Pin pin) {
        auto type = std::make_shared<PartType>(*hand::module("bare", {std::move(pin)}));
        type->supplies.clear();
        std::erase_if(type->pins, [](const Pin& p) { return p.role == PinRole::supply; });
        type->pins[0].supply = -1;
        return type;
    };
    Pin cell{.name = "P", .role = PinRole::analog_output};
    cell.analog_range = Span<Volts>::between(Volts{0}, Volts{3});
    b.part("B", bare(open_drain("P")), {""});
    b.part("S", bare(cell), {""});
    b.join("B.P", "L.IN");
    b.join("S.P", "B.P");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    b.link("press", {"B", "P", {}}, {"L", "IN", {}});
    b.link("to it", {"L", "IN", {}}, {"B", "P", {}});
    b.link("both", {"B", "P", {}}, {"L", "IN", {}}, LinkKind::two_way);
    b.link("cell", {"S", "P", {}}, {"B", "P", {}}, LinkKind::analog);
    b.link("load", {"B", "P", {}}, {"L", "IN", {}}, LinkKind::load);
    const Wiring wiring = b.wiring();
    const Reach r(b, wiring, std::vector<bool>(2, false));
    const WiringCut cut = r.cutter.around({r.pin("D", "OUT")});
    EXPECT_EQ(cut.links, std::vector{0});
    ASSERT_LT(cut.wiring.part("B"), 0);
    SolutionMemory memory;
    const auto found = judge_until_unreadable(
        b.bench, cut.wiring, {.driven_by_part = std::vector<double>(cut.wiring.parts.size()), .fed_into_rail = {}},
        [](const Finding& f) { return f.link == "signal"; }, memory);
    ASSERT_FALSE(found.empty());
    const Found whole = find_at(b.judge(), "high-level", "R");
    EXPECT_EQ(found[0].code, "high-level");
    EXPECT_EQ(found[0].verdict, Verdict::unreadable);
    EXPECT_NEAR(found[0].margin, 3.2 - 0.7 * 5.0, 2e-3);
    EXPECT_EQ(found[0].margin, whole->margin);
    EXPECT_EQ(found[0].sentence, whole->sentence);
}

/// A pin moves the rail its levels follow, not every rail of its part.
TEST(Cut, APinReachesItsOwnSupply) {
    Build b = scattered();
    auto type =
        std::make_shared<PartType>(*hand::module("two", {input("P", cmos(), false), input("Q", cmos(), false)}));
    type->supplies.push_back(port("VB", 1.5, 6, 7));
    type->pins.push_back(supply_pin("VB", 1));
    type->pins[1].supply = 1;
    b.part("T", type, {"b", "c"});
    b.join("D.OUT", "T.P");
    const Wiring wiring = b.wiring();
    for (const auto& [loose, reached] :
         {std::pair{std::vector{false, true, false, false}, true}, {std::vector{false, false, true, false}, false}}) {
        Wiring without = wiring;
        without.parts[without.part("M1")].net_of_pin[0] = unconnected;  // T alone is on D.OUT
        const Reach r(b, without, loose);
        const WiringCut cut = r.cutter.around({r.pin("D", "OUT")});
        EXPECT_TRUE(cut.moved[r.pin("T", "P")]);
        EXPECT_EQ(bool(cut.moved[r.pin("M2", "IN")]), reached) << "by rail b";
    }
}

/// A change goes through a channel the way its signal goes: behind it may read differently, before it is what has to be
/// known. Through a transceiver and a pass-gate it goes both ways.
TEST(Cut, GoesThroughChannelsAsSignalsDo) {
    using enum ChannelLogic;
    for (const auto& [logic, both] :
         {std::pair{buffer, false}, {transceiver, true}, {repeater, true}, {pass_gate, true}}) {
        std::vector<Pin> pins{input("A1", cmos(), true), input("A2", cmos(), true), output("Y1"), output("Y2"),
                              input("DIR", cmos(), true)};
        auto type = std::make_shared<PartType>(*hand::module("two ways", pins));
        type->kind = PartKind::logic;
        for (const int k : {0, 1}) {
            type->channels.push_back({.logic = logic, .inputs = {k}, .output = 2 + k, .name = ""});
            if (logic == transceiver) type->channels.back().direction = 4;
        }
        Build b({rail("a", 5, 5)});
        b.module("D", {output("O1"), output("O2")}, "a");
        b.module("R", {input("I1", cmos(), true), input("I2", cmos(), true)}, "a");
        b.part("U", type, {"a"});
        for (const auto& [from, to] :
             {std::pair{"D.O1", "U.A1"}, {"D.O2", "U.A2"}, {"U.Y1", "R.I1"}, {"U.Y2", "R.I2"}, {"U.DIR", "ground"}})
            b.join(from, to);
        const Wiring wiring = b.wiring();
        const Reach r(b, wiring, {false});
        const WiringCut forth = r.cutter.around({r.pin("D", "O1")}), back = r.cutter.around({r.pin("R", "I1")});
        for (const auto& [part, pin] : {std::pair{"U", "A1"}, {"U", "Y1"}, {"R", "I1"}})
            EXPECT_TRUE(forth.moved[r.pin(part, pin)]) << int(logic) << pin;
        EXPECT_TRUE(back.moved[r.pin("U", "Y1")]);
        for (const auto& [part, pin] : {std::pair{"U", "A1"}, {"D", "O1"}}) {
            EXPECT_EQ(bool(back.moved[r.pin(part, pin)]), both) << int(logic) << pin;
            EXPECT_TRUE(back.inside[r.pin(part, pin)]) << int(logic) << pin;
        }
        for (const WiringCut* cut : {&forth, &back})
            for (const auto& [part, pin] : {std::pair{"U", "A2"}, {"U", "Y2"}, {"R", "I2"}})
                EXPECT_FALSE(cut->moved[r.pin(part, pin)]) << int(logic) << pin;
        if (logic != buffer) continue;
        EXPECT_EQ(forth.wiring.parts[forth.wiring.part("U")].type->channels.size(), 1u);
        EXPECT_EQ(forth.wiring.net_at("U", "A2"), unconnected);
        Wiring changed =
            wiring;  // another part in its place, its channels the other way round: its first one is wanted still
        auto other = std::make_shared<PartType>(*type);
        std::swap(other->channels[0], other->channels[1]);
        changed.parts[changed.part("U")].type = other;
        EXPECT_EQ(r.cutter.cut(changed, true).wiring.parts[changed.part("U")].type->channels.size(), 2u)
            << "it has changed at all its pins";
    }
}

/// A link of which one end moves is followed from its drivers on, where the whole of it is asked for.
TEST(Cut, WholeLinksComeFromTheirDrivers) {
    Build b({rail("a", 5, 5)});
    b.module("D", {output("OUT")}, "a");
    b.module("R", {input("IN", cmos(), true)}, "a");
    b.module("S", {input("IN", cmos(), true)}, "a");
    b.join("D.OUT", "R.IN");
    b.link("both", {"D", "OUT", {}}, {"R", "IN", {}}).to.push_back({"S", "IN", {}});
    const Wiring wiring = b.wiring();
    Wiring changed = wiring;
    changed.parts[changed.part("S")].tolerance = 0.1;  // S stands alone
    const Reach r(b, wiring, {false});
    for (const bool whole : {true, false}) {
        const WiringCut cut = r.cutter.cut(changed, whole);
        EXPECT_EQ(cut.links, std::vector{0});
        EXPECT_FALSE(cut.moved[r.pin("D", "OUT")]);
        EXPECT_EQ(bool(cut.inside[r.pin("D", "OUT")]), whole);
        EXPECT_EQ(bool(cut.inside[r.pin("R", "IN")]), whole);
    }
}

}  // namespace
}  // namespace voltsill
