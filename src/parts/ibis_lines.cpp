#include "parts/ibis_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

namespace voltsill {
namespace {

constexpr double largest = 1e30;
/// The search for a near name takes time with every choice, so none is made among very many.
constexpr std::size_t most_choices = 500;

bool blank(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\f' || c == '\v'; }
char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }
bool letter(char c) { return lower(c) >= 'a' && lower(c) <= 'z'; }

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && blank(text.back())) text.remove_suffix(1);
    return text;
}

double scale_of(char c) {
    switch (c) {
        case 'T':
            return 1e12;
        case 'G':
            return 1e9;
        case 'M':
            return 1e6;
        case 'k':
            return 1e3;
        case 'm':
            return 1e-3;
        case 'u':
            return 1e-6;
        case 'n':
            return 1e-9;
        case 'p':
            return 1e-12;
        case 'f':
            return 1e-15;
        default:
            return 1.0;
    }
}

/// A word of a file, short enough for a sentence.
std::string shortened(std::string_view word) {
    return word.size() > 40 ? fmt::format("\"{}...\"", word.substr(0, 37)) : fmt::format("\"{}\"", word);
}

}  // namespace

std::string ibis_key(std::string_view keyword) {
    std::string key;
    for (const char c : keyword) {
        if (c == '[' || c == ']') continue;
        const char plain = c == '_' || blank(c) ? ' ' : lower(c);
        if (plain == ' ' && (key.empty() || key.back() == ' ')) continue;
        key += plain;
    }
    if (key.ends_with(' ')) key.pop_back();
    return key;
}

bool same_letters(std::string_view a, std::string_view b) {
    return std::ranges::equal(a, b, {}, lower, lower);
}

IbisLines::~IbisLines() {
    if (too_long_ > 0) {
        Problem p = source_.problem(
            source_.spot(source_.line_begin(first_too_long_), source_.line_begin(first_too_long_)),
            "long-line",
            fmt::format("{} line{} longer than {} characters", too_long_, too_long_ == 1 ? " is" : "s are",
                        longest_),
            "lines within the limit of the stated version");
        p.severity = Severity::warning;
        problems_.push_back(std::move(p));
    }
    if (left_out_ == 0) return;
    Problem p;
    p.code = "more-problems";
    p.place.file = source_.file();
    p.message = fmt::format("{} more problem{} not shown", left_out_, left_out_ == 1 ? " is" : "s are");
    problems_.push_back(std::move(p));
}

bool IbisLines::next() {
    while (line_ < source_.line_count()) {
        ++line_;
        std::string_view text = source_.line(line_);
        if (static_cast<int>(std::min<std::size_t>(text.size(), 1u << 20)) > longest_) {
            if (too_long_++ == 0) first_too_long_ = line_;
        }
        text = trimmed(text);
        const bool names_comment =
            text.starts_with('[') && ibis_key(text.substr(0, text.find(']'))) == "comment char";
        if (!names_comment) text = trimmed(text.substr(0, text.find(comment_)));
        if (text.empty()) continue;
        keyword_ = text.front() == '[';
        rest_ = text;
        if (keyword_) {
            const std::size_t close = text.find(']');
            if (close == std::string_view::npos) {
                error(text, "unclosed-keyword", "this keyword has no closing bracket", "[Keyword] ...");
                continue;
            }
            bracketed_ = text.substr(0, close + 1);
            key_ = ibis_key(bracketed_.substr(0, 80));
            rest_ = trimmed(text.substr(close + 1));
        }
        return true;
    }
    return false;
}

std::vector<std::string_view> IbisLines::words(bool equals_separates) const {
    std::vector<std::string_view> found;
    const auto separates = [&](char c) { return blank(c) || (equals_separates && c == '='); };
    for (std::size_t at = 0; at < rest_.size();) {
        if (separates(rest_[at])) {
            ++at;
            continue;
        }
        std::size_t end = at;
        while (end < rest_.size() && !separates(rest_[end])) ++end;
        found.push_back(rest_.substr(at, end - at));
        at = end;
    }
    return found;
}

Spot IbisLines::spot(std::string_view at) const {
    const std::size_t begin = static_cast<std::size_t>(at.data() - source_.text().data());
    return source_.spot(begin, begin + at.size());
}

void IbisLines::add(Severity severity, const Spot& spot, std::string code, std::string message,
                    std::string expected, std::string nearest) {
    if (full()) {
        ++left_out_;
        return;
    }
    Problem p = source_.problem(spot, std::move(code), std::move(message), std::move(expected));
    p.severity = severity;
    p.nearest = std::move(nearest);
    problems_.push_back(std::move(p));
}

void IbisLines::error(std::string_view at, std::string code, std::string message, std::string expected) {
    add(Severity::error, spot(at), std::move(code), std::move(message), std::move(expected));
}

void IbisLines::warning(std::string_view at, std::string code, std::string message, std::string expected) {
    add(Severity::warning, spot(at), std::move(code), std::move(message), std::move(expected));
}

void IbisLines::error_on(int line, std::string code, std::string message, std::string expected) {
    error(trimmed(source_.line(line)), std::move(code), std::move(message), std::move(expected));
}

void IbisLines::warning_on(int line, std::string code, std::string message, std::string expected) {
    warning(trimmed(source_.line(line)), std::move(code), std::move(message), std::move(expected));
}

void IbisLines::unknown_name(std::string_view at, std::string code, std::string message,
                             const std::vector<std::string>& choices) {
    // The search for a near name costs time with every name, so none is made for problems that are only
    // counted.
    const bool seek = !full() && choices.size() <= most_choices;
    std::string nearest = seek ? nearest_name(at.substr(0, 80), choices) : std::string();
    add(Severity::error, spot(at), std::move(code), std::move(message), {}, std::move(nearest));
}

void IbisLines::unknown_model(int line, const std::string& name, const std::vector<std::string>& choices) {
    const std::string_view text = source_.line(line);
    const std::size_t at = text.find(name);
    unknown_name(at == std::string_view::npos ? text : text.substr(at, name.size()), "unknown-model",
                 fmt::format("there is no model {}", shortened(name)), choices);
}

std::optional<double> IbisLines::number(std::string_view word) {
    const std::string_view digits = word.starts_with('+') ? word.substr(1) : word;
    double value = 0;
    const auto [stop, trouble] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    std::string_view unit = digits.substr(static_cast<std::size_t>(stop - digits.data()));
    // from_chars also reads "inf" and "nan".
    const bool starts =
        !digits.empty() && (digits[0] == '-' || digits[0] == '.' || (digits[0] >= '0' && digits[0] <= '9'));
    if (!starts || trouble == std::errc::invalid_argument || !std::ranges::all_of(unit, letter) ||
        !std::isfinite(value)) {
        error(word, "not-a-number", shortened(word) + " is not a number",
              "a number such as 12.5p or 3.3V, or NA");
        return std::nullopt;
    }
    if (unit.starts_with('K')) {
        error(word, "wrong-suffix", shortened(word) + " ends in a capital K", "a small k for kilo");
        return std::nullopt;
    }
    if (!unit.empty()) value *= scale_of(unit.front());
    if (trouble == std::errc::result_out_of_range || std::abs(value) > largest) {
        error(word, "out-of-range", shortened(word) + " is beyond any electrical quantity");
        return std::nullopt;
    }
    return value;
}

std::optional<IbisTriple> IbisLines::triple(std::span<const std::string_view> words, std::string_view what,
                                            std::vector<std::string>& remarks) {
    if (words.empty() || is_na(words[0])) {
        const std::string_view at = words.empty() ? (keyword_ ? bracketed_ : rest_) : words[0];
        error(at, "typical-missing", fmt::format("{} has no typical figure", what),
              "typ min max; NA is allowed for min and max only");
        return std::nullopt;
    }
    IbisTriple out;
    std::string stands_in;
    for (int corner = 0; corner < 3; ++corner) {
        const auto i = static_cast<std::size_t>(corner);
        out.given[i] = i < words.size() && !is_na(words[i]);
        if (!out.given[i]) {
            out.value[i] = out.value[0];
            stands_in += stands_in.empty() ? "" : " and ";
            stands_in += corner == ibis_min ? "minimum" : "maximum";
            continue;
        }
        const auto value = number(words[i]);
        if (!value) return std::nullopt;
        out.value[i] = *value;
    }
    if (words.size() > 3)
        warning(words[3], "extra-words", fmt::format("{} takes three figures", what), "typ min max");
    if (!stands_in.empty())
        remarks.push_back(
            fmt::format("line {}: {}: {} not given, the typical figure stands in", line_, what, stands_in));
    return out;
}

}  // namespace voltsill
