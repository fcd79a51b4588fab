/// Pin numbers and truth tables of the catalogue against published ones, typed here from the
/// sheets that each row names. `memory` rows were not at hand when they were entered.
#include <gmock/gmock.h>

#include <algorithm>
#include <map>
#include <sstream>

#include "parts/catalogue.h"
#include "parts/embedded.h"
#include "parts/part_records.h"
#include "records/tree.h"
#include "published/known.h"

namespace voltsill {
namespace {

/// "#" marks active low, as the sheets print it; the catalogue writes a slash in front.
std::string catalogue_name(std::string name) {
    if (name.empty() || name.back() != '#') return name;
    name.pop_back();
    return '/' + name;
}

struct Pinout {
    const char* functions;
    int count;
    const char* pins;  ///< number=name
    const char* source;
    Known known;
};

constexpr Pinout pinouts[] = {
    {"00 08", 14, "1=1A 2=1B 3=1Y 4=2A 5=2B 6=2Y 7=GND 8=3Y 9=3A 10=3B 11=4Y 12=4A 13=4B 14=VCC",
     "SCLS229L, SDLS033", Known::read},
    {"04 05 06 07 14", 14, "1=1A 2=1Y 3=2A 4=2Y 5=3A 6=3Y 7=GND 8=4Y 9=4A 10=5Y 11=5A 12=6Y 13=6A 14=VCC",
     "SCLS225G, SDLS021D, SDLS020F", Known::read},
    {"125", 14, "1=1OE# 2=1A 3=1Y 4=2OE# 5=2A 6=2Y 7=GND 8=3Y 9=3A 10=3OE# 11=4Y 12=4A 13=4OE# 14=VCC",
     "data sheet 74AHC125, DS35336", Known::read},
    {"126", 14, "1=1OE 2=1A 3=1Y 4=2OE 5=2A 6=2Y 7=GND 8=3Y 9=3A 10=3OE 11=4Y 12=4A 13=4OE 14=VCC",
     "data sheet 74HC126", Known::memory},
    {"4049 4050", 16,
     "1=VDD 2=1Y 3=1A 4=2Y 5=2A 6=3Y 7=3A 8=VSS 9=4A 10=4Y 11=5A 12=5Y 13=- 14=6A 15=6Y 16=-",
     "data sheet CD4050", Known::read},
    {"245", 20,
     "1=DIR 2=A1 3=A2 4=A3 5=A4 6=A5 7=A6 8=A7 9=A8 10=GND 11=B8 12=B7 13=B6 14=B5 15=B4 16=B3 17=B2 18=B1 "
     "19=OE# 20=VCC",
     "SCLS020H", Known::read},
    {"540 541", 20,
     "1=OE1# 2=A1 3=A2 4=A3 5=A4 6=A5 7=A6 8=A7 9=A8 10=GND 11=Y8 12=Y7 13=Y6 14=Y5 15=Y4 16=Y3 17=Y2 18=Y1 "
     "19=OE2# "
     "20=VCC",
     "SCLS007D, data sheet HD74HCT540/541", Known::read},
    {"240 244", 20,
     "1=1OE# 2=1A1 3=2Y4 4=1A2 5=2Y3 6=1A3 7=2Y2 8=1A4 9=2Y1 10=GND 11=2A1 12=1Y4 13=2A2 14=1Y3 15=2A3 "
     "16=1Y2 17=2A4 "
     "18=1Y1 19=2OE# 20=VCC",
     "data sheets 74HC240 and 74HC244, as quoted by two tables that agree by pin pairs", Known::memory},
    {"1G07", 5, "1=- 2=A 3=GND 4=Y 5=VCC", "SCES296AC", Known::read},
    {"1G125", 5, "1=OE# 2=A 3=GND 4=Y 5=VCC", "SCES223T", Known::read},
    {"1G04 1G14 1G17 1G34", 5, "1=- 2=A 3=GND 4=Y 5=VCC", "SCES214 and SCES218", Known::memory},
    {"1G08", 5, "1=A 2=B 3=GND 4=Y 5=VCC", "SCES217", Known::memory},
    {"1T45", 6, "1=VCCA 2=GND 3=A 4=B 5=DIR 6=VCCB", "SCES515", Known::memory},
    {"2T45", 8, "1=VCCA 2=A1 3=A2 4=GND 5=DIR 6=B2 7=B1 8=VCCB", "SCES516I, logic diagram", Known::read},
    {"8T245", 24,
     "1=VCCA 2=DIR 3=A1 4=A2 5=A3 6=A4 7=A5 8=A6 9=A7 10=A8 11=GND 12=GND 13=GND 14=B8 15=B7 16=B6 17=B5 "
     "18=B4 19=B3 "
     "20=B2 21=B1 22=OE# 23=VCCB 24=VCCB",
     "SCES584B", Known::read},
    {"595", 16,
     "1=QB 2=QC 3=QD 4=QE 5=QF 6=QG 7=QH 8=GND 9=QH' 10=SRCLR# 11=SRCLK 12=RCLK 13=OE# 14=SER 15=QA 16=VCC",
     "SCLS041I", Known::read},
};

std::vector<std::string> words(const std::string& text) {
    std::istringstream stream(text);
    std::vector<std::string> result;
    for (std::string word; stream >> word;) result.push_back(word);
    return result;
}

std::vector<const PartType*> of_function(const std::string& function) {
    std::vector<const PartType*> found;
    for (const auto& type : Catalogue::built_in().types())
        if (type->function == function) found.push_back(type.get());
    return found;
}

void expect_pins(const PartType& type, const Package& package, const Pinout& published) {
    const std::string what = type.name + " " + package.name + " after " + published.source;
    ASSERT_EQ(package.pin_of_number.size(), static_cast<std::size_t>(published.count)) << what;
    for (const std::string& pair : words(published.pins)) {
        const std::size_t sign = pair.find('=');
        const int number = std::stoi(pair.substr(0, sign));
        const int pin = package.pin_of_number[number - 1];
        EXPECT_EQ(pin < 0 ? "-" : type.pins[pin].name, catalogue_name(pair.substr(sign + 1)))
            << what << " pin " << number;
    }
}

// Pin numbers of the packages.
// Source: rows; pin configuration
TEST(PublishedPinouts, EveryPackageOfEveryFamily) {
    for (const Pinout& published : pinouts)
        for (const std::string& function : words(published.functions)) {
            const auto types = of_function(function);
            EXPECT_FALSE(types.empty()) << function;
            for (const PartType* type : types)
                for (const Package& package : type->packages) expect_pins(*type, package, published);
        }
}

// Law: every function has a published pinout, and says so where it is from memory.
TEST(PublishedPinouts, CoverEveryFunctionAndTheCatalogueSaysWhichAreFromMemory) {
    std::map<std::string, Known> known;
    for (const Pinout& published : pinouts)
        for (const std::string& function : words(published.functions)) known[function] = published.known;
    std::size_t functions = 0;
    for (const EmbeddedFile& file : embedded_catalogue()) {
        const ParsedText parsed = parse_toml(file.text, file.name);
        Reader reader(parsed);
        for (const auto& [name, place, record] : read(part_file_shape(), parsed.root, reader).functions) {
            ++functions;
            ASSERT_TRUE(known.contains(name)) << name;
            const bool memory = record.from_memory && record.from_memory->all;
            EXPECT_EQ(memory, known[name] == Known::memory) << name;
        }
    }
    EXPECT_EQ(functions, known.size());
}

// OE on pin 8, B4 to B1 on pins 10 to 13.
// Source: SCES650E; pin configuration, packages D and PW; read
TEST(PublishedPinouts, AutoDirectionTranslator) {
    constexpr Pinout txb{"", 14,
                         "1=VCCA 2=A1 3=A2 4=A3 5=A4 6=- 7=GND 8=OE 9=- 10=B4 11=B3 12=B2 13=B1 14=VCCB",
                         "SCES650E, packages D and PW", Known::read};
    const PartType* type = Catalogue::built_in().find("four-bit auto-direction push-pull translator");
    ASSERT_TRUE(type);
    for (const Package& package : type->packages) expect_pins(*type, package, txb);
}

// Truth tables
// ------------------------------------------------------------------------------------------------

using Levels = std::map<std::string, char>;  ///< pin -> 'H' or 'L'

char inverted(char level) { return level == 'H' ? 'L' : 'H'; }

/// What `pin` shows by the words of the channel alone: H, L, or Z when nothing drives it.
char output_of(const PartType& type, const std::string& pin, const Levels& levels) {
    const auto level = [&](int index) { return levels.at(type.pins[index].name); };
    for (const Channel& c : type.channels) {
        bool enabled = true;
        for (std::size_t i = 0; i < c.enables.size(); ++i)
            enabled = enabled && (level(c.enables[i]) == 'H') == c.enable_high[i];
        const bool toward_b = c.logic != ChannelLogic::transceiver || level(c.direction) == 'H';
        const int out = toward_b ? c.output : c.inputs[0], in = toward_b ? c.inputs[0] : c.output;
        if (type.pins[out].name != pin) continue;
        if (!enabled) return 'Z';
        const char a = level(in), b = c.inputs.size() > 1 ? level(c.inputs[1]) : a;
        switch (c.logic) {
            case ChannelLogic::inverter:
                return inverted(a);
            case ChannelLogic::and_:
                return a == 'H' && b == 'H' ? 'H' : 'L';
            case ChannelLogic::nand:
                return a == 'H' && b == 'H' ? 'L' : 'H';
            default:
                return a;
        }
    }
    return 'Z';
}

struct TruthRow {
    const char* functions;
    const char* inputs;
    const char* output;
    const char* source;
    Known known;
};

constexpr TruthRow truth[] = {
    {"125", "1OE#=L 1A=H", "1Y=H", "DS35336, function table", Known::read},
    {"125", "1OE#=L 1A=L", "1Y=L", "DS35336, function table", Known::read},
    {"125", "1OE#=H 1A=H", "1Y=Z", "DS35336, function table", Known::read},
    {"125", "4OE#=L 4A=H", "4Y=H", "DS35336, function table", Known::read},
    {"126", "2OE=H 2A=H", "2Y=H", "data sheet 74HC126: active-high enable", Known::memory},
    {"126", "2OE=L 2A=H", "2Y=Z", "data sheet 74HC126: active-high enable", Known::memory},
    {"1G125", "OE#=L A=L", "Y=L", "SCES223T, function table", Known::read},
    {"1G125", "OE#=H A=L", "Y=Z", "SCES223T, function table", Known::read},
    {"245 8T245", "OE#=H DIR=H A3=H B3=L", "B3=Z", "SCLS020H; SCES584B, function table", Known::read},
    {"245 8T245", "OE#=H DIR=L A3=H B3=L", "A3=Z", "SCLS020H; SCES584B, function table", Known::read},
    {"245 8T245", "OE#=L DIR=H A3=H B3=L", "B3=H", "SCLS020H; SCES584B: DIR high is A to B", Known::read},
    {"245 8T245", "OE#=L DIR=L A3=H B3=L", "A3=L", "SCLS020H; SCES584B: DIR low is B to A", Known::read},
    {"245 8T245", "OE#=L DIR=H A3=H B3=L", "A3=Z", "SCLS020H; SCES584B: the side that listens does not drive",
     Known::read},
    {"2T45", "DIR=H A1=L B1=H A2=L B2=L", "B1=L", "SCES516I, function table", Known::read},
    {"2T45", "DIR=L A1=L B1=H A2=L B2=L", "A1=H", "SCES516I, function table", Known::read},
    {"541", "OE1#=L OE2#=L A8=H", "Y8=H", "SCLS007D, function table", Known::read},
    {"541", "OE1#=H OE2#=L A8=H", "Y8=Z", "SCLS007D: enabled only if both are low", Known::read},
    {"541", "OE1#=L OE2#=H A8=H", "Y8=Z", "SCLS007D: enabled only if both are low", Known::read},
    {"540", "OE1#=L OE2#=L A1=H", "Y1=L", "data sheet HD74HCT540: inverts", Known::read},
    {"244", "1OE#=L 2OE#=H 1A4=H", "1Y4=H", "data sheet 74HC244: two groups of four", Known::memory},
    {"244", "1OE#=L 2OE#=H 2A1=H", "2Y1=Z", "data sheet 74HC244: two groups of four", Known::memory},
    {"240", "1OE#=H 2OE#=L 2A1=H", "2Y1=L", "data sheet 74HC240: inverts, enables active low", Known::memory},
    {"00", "3A=H 3B=H", "3Y=L", "SCLS229L", Known::read},
    {"00", "3A=L 3B=H", "3Y=H", "SCLS229L", Known::read},
    {"08 1G08", "A=H B=H", "Y=H", "SDLS033", Known::read},
    {"08 1G08", "A=H B=L", "Y=L", "SDLS033", Known::read},
    {"04 05 06 14 1G04 1G14 4049", "A=H", "Y=L", "SCLS225G, SDLS020F", Known::read},
    {"04 05 06 14 1G04 1G14 4049", "A=L", "Y=H", "SCLS225G, SDLS020F", Known::read},
    {"07 1G07 1G17 1G34 4050", "A=H", "Y=H", "SDLS021D, SCES296AC", Known::read},
    {"07 1G07 1G17 1G34 4050", "A=L", "Y=L", "SDLS021D, SCES296AC", Known::read},
};

/// Multiples number their gates: "A" of a hex inverter is "1A".
std::string pin_in(const PartType& type, const std::string& published) {
    const std::string name = catalogue_name(published);
    const auto has = [&](const std::string& n) {
        return std::ranges::find(type.pins, n, &Pin::name) != type.pins.end();
    };
    return has(name) ? name : "1" + name;
}

// What outputs do for given inputs.
// Source: rows; function table
TEST(PublishedTruthTables, EveryRowInEveryFamily) {
    for (const TruthRow& row : truth)
        for (const std::string& function : words(row.functions)) {
            const auto types = of_function(function);
            EXPECT_FALSE(types.empty()) << function;
            for (const PartType* type : types) {
                Levels levels;
                for (const Pin& pin : type->pins) levels[pin.name] = 'L';
                for (const std::string& pair : words(row.inputs)) {
                    const std::string pin = pin_in(*type, pair.substr(0, pair.find('=')));
                    ASSERT_TRUE(levels.contains(pin)) << type->name << " " << pin;
                    levels[pin] = pair.back();
                }
                const std::string output(row.output);
                EXPECT_EQ(output_of(*type, pin_in(*type, output.substr(0, output.find('='))), levels),
                          output.back())
                    << type->name << ": " << row.inputs << ", " << row.source;
            }
        }
}

// Open outputs of the 05, 06 and 07, Schmitt inputs of the 14 and 17, and the sense of enables of the
// auto-direction translator.
// Source: SDLS020F; description; read
// Source: SDLS021D; description; read
// Source: SCES296AC; description; read
// Source: SCLS225G; description; read
// Source: SCES381N; description; read
// Source: SCES650E; description; read
// Source: SCES584B; function table; read
TEST(PublishedTruthTables, OpenDrainAndSchmittWhereTheFunctionSaysSo) {
    for (const char* function : {"05", "06", "07", "1G07"})  // SDLS020F, SDLS021D, SCES296AC
        for (const PartType* type : of_function(function))
            EXPECT_EQ(type->pins[type->channels[0].output].role, PinRole::open_drain) << type->name;
    for (const char* function : {"14", "1G14", "1G17"})  // SCLS225G, SCES381N
        for (const PartType* type : of_function(function))
            EXPECT_TRUE(type->pins[type->channels[0].inputs[0]].schmitt) << type->name;
    // SCES650E: OE high works, low lets go; the opposite sense of the 8T245 (SCES584B).
    const PartType* autodir = Catalogue::built_in().find("four-bit auto-direction push-pull translator");
    ASSERT_TRUE(autodir);
    EXPECT_TRUE(autodir->channels[0].enable_high.at(0));
    for (const PartType* type : of_function("8T245")) EXPECT_FALSE(type->channels[0].enable_high.at(0));
}

}  // namespace
}  // namespace voltsill
