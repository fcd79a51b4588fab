// The catalogue against the printed sheets: thresholds, output levels, ratings and pin numbers,
// copied from the documents named beside them, and laws that hold for every part.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "parts/catalogue.h"
#include "published/known.h"
#include "records/problem.h"

namespace voltsill {
namespace {

const PartType& type(const char* name) {
    const PartType* found = Catalogue::built_in().find(name);
    if (!found) throw std::runtime_error(std::string("no part ") + name);
    return *found;
}

const Pin& pin(const char* part, const char* name) {
    const PartType& t = type(part);
    return t.pins.at(t.pin_index(name));
}

// Law: every part file reads without a problem.
TEST(CatalogueLimits, FilesHaveNoProblems) {
    Problems problems;
    const Catalogue catalogue = Catalogue::read_built_in(problems);
    for (const Problem& p : problems) ADD_FAILURE() << render(p);
    EXPECT_GT(catalogue.types().size(), 150u);
}

struct Threshold {
    const char *part, *pin;
    double supply, vil, vih;
    const char* source;
    Known known;
};
const Threshold printed_thresholds[] = {
    {"HC 245", "A1", 2.0, 0.5, 1.5, "SCHS119B", Known::read},
    {"HC 245", "DIR", 4.5, 1.35, 3.15, "SCHS119B", Known::read},
    {"HC 541", "A1", 6.0, 1.8, 4.2, "SCHS119B", Known::read},
    {"HCT 245", "A1", 4.5, 0.8, 2.0, "SCHS119B", Known::read},
    {"HCT 125", "1A", 5.5, 0.8, 2.0, "DS35336 r3", Known::read},
    {"HCT 14", "1A", 4.5, 0.5, 1.9, "SCLS225G, VT- min and VT+ max", Known::read},
    {"HCT 14", "1A", 5.5, 0.6, 2.1, "SCLS225G, VT- min and VT+ max", Known::read},
    {"AC 08", "1A", 3.0, 0.9, 2.1, "SCHS367C", Known::read},
    {"AC 08", "1A", 4.5, 1.35, 3.15, "SCHS367C; 1.15 in SCAS536E is a misprint", Known::read},
    {"AC 08", "1A", 5.5, 1.65, 3.85, "SCHS367C", Known::read},
    {"ACT 00", "1A", 5.0, 0.8, 2.0, "SCAS526D", Known::read},
    {"AHC 125", "1A", 2.0, 0.5, 1.5, "data sheet 74AHC125", Known::read},
    {"AHC 125", "1A", 3.0, 0.9, 2.1, "data sheet 74AHC125", Known::read},
    {"AHC 1G04", "A", 5.5, 1.65, 3.85, "SCLS318S", Known::read},
    {"AHCT 125", "/1OE", 4.5, 0.8, 2.0, "data sheet 74AHCT125 Rev 7", Known::read},
    {"LVC 1G125", "A", 1.8, 0.63, 1.17, "SCES223T, 0.35 and 0.65 VCC", Known::read},
    {"LVC 1G125", "A", 2.5, 0.7, 1.7, "SCES223T", Known::read},
    {"LVC 1G07", "A", 3.3, 0.8, 2.0, "SCES296AC", Known::read},
    {"LVC 1G125", "A", 5.0, 1.5, 3.5, "SCES223T, 0.3 and 0.7 VCC", Known::read},
    {"LVC 1G17", "A", 3.0, 0.8, 2.0, "SCES381N, VT- min and VT+ max", Known::read},
    {"LVC 1G17", "A", 5.5, 1.4, 3.7, "SCES381N, VT- min and VT+ max", Known::read},
    {"LVC 8T245", "A1", 3.3, 0.8, 2.0, "SCES584B", Known::read},
    {"LVC 8T245", "B1", 5.0, 1.5, 3.5, "SCES584B", Known::read},
    {"LV1T 1G08", "A", 3.3, 0.65, 1.37, "SCLS739E section 5.5, 125 degrees column", Known::read},
    {"LV1T 1G08", "A", 5.0, 0.8, 2.03, "SCLS739E section 5.5, 125 degrees column", Known::read},
    {"AUP 1G08", "A", 2.5, 0.7, 1.6, "SCES502Q", Known::read},
    {"AUP 1G08", "A", 3.3, 0.9, 2.0, "SCES502Q", Known::read},
    {"AVC 8T245", "A1", 1.8, 0.63, 1.17, "SCES576G", Known::read},
    {"4000B 4050", "1A", 5.0, 1.5, 3.5, "data sheet CD4049UBC/CD4050BC", Known::read},
    {"4000B 4050", "1A", 10.0, 3.0, 7.0, "data sheet CD4049UBC/CD4050BC", Known::read},
    {"4000B 4049", "1A", 5.0, 1.0, 4.0, "data sheet CD4049UBC/CD4050BC", Known::read},
    {"LS 07", "1A", 5.0, 0.8, 2.0, "SDLS021D", Known::read},
    {"controller-3v3-tolerant", "D0", 3.3, 1.166, 1.546,
     "DocID14611 r10 table 46: 0.32 (VDD - 2) + 0.75 and 0.42 (VDD - 2) + 1", Known::read},
    {"character-display-i2c-5v", "SDA", 5.0, 1.5, 3.5, "UM10204 Rev 7.0 table 10", Known::read},
};

// VIL and VIH at a supply voltage.
// Source: rows; recommended operating conditions, of Schmitt inputs electrical characteristics
TEST(CatalogueLimits, InputThresholdsAreAsPrinted) {
    for (const Threshold& t : printed_thresholds) {
        SCOPED_TRACE(std::string(t.part) + ' ' + t.pin + ": " + t.source);
        const auto limits = thresholds_at(pin(t.part, t.pin), Volts{t.supply});
        ASSERT_TRUE(limits.has_value());
        EXPECT_NEAR(limits->low.at(Volts{t.supply}).si(), t.vil, 1e-9);
        EXPECT_NEAR(limits->high.at(Volts{t.supply}).si(), t.vih, 1e-9);
        EXPECT_TRUE(limits->exact);
    }
}

struct OutputLevel {
    const char *part, *pin;
    double supply;
    bool high;
    double milliamps, volts;
    const char* source;
    Known known;
};
const OutputLevel printed_levels[] = {
    {"HC 08", "1Y", 4.5, true, 4, 3.84, "SCHS119B, 85 degrees column", Known::read},
    {"HC 541", "Y1", 4.5, true, 6, 3.84, "SCLS041I", Known::read},
    {"HC 541", "Y1", 6.0, false, 7.8, 0.33, "SCLS041I", Known::read},
    {"HC 08", "1Y", 2.0, true, 0.02, 1.9, "SCHS119B", Known::read},
    {"HCT 245", "B1", 4.5, true, 6, 3.84, "SCLS020H", Known::read},
    {"HCT 125", "1Y", 4.5, false, 4, 0.33, "DS35336 r3", Known::read},
    {"AC 08", "1Y", 3.0, true, 12, 2.46, "SCAS536F, 85 degrees column", Known::read},
    {"AC 08", "1Y", 5.5, true, 24, 4.76, "SCAS536F, 85 degrees column", Known::read},
    {"AHC 125", "1Y", 3.0, true, 4, 2.48, "data sheet 74AHC125, 85 degrees column", Known::read},
    {"AHCT 125", "1Y", 4.5, true, 8, 3.8, "data sheet 74AHCT125, 85 degrees column", Known::read},
    {"AHCT 125", "1Y", 4.5, false, 8, 0.44, "data sheet 74AHCT125, 85 degrees column", Known::read},
    {"LVC 1G125", "Y", 1.65, true, 4, 1.2, "SCES223T", Known::read},
    {"LVC 1G125", "Y", 2.3, true, 8, 1.9, "SCES223T", Known::read},
    {"LVC 1G125", "Y", 3.0, true, 16, 2.4, "SCES223T", Known::read},
    {"LVC 1G125", "Y", 3.0, true, 24, 2.3, "SCES223T", Known::read},
    {"LVC 1G125", "Y", 4.5, true, 32, 3.8, "SCES223T", Known::read},
    {"LVC 1G07", "Y", 3.0, false, 24, 0.55, "SCES296AC", Known::read},
    {"LVC 8T245", "B1", 4.5, true, 32, 3.8, "SCES584B", Known::read},
    {"LV1T 1G08", "Y", 3.3, true, 5.5, 2.8, "SCLS739E", Known::read},
    {"LS 04", "1Y", 4.75, true, 0.4, 2.7, "SDLS029", Known::read},
    {"LS 04", "1Y", 4.75, false, 8, 0.5, "SDLS029", Known::read},
    {"4000B 4050", "1Y", 5.0, false, 3.3, 0.4, "SCHS046L: two TTL loads", Known::read},
};

/// VOH or VOL at a load current, from the curve of losses.
double level_at(const Pin& p, bool high, double supply, double amps) {
    const auto curve = drive_curve(p, high, Volts{supply});
    EXPECT_TRUE(curve.has_value());
    if (!curve) return NAN;
    for (const DrivePoint& point : curve->points)
        if (std::abs(point.current.si() - amps) < 1e-9)
            return high ? supply - point.drop.si() : point.drop.si();
    ADD_FAILURE() << "no point at that current";
    return NAN;
}

// VOH and VOL at a load current.
// Source: rows; electrical characteristics
TEST(CatalogueLimits, OutputLevelsAreAsPrinted) {
    for (const OutputLevel& o : printed_levels) {
        SCOPED_TRACE(std::string(o.part) + ' ' + o.pin + ": " + o.source);
        EXPECT_NEAR(level_at(pin(o.part, o.pin), o.high, o.supply, o.milliamps * 1e-3), o.volts, 1e-9);
    }
}

struct Rating {
    const char *part, *pin;
    double supply, most;
    bool clamp_to_supply;
    const char* source;
    Known known;
};
const Rating printed_ratings[] = {
    {"HC 541", "A1", 3.3, 3.8, true, "SCHS119B: 0.5 V beyond the supply", Known::read},
    {"HC 541", "A1", 0.0, 0.5, true, "SCHS119B: 0.5 V beyond the supply", Known::read},
    {"HCT 541", "A1", 0.0, 0.5, true, "SCLS020H", Known::read},
    {"AHCT 125", "1A", 0.0, 7.0, false, "data sheet 74AHCT125", Known::read},
    {"AHCT 125", "1Y", 5.0, 5.5, true, "data sheet 74AHCT125", Known::read},
    {"LVC 1G125", "A", 0.0, 6.5, false, "SCES223T", Known::read},
    {"LVC 1G07", "Y", 3.3, 6.5, false, "SCES296AC", Known::read},
    {"LVC 8T245", "A1", 3.3, 6.5, false, "SCES584B", Known::read},
    {"AUP 1G08", "A", 3.3, 4.6, false, "SCES502Q", Known::read},
    {"4000B 4050", "1A", 3.3, 18.0, false, "data sheet CD4049UBC/CD4050BC", Known::read},
    {"LS 07", "1Y", 5.0, 30.0, false, "SDLS021D", Known::read},
    {"controller-3v3-tolerant", "D0", 0.0, 4.0, false, "DocID14611 r10, table 7: VDD + 4.0", Known::read},
};

// What a pin bears at a supply: the difference between a down-shifter and a back-fed rail.
// Source: rows; absolute maximum ratings
TEST(CatalogueLimits, RatingsAreAsPrinted) {
    for (const Rating& r : printed_ratings) {
        SCOPED_TRACE(std::string(r.part) + ' ' + r.pin + ": " + r.source);
        const Pin& p = pin(r.part, r.pin);
        ASSERT_TRUE(p.max.has_value());
        const Level most = r.supply == 0.0 && p.max_unpowered ? *p.max_unpowered : *p.max;
        EXPECT_NEAR(most.at(Volts{r.supply}).si(), r.most, 1e-9);
        EXPECT_EQ(p.clamp_to_supply, r.clamp_to_supply);
        EXPECT_TRUE(p.clamp_to_ground);
    }
}

struct PinNumber {
    const char *part, *package, *pin;
    int number;
    const char* source;
    Known known;
};
const PinNumber printed_numbers[] = {
    {"HCT 245", "DIP-20", "DIR", 1, "SCLS020H", Known::read},
    {"HCT 245", "DIP-20", "A8", 9, "SCLS020H", Known::read},
    {"HCT 245", "DIP-20", "B8", 11, "SCLS020H", Known::read},
    {"HCT 245", "DIP-20", "/OE", 19, "SCLS020H", Known::read},
    {"HCT 541", "DIP-20", "Y1", 18, "SCLS007D", Known::read},
    {"HCT 541", "DIP-20", "/OE2", 19, "SCLS007D", Known::read},
    {"AHC 125", "DIP-14", "/3OE", 10, "data sheet 74AHC125", Known::read},
    {"AHC 125", "DIP-14", "3Y", 8, "data sheet 74AHC125", Known::read},
    {"HC 4050", "DIP-16", "VDD", 1, "data sheet CD4050", Known::read},
    {"HC 4050", "DIP-16", "6A", 14, "data sheet CD4050", Known::read},
    {"LVC 8T245", "TSSOP-24", "B1", 21, "SCES584B", Known::read},
    {"LVC 8T245", "TSSOP-24", "/OE", 22, "SCES584B", Known::read},
    {"LVC 2T45", "VSSOP-8", "B1", 7, "SCES516I", Known::read},
    {"LVC 1G125", "SOT-23-5", "Y", 4, "SCES223T", Known::read},
    {"HC 595", "DIP-16", "QA", 15, "SCLS041I", Known::read},
    {"HC 595", "DIP-16", "QH'", 9, "SCLS041I", Known::read},
    {"HCT 244", "DIP-20", "1Y1", 18, "data sheet 74HC244, as quoted by two tables", Known::memory},
    {"HCT 244", "DIP-20", "2A4", 17, "data sheet 74HC244, as quoted by two tables", Known::memory},
    {"HCT 244", "DIP-20", "2Y4", 3, "data sheet 74HC244, as quoted by two tables", Known::memory},
    {"HCT 14", "DIP-14", "6Y", 12, "SCLS225G", Known::read},
    {"HCT 08", "DIP-14", "3Y", 8, "SDLS033", Known::read},
    {"four-bit auto-direction push-pull translator", "TSSOP-14", "OE", 8, "SCES650E", Known::read},
    {"four-bit auto-direction push-pull translator", "TSSOP-14", "B1", 13, "SCES650E", Known::read},
};

// Numbers of single pins that are easily confused.
// Source: rows; pin configuration
TEST(CatalogueLimits, PinNumbersAreAsPrinted) {
    for (const PinNumber& n : printed_numbers) {
        SCOPED_TRACE(std::string(n.part) + ' ' + n.package + ' ' + n.pin + ": " + n.source);
        const Package* package = Catalogue::package_in(type(n.part), std::string(n.part) + ' ' + n.package);
        ASSERT_NE(package, nullptr);
        EXPECT_EQ(package->name, n.package);
        EXPECT_EQ(package->pin_of_number.at(n.number - 1), type(n.part).pin_index(n.pin));
    }
}

// Compatibility of interface levels as data books chart it: unloaded outputs at their lowest supply
// against inputs at the highest.
// Source: SDYU001; chart of switching levels; from memory
TEST(CatalogueLimits, TtlThresholdsTakeLogicOf3V3AndCmosThresholdsDoNot) {
    const double high =
        3.0 - drive_curve(pin("LVC 541", "Y1"), true, Volts{3.0})->points.at(1).drop.si();  // 0.1 mA
    const auto vih = [](const char* part, const char* input, double supply) {
        return thresholds_at(pin(part, input), Volts{supply})->high.at(Volts{supply}).si();
    };
    EXPECT_NEAR(high - vih("HCT 541", "A1", 5.5), 0.8, 1e-9);
    EXPECT_NEAR(high - vih("HC 541", "A1", 5.5), -1.05, 1e-9);
    EXPECT_LT(high, vih("AHC 541", "A1", 4.75));
    EXPECT_LT(high, vih("led-strip-5v", "DIN", 4.75));
}

// Laws for every part ----------------------------------------------------------------------------

template <class F>
void for_every_pin(F look) {
    for (const auto& t : Catalogue::built_in().types())
        for (const Pin& p : t->pins) {
            SCOPED_TRACE(t->name + ' ' + p.name);
            look(*t, p);
        }
}

// Law: no figure without a source.
TEST(CatalogueLaws, EveryFigureHasASource) {
    const auto sourced = [](const Provenance& o) {
        return o.certainty == Certainty::unknown || !o.source.empty();
    };
    for_every_pin([&](const PartType&, const Pin& p) {
        for (const ThresholdRow& row : p.thresholds) EXPECT_TRUE(sourced(row.origin));
        for (const auto* rows : {&p.high, &p.low})
            for (const DriveRow& row : *rows) EXPECT_TRUE(sourced(row.origin));
        if (!p.max) return;
        EXPECT_NE(p.limits_origin.certainty, Certainty::unknown);
        EXPECT_TRUE(sourced(p.limits_origin));
    });
    for (const auto& t : Catalogue::built_in().types()) EXPECT_FALSE(t->origin.source.empty()) << t->name;
}

// Law: thresholds lie within the supply, low below high.
TEST(CatalogueLaws, ThresholdsLieWithinTheSupplyAndDoNotCross) {
    for_every_pin([](const PartType& t, const Pin& p) {
        if (p.thresholds.empty() || p.supply < 0) return;
        const Span<Volts>& range = t.supplies[p.supply].range;
        for (int step = 0; step <= 20; ++step) {
            const Volts supply = range.lo + (range.hi - range.lo) * (step / 20.0);
            const auto limits = thresholds_at(p, supply);
            ASSERT_TRUE(limits.has_value());
            EXPECT_LE(limits->low.at(supply), limits->high.at(supply));
            EXPECT_LE(limits->high.at(supply), supply + Volts{1e-9});
        }
    });
}

// Law: what a family drives, it reads.
TEST(CatalogueLaws, OutputsOfAFamilyAreReadByItsOwnInputs) {
    for (const auto& t : Catalogue::built_in().types()) {
        if (t->family.empty() || t->function == "4049" || t->function == "4050") continue;
        for (const Channel& c : t->channels) {
            const Pin &in = t->pins[c.inputs[0]], &out = t->pins[c.output];
            if (out.high.empty() || c.logic == ChannelLogic::transceiver) continue;
            const Volts supply = t->supplies[0].range.nominal;
            SCOPED_TRACE(t->name + " at " + std::to_string(supply.si()) + " V");
            const auto limits = thresholds_at(in, supply);
            const auto high = drive_curve(out, true, supply), low = drive_curve(out, false, supply);
            ASSERT_TRUE(limits && high && low);
            EXPECT_GT(supply - high->points.at(1).drop, limits->high.at(supply));
            EXPECT_LT(low->points.at(1).drop, limits->low.at(supply));
        }
    }
}

// Law: what is recommended is allowed.
TEST(CatalogueLaws, RecommendedRangeLiesWithinTheRatings) {
    for_every_pin([](const PartType& t, const Pin& p) {
        if (!p.range_max || !p.max || p.supply < 0) return;
        for (const Volts supply : {t.supplies[p.supply].range.lo, t.supplies[p.supply].range.hi})
            EXPECT_LE(p.range_max->at(supply), p.max->at(supply));
    });
    for (const auto& t : Catalogue::built_in().types())
        for (const SupplyPort& s : t->supplies)
            if (s.max > Volts{}) {
                EXPECT_LE(s.range.hi, s.max) << t->name;
            }
}

}  // namespace
}  // namespace voltsill
