#include "quantity/scan.h"

#include <utf8proc.h>

#include <algorithm>
#include <charconv>

#include "quantity/dimension.h"

namespace voltsill {
namespace {

bool is_digit(char c) { return '0' <= c && c <= '9'; }
bool starts_with_digit(std::string_view text) { return !text.empty() && is_digit(text.front()); }

// Beyond any double, and far from overflowing an int when prefixes are added.
constexpr int exponent_ceiling = 99'999;

}  // namespace

std::optional<double> Decimal::times_ten_to(int power) const {
    const std::string text = digits + 'e' + std::to_string(exponent + power);
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
    return negative ? -value : value;
}

void Scanner::skip_space() {
    static constexpr std::string_view spaces[] = {" ", "\t", "\n", "\r", "\u00A0", "\u202F", "\u2009"};
    while (std::ranges::any_of(spaces, [this](std::string_view space) { return take(space); })) {
    }
}

bool Scanner::take(std::string_view word) {
    if (!rest().starts_with(word)) return false;
    at_ += word.size();
    return true;
}

std::optional<bool> Scanner::take_sign() {
    if (take("+")) return false;
    if (take("-") || take("\u2212")) return true;
    return std::nullopt;
}

std::string Scanner::take_digits() {
    const std::size_t begin = at_;
    while (starts_with_digit(rest())) ++at_;
    return std::string(text_.substr(begin, at_ - begin));
}

std::optional<Decimal> Scanner::take_decimal() {
    Decimal number{.digits = take_digits()};
    if (rest().starts_with('.') && starts_with_digit(rest().substr(1))) {
        ++at_;
        number.digits += '.' + take_digits();
    }
    if (number.digits.empty()) return std::nullopt;

    Scanner ahead = *this;
    if (ahead.take("e") || ahead.take("E")) {
        const bool minus = ahead.take_sign().value_or(false);
        if (starts_with_digit(ahead.rest())) {
            const std::string digits = ahead.take_digits();
            int exponent = exponent_ceiling;  // stays when from_chars finds it out of range
            std::from_chars(digits.data(), digits.data() + digits.size(), exponent);
            number.exponent = std::min(exponent, exponent_ceiling) * (minus ? -1 : 1);
            *this = ahead;
        }
    }
    return number;
}

std::optional<Decimal> Scanner::take_letter_code(std::string_view letters) {
    Scanner ahead = *this;
    const std::string whole = ahead.take_digits();
    char letter = 0;
    if (ahead.take("\u00B5") || ahead.take("\u03BC")) {
        letter = 'u';
    } else if (!ahead.done()) {
        letter = ahead.rest().front();
        ++ahead.at_;
    }
    if (letter == 0 || letters.find(letter) == std::string_view::npos) return std::nullopt;
    const std::string fraction = ahead.take_digits();
    if (fraction.empty()) return std::nullopt;
    *this = ahead;
    return Decimal{.digits = whole + '.' + fraction,
                   .exponent = find_prefix(std::string_view(&letter, 1)).value_or(0)};
}

std::string_view Scanner::take_word() {
    static constexpr std::string_view ends[] = {" ",      "\t",     "\n",     "\r", ",", "+",
                                                "\u00A0", "\u202F", "\u2009", "±",  ".."};
    const std::size_t begin = at_;
    while (!done() && std::ranges::none_of(ends, [this](auto end) { return rest().starts_with(end); })) ++at_;
    return text_.substr(begin, at_ - begin);
}

std::string in_quotes(std::string_view text) {
    std::string shown = "\"";
    for (int count = 0; !text.empty(); ++count) {
        if (count == 24) {
            shown += "...";
            break;
        }
        utf8proc_int32_t code_point = 0;
        const auto length = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data()),
                                             static_cast<utf8proc_ssize_t>(text.size()), &code_point);
        const bool fit = length > 0 && utf8proc_category(code_point) != UTF8PROC_CATEGORY_CC;
        shown += fit ? text.substr(0, static_cast<std::size_t>(length)) : "\uFFFD";
        text.remove_prefix(length > 0 ? static_cast<std::size_t>(length) : 1);
    }
    return shown + '"';
}

}  // namespace voltsill
