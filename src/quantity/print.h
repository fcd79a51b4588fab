#pragma once
/// Quantities as people write them: engineering notation with SI prefixes.
///
///     print(Ohms(4700))                          "4.7 kΩ"
///     print(Span<Volts>::within(3.3_V, 0.03))    "3.3 V ± 3 %"
///
/// The law of this file: `parse(print(x))` gives x within the printed digits, and
/// `parse(print_exact(x))` gives x to the last bit. Numbers that are not finite print as
/// "undefined" and cannot be read back.
#include <string>

#include "quantity/dimension.h"
#include "quantity/figure.h"

namespace voltsill {

struct PrintStyle {
    int digits = 3;           ///< significant digits, 1 to 17
    bool keep_zeros = false;  ///< "3.30 V" in place of "3.3 V", for columns
    bool ascii = false;       ///< "Ohm", "u", "+-" and "degC" in place of "Ω", "µ", "±" and "°C"
};

/// For a dimension chosen at run time; SI, or degrees Celsius.
std::string print_number(Dimension dimension, double number, const PrintStyle& style = {});
/// One value if the span is exact; a tolerance if it is symmetric and a round percentage up to
/// 25 %; else a range, with its nominal if that is not in the middle. Limits that differ are
/// printed with as many digits as it takes to tell them apart.
std::string print_span(Dimension dimension, const Span<double>& span, const PrintStyle& style = {});

std::string print_number_exact(Dimension dimension, double number, bool ascii = false);
std::string print_span_exact(Dimension dimension, const Span<double>& span, bool ascii = false);

/// 0.03 -> "3 %"
std::string print_percent(double ratio, const PrintStyle& style = {});

/// Letter code of IEC 60062:2016 (from memory) with a small k as is common practice: "R10",
/// "4R7", "470R", "4k7", "1M0". At least two, at most `digits` significant digits.

template <Printable Q>
std::string print(Q value, const PrintStyle& style = {}) {
    return print_number(DimensionOf<Q>::value, number_of(value), style);
}

template <Printable Q>
Span<double> numbers_of(const Span<Q>& span) {
    return {number_of(span.lo), number_of(span.nominal), number_of(span.hi)};
}

template <Printable Q>
std::string print(const Span<Q>& span, const PrintStyle& style = {}) {
    return print_span(DimensionOf<Q>::value, numbers_of(span), style);
}

template <Printable Q>
std::string print_exact(Q value, bool ascii = false) {
    return print_number_exact(DimensionOf<Q>::value, number_of(value), ascii);
}

template <Printable Q>
std::string print_exact(const Span<Q>& span, bool ascii = false) {
    return print_span_exact(DimensionOf<Q>::value, numbers_of(span), ascii);
}

}  // namespace voltsill
