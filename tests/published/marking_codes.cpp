// IEC 60062:2016, marking codes for resistors and capacitors, and IEC 60757 colour codes; both
// from memory.
#include <gtest/gtest.h>

#include <string>

#include "quantity/colour_code.h"
#include "quantity/parse.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

struct LetterCode {
    const char* code;
    double value;
};

// Letters stand for the decimal point of a resistance.
// Source: IEC 60062:2016; letter and digit code for resistance, examples; from memory
TEST(MarkingCodes, ResistanceLetterCode) {
    constexpr LetterCode examples[] = {
        {"R10", 0.1},   {"R47", 0.47},    {"0R47", 0.47}, {"2R2", 2.2},  {"3R32", 3.32},   {"10R", 10},
        {"470R", 470},  {"1K0", 1e3},     {"4K7", 4.7e3}, {"10K", 10e3}, {"33K2", 33.2e3}, {"100K", 100e3},
        {"2M2", 2.2e6}, {"33M2", 33.2e6}, {"1G0", 1e9},   {"1T0", 1e12},
    };
    for (const auto& [code, value] : examples) {
        const auto read = parse<Ohms>(code);
        ASSERT_TRUE(read) << code;
        EXPECT_EQ(read->nominal, Ohms(value)) << code;
    }
}

// Letters stand for the decimal point of a capacitance.
// Source: IEC 60062:2016; letter and digit code for capacitance, examples; from memory
TEST(MarkingCodes, CapacitanceLetterCode) {
    constexpr LetterCode examples[] = {{"p10", 0.1e-12}, {"3p32", 3.32e-12}, {"10p", 10e-12},
                                       {"1n0", 1e-9},    {"4n7", 4.7e-9},    {"100n", 100e-9},
                                       {"1µ5", 1.5e-6},  {"3m32", 3.32e-3}};
    for (const auto& [code, value] : examples) {
        const auto read = parse<Farads>(code);
        ASSERT_TRUE(read) << code << read.error().message;
        EXPECT_EQ(read->nominal, Farads(value)) << code;
    }
}

std::string bands_of(const ResistorMarking& marking, int bands) {
    std::string text;
    const auto shown = colour_bands(marking, bands);
    if (!shown) return "none";
    for (const BandColour* colour : *shown) text += (text.empty() ? "" : " ") + std::string(colour->name);
    return text;
}

// Four- and five-band resistors; the four-band examples are the usual ones of textbooks.
// Source: IEC 60062:2016; colour code for fixed resistors; from memory
// Source: no document; examples of textbooks; common practice
TEST(MarkingCodes, ColourBands) {
    struct Example {
        ResistorMarking marking;
        int bands;
        const char* colours;
    };
    const Example examples[] = {
        {{Ohms(4.7e3), 0.05}, 4, "yellow violet red gold"},
        {{Ohms(10e3), 0.05}, 4, "brown black orange gold"},
        {{Ohms(330), 0.05}, 4, "orange orange brown gold"},
        {{Ohms(4.7), 0.10}, 4, "yellow violet gold silver"},
        {{Ohms(0.47), 0.05}, 4, "yellow violet silver gold"},
        {{Ohms(4.7e3), 0.20}, 3, "yellow violet red"},
        {{Ohms(4.99e3), 0.01}, 5, "yellow white white brown brown"},
        {{Ohms(10e3), 0.01}, 5, "brown black black red brown"},
        {{Ohms(249e3), 0.01, 50}, 6, "red yellow white orange brown red"},
    };
    for (const auto& [marking, bands, colours] : examples) {
        EXPECT_EQ(bands_of(marking, bands), colours);
        const auto read = read_bands(colours);
        ASSERT_TRUE(read) << colours;
        EXPECT_EQ(*read, marking) << colours;
    }
}

// The multiplier of every colour.
// Source: IEC 60062:2016; colour code, multiplier column; from memory
TEST(MarkingCodes, EveryMultiplierColour) {
    struct Multiplier {
        const char* colour;
        double factor;
    };
    constexpr Multiplier multipliers[] = {
        {"pink", 1e-3},  {"silver", 1e-2}, {"gold", 1e-1},  {"black", 1e0}, {"brown", 1e1},
        {"red", 1e2},    {"orange", 1e3},  {"yellow", 1e4}, {"green", 1e5}, {"blue", 1e6},
        {"violet", 1e7}, {"grey", 1e8},    {"white", 1e9},
    };
    for (const auto& [colour, factor] : multipliers) {
        const std::string bands = std::string("red violet ") + colour + " gold";
        EXPECT_DOUBLE_EQ(read_bands(bands)->value.si(), 27.0 * factor) << colour;
        EXPECT_EQ(bands_of({Ohms(27.0 * factor), 0.05}, 4), bands);
    }
}

// Tolerance and temperature coefficient of every colour that has one.
// Source: IEC 60062:2016; colour code, tolerance and temperature-coefficient columns; from memory
TEST(MarkingCodes, EveryToleranceAndCoefficientColour) {
    struct Column {
        const char* colour;
        double tolerance;  // 0: none
        int coefficient;   // ppm/K, 0: none
    };
    constexpr Column columns[] = {{"silver", 0.10, 0},    {"gold", 0.05, 0},    {"black", 0, 250},
                                  {"brown", 0.01, 100},   {"red", 0.02, 50},    {"orange", 0.0005, 15},
                                  {"yellow", 0.0002, 25}, {"green", 0.005, 20}, {"blue", 0.0025, 10},
                                  {"violet", 0.001, 5},   {"grey", 0.0001, 1},  {"white", 0, 0}};
    for (const auto& [colour, fraction, coefficient] : columns) {
        const auto four = read_bands(std::string("red violet black ") + colour);
        EXPECT_EQ(four ? four->tolerance : 0, fraction) << colour;
        const auto six = read_bands(std::string("red violet black black brown ") + colour);
        EXPECT_EQ(six ? six->temperature_coefficient.value_or(0) : 0, coefficient) << colour;
    }
}

// Two-letter colours, and letters for tolerances.
// Source: IEC 60757; codes for designation of colours; from memory
// Source: IEC 60062:2016; tolerance letters; from memory
TEST(MarkingCodes, ColourCodesAndToleranceLetters) {
    struct Row {
        const char* name;
        const char* code;
        char letter;  // ' ' for none
    };
    constexpr Row rows[] = {{"black", "BK", ' '},  {"brown", "BN", 'F'},  {"red", "RD", 'G'},
                            {"orange", "OG", 'W'}, {"yellow", "YE", 'P'}, {"green", "GN", 'D'},
                            {"blue", "BU", 'C'},   {"violet", "VT", 'B'}, {"grey", "GY", 'L'},
                            {"white", "WH", ' '},  {"gold", "GD", 'J'},   {"silver", "SR", 'K'},
                            {"pink", "PK", ' '}};
    ASSERT_EQ(band_colours().size(), std::size(rows));
    for (std::size_t i = 0; i < std::size(rows); ++i) {
        EXPECT_EQ(band_colours()[i].name, rows[i].name);
        EXPECT_EQ(band_colours()[i].code, rows[i].code);
        EXPECT_EQ(band_colours()[i].tolerance_letter.value_or(' '), rows[i].letter) << rows[i].name;
    }
}

}  // namespace
}  // namespace voltsill
