#pragma once
/// Decimal numbers as instruments print them, read in place.
///
///     number = [+|-] digits [point [digits]] [(e|E) [+|-] digits]   |   [+|-] point digits ...
///
/// A significand below 2^53 and a power of ten up to 10^22 are both exact doubles, so that one
/// multiplication or division rounds correctly (W. D. Clinger, "How to read floating point numbers
/// accurately", PLDI 1990, from memory). Everything else goes to std::from_chars.
#include <bit>
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

inline constexpr std::uint32_t whole_powers[] = {1,      10,      100,      1000,     10000,
                                                 100000, 1000000, 10000000, 100000000};

inline unsigned digit(char c) { return static_cast<unsigned char>(c) - unsigned{'0'}; }

/// Digits can be taken by words: the first one is the lowest byte.
inline constexpr bool by_words = std::endian::native == std::endian::little;
inline constexpr std::uint64_t every_byte = 0x0101010101010101;

/// Values of `n` digits, 1 to 8, with noughts before them. Eight bytes are read.
inline std::uint64_t side_by_side(const char* p, unsigned n) {
    std::uint64_t word;
    std::memcpy(&word, p, 8);
    return (word ^ every_byte * '0') << (64 - 8 * n);
}

inline bool all_digits(std::uint64_t values) {
    return (((values + every_byte * 0x76) | values) & every_byte * 0x80) == 0;
}

/// The number: ten times each byte plus its neighbour, a hundred times each pair plus its neighbour, ...
inline std::uint64_t joined(std::uint64_t values) {
    values = values * (1 + (10 << 8)) >> 8 & 0x00FF00FF00FF00FF;
    values = values * (1 + (100 << 16)) >> 16 & 0x0000FFFF0000FFFF;
    return values * (1 + (std::uint64_t{10000} << 32)) >> 32;
}

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

/// The same for numbers of a column: most have as many digits after the point as the one before, `fraction`,
/// which is kept up to date. Up to eight of them are taken at once. As the processor knows the length before
/// it sees the digits, it need not wait for them to go on. Nothing from `end` is read.
[[gnu::always_inline]] inline const char* read_decimal_alike(const char* p, const char* end, char point,
                                                             unsigned& fraction, double& out) {
    using decimal::digit;
    const unsigned f = fraction;
    if (decimal::by_words && f - 1 < 8) {
        const bool negative = *p == '-';
        const char* q = p + negative;
        const char* const whole = q;
        std::uint64_t m = 0;
        for (unsigned d; (d = digit(*q)) <= 9; ++q) m = m * 10 + d;
        if (*q == point && static_cast<std::size_t>(q - whole) - 1 < 7 && end - q > 9) {
            const std::uint64_t digits = decimal::side_by_side(q + 1, f);
            const char* const next = q + 1 + f;
            if (!decimal::all_digits(digits) || digit(*next) <= 9 || (*next | 0x20) == 'e') [[unlikely]] {
                // another length
            } else {
                m = m * decimal::whole_powers[f] + decimal::joined(digits);
                const double value = static_cast<double>(static_cast<std::int64_t>(m)) / decimal::powers[f];
                out = negative ? -value : value;
                return next;
            }
        }
    }
    const char* const next = read_decimal(p, point, out);
    if (!next) return next;
    const auto* const at =
        static_cast<const char*>(std::memchr(p, point, static_cast<std::size_t>(next - p)));
    fraction = at ? static_cast<unsigned>(next - at - 1) : 0;
    return next;
}

}  // namespace voltsill
