#pragma once
/// Decimal digits of a number and where its point goes; shared by the printers.
#include <string>

#include "quantity/dimension.h"

namespace voltsill {

/// d.ddd x 10^exponent
struct DecimalDigits {
    bool negative = false;
    std::string digits;
    int exponent = 0;
};

/// `digits` significant digits, correctly rounded; trailing zeros dropped unless `keep_zeros`.
/// `number` must be finite.
DecimalDigits rounded_digits(double number, int digits, bool keep_zeros = false);
/// The fewest digits that read back as the same double.
DecimalDigits shortest_digits(double number);

/// The number divided by 10^power in plain decimal: {"47", 3} at power 3 is "4.7".
std::string plain(const DecimalDigits& number, int power);

/// A prefix to print with: name and power of ten.
struct PrintPrefix {
    std::string_view name;
    int power;
};
/// The largest prefix of the dimension at or below 10^exponent (the smallest one if none is).
PrintPrefix prefix_for(Dimension dimension, int exponent, bool ascii);

}  // namespace voltsill
