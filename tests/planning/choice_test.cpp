/// What is chosen first, what is not proposed, and what becomes of a link that nothing serves.
#include <gmock/gmock.h>

#include <algorithm>

#include "sample.h"

namespace voltsill {
namespace {

using namespace sample;

/// Pins that nothing can join stay open: a wire between 5 V and 3.3 V outputs would be the harm itself.
TEST(Plan, LinkWithoutCircuitIsNotWired) {
    Two two = down;
    two.tail = "[stock]\n\"capacitor\" = 2\n";
    const Plan p = plan(two.bench());
    ASSERT_FALSE(p.links[0].chosen);
    EXPECT_EQ(p.wiring.net_at("D", "OUT"), unconnected);
    EXPECT_EQ(p.wiring.net_at("R", "IN"), unconnected);
    EXPECT_THAT(p.notes, testing::Contains("signal: not wired, no circuit serves it."));
}

/// HC at 4.5 V reads a high from 3.15 V (SCHS119B, section 5.5): a buffer on the 3.3 V rail gives 51 mV, a
/// translator more than 1 V.
TEST(Plan, WishedMarginComesBeforePriceAndParts) {
    const Plan p = plan(read(
        "title = \"hc\"\n[rails]\nb = \"4.5 V ± 1 %\"\nl = \"3.3 V ± 3 %\"\n"
        "[parts]\nc = { type = \"mcu\", supply = \"l\" }\nu = { type = \"HC 541 DIP-20\", supply = \"b\" }\n"
        "[[links]]\nname = \"up\"\nfrom = \"c.O\"\nto = \"u.A1\"\nrate = \"1 kHz\"\n"
        "[types.mcu]\nsupplies.VCC = { range = \"3.0..3.6 V\", max = \"-0.3..4 V\" }\n"
        "pins.O = { like = \"push-pull output, 3.3 V\" }\npins.GND = { is = \"ground\" }\n"));
    ASSERT_TRUE(p.links[0].chosen);
    const Candidate& chosen = *p.links[0].chosen;
    EXPECT_GE(std::min(*chosen.high_margin, *chosen.low_margin), 0.4) << chosen.title;
}

/// Every part is on its only rail already: there is no other to move it to.
TEST(Plan, NoPartIsMovedToTheRailItIsOn) {
    const Two two{"push-pull output, 3.3 V", "three", "LVTTL input, 3.3 V", "three"};
    EXPECT_FALSE(of(two.bench(), "change-of-supply").candidate.why_not.empty());
    EXPECT_THAT(of(two.bench(), "change-of-supply").recipe.moved_part, testing::IsEmpty());
}

/// Two memories share the line of a 3.3 V controller, one of them on 5 V: the planner wires the one on the
/// controller's rail and refuses the other by name, since nothing in the bench says when it may speak.
TEST(Plan, DriverOnAnotherRailIsRefusedByName) {
    const auto type = [](const char* name, const char* range, const char* pin) {
        return fmt::format(
            "[types.{}]\nsupplies.VCC = {{ range = \"{}\", max = \"-0.3..6 V\" }}\n{}\npins.GND = {{ is = "
            "\"ground\" }}\n",
            name, range, pin);
    };
    const Bench bench = read(
        "title = \"two drivers\"\n[rails]\nfive = \"5 V ± 5 %\"\nthree = \"3.3 V ± 3 %\"\n"
        "[parts]\nc = { type = \"m\", supply = \"three\" }\na = { type = \"f\", supply = \"three\" }\nb = { "
        "type = \"g\", supply = \"five\" }\n"
        "[[links]]\nname = \"miso\"\nfrom = [\"a.MISO\", \"b.MISO\"]\nto = \"c.D\"\nrate = \"4 MHz\"\n" +
        type("m", "3.0..3.6 V", "pins.D = { like = \"LVTTL input, 3.3 V\" }") +
        type("f", "3.0..3.6 V", "pins.MISO = { like = \"three-state output, 3.3 V\" }") +
        type("g", "4.5..5.5 V",
             "pins.MISO = { is = \"three-state\", max = \"supply + 0.5 V\", min = \"-0.5 V\" }"));
    const Plan p = plan(bench);
    EXPECT_EQ(p.wiring.net_at("b", "MISO"), unconnected);
    EXPECT_NE(p.wiring.net_at("a", "MISO"), unconnected);
    EXPECT_EQ(p.wiring.net_at("a", "MISO"), p.wiring.net_at("c", "D"));
    EXPECT_THAT(
        p.notes,
        testing::Contains(
            "miso from b.MISO: not wired, two drivers on rails three and five: give the one on five a buffer "
            "that is released while the other speaks."));
    ASSERT_EQ(p.links.size(), 2u);
    for (const LinkPlan& l : p.links)
        if (!l.chosen) {
            for (const Candidate& c : l.rejected)
                EXPECT_THAT(c.why_not, testing::HasSubstr("rails three and five")) << c.circuit;
        }
}

}  // namespace
}  // namespace voltsill
