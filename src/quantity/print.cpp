#include "quantity/print.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "quantity/engineering.h"

namespace voltsill {
namespace {

constexpr int most_digits = std::numeric_limits<double>::max_digits10;
constexpr double widest_tolerance = 0.25;
constexpr double symmetry = 1e-9;  // of the nominal: room for the rounding of nominal * (1 ± f)

std::string unit_of(Dimension dimension, std::string_view prefix, bool ascii) {
    const DimensionInfo& d = info(dimension);
    return ' ' + std::string(prefix) + std::string(ascii ? d.ascii : d.symbol);
}

bool finite(const Span<double>& span) {
    return std::isfinite(span.lo) && std::isfinite(span.nominal) && std::isfinite(span.hi);
}

/// Far outside the prefixes plain digits would be mostly zeros.
bool fits(const DecimalDigits& number, const PrintPrefix& prefix) {
    const int above = number.exponent - prefix.power;
    return -3 <= above && above < 6;
}

std::string with_unit(Dimension dimension, const DecimalDigits& number, bool ascii) {
    if (number.digits.front() == '0') return '0' + unit_of(dimension, "", ascii);
    const PrintPrefix prefix = prefix_for(dimension, number.exponent, ascii);
    if (fits(number, prefix)) return plain(number, prefix.power) + unit_of(dimension, prefix.name, ascii);
    return plain(number, number.exponent) + 'e' + std::to_string(number.exponent) +
           unit_of(dimension, "", ascii);
}

/// The values of a range with one unit behind them ("0.9..1.1 V"), or each with its own where
/// the sizes are too far apart ("1 Ω..10 MΩ").
std::string joined(Dimension dimension, const std::vector<double>& values, int digits,
                   const PrintStyle& style) {
    std::vector<DecimalDigits> numbers;
    int largest = std::numeric_limits<int>::min();
    for (const double value : values) {
        numbers.push_back(rounded_digits(value, digits, style.keep_zeros));
        if (value != 0.0) largest = std::max(largest, numbers.back().exponent);
    }
    const PrintPrefix shared = prefix_for(dimension, largest, style.ascii);
    const bool one_unit = std::ranges::all_of(numbers, [&](const DecimalDigits& number) {
        return number.digits.front() == '0' || (fits(number, shared) && number.exponent >= shared.power - 2);
    });
    std::string text;
    for (const DecimalDigits& number : numbers) {
        if (!text.empty()) text += "..";
        if (!one_unit)
            text += with_unit(dimension, number, style.ascii);
        else
            text += number.digits.front() == '0' ? "0" : plain(number, shared.power);
    }
    return one_unit ? text + unit_of(dimension, shared.name, style.ascii) : text;
}

/// Digits at which every step of the range can still be seen.
int telling_digits(const Span<double>& span, int digits) {
    const auto look_alike = [&](double a, double b) {
        const DecimalDigits p = rounded_digits(a, digits), q = rounded_digits(b, digits);
        return a != b && p.negative == q.negative && p.digits == q.digits && p.exponent == q.exponent;
    };
    while (digits < most_digits && look_alike(span.lo, span.hi)) ++digits;
    return digits;
}

/// "± 3 %" or empty. The percentage must be round in the digits asked for: 3.2..3.4 V stays a range.
std::string tolerance_of(const Span<double>& span, const PrintStyle& style) {
    const double size = std::abs(span.nominal);
    if (size == 0.0) return {};
    const double up = span.hi / size - span.nominal / size;
    const double down = span.nominal / size - span.lo / size;
    const bool symmetric = std::abs(up - down) <= symmetry && up <= widest_tolerance;
    const double printed = std::round(up * 1e4) * 1e-4;  // hundredths of a percent
    if (!symmetric || printed == 0.0 || std::abs(printed - up) > symmetry) return {};
    return (style.ascii ? " +- " : " ± ") + print_percent(printed, {.digits = 4, .ascii = style.ascii});
}

}  // namespace

std::string print_number(Dimension dimension, double number, const PrintStyle& style) {
    if (!std::isfinite(number)) return "undefined";
    return with_unit(dimension, rounded_digits(number, style.digits, style.keep_zeros), style.ascii);
}

std::string print_span(Dimension dimension, const Span<double>& span, const PrintStyle& style) {
    if (!finite(span)) return "undefined";
    if (span.lo == span.hi) return print_number(dimension, span.nominal, style);
    if (dimension != Dimension::temperature)
        if (const std::string tolerance = tolerance_of(span, style); !tolerance.empty())
            return print_number(dimension, span.nominal, style) + tolerance;
    const int digits = telling_digits(span, style.digits);
    const double middle = Span<double>::between(span.lo, span.hi).nominal;
    const bool centred = std::abs(span.nominal - middle) <= symmetry * (span.hi - span.lo);
    if (centred) return joined(dimension, {span.lo, span.hi}, digits, style);
    return joined(dimension, {span.lo, span.nominal, span.hi}, digits, style);
}

std::string print_number_exact(Dimension dimension, double number, bool ascii) {
    if (!std::isfinite(number)) return "undefined";
    return with_unit(dimension, shortest_digits(number), ascii);
}

std::string print_span_exact(Dimension dimension, const Span<double>& span, bool ascii) {
    if (!finite(span)) return "undefined";
    const auto exact = [&](double number) { return print_number_exact(dimension, number, ascii); };
    if (span.lo == span.hi) return exact(span.nominal);
    if (span == Span<double>::between(span.lo, span.hi)) return exact(span.lo) + ".." + exact(span.hi);
    return exact(span.lo) + ".." + exact(span.nominal) + ".." + exact(span.hi);
}

std::string print_percent(double ratio, const PrintStyle& style) {
    if (!std::isfinite(ratio)) return "undefined";
    const DecimalDigits digits = rounded_digits(ratio, style.digits, style.keep_zeros);
    return (digits.digits.front() == '0' ? "0" : plain(digits, -2)) + " %";
}

}  // namespace voltsill
