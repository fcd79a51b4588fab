/// A supply behind a bad contact, against the drop worked out beside it (Ohm's law).
#include "judging/supply_feed.h"

#include <gtest/gtest.h>

#include "judging/scene.h"
#include "judging/settled_levels.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

/// A 5 V driver into an input that stands 5 V with its supply of 3 V and more, and 2 V without; its supply pin is
/// behind `ohms` and it draws up to `amps`.
Build behind(double ohms, double amps) {
    Build b({rail("five", 4.75, 5.25), rail("three", 3.2, 3.4)});
    b.module("D", {output("OUT")}, "five");
    Pin in = input("IN", ttl(), true);
    in.max_unpowered = Level{0, Volts{2.0}};
    const auto made = hand::module("receiver", {in}, 3.0, 3.6, 4);
    auto type = std::make_shared<PartType>(*made);
    type->supplies[0].current = {Span<Amps>::between(Amps{0}, Amps{amps}), sheet};
    b.part("R", type, {""});
    b.resistor(ohms, "R.VCC", "rail three");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    return b;
}

std::vector<SupplyFeed> fed_in(const Build& b) {
    const Wiring wiring = b.wiring();
    const Circuit circuit = lower(b.bench, wiring);
    std::vector<double> held(circuit.netlist.node_names.size(), 0.0);
    for (const RailSite& rail : circuit.rails) held[rail.node] = rail_volts(b.bench, circuit, rail.node);
    std::vector<SupplyFeed> out = feeds(circuit, held);
    std::erase_if(out, [](const SupplyFeed& feed) { return !feed.surely(); });
    return out;
}

TEST(SupplyFeed, IsTheRailLessOhmsTimesTheLargestCurrent) {
    const auto fed = fed_in(behind(10, 20e-3));
    ASSERT_EQ(fed.size(), 1u);
    EXPECT_NEAR(fed[0].least, 3.3 - 10 * 20e-3, 1e-9);
    EXPECT_TRUE(fed_in(behind(10, 40e-3)).empty()) << "3.3 V - 0.4 V is less than the 3.0 V it needs";
    EXPECT_TRUE(fed_in(behind(1000, 1e-6)).empty()) << "no contact, however bad, is a resistor of 1 kΩ";
    Build chain = behind(10, 20e-3);  // another part behind the same contact and one of its own feeds nothing back
    chain.part("S", hand::module("second", {}, 3.0, 3.6, 4), {""});
    chain.resistor(10, "R.VCC", "S.VCC");
    ASSERT_EQ(fed_in(chain).size(), 1u);
    EXPECT_NEAR(fed_in(chain)[0].least, 3.3 - 10 * 20e-3, 1e-9);
    Build two = behind(10, 40e-3);  // a second contact beside it: half the drop
    two.resistor(10, "R.VCC", "rail three");
    ASSERT_EQ(fed_in(two).size(), 1u);
    EXPECT_NEAR(fed_in(two)[0].least, 3.3 - 5 * 40e-3, 1e-9);
}

/// The judge holds a part with enough supply to what it stands with supply, and one without to what it stands without.
TEST(SupplyFeed, APartBehindABadContactIsNotWithoutSupply) {
    const Build good = behind(10, 20e-3);
    const Judgement j = good.judge();
    EXPECT_EQ(find(j.findings, "over-voltage-unpowered", "all rails up"), nullptr);
    EXPECT_NE(find(j.findings, "over-voltage-unpowered", "three down"), nullptr) << "the rail itself is off";
    const Judgement starved = behind(10, 200e-3).judge();
    EXPECT_NE(find(starved.findings, "over-voltage-unpowered", "all rails up"), nullptr);
}

/// What it drives when told high lies at its supply, or where nobody drives it: the draw that decides is not known.
TEST(SupplyFeed, WhereTheDrawDecidesEitherIsRead) {
    for (const auto& [least, most] : {std::pair(1e-3, 5e-3), {1e-3, 200e-3}, {150e-3, 200e-3}}) {
        Build b({rail("five", 5, 5)});
        auto type = std::make_shared<PartType>(*hand::module("driver", {output("OUT", 0.0001)}, 4.0));
        type->supplies[0].current = {Span<Amps>::between(Amps{least}, Amps{most}), sheet};
        b.part("D", type, {""});
        b.resistor(10, "D.VCC", "rail five");
        b.resistor(10e3, "D.OUT", "ground");
        const Wiring wiring = b.wiring();
        SettledLevels levels(b.bench, wiring);
        levels.tell({{"D", "OUT", true}});
        const int d = wiring.part("D");
        const MeterReading out = levels.at(d, type->pin_index("OUT")), supply = levels.at(d, type->pin_index("VCC"));
        const bool may_starve = 5 - 10 * most < 4, may_run = 5 - 10 * least >= 4;  // Ohm's law
        EXPECT_EQ(out.lo < 0.1, may_starve) << out.lo;
        EXPECT_EQ(out.hi > 4.5, may_run) << out.hi;
        EXPECT_EQ(out.gap_lo < out.gap_hi, may_starve && may_run);
        EXPECT_LE(supply.lo, 5 - 10 * most + 1e-9);
    }
}

/// An output behind a contact still drives: what it says arrives, less what it loses in the contact.
TEST(SupplyFeed, WhatItDrivesIsStillRead) {
    Build b({rail("five", 4.75, 5.25)});
    b.part("D", hand::module("driver", {output("OUT")}, 4.0), {""});
    b.resistor(10, "D.VCC", "rail five");
    b.module("R", {input("IN", ttl(), false)}, "five");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    const Judgement j = b.judge();
    ASSERT_EQ(j.links.size(), 1u);
    EXPECT_EQ(j.links[0].verdict, Verdict::safe) << (j.findings.empty() ? "" : j.findings[0].sentence);
}

}  // namespace
}  // namespace voltsill
