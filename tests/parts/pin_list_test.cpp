#include "parts/pin_list.h"

#include <gmock/gmock.h>

namespace voltsill {
namespace {

using testing::ElementsAre;

TEST(PinList, CountsUpAndDown) {
    EXPECT_THAT(*expand_pins("A1..A4"), ElementsAre("A1", "A2", "A3", "A4"));
    EXPECT_THAT(*expand_pins("Y3..Y1"), ElementsAre("Y3", "Y2", "Y1"));
    EXPECT_THAT(*expand_pins("1B..3B"), ElementsAre("1B", "2B", "3B"));
    EXPECT_THAT(*expand_pins("2A9..2A11"), ElementsAre("2A9", "2A10", "2A11"));
    EXPECT_THAT(*expand_pins("QH'"), ElementsAre("QH'"));
    EXPECT_THAT(*expand_pin_list(" SCL  D2..D3 "), ElementsAre("SCL", "D2", "D3"));
}

TEST(PinList, RefusesEndsThatDoNotBelongTogether) {
    for (const char* text : {"A1..B4", "A..B", "A1..", "..A1", "A1..A1000000", "1A..2B", "A1...A4"})
        EXPECT_FALSE(expand_pins(text)) << text;
    EXPECT_FALSE(expand_pin_list(""));
}

TEST(Packages, KindCountAndFit) {
    struct Case {
        const char *name, *kind;
        int count;
        bool fits;
    };
    constexpr Case cases[] = {{"DIP-20", "DIP", 20, true},      {"SOIC-8", "SOIC", 8, false},
                              {"SOT-23-5", "SOT-23", 5, false}, {"SC-70-5", "SC-70", 5, false},
                              {"TO-92", "TO-92", 0, true},      {"TO-220", "TO-220", 0, true},
                              {"HEADER-4", "HEADER", 4, true},  {"SOT-23", "SOT-23", 0, false}};
    for (const Case& c : cases) {
        EXPECT_EQ(package_kind(c.name), c.kind) << c.name;
        EXPECT_EQ(package_pin_count(c.name).value_or(0), c.count) << c.name;
        EXPECT_EQ(fits_solderless_board(c.name), c.fits) << c.name;
    }
}

}  // namespace
}  // namespace voltsill
