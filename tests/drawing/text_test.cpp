// Text made fit for print, held against the Unicode annexes named beside the checks.
#include "drawing/text.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include "support/random_text.h"

namespace voltsill {
namespace {

TEST(CleanText, LosesWhatCouldSteerATerminal) {
    // ECMA-48: ESC introduces control sequences, 0x9B (C1, U+009B) is CSI in one character.
    EXPECT_EQ(clean("a\x1b[31mb"), "a\uFFFD[31mb");
    EXPECT_EQ(clean("a\u009B31mb"), "a\uFFFD31mb");
    EXPECT_EQ(clean("a\rb\x07\x7F"), "a\uFFFDb\uFFFD\uFFFD");
    EXPECT_EQ(clean("tab\tline\nend"), "tab line end");
    EXPECT_EQ(clean_lines("line\nend"), "line\nend");
    // Unicode Standard Annex 9: RLO, isolate and marks reorder what a reader sees.
    EXPECT_EQ(clean("x\u202Ey\u2066z\u200F"), "x\uFFFDy\uFFFDz\uFFFD");
    EXPECT_EQ(clean(std::string_view("\xC3(", 2)), "\uFFFD(");  // a start byte without its continuation
    EXPECT_EQ(clean("Füllstand 4.7 kΩ 水"), "Füllstand 4.7 kΩ 水");
}

TEST(DisplayWidth, CountsColumns) {
    EXPECT_EQ(display_width("4.7 kΩ"), 6);
    EXPECT_EQ(display_width("水位"), 4);     // UAX 11: wide
    EXPECT_EQ(display_width("e\u0301"), 1);  // UAX 29: one cluster
    EXPECT_EQ(clusters("e\u0301a").size(), 2u);
    EXPECT_EQ(display_width(""), 0);
}

TEST(Ascii, NamesTheSignsOfTheTrade) {
    EXPECT_EQ(to_ascii("4.7 kΩ ± 5 %, 10 µA, 40 °C"), "4.7 kOhm +- 5 %, 10 uA, 40 degC");
    EXPECT_EQ(to_ascii("Füße, Ångström"), "Fusse, Angstrom");
    EXPECT_EQ(to_ascii("水"), "?");
}

TEST(BindUnits, KeepsNumberAndUnitTogether) {
    EXPECT_EQ(bind_units("at 4.7 kΩ or 5 of them"), "at 4.7\u00A0kΩ or 5 of them");
    EXPECT_EQ(bind_units("3.3 V ± 3 %."), "3.3\u00A0V\u00A0±\u00A03\u00A0%.");
}

RC_GTEST_PROP(CleanText, IsCleanAlready, ()) {
    const std::string once = clean(*random_text());
    RC_ASSERT(clean(once) == once);
    for (const unsigned char c : to_ascii(once)) RC_ASSERT(c >= 0x20 && c < 0x7F);
    std::string joined;
    for (const Cluster& c : clusters(once)) joined += c.bytes;
    RC_ASSERT(joined == once);
}

}  // namespace
}  // namespace voltsill
