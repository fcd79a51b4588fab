#include "quantity/dimension.h"

#include <array>

namespace voltsill {
namespace {

// In the order of the enumeration. Farads go from micro straight to the unit, as labels of
// capacitors do ("1000 µF"); seconds and degrees take no prefix above one.
constexpr std::array<DimensionInfo, 12> dimensions{{
    {"a voltage", "3.3 V", "V", "V", "fpnum kMGT", "V", "", true},
    {"a current", "20 mA", "A", "A", "fpnum kMGT", "", "", true},
    {"a resistance", "4.7 kΩ", "Ω", "Ohm", "fpnum kMGT", "RkKMGT", "kKMGT", false},
    {"a conductance", "2 mS", "S", "S", "fpnum kMGT", "", "", false},
    {"a capacitance", "100 nF", "F", "F", "fpnu kMGT", "fpnumF", "fpnum", false},
    {"an inductance", "150 nH", "H", "H", "fpnum ", "", "", false},
    {"a time", "500 ns", "s", "s", "fpnum ", "", "", true},
    {"a frequency or rate", "2 kHz", "Hz", "Hz", "fpnum kMGT", "", "", false},
    {"a power", "250 mW", "W", "W", "fpnum kMGT", "", "", true},
    {"a time per voltage", "10 ns/V", "s/V", "s/V", "fpnum kMGT", "", "", false},
    {"a temperature", "25 °C", "°C", "degC", " ", "", "", true},
    {"a ratio", "3 %", "%", "%", " ", "", "", true},
}};

struct UnitName {
    std::string_view name;
    Dimension dimension;
    bool takes_prefix;
    int power = 0;
};

using enum Dimension;
constexpr UnitName unit_names[] = {
    {"V", voltage, true},
    {"volt", voltage, true},
    {"volts", voltage, true},
    {"A", current, true},
    {"amp", current, true},
    {"amps", current, true},
    {"ampere", current, true},
    {"amperes", current, true},
    {"\u03A9", resistance, true},  // Greek capital omega
    {"\u2126", resistance, true},  // ohm sign
    {"Ohm", resistance, true},
    {"ohm", resistance, true},
    {"Ohms", resistance, true},
    {"ohms", resistance, true},
    {"R", resistance, false},
    {"S", conductance, true},
    {"siemens", conductance, true},
    {"F", capacitance, true},
    {"farad", capacitance, true},
    {"farads", capacitance, true},
    {"H", inductance, true},
    {"henry", inductance, true},
    {"s", time, true},
    {"second", time, true},
    {"seconds", time, true},
    {"Hz", frequency, true},
    {"hertz", frequency, true},
    {"Bd", frequency, true},
    {"baud", frequency, true},
    {"bit/s", frequency, true},
    {"bps", frequency, true},
    {"W", power, true},
    {"watt", power, true},
    {"watts", power, true},
    {"s/V", time_per_voltage, true},
    {"\u00B0C", temperature, false},
    {"\u2103", temperature, false},  // degree Celsius as one code point
    {"degC", temperature, false},
    {"C", temperature, false},
    {"%", ratio, false, -2},
    {"ppm", ratio, false, -6},
};

struct Prefix {
    std::string_view name;
    int power;
};

constexpr Prefix prefixes[] = {
    {"f", -15}, {"p", -12}, {"n", -9}, {"u", -6}, {"\u00B5", -6}, {"\u03BC", -6},
    {"m", -3},  {"k", 3},   {"K", 3},  {"M", 6},  {"G", 9},       {"T", 12},
};

}  // namespace

const DimensionInfo& info(Dimension dimension) { return dimensions[static_cast<std::size_t>(dimension)]; }

std::optional<int> find_prefix(std::string_view word) {
    for (const Prefix& prefix : prefixes)
        if (word == prefix.name) return prefix.power;
    return std::nullopt;
}

std::optional<UnitMatch> find_unit(std::string_view word) {
    for (const UnitName& unit : unit_names) {
        if (word == unit.name) return UnitMatch{unit.dimension, unit.power};
        if (!unit.takes_prefix || !word.ends_with(unit.name)) continue;
        if (auto power = find_prefix(word.substr(0, word.size() - unit.name.size())))
            return UnitMatch{unit.dimension, *power};
    }
    return std::nullopt;
}

std::string prefix_expression() {
    std::string words;
    for (const Prefix& prefix : prefixes) words += (words.empty() ? "" : "|") + std::string(prefix.name);
    return "(?:" + words + ')';
}

std::string unit_expression(Dimension dimension) {
    std::string words;
    for (const UnitName& unit : unit_names)
        if (unit.dimension == dimension)
            words += (words.empty() ? "" : "|") + (unit.takes_prefix ? prefix_expression() + '?' : "") +
                     std::string(unit.name);
    return "(?:" + words + ')';
}

}  // namespace voltsill
