/// Which way a diode in a symbol conducts: IEC 60617 05-03-01, from memory, draws the triangle with its tip at the
/// cathode.
#include <gtest/gtest.h>

#include "drawing/symbols.h"

namespace voltsill {
namespace {

/// x of the triangle's tip less that of its base: above zero, current goes from the left to the right.
double conducts_to_the_right(const drawing::Symbol& symbol) {
    for (const drawing::Item& item : symbol.items)
        if (const auto* path = std::get_if<drawing::Path>(&item);
            path && path->steps.size() == 4)  // three sides, closed
            return path->steps[2].to.x - path->steps[0].to.x;
    ADD_FAILURE() << "no triangle";
    return 0;
}

/// The first lead is the pin, the second the supply or ground: from the pin to ground, from the supply to the pin.
TEST(Symbols, LoadsConductFromPlusToMinus) {
    const drawing::Symbol to_ground = drawing::led_with_resistor({}),
                          to_supply = drawing::led_with_resistor_from_supply({});
    EXPECT_GT(conducts_to_the_right(to_ground), 0);
    EXPECT_LT(conducts_to_the_right(to_supply), 0);
    for (const drawing::Symbol& s : {to_ground, to_supply}) {
        ASSERT_EQ(s.leads.size(), 2u);
        EXPECT_LT(s.leads[0].to.x, s.leads[1].to.x);
    }
}

}  // namespace
}  // namespace voltsill
