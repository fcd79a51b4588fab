#pragma once
/// What a unit on paper stands for: the words a text may use for the unit of each quantity,
/// and how that unit is printed.
///
/// Symbols and prefixes after ISO 80000-1 and IEC 80000-6 (from memory); baud and bit/s count
/// as rates with the dimension of hertz. One table serves parsing and printing, so that what
/// is printed can be read back.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "quantity/units.h"

namespace voltsill {

enum class Dimension : std::uint8_t {
    voltage,
    current,
    resistance,
    conductance,
    capacitance,
    inductance,
    time,
    frequency,
    power,
    time_per_voltage,
    temperature,
    ratio,
};

struct DimensionInfo {
    std::string_view noun;           ///< "a voltage"
    std::string_view example;        ///< "3.3 V"
    std::string_view symbol;         ///< "V", in UTF-8
    std::string_view ascii;          ///< the same without letters beyond ASCII
    std::string_view prefixes;       ///< used in print, rising; 'u' is micro, ' ' is none
    std::string_view code_letters;   ///< that stand for the decimal point, IEC 60062 ("4k7")
    std::string_view bare_prefixes;  ///< that may stand without the unit ("4.7 k")
    bool may_be_negative;
};

const DimensionInfo& info(Dimension dimension);

/// A unit as found in a text: `1 kΩ` is {resistance, 3}.
struct UnitMatch {
    Dimension dimension;
    int power;  ///< of ten, from the written unit to SI

    bool operator==(const UnitMatch&) const = default;
};

/// The unit that `word` names ("kΩ", "mA", "ns/V", "kbit/s", "%"). Case matters.
std::optional<UnitMatch> find_unit(std::string_view word);

/// Regular expression (ECMA-262, without groups to capture) for every word that names a unit of
/// the dimension, and for its prefixes, as schemas need them.
std::string unit_expression(Dimension dimension);
std::string prefix_expression();

/// The power of ten of an SI prefix: "k" 3, "µ" (either code point) or "u" -6.
std::optional<int> find_prefix(std::string_view word);

template <class Q>
struct DimensionOf;
template <>
struct DimensionOf<Volts> {
    static constexpr auto value = Dimension::voltage;
};
template <>
struct DimensionOf<Amps> {
    static constexpr auto value = Dimension::current;
};
template <>
struct DimensionOf<Ohms> {
    static constexpr auto value = Dimension::resistance;
};
template <>
struct DimensionOf<Siemens> {
    static constexpr auto value = Dimension::conductance;
};
template <>
struct DimensionOf<Farads> {
    static constexpr auto value = Dimension::capacitance;
};
template <>
struct DimensionOf<Henries> {
    static constexpr auto value = Dimension::inductance;
};
template <>
struct DimensionOf<Seconds> {
    static constexpr auto value = Dimension::time;
};
template <>
struct DimensionOf<Hertz> {
    static constexpr auto value = Dimension::frequency;
};
template <>
struct DimensionOf<Watts> {
    static constexpr auto value = Dimension::power;
};
template <>
struct DimensionOf<SecondsPerVolt> {
    static constexpr auto value = Dimension::time_per_voltage;
};
template <>
struct DimensionOf<Celsius> {
    static constexpr auto value = Dimension::temperature;
};

/// Any quantity that has a printed unit.
template <class Q>
concept Printable = requires {
    DimensionOf<Q>::value;
};

/// The number behind a quantity: SI, or degrees Celsius.
template <Printable Q>
constexpr double number_of(Q q) {
    if constexpr (requires { q.degrees; })
        return q.degrees;
    else
        return q.si();
}

}  // namespace voltsill
