#include "quantity/engineering.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

namespace voltsill {
namespace {

/// From "4.70e+03"; zero has exponent 0.
DecimalDigits split(std::string_view scientific, bool negative, bool keep_zeros) {
    const std::size_t e = scientific.find('e');
    DecimalDigits result{.negative = negative};
    for (const char c : scientific.substr(0, e))
        if (c != '.') result.digits += c;
    std::string_view power = scientific.substr(e + 1);
    if (power.starts_with('+')) power.remove_prefix(1);
    std::from_chars(power.data(), power.data() + power.size(), result.exponent);
    if (!keep_zeros) result.digits.resize(std::max<std::size_t>(result.digits.find_last_not_of('0') + 1, 1));
    return result;
}

}  // namespace

DecimalDigits rounded_digits(double number, int digits, bool keep_zeros) {
    return split(fmt::format("{:.{}e}", std::abs(number), std::clamp(digits, 1, 17) - 1), number < 0.0,
                 keep_zeros);
}

DecimalDigits shortest_digits(double number) {
    char buffer[32];
    const auto end =
        std::to_chars(buffer, buffer + sizeof buffer, std::abs(number), std::chars_format::scientific).ptr;
    return split({buffer, end}, number < 0.0, false);
}

std::string plain(const DecimalDigits& number, int power) {
    std::string text = number.digits;
    const int before_point = number.exponent - power + 1;
    const int count = static_cast<int>(text.size());
    if (before_point <= 0)
        text = "0." + std::string(static_cast<std::size_t>(-before_point), '0') + text;
    else if (before_point >= count)
        text.append(static_cast<std::size_t>(before_point - count), '0');
    else
        text.insert(static_cast<std::size_t>(before_point), 1, '.');
    return number.negative ? '-' + text : text;
}

PrintPrefix prefix_for(Dimension dimension, int exponent, bool ascii) {
    const std::string_view letters = info(dimension).prefixes;
    const auto power_of = [&](std::size_t i) { return find_prefix(letters.substr(i, 1)).value_or(0); };
    std::size_t chosen = 0;
    for (std::size_t i = 1; i < letters.size(); ++i)
        if (power_of(i) <= exponent) chosen = i;
    std::string_view name = letters.substr(chosen, 1);
    if (name == " ") name = "";
    if (name == "u" && !ascii) name = "\u00B5";
    return {name, power_of(chosen)};
}

}  // namespace voltsill
