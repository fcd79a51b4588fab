/// Supply, threshold, edge and drive limits of the logic families, and the interface levels of
/// JEDEC, against published figures typed here a second time. `read`: the document was at hand;
/// `memory`: it was not. Limits are those of the -40..85 °C column.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>

#include "parts/catalogue.h"
#include "published/known.h"

namespace voltsill {
namespace {

constexpr double exact = 1e-9;

/// What claims as much as a sheet says whether it was entered from memory.
bool agrees(const Provenance& origin, Known known) {
    return origin.certainty > Certainty::measured || origin.from_memory == (known == Known::memory);
}

const PartType& part(const std::string& name) {
    const PartType* type = Catalogue::built_in().find(name);
    if (!type) throw std::out_of_range("no part " + name);
    return *type;
}
const Pin& input_of(const PartType& type) { return type.pins[type.channels.at(0).inputs.at(0)]; }
const Pin& output_of(const PartType& type) { return type.pins[type.channels.at(0).output]; }

// Supplies
// ----------------------------------------------------------------------------------------------------

struct SupplyLimit {
    const char* part;
    double lo, hi, absolute_maximum;
    const char* source;
    Known known, top;  ///< of the range, of the absolute maximum
};
constexpr SupplyLimit supplies[] = {
    {"HC 245", 2, 6, 7, "SCHS119B 5.1, 5.3", Known::read, Known::read},
    {"HCT 245", 4.5, 5.5, 7, "SCHS119B 5.1, 5.3; SCLS020H", Known::read, Known::read},
    {"AC 08", 2, 6, 7, "SCAS536E", Known::read, Known::memory},
    {"ACT 240", 4.5, 5.5, 7, "SCAS515G", Known::read, Known::memory},
    {"AHC 125", 2, 5.5, 7, "data sheet 74AHC125 Rev 7", Known::read, Known::read},
    {"AHCT 125", 4.5, 5.5, 7, "data sheet 74AHCT125 Rev 7", Known::read, Known::read},
    {"LVC 1G125", 1.65, 5.5, 6.5, "SCES223T", Known::read, Known::read},
    {"LVC 245", 1.65, 3.6, 6.5, "74LVC245A", Known::memory, Known::memory},
    {"LV1T 1G08", 1.65, 5.5, 7, "SCLS739E; 1.6 V also appears", Known::read, Known::memory},
    {"AUP 1G08", 0.8, 3.6, 4.6, "SCES502Q", Known::read, Known::memory},
    {"LVT 125", 2.7, 3.6, 4.6, "SCBS703", Known::memory, Known::memory},
    {"LV-A 125", 2, 5.5, 7, "SCES124", Known::memory, Known::memory},
    {"4000B 4050", 3, 15, 18, "data sheet CD4049UBC/CD4050BC", Known::read, Known::read},
    {"LVC 8T245", 1.65, 5.5, 6.5, "SCES584B, both supplies", Known::read, Known::read},
    {"AVC 2T45", 1.2, 3.6, 4.6, "SCES576G, both supplies", Known::read, Known::read},
};

// Operating range and absolute maximum of the supply.
// Source: rows; recommended operating conditions
// Source: SCHS119B, SCES223T, SCES584B, SCES576G; absolute maximum ratings; read
// Source: data sheets 74AHC125 Rev 7, CD4049UBC/CD4050BC; absolute maximum ratings; read
// Source: SCAS536E, SCAS515G, SCLS739E, SCES502Q; absolute maximum ratings; from memory
// Source: SCBS703, SCES124, data sheet 74LVC245A; absolute maximum ratings; from memory
TEST(PublishedFamilies, Supplies) {
    for (const SupplyLimit& s : supplies)
        for (const SupplyPort& port : part(s.part).supplies) {
            EXPECT_NEAR(port.range.lo.si(), s.lo, exact) << s.part << ", " << s.source;
            EXPECT_NEAR(port.range.hi.si(), s.hi, exact) << s.part << ", " << s.source;
            EXPECT_NEAR(port.max.si(), s.absolute_maximum, exact) << s.part << ", " << s.source;
            EXPECT_TRUE(agrees(port.origin, s.known)) << s.part;
            EXPECT_TRUE(agrees(port.max_origin, s.top)) << s.part;
        }
}

// Thresholds
// --------------------------------------------------------------------------------------------------

struct FamilyThreshold {
    const char* part;
    double supply, vil, vih;
    const char* source;
    Known known;
};
constexpr FamilyThreshold thresholds[] = {
    {"HC 245", 2.0, 0.5, 1.5, "SCHS119B 5.3", Known::read},
    {"HC 245", 4.5, 1.35, 3.15, "SCHS119B 5.3", Known::read},
    {"HC 245", 6.0, 1.8, 4.2, "SCHS119B 5.3", Known::read},
    {"HCT 245", 4.5, 0.8, 2.0, "SCLS020H", Known::read},
    {"HCT 245", 5.5, 0.8, 2.0, "SCLS020H", Known::read},
    // SCAS536E prints 1.15 V and 1.85 V for VIH at 4.5 V and 5.5 V: a misprint, see the sister sheets.
    {"AC 08", 3.0, 0.9, 2.1, "SCHS367C", Known::read},
    {"AC 08", 4.5, 1.35, 3.15, "SCHS367C", Known::read},
    {"AC 08", 5.5, 1.65, 3.85, "SCHS367C", Known::read},
    {"ACT 240", 5.0, 0.8, 2.0, "SCAS515G", Known::read},
    {"AHC 125", 2.0, 0.5, 1.5, "data sheet 74AHC125 Rev 7", Known::read},
    {"AHC 125", 3.0, 0.9, 2.1, "data sheet 74AHC125 Rev 7", Known::read},
    {"AHC 125", 5.5, 1.65, 3.85, "data sheet 74AHC125 Rev 7", Known::read},
    {"AHCT 125", 5.0, 0.8, 2.0, "data sheet 74AHCT125 Rev 7", Known::read},
    {"LVC 1G125", 1.65, 0.35 * 1.65, 0.65 * 1.65, "SCES223T", Known::read},
    {"LVC 1G125", 1.8, 0.35 * 1.8, 0.65 * 1.8, "SCES223T", Known::read},
    {"LVC 1G125", 2.5, 0.7, 1.7, "SCES223T", Known::read},
    {"LVC 1G125", 3.3, 0.8, 2.0, "SCES223T", Known::read},
    {"LVC 1G125", 5.0, 1.5, 3.5, "SCES223T", Known::read},
    {"LVC 8T245", 1.8, 0.35 * 1.8, 0.65 * 1.8, "SCES584B", Known::read},
    {"LVC 8T245", 3.3, 0.8, 2.0, "SCES584B", Known::read},
    {"LVC 8T245", 5.0, 1.5, 3.5, "SCES584B", Known::read},
    {"LV1T 1G08", 1.8, 0.55, 1.0, "SCLS739E 5.5, 125 °C", Known::read},
    {"LV1T 1G08", 2.0, 0.55, 1.03, "SCLS739E 5.5, 125 °C", Known::read},
    {"LV1T 1G08", 2.5, 0.71, 1.18, "SCLS739E 5.5, 125 °C", Known::read},
    {"LV1T 1G08", 3.3, 0.65, 1.37, "SCLS739E 5.5, 125 °C", Known::read},
    {"LV1T 1G08", 5.0, 0.8, 2.03, "SCLS739E 5.5, 125 °C", Known::read},
    {"LV1T 1G08", 5.5, 0.8, 2.11, "SCLS739E 5.5, 125 °C", Known::read},
    {"AUP 1G08", 0.8, 0.0, 0.8, "SCES502Q", Known::read},
    {"AUP 1G08", 1.8, 0.35 * 1.8, 0.65 * 1.8, "SCES502Q", Known::read},
    {"AUP 1G08", 2.5, 0.7, 1.6, "SCES502Q", Known::read},
    {"AUP 1G08", 3.3, 0.9, 2.0, "SCES502Q", Known::read},
    {"AVC 8T245", 1.8, 0.35 * 1.8, 0.65 * 1.8, "SCES576G", Known::read},
    {"AVC 8T245", 2.5, 0.7, 1.6, "SCES576G", Known::read},
    {"AVC 8T245", 3.3, 0.8, 2.0, "SCES576G", Known::read},
    {"LVT 125", 3.3, 0.8, 2.0, "SCBS703", Known::memory},
    {"LV-A 125", 2.0, 0.5, 1.5, "SCES124", Known::memory},
    {"LV-A 125", 5.0, 1.5, 3.5, "SCES124", Known::memory},
    {"4000B 4050", 5, 1.5, 3.5, "data sheet CD4049UBC/CD4050BC", Known::read},
    {"4000B 4050", 10, 3, 7, "data sheet CD4049UBC/CD4050BC", Known::read},
    {"4000B 4050", 15, 4, 11, "data sheet CD4049UBC/CD4050BC", Known::read},
    {"4000B 4049", 5, 1, 4, "data sheet CD4049UBC/CD4050BC", Known::read},
    {"4000B 4049", 10, 2, 8, "data sheet CD4049UBC/CD4050BC", Known::memory},
    {"4000B 4049", 15, 3, 12, "data sheet CD4049UBC/CD4050BC", Known::memory},
    {"LS 04", 5.0, 0.8, 2.0, "SDLS029", Known::read},
    // Schmitt: the lowest VT- and the highest VT+.
    {"HCT 14", 4.5, 0.5, 1.9, "SCLS225G", Known::read},
    {"HCT 14", 5.5, 0.6, 2.1, "SCLS225G", Known::read},
    {"LVC 1G17", 1.65, 0.3, 1.4, "SCES381N (2G17)", Known::read},
    {"LVC 1G17", 2.3, 0.4, 1.7, "SCES381N (2G17)", Known::read},
    {"LVC 1G17", 3.0, 0.8, 2.0, "SCES381N (2G17)", Known::read},
    {"LVC 1G17", 4.5, 1.1, 3.1, "SCES381N (2G17)", Known::read},
    {"LVC 1G17", 5.5, 1.4, 3.7, "SCES381N (2G17)", Known::read},
};

// VIL and VIH, and of Schmitt inputs the lowest VT- and the highest VT+.
// Source: rows; recommended operating conditions, of Schmitt inputs electrical characteristics
TEST(PublishedFamilies, Thresholds) {
    for (const FamilyThreshold& t : thresholds) {
        const std::string what = fmt::format("{} at {} V, {}", t.part, t.supply, t.source);
        const auto limits = thresholds_at(input_of(part(t.part)), Volts(t.supply));
        ASSERT_TRUE(limits) << what;
        EXPECT_TRUE(limits->exact) << what;
        EXPECT_TRUE(agrees(limits->origin, t.known)) << what;
        EXPECT_NEAR(limits->low.at(Volts(t.supply)).si(), t.vil, exact) << what;
        EXPECT_NEAR(limits->high.at(Volts(t.supply)).si(), t.vih, exact) << what;
    }
}

// Drive
// -------------------------------------------------------------------------------------------------------

struct Drive {
    const char* part;
    bool high;
    double supply, milliamps, level;
    const char* source;
    Known known;
};
constexpr Drive drives[] = {
    {"HC 00", true, 2.0, 0.02, 1.9, "SCHS119B 5.5", Known::read},
    {"HC 00", true, 4.5, 0.02, 4.4, "SCHS119B 5.5", Known::read},
    {"HC 00", true, 6.0, 0.02, 5.9, "SCHS119B 5.5", Known::read},
    {"HC 00", true, 4.5, 4, 3.84, "SCHS119B 5.5", Known::read},
    {"HC 00", true, 6.0, 5.2, 5.34, "SCLS041I", Known::read},
    {"HC 00", false, 4.5, 0.02, 0.1, "SCHS119B 5.5", Known::read},
    {"HC 00", false, 4.5, 4, 0.33, "SCHS119B 5.5", Known::read},
    {"HC 00", false, 6.0, 5.2, 0.33, "SCHS119B 5.5", Known::read},
    {"HC 245", true, 4.5, 6, 3.84, "SCHS119B 5.5, bus driver", Known::read},
    {"HC 245", true, 6.0, 7.8, 5.34, "SCHS119B 5.5, bus driver", Known::read},
    {"HC 245", false, 4.5, 6, 0.33, "SCHS119B 5.5, bus driver", Known::read},
    {"HCT 245", true, 4.5, 6, 3.84, "SCLS020H", Known::read},
    {"HCT 245", false, 4.5, 6, 0.33, "SCLS020H", Known::read},
    {"HCT 125", true, 4.5, 4, 3.84, "DS35336 r3", Known::read},
    {"HCT 125", false, 4.5, 4, 0.33, "DS35336 r3", Known::read},
    {"AC 08", true, 3.0, 0.05, 2.9, "SCAS536F", Known::read},
    {"AC 08", true, 3.0, 12, 2.46, "SCAS536F", Known::read},
    {"AC 08", true, 4.5, 24, 3.76, "SCAS536F", Known::read},
    {"AC 08", true, 5.5, 24, 4.76, "SCAS536F", Known::read},
    {"AC 08", false, 4.5, 24, 0.44, "SCAS718A", Known::memory},
    {"AHC 125", true, 2.0, 0.05, 1.9, "data sheet 74AHC125 Rev 7", Known::read},
    {"AHC 125", true, 3.0, 4, 2.48, "data sheet 74AHC125 Rev 7", Known::read},
    {"AHC 125", true, 4.5, 8, 3.8, "data sheet 74AHC125 Rev 7", Known::read},
    {"AHC 125", false, 3.0, 4, 0.44, "data sheet 74AHC125 Rev 7", Known::read},
    {"AHCT 125", true, 4.5, 8, 3.8, "data sheet 74AHCT125 Rev 7", Known::read},
    {"AHCT 125", false, 4.5, 8, 0.44, "data sheet 74AHCT125 Rev 7", Known::read},
    {"LVC 1G125", true, 3.0, 0.1, 2.9, "SCES223T", Known::read},
    {"LVC 1G125", true, 1.65, 4, 1.2, "SCES223T", Known::read},
    {"LVC 1G125", true, 2.3, 8, 1.9, "SCES223T", Known::read},
    {"LVC 1G125", true, 3.0, 16, 2.4, "SCES223T", Known::read},
    {"LVC 1G125", true, 3.0, 24, 2.3, "SCES223T", Known::read},
    {"LVC 1G125", true, 4.5, 32, 3.8, "SCES223T", Known::read},
    {"LVC 1G07", false, 1.65, 4, 0.45, "SCES296AC", Known::read},
    {"LVC 1G07", false, 2.3, 8, 0.3, "SCES296AC", Known::read},
    {"LVC 1G07", false, 3.0, 16, 0.4, "SCES296AC", Known::read},
    {"LVC 1G07", false, 3.0, 24, 0.55, "SCES296AC", Known::read},
    {"LVC 1G07", false, 4.5, 32, 0.55, "SCES296AC", Known::read},
    {"LVC 8T245", true, 1.65, 4, 1.2, "SCES584B", Known::read},
    {"LVC 8T245", true, 2.3, 8, 1.9, "SCES584B", Known::read},
    {"LVC 8T245", true, 4.5, 32, 3.8, "SCES584B", Known::read},
    {"LVC 8T245", false, 3.0, 24, 0.55, "SCES584B", Known::read},
    {"LV1T 1G08", true, 1.65, 2, 1.21, "SCLS739E", Known::read},
    {"LV1T 1G08", true, 2.5, 3, 2.15, "SCLS739E", Known::read},
    {"LV1T 1G08", true, 3.3, 5.5, 2.8, "SCLS739E", Known::read},
    {"LV1T 1G08", true, 4.5, 8, 3.95, "SCLS739E", Known::read},
    {"LV1T 1G08", true, 5.0, 8, 4.5, "SCLS739E", Known::read},
    {"LVT 125", true, 2.7, 8, 2.4, "SCBS703", Known::memory},
    {"LVT 125", true, 3.0, 32, 2.0, "SCBS703", Known::memory},
    {"LVT 125", false, 3.0, 64, 0.55, "SCBS703", Known::memory},
    {"4000B 4050", false, 5.0, 3.3, 0.4, "SCHS046L, two TTL loads", Known::read},
    {"LS 04", true, 5.0, 0.4, 2.7, "SDLS029", Known::read},
    {"LS 04", false, 5.0, 4, 0.4, "SDLS029", Known::read},
    {"LS 04", false, 5.0, 8, 0.5, "SDLS029", Known::read},
};

double level_of(const Pin& pin, bool high, double supply, double amps) {
    const auto curve = drive_curve(pin, high, Volts(supply));
    if (!curve) return -1;
    for (std::size_t i = 1; i < curve->points.size(); ++i) {
        const DrivePoint &a = curve->points[i - 1], &b = curve->points[i];
        if (b.current.si() < amps - 1e-12) continue;
        const double drop = a.drop.si() + (b.drop - a.drop).si() * (amps - a.current.si()) /
                                              (b.current.si() - a.current.si());
        return high ? supply - drop : drop;
    }
    return -1;
}

// VOH and VOL at a load current.
// Source: rows; electrical characteristics
TEST(PublishedFamilies, OutputLevels) {
    for (const Drive& d : drives) {
        const std::string what = fmt::format("{} {} at {} V, {} mA, {}", d.part, d.high ? "VOH" : "VOL",
                                             d.supply, d.milliamps, d.source);
        const Pin& pin = output_of(part(d.part));
        EXPECT_NEAR(level_of(pin, d.high, d.supply, d.milliamps * 1e-3), d.level, exact) << what;
        for (const DriveRow& row : d.high ? pin.high : pin.low)
            if (covers(row.supply, Volts(d.supply)) && std::abs(row.at.si() - d.milliamps * 1e-3) < 1e-9) {
                EXPECT_TRUE(agrees(row.origin, d.known)) << what;
            }
    }
}

// Edges, tolerance, diodes
// ------------------------------------------------------------------------------------

struct Edge {
    const char* part;
    double supply, ns_per_volt;
    const char* source;
    Known known;
};
constexpr Edge edges[] = {
    {"HC 245", 2.0, 1000 / 2.0, "SCHS119B 5.3, total time over the supply", Known::read},
    {"HC 245", 4.5, 500 / 4.5, "SCHS119B 5.3, total time over the supply", Known::read},
    {"HC 245", 6.0, 400 / 6.0, "SCHS119B 5.3, total time over the supply", Known::read},
    {"HCT 245", 5.0, 500 / 5.0, "SCHS119B 5.3, total time over the supply", Known::read},
    {"AC 08", 5.0, 8, "SCAS536E", Known::read},
    {"ACT 240", 5.0, 8, "SCAS515G", Known::read},
    {"AHC 125", 3.3, 100, "data sheet 74AHC125 Rev 7", Known::read},
    {"AHC 125", 5.0, 20, "data sheet 74AHC125 Rev 7", Known::read},
    {"AHCT 125", 5.0, 20, "data sheet 74AHCT125 Rev 7", Known::read},
    {"LVC 1G125", 1.8, 20, "SCES223T", Known::read},
    {"LVC 1G125", 2.5, 20, "SCES223T", Known::read},
    {"LVC 1G125", 3.3, 10, "SCES223T", Known::read},
    {"LVC 1G125", 5.0, 5, "SCES223T", Known::read},
    {"LV1T 1G08", 3.3, 20, "SCLS739E", Known::read},
    {"AUP 1G08", 3.3, 200, "SCES502Q", Known::read},
    {"AVC 8T245", 3.3, 5, "SCES576G", Known::read},
    {"LVT 125", 3.3, 10, "SCBA004, table 1", Known::read},
    {"LV-A 125", 2.5, 200, "SCES124", Known::memory},
    {"LV-A 125", 3.3, 100, "SCES124", Known::memory},
    {"LV-A 125", 5.0, 20, "SCES124", Known::memory},
};

// The slowest edge an input takes.
// Source: rows; recommended operating conditions, input transition rise or fall rate
TEST(PublishedFamilies, EdgesAndTheFreedomOfSchmittInputs) {
    for (const Edge& e : edges) {
        const auto limit = edge_limit_at(input_of(part(e.part)), Volts(e.supply));
        ASSERT_TRUE(limit) << e.part;
        EXPECT_NEAR(limit->per_volt.si() * 1e9, e.ns_per_volt, 1e-6)
            << e.part << " at " << e.supply << ", " << e.source;
        EXPECT_TRUE(agrees(limit->origin, e.known)) << e.part;
    }
    for (const char* name : {"HCT 14", "LVC 1G17", "AHC 14"})
        EXPECT_FALSE(edge_limit_at(input_of(part(name)), Volts(5)));
}

struct Tolerance {
    const char* part;
    double supply, bears;  ///< recommended maximum at an input
    bool diode_to_supply;
    const char* source;
    Known known;
};
constexpr Tolerance tolerances[] = {
    {"HC 245", 4.5, 4.5, true, "SCHS119B 5.3: 0..VCC", Known::read},
    {"HCT 125", 5.0, 5.0, true, "DS35336", Known::read},
    {"AC 08", 3.3, 3.3, true, "SCAS536E: 0..VCC", Known::read},
    {"AHC 125", 3.3, 5.5, false, "data sheet 74AHC125 Rev 7: 0..5.5 V at any supply", Known::read},
    {"AHC 125", 0.0, 5.5, false, "data sheet 74AHC125 Rev 7", Known::read},
    {"LVC 1G125", 1.8, 5.5, false, "SCES223T", Known::read},
    {"LV1T 1G08", 1.8, 5.5, false, "SCLS739E", Known::read},
    {"AUP 1G08", 1.2, 3.6, false, "SCES502Q", Known::read},
    {"AVC 8T245", 1.2, 3.6, false, "SCES576G", Known::read},
    {"LVC 8T245", 1.8, 5.5, false, "SCES584B", Known::read},
    {"LVT 125", 3.3, 5.5, false, "SCBS703", Known::memory},
    {"4000B 4050", 5.0, 15, false, "data sheet CD4049UBC/CD4050BC: above VDD allowed", Known::read},
};

// What inputs bear above their supply.
// Source: rows; recommended operating conditions
TEST(PublishedFamilies, InputsAboveTheirSupply) {
    for (const Tolerance& t : tolerances) {
        const Pin& pin = input_of(part(t.part));
        EXPECT_NEAR(pin.range_max.value_or(Level{}).at(Volts(t.supply)).si(), t.bears, exact)
            << t.part << ", " << t.source;
        EXPECT_EQ(pin.clamp_to_supply, t.diode_to_supply) << t.part << ", " << t.source;
        EXPECT_TRUE(agrees(pin.range_origin, t.known)) << t.part;
    }
    EXPECT_NEAR(output_of(part("LVC 1G07")).range_max->at(Volts(1.8)).si(), 5.5, exact) << "SCES296AC";
    EXPECT_NEAR(output_of(part("LS 07")).max->at(Volts(5)).si(), 30, exact) << "SDLS021D";
}

// Interface levels
// --------------------------------------------------------------------------------------------

struct Interface {
    const char* trait;
    double supply, vil, vih;
    const char* source;
    Known known;
};
constexpr Interface interfaces[] = {
    {"LVTTL input, 3.3 V", 3.3, 0.8, 2.0, "JESD8C.01", Known::memory},
    {"CMOS input, 1.8 V", 1.8, 0.35 * 1.8, 0.65 * 1.8, "JESD8-7A", Known::memory},
    {"CMOS input, 1.8 V", 1.8, 0.35 * 1.8, 0.65 * 1.8, "document 683794, single-ended I/O standards",
     Known::read},
    {"TTL input, 5 V", 5.0, 0.8, 2.0, "SDLS029", Known::read},
    {"CMOS input, 5 V", 5.0, 1.5, 3.5, "JEITA ED-5007 as quoted: 0.3 and 0.7 VCC", Known::memory},
    {"I2C pin", 3.3, 0.99, 2.31, "UM10204 Rev 7.0, table 10: 0.3 and 0.7 VDD", Known::read},
};

const PartType& one_pin(const std::string& trait) {
    static std::vector<Catalogue> kept;
    Problems problems;
    kept.push_back(
        Catalogue::built_in().with_file("[types.t]\nsource = \"test\"\nsupplies.VCC = { range = \"1.7..5.5 V\" }\n"
                                        "pins.X = { like = \"" +
                                            trait + "\" }\n",
                                        "t.toml", problems));
    EXPECT_TRUE(problems.empty()) << trait;
    return *kept.back().find("t");
}

// Input levels of the interface standards.
// Source: rows; input levels
TEST(PublishedInterfaces, InputLevels) {
    for (const Interface& i : interfaces) {
        const PartType& type = one_pin(i.trait);
        const auto limits = thresholds_at(type.pins.at(type.pin_index("X")), Volts(i.supply));
        ASSERT_TRUE(limits && limits->exact) << i.trait;
        EXPECT_TRUE(agrees(limits->origin, i.known)) << i.trait;
        EXPECT_NEAR(limits->low.at(Volts(i.supply)).si(), i.vil, exact) << i.trait << ", " << i.source;
        EXPECT_NEAR(limits->high.at(Volts(i.supply)).si(), i.vih, exact) << i.trait << ", " << i.source;
    }
}

// VOH 2.4 V and VOL 0.4 V at 2 mA and 3.0 V, VDD - 0.2 V at 0.1 mA; VDD - 0.45 V and 0.45 V at 2 mA;
// 0.4 V at 3 mA above 2 V, 0.2 VDD at 2 mA up to 2 V.
// Source: JESD8C.01; output levels, LVTTL and LVCMOS; from memory
// Source: JESD8-7A; output levels; from memory
// Source: document 683794; single-ended I/O standards, 1.8 V; read
// Source: UM10204 rev 7.0; table 10; read
TEST(PublishedInterfaces, OutputLevels) {
    const auto level = [](const char* trait, bool high, double supply, double milliamps) {
        const PartType& type = one_pin(trait);
        return level_of(type.pins.at(type.pin_index("X")), high, supply, milliamps * 1e-3);
    };
    EXPECT_NEAR(level("push-pull output, 3.3 V", true, 3.0, 2), 2.4, exact);
    EXPECT_NEAR(level("push-pull output, 3.3 V", true, 3.0, 0.1), 2.8, exact);
    EXPECT_NEAR(level("push-pull output, 3.3 V", false, 3.0, 2), 0.4, exact);
    EXPECT_NEAR(level("push-pull output, 1.8 V", true, 1.71, 2), 1.26, exact);
    EXPECT_NEAR(level("push-pull output, 1.8 V", false, 1.71, 2), 0.45, exact);
    EXPECT_NEAR(level("I2C pin", false, 3.3, 3), 0.4, exact);
    EXPECT_NEAR(level("I2C pin", false, 1.8, 2), 0.36, exact);
}

}  // namespace
}  // namespace voltsill
