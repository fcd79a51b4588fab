#pragma once
/// The lowest layer of reading quantities: decimals, words and separators in a text.
///
/// A decimal is kept as written and turned to binary once, after the prefix of its unit is
/// known: "0.1 µF" is the double nearest to 1e-7, not 0.1 times a rounded 1e-6.
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace voltsill {

/// sign, digits with at most one point, and a power of ten.
struct Decimal {
    bool negative = false;
    std::string digits;  ///< "4.7", ".5" or "100"
    int exponent = 0;

    /// The nearest double to this decimal times 10^power; none if that over- or underflows.
    std::optional<double> times_ten_to(int power) const;
    bool is_zero() const { return digits.find_first_not_of("0.") == std::string::npos; }
};

/// A position in a text. Every `take` moves on only if it finds what it looks for.
class Scanner {
  public:
    explicit Scanner(std::string_view text) : text_(text) {}

    std::size_t at() const { return at_; }
    std::string_view rest() const { return text_.substr(at_); }
    bool done() const { return at_ == text_.size(); }

    /// White space of ASCII, no-break space, narrow no-break space and thin space.
    void skip_space();
    bool take(std::string_view word);
    /// '+', '-' or the minus sign U+2212: true if it was a minus, none if there was no sign.
    std::optional<bool> take_sign();
    /// Unsigned: digits, point only before a digit, exponent ("1e-3").
    std::optional<Decimal> take_decimal();
    /// Letter code of IEC 60062: one of `letters` in place of the decimal point ("4k7", "R10").
    /// The prefix goes into the exponent; the micro sign counts as 'u'.
    std::optional<Decimal> take_letter_code(std::string_view letters);
    /// Everything up to a space, comma, plus, tolerance sign or "..".
    std::string_view take_word();

  private:
    std::string take_digits();

    std::string_view text_;
    std::size_t at_ = 0;
};

/// Text from a user in double quotes, for messages: at most 24 code points, bytes that are no
/// UTF-8 and control characters replaced.
std::string in_quotes(std::string_view text);

}  // namespace voltsill
