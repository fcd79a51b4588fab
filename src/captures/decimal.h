#pragma once
/// Decimal numbers as instruments print them, read in place.
///
///     number = [+|-] digits [point [digits]] [(e|E) [+|-] digits]   |   [+|-] point digits ...
///
/// A significand below 2^53 and a power of ten up to 10^22 are both exact doubles, so that one
/// multiplication or division rounds correctly (W. D. Clinger, "How to read floating point numbers
/// accurately", PLDI 1990, from memory). Everything else goes to std::from_chars.
#include <charconv>
#include <cstdint>
#include <cstring>
#include <limits>
#include <string>

namespace voltsill {

/// Digits of one number that are looked at; a longer one is no number.
inline constexpr std::ptrdiff_t longest_number = 2000;

namespace decimal {

inline constexpr double powers[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                    1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

inline unsigned digit(char c) { return static_cast<unsigned char>(c) - unsigned{'0'}; }

/// [begin, end) is known to be a number after the rule above. Overflow is infinite, underflow 0.
double slowly(const char* begin, const char* end, char point);

}  // namespace decimal

/// Reads a number at `p`; returns the byte after it, or nullptr if there is none. A byte that cannot
/// belong to a number (a line feed) must follow within readable memory.
[[gnu::always_inline]] inline const char* read_decimal(const char* p, char point, double& out) {
    using decimal::digit;
    const char* const begin = p;
    const bool negative = *p == '-';
    p += negative || *p == '+';
    const char* const whole = p;
    std::uint64_t m = 0;
    for (unsigned d; (d = digit(*p)) <= 9; ++p) m = m * 10 + d;
    std::ptrdiff_t digits = p - whole, fraction = 0;
    if (*p == point) {
        const char* const after = ++p;
        for (unsigned d; (d = digit(*p)) <= 9; ++p) m = m * 10 + d;
        fraction = p - after;
        digits += fraction;
    }
    if (digits == 0 || digits > longest_number) [[unlikely]]
        return nullptr;
    std::ptrdiff_t power = -fraction;
    if ((*p | 0x20) == 'e') {
        const char* e = p + 1;
        const bool down = *e == '-';
        e += down || *e == '+';
        if (digit(*e) > 9) return nullptr;
        std::ptrdiff_t exponent = 0;
        const char* const first = e;
        for (unsigned d; (d = digit(*e)) <= 9; ++e)
            exponent = exponent < 100000 ? exponent * 10 + d : exponent;
        if (e - first > longest_number) return nullptr;
        power += down ? -exponent : exponent;
        p = e;
    }
    if (digits > 18 || m >= std::uint64_t{1} << 53 || power < -22 || power > 22) [[unlikely]] {
        out = decimal::slowly(begin, p, point);
        return p;
    }
    const double value = static_cast<double>(m);
    const double scaled = power < 0 ? value / decimal::powers[-power] : value * decimal::powers[power];
    out = negative ? -scaled : scaled;
    return p;
}

}  // namespace voltsill
