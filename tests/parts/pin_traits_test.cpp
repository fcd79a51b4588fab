// Traits as a reader of the catalogue finds them, and thresholds beyond their rows.
#include "parts/pin_traits.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "parts/ranked.h"
#include "parts/stretched.h"

namespace {
using namespace voltsill;

const PinTrait* trait_in(const std::vector<PinTrait>& traits, std::string_view name) {
    const auto at = std::ranges::find(traits, name, &PinTrait::name);
    return at == traits.end() ? nullptr : &*at;
}

TEST(PinTraits, AreTheFiguresAPinWouldGet) {
    const auto all = pin_traits(Catalogue::built_in());
    const PinTrait* ttl = trait_in(all, "TTL input, 5 V");
    ASSERT_NE(ttl, nullptr);
    EXPECT_EQ(ttl->pin().role, PinRole::input);
    ASSERT_FALSE(ttl->pin().thresholds.empty());
    // TTL levels, 0.8 V and 2.0 V: JESD8C.01 (LVTTL has those of TTL), from memory.
    EXPECT_DOUBLE_EQ(ttl->pin().thresholds[0].low.at(Volts{5}).si(), 0.8);
    EXPECT_DOUBLE_EQ(ttl->pin().thresholds[0].high.at(Volts{5}).si(), 2.0);
    EXPECT_EQ(ttl->like, "CMOS pin");
    EXPECT_NE(ttl->part.title.find("2 V"), std::string::npos) << ttl->part.title;
    EXPECT_EQ(trait_in(all, "protection diodes")->pin().role, PinRole::passive);
}

TEST(PinTraits, AreFoundByTheirWords) {
    const auto found = pin_traits(Catalogue::built_in(), "open COLLECTOR");
    EXPECT_NE(trait_in(found, "open-collector output with 10 kΩ to its supply"), nullptr);
    EXPECT_EQ(trait_in(found, "TTL input, 5 V"), nullptr);
    Problems problems;
    const Catalogue own =
        Catalogue::built_in().with_file("[traits.\"float switch\"]\nis = \"input\"\n", "own.toml", problems);
    EXPECT_NE(trait_in(pin_traits(own), "float switch"), nullptr);
}

TEST(PinTraits, NearNamesMendLetters) {
    const auto near = near_names(Catalogue::built_in(), "trnasceiver octal");
    ASSERT_FALSE(near.empty());
    EXPECT_TRUE(std::ranges::any_of(near, [](const std::string& n) { return n.ends_with(" 245"); })) << near[0];
    EXPECT_EQ(near_names(Catalogue::built_in(), "TTL input").front(), "TTL input, 5 V");
    EXPECT_TRUE(near_names(Catalogue::built_in(), "zzzz").empty());
}

TEST(Stretch, IsMeasuredFromTheNearestRow) {
    const auto all = pin_traits(Catalogue::built_in());
    const Pin& pin = trait_in(all, "CMOS input, 5 V")->pin();
    const Span<Volts> row = pin.thresholds.front().supply;
    EXPECT_FALSE(threshold_stretch(pin, row));
    const auto above = threshold_stretch(pin, Span<Volts>::exactly(row.hi * 2));
    ASSERT_TRUE(above);
    EXPECT_DOUBLE_EQ(above->factor, 2);
    EXPECT_EQ(above->row, row);
    EXPECT_DOUBLE_EQ(threshold_stretch(pin, Span<Volts>::exactly(row.lo / 2))->factor, 2);
}

}  // namespace
