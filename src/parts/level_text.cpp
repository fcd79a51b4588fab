#include "parts/level_text.h"

#include <fmt/format.h>

#include <cmath>
#include <span>

#include "quantity/print.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

constexpr std::string_view supply_words[] = {"supply", "Supply", "VCCI", "VCC", "VDD"};
constexpr std::string_view ground_words[] = {"ground", "GND", "VSS"};
constexpr std::string_view wanted = "a level such as \"2.0 V\", \"0.7 supply\" or \"supply + 0.5 V\"";

bool is_word_letter(std::string_view rest) {
    return !rest.empty() && (std::isalnum(static_cast<unsigned char>(rest.front())) || rest.front() == '_');
}

bool take_one_of(Scanner& scan, std::span<const std::string_view> words) {
    for (std::string_view word : words) {
        Scanner ahead = scan;
        if (!ahead.take(word) || is_word_letter(ahead.rest())) continue;
        scan = ahead;
        return true;
    }
    return false;
}

bool take_supply(Scanner& scan) {
    return take_one_of(scan, supply_words);
}

/// "0.3 * supply", "30 % of supply", "0.7 × VDD": as sheets write it. The share is a hundredth where a percent
/// sign follows.
double take_times(Scanner& scan) {
    const double share = scan.take("%") ? 0.01 : 1.0;
    scan.skip_space();
    for (std::string_view times : {"*", "×", "·", "x ", "of "})
        if (scan.take(times)) break;
    scan.skip_space();
    return share;
}

ParseTrouble shifted(ParseTrouble trouble, std::size_t by) {
    trouble.at += by;
    return trouble;
}

/// The end of the term that starts at `begin`: before a sign that begins the next term.
std::size_t end_of_term(std::string_view text, std::size_t begin) {
    for (std::size_t i = begin + 1; i < text.size(); ++i) {
        const bool sign = text[i] == '+' || text[i] == '-' || text.substr(i).starts_with("\u2212");
        const bool exponent = (text[i - 1] == 'e' || text[i - 1] == 'E') && i >= 2 &&
                              std::isdigit(static_cast<unsigned char>(text[i - 2]));
        if (sign && !exponent) return i;
    }
    return text.size();
}

class LevelReader {
  public:
    explicit LevelReader(std::string_view text) : text_(text), scan_(text) {}

    std::expected<Level, ParseTrouble> read() {
        scan_.skip_space();
        if (scan_.done()) return fail("empty", "no level is given", 0, 0);
        for (bool first = true; first || !scan_.done(); first = false) {
            if (auto term = read_term(first); !term) return std::unexpected(term.error());
            scan_.skip_space();
        }
        return level_;
    }

  private:
    std::unexpected<ParseTrouble> fail(std::string code, std::string message, std::size_t at,
                                       std::size_t length) {
        return std::unexpected(
            ParseTrouble{std::move(code), std::move(message), std::string(wanted), at, length});
    }

    std::expected<void, ParseTrouble> read_term(bool first) {
        const std::size_t sign_at = scan_.at();
        const auto sign = scan_.take_sign();
        if (!sign && !first)
            return fail("trailing-text", in_quotes(scan_.rest()) + " follows a complete term", scan_.at(),
                        scan_.rest().size());
        scan_.skip_space();
        const bool negative = sign.value_or(false);
        const std::size_t begin = scan_.at();
        Scanner ahead = scan_;
        double ratio = 1.0;
        if (const auto decimal = ahead.take_decimal()) ratio = decimal->times_ten_to(0).value_or(HUGE_VAL);
        ahead.skip_space();
        if (ahead.at() == begin && first && take_one_of(ahead, ground_words)) {  // "GND - 0.3 V"
            scan_ = ahead;
            return {};
        }
        if (ahead.at() > begin) ratio *= take_times(ahead);
        if (take_supply(ahead)) {
            scan_ = ahead;
            return add_ratio(negative ? -ratio : ratio, begin);
        }
        return add_volts(negative, begin, sign_at);
    }

    std::expected<void, ParseTrouble> add_ratio(double ratio, std::size_t begin) {
        if (has_ratio_)
            return fail("level-repeated", "the supply stands twice in this level", begin, scan_.at() - begin);
        if (!std::isfinite(ratio))
            return fail("out-of-range", "this number is too large", begin, scan_.at() - begin);
        has_ratio_ = true;
        level_.ratio = ratio;
        return {};
    }

    std::expected<void, ParseTrouble> add_volts(bool negative, std::size_t begin, std::size_t sign_at) {
        const std::size_t end = begin < text_.size() ? end_of_term(text_, begin) : begin;
        const std::string_view term = text_.substr(begin, end - begin);
        const auto volts = parse<Volts>(term);
        if (!volts) {
            ParseTrouble trouble = shifted(volts.error(), begin);
            if (begin == end) trouble.at = sign_at, trouble.length = end - sign_at;
            if (!trouble.expected.starts_with("write ")) trouble.expected = wanted;
            return std::unexpected(std::move(trouble));
        }
        if (has_volts_) return fail("level-repeated", "two voltages stand in this level", begin, end - begin);
        if (volts->lo != volts->hi)
            return fail("not-one-value", "a range or tolerance where one value is needed", begin,
                        end - begin);
        has_volts_ = true;
        level_.offset = negative ? -volts->nominal : volts->nominal;
        while (scan_.at() < end) scan_.take(text_.substr(scan_.at(), 1));
        return {};
    }

    std::string_view text_;
    Scanner scan_;
    Level level_;
    bool has_ratio_ = false, has_volts_ = false;
};

}  // namespace

std::expected<Level, ParseTrouble> parse_level(std::string_view text) { return LevelReader(text).read(); }

std::expected<LevelRange, ParseTrouble> parse_level_range(std::string_view text) {
    // Plain voltages may leave the unit to the right one: "-0.5..5.5 V".
    if (const auto span = parse<Volts>(text)) return LevelRange{{0.0, span->lo}, {0.0, span->hi}};
    const std::size_t dots = text.find("..");
    if (dots == std::string_view::npos)
        return std::unexpected(ParseTrouble{"not-a-range", "one level where a range is needed",
                                            "two levels such as \"0 V .. supply\"", 0, text.size()});
    auto lo = parse_level(text.substr(0, dots));
    if (!lo) return std::unexpected(lo.error());
    auto hi = parse_level(text.substr(dots + 2));
    if (!hi) return std::unexpected(shifted(hi.error(), dots + 2));
    return LevelRange{*lo, *hi};
}

std::string print(const Level& level) {
    if (level.ratio == 0.0) return print_exact(level.offset);
    std::string text = level.ratio == 1.0 ? "supply" : fmt::format("{} supply", level.ratio);
    if (level.offset == Volts{}) return text;
    const bool minus = level.offset < Volts{};
    return text + (minus ? " - " : " + ") + print_exact(minus ? -level.offset : level.offset);
}

std::string print(const LevelRange& range) { return print(range.lo) + " .. " + print(range.hi); }

Type<Level> TypeOf<Level>::get() { return from_text<Level>(std::string(wanted), "", &parse_level); }

Type<LevelRange> TypeOf<LevelRange>::get() {
    return from_text<LevelRange>("two levels such as \"0 V .. supply\"", "", &parse_level_range);
}

}  // namespace voltsill
