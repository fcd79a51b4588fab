/// A bipolar TTL high does not reach its supply: SDLS029 prints 2.7 V for LS at 4.75 V and 0.4 mA.
#include <gtest/gtest.h>

#include "judging/finding.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

Bench ls_into(std::vector<ThresholdRow> thresholds) {
    const PartType* ls = Catalogue::built_in().find("LS 04");
    Pin out = ls->pins[ls->channels.at(0).output];
    out.supply = 0;
    return pair(rail("five", 4.75, 5.25), out, rail("five", 4.75, 5.25),
                input("", std::move(thresholds), false));
}

TEST(Ttl, HighIsNotReadByCmosAtFiveVolts) {  // practice F26
    const Bench bench = ls_into(cmos());
    const Judgement j = judge(bench, wire_directly(bench));
    EXPECT_EQ(j.links[0].verdict, Verdict::unreadable);
    EXPECT_NEAR(*j.links[0].high_margin, 0.3 * 4.75 - 2.0, 0.02);  // 2.75 V from 4.75 V against 0.7 of it
}

TEST(Ttl, HighIsReadByTtlThresholds) {
    const Bench bench = ls_into(ttl());
    const Judgement j = judge(bench, wire_directly(bench));
    ASSERT_TRUE(j.links[0].high_margin);
    EXPECT_NEAR(*j.links[0].high_margin, 0.7, 0.06);  // 2.7 V against 2.0 V
}

}  // namespace
}  // namespace voltsill
