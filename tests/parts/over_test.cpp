/// Thresholds over the tolerance of a rail, against interpolation done by hand.
#include <gtest/gtest.h>

#include "parts/catalogue.h"

namespace voltsill {
namespace {

const Pin& input_of(const char* name) {
    const PartType* type = Catalogue::built_in().find(name);
    return type->pins[type->channels.at(0).inputs.at(0)];
}

// HC: VIH 3.15 V at 4.5 V and 4.2 V at 6 V (SCHS119B 5.3); between them 0.7 V a volt.
TEST(ThresholdsOver, FollowTheRailBetweenPrintedRows) {
    const auto over = thresholds_over(input_of("HC 541"), Span<Volts>::between(Volts{4.5}, Volts{5.5}));
    ASSERT_TRUE(over);
    EXPECT_NEAR(over->high.at(Volts{5.5}).si(), 3.85, 1e-9);
    EXPECT_NEAR(over->high.at(Volts{4.5}).si(), 3.15, 1e-9);
    EXPECT_NEAR(over->low.at(Volts{4.5}).si(), 1.35, 1e-9);
}

TEST(ThresholdsOver, AreNowhereKinderThanThePoint) {
    for (const char* name : {"HC 541", "HCT 541", "AHC 125", "LVC 1G125", "AC 244", "LV1T 1G34"})
        for (double volts = 2.7; volts < 5.3; volts += 0.1) {
            const Pin& pin = input_of(name);
            const Span<Volts> rail = Span<Volts>::within(Volts{volts}, 0.05);
            const auto over = thresholds_over(pin, rail);
            for (const Volts v : {rail.lo, rail.nominal, rail.hi}) {
                const auto point = thresholds_at(pin, v);
                ASSERT_TRUE(over && point);
                EXPECT_GE(over->high.at(v).si(), point->high.at(v).si() - 1e-9) << name << " at " << v.si();
                EXPECT_LE(over->low.at(v).si(), point->low.at(v).si() + 1e-9) << name << " at " << v.si();
            }
        }
}

}  // namespace
}  // namespace voltsill
