#include "quantity/parse.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <optional>
#include <vector>

#include "quantity/scan.h"

namespace voltsill {
namespace {

constexpr double absolute_zero = -273.15;  // degrees Celsius, exact (SI brochure, 9th edition, 2.3.1)

std::string such_as(Dimension dimension) {
    const DimensionInfo& d = info(dimension);
    return std::string(d.noun) + " such as \"" + std::string(d.example) + '"';
}

/// The unit that `word` was most likely meant to be: the same letters in other capitals ("kHZ", "pf"), with as few
/// of them changed as will do, or a prefix whose unit is missing ("n"). Nobody means millions of amps or volts on a
/// bench, so "Ma" is "mA". "" if none is near.
std::string nearest_unit(std::string_view word, Dimension dimension) {
    constexpr std::size_t longest = 8;
    std::string best;
    int fewest = static_cast<int>(longest) + 1;
    for (unsigned changes = 1; word.size() <= longest && changes < (1u << word.size()); ++changes) {
        std::string other(word);
        bool letters = true;
        for (std::size_t k = 0; k < word.size(); ++k) {
            if (!(changes >> k & 1u)) continue;
            letters = letters && (('a' <= word[k] && word[k] <= 'z') || ('A' <= word[k] && word[k] <= 'Z'));
            other[k] = static_cast<char>(word[k] ^ 0x20);
        }
        const auto unit = letters ? find_unit(other) : std::nullopt;
        if (!unit || unit->dimension != dimension || std::popcount(changes) >= fewest) continue;
        if (unit->power >= 6 && dimension != Dimension::resistance && dimension != Dimension::frequency) continue;
        fewest = std::popcount(changes);
        best = other;
    }
    if (best.empty() && find_prefix(word)) best = std::string(word) + std::string(info(dimension).symbol);
    return best;
}

/// A number as written and the unit beside it, if any.
struct Term {
    Decimal number;
    std::optional<UnitMatch> unit;
    bool is_code = false;  ///< letter code: complete without unit, and lends none
    std::size_t at = 0;
    std::size_t length = 0;
};

class Reader {
  public:
    using Failure = std::unexpected<ParseTrouble>;

    Reader(Dimension dimension, std::string_view text) : dimension_(dimension), text_(text), scan_(text) {}

    std::expected<Span<double>, ParseTrouble> read() {
        auto terms = read_terms();
        if (!terms) return Failure(terms.error());
        auto tolerance = read_tolerance(terms->size());
        if (!tolerance) return Failure(tolerance.error());
        scan_.skip_space();
        if (!scan_.done()) return trailing();
        if (*tolerance) lend_to_nominal(**tolerance, terms->back());
        if (auto lent = lend_units(*terms); !lent) return Failure(lent.error());
        auto span = to_span(*terms);
        if (span && *tolerance) span = widen(*span, **tolerance);
        if (!span) return span;
        return checked(*span);
    }

  private:
    Failure fail(std::string code, std::string message, std::string expected, std::size_t at,
                 std::size_t length) const {
        return Failure({std::move(code), std::move(message), std::move(expected), at, length});
    }
    Failure fail(std::string code, std::string message, const Term& term) const {
        return fail(std::move(code), std::move(message), such_as(dimension_), term.at, term.length);
    }
    Failure trailing() const {
        return fail("trailing-text", in_quotes(scan_.rest()) + " follows a complete value",
                    "nothing more, \"± 3 %\", or a range such as \"1..2\" with its unit", scan_.at(),
                    scan_.rest().size());
    }
    std::string written(const Term& term) const { return in_quotes(text_.substr(term.at, term.length)); }

    std::expected<std::vector<Term>, ParseTrouble> read_terms();
    std::expected<std::optional<Term>, ParseTrouble> read_tolerance(std::size_t terms_before);
    std::expected<Term, ParseTrouble> read_term();
    std::expected<void, ParseTrouble> read_number(Term& term);
    std::expected<void, ParseTrouble> read_unit(Term& term);
    void lend_to_nominal(const Term& tolerance, Term& nominal) const {  // "5 ± 0.25 V"
        const bool bare = !nominal.unit && !nominal.is_code;
        if (bare && tolerance.unit && tolerance.unit->dimension == dimension_) nominal.unit = tolerance.unit;
    }
    std::expected<void, ParseTrouble> lend_units(std::vector<Term>& terms) const;
    std::expected<double, ParseTrouble> value_of(const Term& term) const;
    std::expected<Span<double>, ParseTrouble> to_span(const std::vector<Term>& terms) const;
    std::expected<Span<double>, ParseTrouble> widen(Span<double> span, const Term& tolerance) const;
    std::expected<Span<double>, ParseTrouble> checked(Span<double> span) const;

    Dimension dimension_;
    std::string_view text_;
    Scanner scan_;
};

std::expected<std::vector<Term>, ParseTrouble> Reader::read_terms() {
    std::vector<Term> terms;
    do {
        if (!terms.empty() && scan_.rest().starts_with('.'))
            return fail("not-a-number", "a range is written with two points, not three",
                        "a range such as \"1..2\" with its unit", scan_.at(), 1);
        auto term = read_term();
        if (!term) return Failure(term.error());
        terms.push_back(*std::move(term));
        scan_.skip_space();
    } while (terms.size() < 3 && scan_.take(".."));
    return terms;
}

std::expected<std::optional<Term>, ParseTrouble> Reader::read_tolerance(std::size_t terms_before) {
    const std::size_t sign = scan_.at();
    if (!scan_.take("±") && !scan_.take("+/-") && !scan_.take("+-")) return std::nullopt;
    if (terms_before > 1)
        return fail("tolerance-on-range", "a range already has its limits and takes no tolerance",
                    "either a range or a value with tolerance", sign, text_.size() - sign);
    auto term = read_term();
    if (!term) return Failure(term.error());
    if (term->number.negative)
        return fail("negative-tolerance", "the tolerance " + written(*term) + " is negative",
                    "a tolerance such as \"± 3 %\"", term->at, term->length);
    if (!term->unit && !term->is_code)
        return fail("unit-missing", "the tolerance " + written(*term) + " has neither % nor a unit",
                    "a tolerance such as \"± 3 %\"", term->at, term->length);
    return std::optional(*std::move(term));
}

std::expected<Term, ParseTrouble> Reader::read_term() {
    scan_.skip_space();
    Term term{.at = scan_.at()};
    if (auto number = read_number(term); !number) return Failure(number.error());
    term.length = scan_.at() - term.at;
    if (auto unit = read_unit(term); !unit) return Failure(unit.error());
    return term;
}

std::expected<void, ParseTrouble> Reader::read_number(Term& term) {
    if (scan_.done()) {
        Scanner all(text_);
        all.skip_space();
        return all.done() ? fail("empty", "there is nothing here", such_as(dimension_), 0, 0)
                          : fail("not-a-number", "a number is missing at the end", such_as(dimension_),
                                 scan_.at(), 0);
    }
    const bool negative = scan_.take_sign().value_or(false);
    auto number = scan_.take_letter_code(info(dimension_).code_letters);
    term.is_code = number.has_value();
    if (!number) number = scan_.take_decimal();
    const std::string_view rest = scan_.rest();
    const bool hexadecimal = rest.starts_with('x') || rest.starts_with('X');
    if (term.at == scan_.at() && rest.starts_with("±"))
        return fail("not-a-number", "\"±\" stands here without a value before it",
                    "the size alone, or " + such_as(dimension_), term.at, std::string_view("±").size());
    if (!number || hexadecimal) {
        const std::size_t length = std::max<std::size_t>(scan_.at() - term.at + scan_.take_word().size(), 1);
        return fail("not-a-number", in_quotes(text_.substr(term.at, length)) + " is not a decimal number",
                    such_as(dimension_), term.at, std::min(length, text_.size() - term.at));
    }
    if (rest.size() > 1 && rest[0] == ',' && '0' <= rest[1] && rest[1] <= '9')
        return fail("decimal-comma",
                    "a comma stands inside the number; write a decimal point, and no comma between thousands",
                    such_as(dimension_), scan_.at(), 1);
    number->negative = negative;
    term.number = *std::move(number);
    return {};
}

std::expected<void, ParseTrouble> Reader::read_unit(Term& term) {
    const Scanner before = scan_;
    scan_.skip_space();
    const std::size_t at = scan_.at();
    const std::string_view word = scan_.take_word();
    if (word.empty()) {
        scan_ = before;
        return {};
    }
    const DimensionInfo& wanted = info(dimension_);
    if (const auto unit = find_unit(word)) {
        if (unit->dimension != dimension_ && unit->dimension != Dimension::ratio)
            return fail("wrong-unit",
                        in_quotes(word) + " is the unit of " + std::string(info(unit->dimension).noun) +
                            ", and " + std::string(wanted.noun) + " is needed here",
                        such_as(dimension_), at, word.size());
        if (term.is_code && unit->power != 0)
            return fail("trailing-text",
                        in_quotes(word) + " follows a letter code, which has its multiplier inside",
                        such_as(dimension_), at, word.size());
        term.unit = unit;
    } else if (const auto power = find_prefix(word);
               power && !term.is_code && !wanted.bare_prefixes.empty()) {
        // The micro sign is longer than a byte and stands for 'u'.
        const char letter = word.size() == 1 ? word.front() : 'u';
        if (wanted.bare_prefixes.find(letter) == std::string_view::npos)
            return fail("ambiguous-prefix",
                        in_quotes(word) + " alone may be milli or a slip for another prefix",
                        such_as(dimension_), at, word.size());
        term.unit = UnitMatch{dimension_, *power};
    } else {
        const std::string near = nearest_unit(word, dimension_);
        return fail("unknown-unit", "no unit is called " + in_quotes(word) + " (capitals matter)",
                    near.empty() ? such_as(dimension_) : "write " + in_quotes(near) + ", as in " + such_as(dimension_),
                    at, word.size());
    }
    term.length = scan_.at() - term.at;
    return {};
}

std::expected<void, ParseTrouble> Reader::lend_units(std::vector<Term>& terms) const {
    std::optional<UnitMatch> lent;
    if (dimension_ == Dimension::ratio) lent = UnitMatch{dimension_, 0};
    for (auto term = terms.rbegin(); term != terms.rend(); ++term) {
        if (term->is_code) {
            if (!term->unit) term->unit = UnitMatch{dimension_, 0};
            lent.reset();
        } else if (term->unit) {
            lent = term->unit;
        } else if (lent) {
            term->unit = lent;
        } else if (term->number.is_zero() && term != terms.rbegin()) {
            term->unit = UnitMatch{dimension_, 0};  // zero is zero in any unit: "0..4k7"
        } else {
            return fail("unit-missing", written(*term) + " has no unit", *term);
        }
        if (term->unit->dimension != dimension_)
            return fail(
                "wrong-unit",
                written(*term) + " is a ratio, and " + std::string(info(dimension_).noun) + " is needed here",
                *term);
    }
    return {};
}

std::expected<double, ParseTrouble> Reader::value_of(const Term& term) const {
    if (const auto value = term.number.times_ten_to(term.unit ? term.unit->power : 0)) return *value;
    return fail("out-of-range", written(term) + " is too large or too small to compute with", term);
}

std::expected<Span<double>, ParseTrouble> Reader::to_span(const std::vector<Term>& terms) const {
    std::vector<double> values;
    for (const Term& term : terms) {
        const auto value = value_of(term);
        if (!value) return Failure(value.error());
        values.push_back(*value);
    }
    const double lo = values.front();
    const double hi = values.back();
    const std::size_t width = terms.back().at + terms.back().length - terms.front().at;
    if (lo > hi)
        return fail("reversed-range", "the range runs from the higher to the lower value",
                    "the lower limit first", terms.front().at, width);
    if (values.size() == 1) return Span<double>::exactly(lo);
    if (values.size() == 2) return Span<double>::between(lo, hi);
    if (values[1] < lo || values[1] > hi)
        return fail("nominal-outside", "the nominal value " + written(terms[1]) + " lies outside its limits",
                    "lowest, nominal and highest value in this order", terms[1].at, terms[1].length);
    return Span<double>{lo, values[1], hi};
}

std::expected<Span<double>, ParseTrouble> Reader::widen(Span<double> span, const Term& tolerance) const {
    const auto amount = value_of(tolerance);
    if (!amount) return Failure(amount.error());
    const bool relative = tolerance.unit && tolerance.unit->dimension == Dimension::ratio;
    if (!relative) return Span<double>{span.nominal - *amount, span.nominal, span.nominal + *amount};
    if (dimension_ == Dimension::temperature)
        return fail("percent-of-temperature", "a percentage of a temperature in degrees has no meaning",
                    "a tolerance in degrees, such as \"± 5 °C\"", tolerance.at, tolerance.length);
    return Span<double>::within(span.nominal, *amount);
}

std::expected<Span<double>, ParseTrouble> Reader::checked(Span<double> span) const {
    const auto whole = [&](std::string code, std::string message) {
        return fail(std::move(code), std::move(message), such_as(dimension_), 0, text_.size());
    };
    if (!std::isfinite(span.lo) || !std::isfinite(span.nominal) || !std::isfinite(span.hi))
        return whole("out-of-range", in_quotes(text_) + " is too large to compute with");
    if (span.lo < 0.0 && !info(dimension_).may_be_negative)
        return whole("negative", std::string(info(dimension_).noun) + " cannot be negative");
    if (dimension_ == Dimension::temperature && span.lo < absolute_zero)
        return whole("below-absolute-zero", "the temperature lies below absolute zero, -273.15 °C");
    return span;
}

/// A dash and the blanks around it.
struct Dash {
    std::size_t at, length;
};

/// The first hyphen, minus sign or dash that follows a value and stands before a digit: "0-40 °C".
/// The minus of an exponent is none.
std::optional<Dash> dash_of_range(std::string_view text) {
    constexpr std::string_view dashes[] = {"-", "\u2212", "\u2013", "\u2014"};
    for (std::size_t at = 1; at < text.size(); ++at) {
        const auto* dash =
            std::ranges::find_if(dashes, [&](auto d) { return text.substr(at).starts_with(d); });
        if (dash == std::end(dashes)) continue;
        const std::size_t end = text.find_first_not_of(' ', at + dash->size());
        const std::size_t last = text.find_last_not_of(' ', at - 1);
        if (end == std::string_view::npos || last == std::string_view::npos) continue;
        const bool exponent = last + 1 == at && (text[last] == 'e' || text[last] == 'E');
        if (exponent || !('0' <= text[end] && text[end] <= '9')) continue;
        return Dash{last + 1, end - last - 1};
    }
    return std::nullopt;
}

}  // namespace

std::expected<Span<double>, ParseTrouble> parse_span(Dimension dimension, std::string_view text) {
    auto span = Reader(dimension, text).read();
    if (span) return span;
    if (const auto dash = dash_of_range(text)) {
        const std::string mended =
            std::string(text.substr(0, dash->at)) + ".." + std::string(text.substr(dash->at + dash->length));
        if (Reader(dimension, mended).read())
            return std::unexpected(ParseTrouble{"dash-in-range",
                                                "a range is written with two points, not with a dash",
                                                "write " + in_quotes(mended), dash->at, dash->length});
    }
    return span;
}

std::expected<double, ParseTrouble> parse_ratio(std::string_view text) {
    const auto span = parse_span(Dimension::ratio, text);
    if (!span) return std::unexpected(span.error());
    if (span->lo != span->hi)
        return std::unexpected(ParseTrouble{"not-one-value",
                                            in_quotes(text) + " is a range; one ratio is needed",
                                            such_as(Dimension::ratio), 0, text.size()});
    return span->nominal;
}

}  // namespace voltsill
