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
    const Plan p = plan(read("title = \"hc\"\n[rails]\nb = \"4.5 V ± 1 %\"\nl = \"3.3 V ± 3 %\"\n"
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

}  // namespace
}  // namespace voltsill
