// Every form a bench may use, and every refusal with its place.
#include "quantity/parse.h"

#include <gtest/gtest.h>

#include <cmath>
#include <iterator>
#include <random>

#include "quantity/scan.h"

namespace voltsill {
namespace {

using enum Dimension;

struct Reading {
    Dimension dimension;
    const char* text;
    double lo, nominal, hi;
};

/// Values are exact: a literal such as 100e-9 is the double nearest to the decimal.
constexpr Reading single_values[] = {
    {resistance, "4.7 kΩ", 4700, 4700, 4700},
    {resistance, "4.7 k\u2126", 4700, 4700, 4700},
    {resistance, "4.7kOhm", 4700, 4700, 4700},
    {resistance, "4.7 kohms", 4700, 4700, 4700},
    {resistance, "4.7 k", 4700, 4700, 4700},
    {resistance, "4.7 K", 4700, 4700, 4700},
    {resistance, "4k7", 4700, 4700, 4700},
    {resistance, "4K7", 4700, 4700, 4700},
    {resistance, "4k7 Ω", 4700, 4700, 4700},
    {resistance, "2R2", 2.2, 2.2, 2.2},
    {resistance, "R10", 0.1, 0.1, 0.1},
    {resistance, "0R47", 0.47, 0.47, 0.47},
    {resistance, "2M2", 2.2e6, 2.2e6, 2.2e6},
    {resistance, "470R", 470, 470, 470},
    {resistance, "470 R", 470, 470, 470},
    {resistance, "10 mΩ", 0.01, 0.01, 0.01},
    {resistance, "1e3 Ω", 1000, 1000, 1000},
    {capacitance, "100 nF", 100e-9, 100e-9, 100e-9},
    {capacitance, "0.1 \u00B5F", 1e-7, 1e-7, 1e-7},
    {capacitance, "0.1 \u03BCF", 1e-7, 1e-7, 1e-7},
    {capacitance, "0.1uF", 1e-7, 1e-7, 1e-7},
    {capacitance, "4n7", 4.7e-9, 4.7e-9, 4.7e-9},
    {capacitance, "100n", 100e-9, 100e-9, 100e-9},
    {capacitance, "2p2", 2.2e-12, 2.2e-12, 2.2e-12},
    {capacitance, "4\u00B57", 4.7e-6, 4.7e-6, 4.7e-6},
    {capacitance, "47 \u00B5", 47e-6, 47e-6, 47e-6},
    {voltage, "+5 V", 5, 5, 5},
    {voltage, "-12V", -12, -12, -12},
    {voltage, "\u221212 V", -12, -12, -12},
    {voltage, "3V3", 3.3, 3.3, 3.3},
    {voltage, ".5 V", 0.5, 0.5, 0.5},
    {voltage, "  3.3\u00A0V ", 3.3, 3.3, 3.3},
    {voltage, "3.3\u202FV", 3.3, 3.3, 3.3},
    {current, "1e-3 A", 1e-3, 1e-3, 1e-3},
    {current, "0.1 µA", 1e-7, 1e-7, 1e-7},
    {current, "1E+2 mA", 0.1, 0.1, 0.1},
    {time, "500 ns", 500e-9, 500e-9, 500e-9},
    {time, "-2 ns", -2e-9, -2e-9, -2e-9},
    {frequency, "2 kHz", 2000, 2000, 2000},
    {frequency, "9600 baud", 9600, 9600, 9600},
    {frequency, "800 kbit/s", 800e3, 800e3, 800e3},
    {frequency, "115.2 kBd", 115200, 115200, 115200},
    {time_per_voltage, "10 ns/V", 10e-9, 10e-9, 10e-9},
    {power, "0.25 W", 0.25, 0.25, 0.25},
    {conductance, "2 mS", 2e-3, 2e-3, 2e-3},
    {temperature, "25 °C", 25, 25, 25},
    {temperature, "25 \u2103", 25, 25, 25},
    {temperature, "-273.15 degC", -273.15, -273.15, -273.15},
};

constexpr Reading spans[] = {
    {voltage, "4.75..5.25 V", 4.75, 5, 5.25},
    {voltage, "4.75 V..5.25 V", 4.75, 5, 5.25},
    {voltage, "4.75..5.1..5.25 V", 4.75, 5.1, 5.25},
    {voltage, "5 V ± 0.25 V", 4.75, 5, 5.25},
    {voltage, "5 ± 0.25 V", 4.75, 5, 5.25},
    {voltage, "5 V +/- 250 mV", 4.75, 5, 5.25},
    {voltage, "-0.5..7 V", -0.5, 3.25, 7},
    {voltage, "-7..-5 V", -7, -6, -5},
    {voltage, "900 mV .. 1.1 V", 0.9, 1.0, 1.1},
    {voltage, "3..3 V", 3, 3, 3},
    {resistance, "1 Ω .. 10 MΩ", 1, 5000000.5, 10e6},
    {resistance, "1..10 kΩ", 1000, 5500, 10000},
    {resistance, "1k0..4k7", 1000, 2850, 4700},
    {resistance, "0..4k7", 0, 2350, 4700},
    {temperature, "0..40 °C", 0, 20, 40},
    {temperature, "-40..+85 °C", -40, 22.5, 85},
    {temperature, "25 °C ± 5 °C", 20, 25, 30},
};

TEST(Parse, SingleValuesAreTheNearestDouble) {
    for (const Reading& r : single_values) {
        const auto span = parse_span(r.dimension, r.text);
        ASSERT_TRUE(span) << r.text << ": " << span.error().message;
        EXPECT_EQ(*span, (Span<double>{r.lo, r.nominal, r.hi})) << r.text;
    }
}

TEST(Parse, RangesAndAbsoluteTolerances) {
    for (const Reading& r : spans) {
        const auto span = parse_span(r.dimension, r.text);
        ASSERT_TRUE(span) << r.text << ": " << span.error().message;
        EXPECT_DOUBLE_EQ(span->lo, r.lo) << r.text;
        EXPECT_DOUBLE_EQ(span->nominal, r.nominal) << r.text;
        EXPECT_DOUBLE_EQ(span->hi, r.hi) << r.text;
    }
}

TEST(Parse, PercentTolerances) {
    for (const char* text : {"3.3 V ± 3 %", "3.3 V +- 3%", "3.3V±3%", "3.3 V +/- 3 %", "3V3 ± 3 %"}) {
        const auto span = parse<Volts>(text);
        ASSERT_TRUE(span) << text << ": " << span.error().message;
        EXPECT_DOUBLE_EQ(span->lo.si(), 3.201) << text;
        EXPECT_DOUBLE_EQ(span->nominal.si(), 3.3) << text;
        EXPECT_DOUBLE_EQ(span->hi.si(), 3.399) << text;
    }
    const auto negative = parse<Volts>("-5 V ± 5 %");
    ASSERT_TRUE(negative);
    EXPECT_DOUBLE_EQ(negative->lo.si(), -5.25);
    EXPECT_DOUBLE_EQ(negative->hi.si(), -4.75);
}

TEST(Parse, EachTypeReadsItsOwnDimension) {
    EXPECT_EQ(parse<Amps>("300 mA")->nominal, Amps(0.3));
    EXPECT_EQ(parse<Ohms>("4k7")->nominal, Ohms(4700));
    EXPECT_EQ(parse<Farads>("22 pF")->nominal, Farads(22e-12));
    EXPECT_EQ(parse<Seconds>("1 µs")->nominal, Seconds(1e-6));
    EXPECT_EQ(parse<Hertz>("100 kHz")->nominal, Hertz(100e3));
    EXPECT_EQ(parse<Watts>("250 mW")->nominal, Watts(0.25));
    EXPECT_EQ(parse<SecondsPerVolt>("20 ns/V")->nominal, SecondsPerVolt(20e-9));
    EXPECT_EQ(parse<Siemens>("1 mS")->nominal, Siemens(1e-3));
    EXPECT_EQ(parse<Celsius>("0..40 °C")->hi, Celsius(40));
}

TEST(Parse, Ratios) {
    EXPECT_EQ(parse_ratio("3 %"), 0.03);
    EXPECT_EQ(parse_ratio("3%"), 0.03);
    EXPECT_EQ(parse_ratio("0.03"), 0.03);
    EXPECT_EQ(parse_ratio("100 ppm"), 1e-4);
    EXPECT_EQ(parse_ratio("1..2 %").error().code, "not-one-value");
    EXPECT_EQ(parse_ratio("3 V").error().code, "wrong-unit");
}

struct Refusal {
    Dimension dimension;
    const char* text;
    const char* code;
    std::size_t at, length;
};

constexpr Refusal refusals[] = {
    {voltage, "", "empty", 0, 0},
    {voltage, "  ", "empty", 0, 0},
    {voltage, "3.3", "unit-missing", 0, 3},
    {voltage, "3.3 A", "wrong-unit", 4, 1},
    {voltage, "3.3 mA", "wrong-unit", 4, 2},
    {voltage, "4.7k", "unknown-unit", 3, 1},
    {voltage, "5 %", "wrong-unit", 0, 3},
    {voltage, "3.3 v", "unknown-unit", 4, 1},
    {voltage, "3,3 V", "decimal-comma", 1, 1},
    {voltage, "1,000.0 V", "decimal-comma", 1, 1},
    {voltage, "nan V", "not-a-number", 0, 3},
    {voltage, "NaN", "not-a-number", 0, 3},
    {voltage, "inf V", "not-a-number", 0, 3},
    {voltage, "-infinity V", "not-a-number", 0, 9},
    {voltage, "0x10 V", "not-a-number", 0, 4},
    {voltage, "V", "not-a-number", 0, 1},
    {voltage, "1e999 V", "out-of-range", 0, 7},
    {voltage, "1e-999 V", "out-of-range", 0, 8},
    {voltage, "1e99999999999999999999 V", "out-of-range", 0, 24},
    {voltage, "1e306 kV", "out-of-range", 0, 8},
    {voltage, "-1.7e308..1.7e308 V", "out-of-range", 0, 19},
    {voltage, "5..3 V", "reversed-range", 0, 6},
    {voltage, "3..6..5 V", "nominal-outside", 3, 1},
    {voltage, "3..5..", "not-a-number", 6, 0},
    {voltage, "3...5 V", "not-a-number", 3, 1},
    {voltage, "1..2..3..4 V", "trailing-text", 7, 5},
    {voltage, "5 V..6", "unit-missing", 5, 1},
    {voltage, "5 V ± -3 %", "negative-tolerance", 7, 4},
    {voltage, "5 V ± 3", "unit-missing", 7, 1},
    {voltage, "5 ± 3 %", "unit-missing", 0, 1},
    {voltage, "5 V ±", "not-a-number", 6, 0},
    {voltage, "5 V ± 3 A", "wrong-unit", 9, 1},
    {voltage, "4.75..5.25 V ± 3 %", "tolerance-on-range", 13, 6},
    {voltage, "5 V about", "trailing-text", 4, 5},
    {voltage, "5 V, typ", "trailing-text", 3, 5},
    {voltage, "5 V + 3 %", "trailing-text", 4, 5},
    {voltage, "- 5 V", "not-a-number", 0, 1},
    {voltage, "±20 V", "not-a-number", 0, 2},
    {resistance, "4700", "unit-missing", 0, 4},
    {resistance, "10 m", "ambiguous-prefix", 3, 1},
    {resistance, "4k7k", "unknown-unit", 3, 1},
    {resistance, "4k7 kΩ", "trailing-text", 4, 3},
    {resistance, "4.7k7", "unknown-unit", 3, 2},
    {resistance, "-4k7", "negative", 0, 4},
    {resistance, "1 kΩ ± 150 %", "negative", 0, 14},
    {resistance, "100..4k7", "unit-missing", 0, 3},
    {resistance, "10..4k7..5 kΩ", "unit-missing", 0, 2},
    {voltage, "1e2147483647 kV", "out-of-range", 0, 15},
    {capacitance, "100", "unit-missing", 0, 3},
    {frequency, "-5 kHz", "negative", 0, 6},
    {temperature, "25 °C ± 3 %", "percent-of-temperature", 10, 3},
    {temperature, "-300 °C", "below-absolute-zero", 0, 8},
    {temperature, "298 K", "unknown-unit", 4, 1},
};

TEST(Parse, RefusesWithCodeAndPlace) {
    for (const Refusal& r : refusals) {
        const auto span = parse_span(r.dimension, r.text);
        ASSERT_FALSE(span) << r.text;
        EXPECT_EQ(span.error().code, r.code) << r.text << ": " << span.error().message;
        EXPECT_EQ(span.error().at, r.at) << r.text;
        EXPECT_EQ(span.error().length, r.length) << r.text;
        EXPECT_FALSE(span.error().message.empty()) << r.text;
        EXPECT_FALSE(span.error().expected.empty()) << r.text;
    }
}

TEST(Parse, MessagesNameWhatIsWrongAndWhatIsRight) {
    const auto wrong = parse<Volts>("3.3 A").error();
    EXPECT_EQ(wrong.message, "\"A\" is the unit of a current, and a voltage is needed here");
    EXPECT_EQ(wrong.expected, "a voltage such as \"3.3 V\"");
    EXPECT_EQ(parse<Volts>("3.3").error().expected, "a voltage such as \"3.3 V\"");
    EXPECT_NE(parse<Volts>("3,3 V").error().message.find("decimal point"), std::string::npos);
}

TEST(Parse, NearestUnitIsNamed) {
    for (const auto& [dimension, text, unit] : {std::tuple{frequency, "400 kHZ", "kHz"},
                                                {capacitance, "8 pf", "pF"},
                                                {current, "20 ma", "mA"},
                                                {current, "15 Ma", "mA"},
                                                {time, "20 n", "ns"},
                                                {voltage, "3.6 Volt", "volt"},
                                                {resistance, "10 KOHM", ""}}) {
        const auto span = parse_span(dimension, text);
        ASSERT_FALSE(span) << text;
        EXPECT_EQ(span.error().expected.starts_with("write \"" + std::string(unit) + "\""), *unit != 0)
            << text << ": " << span.error().expected;
    }
}

/// What is shown of a text is whole characters, whatever stands there.
TEST(Parse, SignOfATolerancePrintsWhole) {
    EXPECT_EQ(parse<Volts>("±20 V").error().message, "\"±\" stands here without a value before it");
}

TEST(Parse, RangeWithADashIsShownWithPoints) {
    for (const auto& [text, mended] : {std::pair{"0-40 °C", "0..40 °C"},
                                       {"0 - 40 °C", "0..40 °C"},
                                       {"0–40 °C", "0..40 °C"},
                                       {"-40-85 °C", "-40..85 °C"},
                                       {"10 °C−40 °C", "10 °C..40 °C"}}) {
        const auto span = parse<Celsius>(text);
        ASSERT_FALSE(span) << text;
        EXPECT_EQ(span.error().code, "dash-in-range") << text;
        EXPECT_EQ(span.error().expected, std::string("write \"") + mended + '"');
        EXPECT_TRUE(parse<Celsius>(mended)) << mended;
    }
    EXPECT_EQ(parse<Celsius>("0-40 °C").error().at, 1u);
    EXPECT_EQ(parse<Celsius>("0-40 °C").error().length, 1u);
    EXPECT_EQ(parse<Celsius>("0 - 40 °C").error().length, 3u);
    EXPECT_NE(parse<Celsius>("0-40 V").error().code, "dash-in-range");   // points alone would not mend it
    EXPECT_NE(parse<Volts>("1e-3 X").error().code, "dash-in-range");
}

TEST(InQuotes, IsAlwaysShortAndValid) {
    EXPECT_EQ(in_quotes("4.7 kΩ"), "\"4.7 kΩ\"");
    EXPECT_EQ(in_quotes("a\xFF\nb"), "\"a\uFFFD\uFFFDb\"");
    EXPECT_EQ(in_quotes(std::string(100, 'x')), '"' + std::string(24, 'x') + "...\"");
}

/// What holds of any answer, whatever the text.
void expect_sound(Dimension dimension, const std::string& text) {
    const auto span = parse_span(dimension, text);
    if (span) {
        ASSERT_TRUE(std::isfinite(span->lo) && std::isfinite(span->nominal) && std::isfinite(span->hi))
            << text;
        ASSERT_LE(span->lo, span->nominal) << text;
        ASSERT_LE(span->nominal, span->hi) << text;
    } else {
        ASSERT_FALSE(span.error().code.empty());
        ASSERT_LE(span.error().at + span.error().length, text.size()) << text;
    }
}

/// Random bytes, random pieces of quantities, or a right text with a few bytes changed.
std::string random_text(std::mt19937& random) {
    static const std::string pieces[] = {
        "1",      "4.7",  "0", "999", "e", "e9",  "e-300", ".",   "..",   "±",   "+-",    "-",  "+",  " ",
        "k",      "M",    "µ", "n",   "V", "A",   "Ω",     "R",   "F",    "%",   "p",     "Hz", "°C", ",",
        "\u00A0", "\xC2", "m", "x1",  "u", "nan", "inf",   "±3%", "\xFF", "..5", "1e308", "s/V"};
    std::string text;
    const auto kind = random() % 3;
    if (kind == 2) {
        text = spans[random() % std::size(spans)].text;
        for (auto changes = random() % 4; changes > 0; --changes)
            text[random() % text.size()] = static_cast<char>(random() % 256);
        return text;
    }
    for (auto count = random() % 8; count > 0; --count) {
        if (kind == 0)
            text += static_cast<char>(random() % 256);
        else
            text += pieces[random() % std::size(pieces)];
    }
    return text;
}

TEST(Parse, HundredThousandRandomTextsNeverBreakIt) {
    std::mt19937 random(20240511);
    int accepted = 0;
    for (int i = 0; i < 100'000; ++i) {
        const std::string text = random_text(random);
        const auto dimension = static_cast<Dimension>(random() % 11);
        expect_sound(dimension, text);
        accepted += parse_span(dimension, text).has_value();
    }
    EXPECT_GT(accepted, 500);  // enough of them are quantities
}

}  // namespace
}  // namespace voltsill
