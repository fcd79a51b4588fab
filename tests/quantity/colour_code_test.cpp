// Colour bands: the round trip, and what is refused.
#include "quantity/colour_code.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <set>
#include <string>

namespace voltsill {
namespace {

std::string text_of(const std::vector<const BandColour*>& bands, bool codes) {
    std::string text;
    for (const BandColour* band : bands)
        text += (text.empty() ? "" : "-") + std::string(codes ? band->code : band->name);
    return text;
}

RC_GTEST_PROP(ColourCodeLaw, ReadingUndoesBanding, ()) {
    const int bands = *rc::gen::inRange(3, 7);
    const int digits = bands < 5 ? *rc::gen::inRange(10, 100) : *rc::gen::inRange(100, 1000);
    const int power = *rc::gen::inRange(-3, 10);
    ResistorMarking marking;
    marking.value = Ohms(power < 0 ? digits / std::pow(10.0, -power) : digits * std::pow(10.0, power));
    if (bands > 3) marking.tolerance = *rc::gen::element(0.1, 0.05, 0.02, 0.01, 0.005, 0.0025, 0.001, 0.0005);
    if (bands == 6) marking.temperature_coefficient = *rc::gen::element(100, 50, 25, 15, 10, 5);
    const auto shown = colour_bands(marking, bands);
    RC_ASSERT(shown.has_value());
    RC_ASSERT(shown->size() == static_cast<std::size_t>(bands));
    const auto back = read_bands(text_of(*shown, *rc::gen::arbitrary<bool>()));
    RC_ASSERT(back.has_value());
    RC_ASSERT(*back == marking);
}

TEST(ColourCode, EachColourAndCodeIsItsOwn) {
    std::set<std::string_view> names, codes;
    for (const BandColour& colour : band_colours()) {
        names.insert(colour.name);
        codes.insert(colour.code);
    }
    EXPECT_EQ(names.size(), band_colours().size());
    EXPECT_EQ(codes.size(), band_colours().size());
}

TEST(ColourCode, ZeroOhmsIsOneBlackBand) {
    EXPECT_EQ(text_of(*colour_bands({Ohms(0)}, 4), false), "black");
    EXPECT_EQ(read_bands("black")->value, Ohms(0));
}

TEST(ColourCode, WhatBandsCannotShowIsNone) {
    EXPECT_FALSE(colour_bands({Ohms(4990), 0.05}, 4));  // three digits
    EXPECT_TRUE(colour_bands({Ohms(4990), 0.01}, 5));
    EXPECT_FALSE(colour_bands({Ohms(4700), 0.07}, 4));    // no colour for 7 %
    EXPECT_FALSE(colour_bands({Ohms(4700), 0.05}, 3));    // no band for 5 %
    EXPECT_FALSE(colour_bands({Ohms(4700), 0.01}, 6));    // no coefficient given
    EXPECT_FALSE(colour_bands({Ohms(4.7e12), 0.05}, 4));  // multiplier beyond white
    EXPECT_FALSE(colour_bands({Ohms(-1), 0.05}, 4));
    EXPECT_FALSE(colour_bands({Ohms(std::nan("")), 0.05}, 4));
    EXPECT_FALSE(colour_bands({Ohms(4700), 0.05}, 2));
}

TEST(ColourCode, RefusalsNameTheBand) {
    const auto unknown = read_bands("yellow mauve red gold").error();
    EXPECT_EQ(unknown.code, "unknown-colour");
    EXPECT_EQ(unknown.at, 7u);
    EXPECT_EQ(unknown.length, 5u);
    const auto gold_digit = read_bands("gold violet red gold").error();
    EXPECT_EQ(gold_digit.code, "wrong-band");
    EXPECT_EQ(gold_digit.at, 0u);
    EXPECT_EQ(read_bands("yellow violet red white").error().code, "wrong-band");
    EXPECT_EQ(read_bands("yellow violet").error().code, "band-count");
    EXPECT_EQ(read_bands("BN BN BN BN BN BN BN").error().code, "band-count");
    EXPECT_EQ(read_bands(" - ").error().code, "empty");
}

}  // namespace
}  // namespace voltsill
