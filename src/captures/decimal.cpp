#include "captures/decimal.h"

#include <algorithm>

namespace voltsill::decimal {

double slowly(const char* begin, const char* end, char point) {
    const bool negative = *begin == '-';
    if (negative || *begin == '+') ++begin;
    std::string text(begin, end);
    if (point != '.') std::replace(text.begin(), text.end(), point, '.');
    double value = 0;
    const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error == std::errc::result_out_of_range) {
        // Which way: a number with a significand of zeros is 0 and no error, so the exponent tells.
        const std::size_t e = text.find_first_of("eE");
        const bool small =
            e != std::string::npos ? text[e + 1] == '-' : text.find_first_not_of("0.") > text.find('.');
        value = small ? 0.0 : std::numeric_limits<double>::infinity();
    }
    return negative ? -value : value;
}

}  // namespace voltsill::decimal
