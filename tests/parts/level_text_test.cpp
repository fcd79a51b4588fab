/// Levels that follow the supply: what they say, where they are wrong, and that print is the inverse.
#include "parts/level_text.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

namespace voltsill {
namespace {

using namespace literals;

struct Case {
    const char* text;
    double ratio, offset;
};

TEST(LevelText, ReadsEveryForm) {
    constexpr Case cases[] = {
        {"2.0 V", 0, 2.0},
        {"800 mV", 0, 0.8},
        {"-0.5 V", 0, -0.5},
        {"\u22120.5 V", 0, -0.5},
        {"supply", 1, 0},
        {"0.7 supply", 0.7, 0},
        {"0.7VCC", 0.7, 0},
        {"0.65 VCCI", 0.65, 0},
        {"VDD - 0.45 V", 1, -0.45},
        {"supply + 0.5 V", 1, 0.5},
        {"supply-100 mV", 1, -0.1},
        {"0.42 supply - 0.04 V", 0.42, -0.04},
        {"0.16 V + 0.42 VDD", 0.42, 0.16},
        {"1e-1 V + supply", 1, 0.1},
        {"0.3*VDD", 0.3, 0},
        {"0.7 × VCC", 0.7, 0},
        {"0.3 x supply", 0.3, 0},
        {"30 % supply", 0.3, 0},
        {"70% of VDD + 0.1 V", 0.7, 0.1},
        {"Supply + 0.3 V", 1, 0.3},
        {"GND - 0.3 V", 0, -0.3},
        {"VSS-0.5 V", 0, -0.5},
    };
    for (const Case& c : cases) {
        const auto level = parse_level(c.text);
        ASSERT_TRUE(level) << c.text << ": " << level.error().message;
        EXPECT_DOUBLE_EQ(level->ratio, c.ratio) << c.text;
        EXPECT_DOUBLE_EQ(level->offset.si(), c.offset) << c.text;
    }
}

TEST(LevelText, PointsAtTheMistake) {
    struct Wrong {
        const char *text, *code;
        std::size_t at;
    };
    constexpr Wrong wrong[] = {
        {"", "empty", 0},
        {"0.7", "unit-missing", 0},
        {"0.7 suply", "unknown-unit", 4},
        {"0.7 VCCX", "unknown-unit", 4},
        {"2 mA", "wrong-unit", 2},
        {"supply 0.5 V", "trailing-text", 7},
        {"supply + supply", "level-repeated", 9},
        {"1 V + 2 V", "level-repeated", 6},
        {"1..2 V", "not-one-value", 0},
        {"supply + 5 W", "wrong-unit", 11},
    };
    for (const Wrong& w : wrong) {
        const auto level = parse_level(w.text);
        ASSERT_FALSE(level) << w.text;
        EXPECT_EQ(level.error().code, w.code) << w.text;
        EXPECT_EQ(level.error().at, w.at) << w.text;
    }
}

TEST(LevelText, ReadsRanges) {
    const auto tolerant = parse_level_range("0..5.5 V");
    ASSERT_TRUE(tolerant);
    EXPECT_EQ(*tolerant, (LevelRange{{0, 0_V}, {0, 5.5_V}}));
    const auto own = parse_level_range("-0.3 V .. supply + 0.3 V");
    ASSERT_TRUE(own);
    EXPECT_EQ(*own, (LevelRange{{0, Volts(-0.3)}, {1, 0.3_V}}));
    EXPECT_EQ(parse_level_range("supply").error().code, "not-a-range");
    EXPECT_EQ(parse_level_range("0 V .. suply").error().at, 7u);
}

TEST(LevelText, PrintReadsBack) {
    const auto prop = [](int ratio, int offset) {
        const Level level{(ratio % 2000) / 1000.0, Volts((offset % 20000) / 1000.0)};
        RC_ASSERT(parse_level(print(level)).value() == level);
        const LevelRange range{level, {level.ratio, level.offset + 1_V}};
        RC_ASSERT(parse_level_range(print(range)).value() == range);
    };
    EXPECT_TRUE(rc::check("parse_level(print(x)) == x", prop));
}

}  // namespace
}  // namespace voltsill
