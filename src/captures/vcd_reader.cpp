/// Value change dumps, IEEE Std 1364-2005, clause 18 (p. 325 ff.):
///
///     #250        time, in units of $timescale
///     1!          scalar "!" becomes 1; no blank between
///     b1x0 %      vector "%": a shorter value is extended to the left with 0, x or z (18.2.1)
///     r-1.25 &    real
///
/// Words are separated by blanks and line ends of any kind. U, W and - of IEEE Std 1164 are read as x,
/// L as 0, H as 1, and reported.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include "captures/decimal.h"
#include "captures/reader.h"
#include "captures/vcd_header.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

constexpr std::size_t most_words = 64, longest_batch = 512, least_batch = 16, batches = 1u << 16;

bool blank(char c) { return static_cast<unsigned char>(c) <= ' '; }

std::optional<Bit> bit_of(char c) {
    switch (c) {
        case '0':
        case 'L':
        case 'l':
            return Bit::zero;
        case '1':
        case 'H':
        case 'h':
            return Bit::one;
        case 'z':
        case 'Z':
            return Bit::z;
        case 'x':
        case 'X':
        case 'U':
        case 'u':
        case 'W':
        case 'w':
        case '-':
            return Bit::x;
        default:
            return std::nullopt;
    }
}

bool of_nine_values(char c) { return c != 'z' && c != 'Z' && c != 'x' && c != 'X' && c != '0' && c != '1'; }

class VcdReader final : public FormatReader {
  public:
    VcdReader(std::string file, SampleSink& sink)
        : sink_(sink), complaints_(std::move(file)), header_(complaints_) {}

    void push(std::string_view bytes) override;
    void finish() override;
    bool stopped() const override { return stopped_ || complaints_.refused(); }
    Problems problems() const override { return complaints_.all(); }
    bool truncated() const override { return truncated_; }
    std::string format() const override {
        return fmt::format("value change dump (IEEE 1364), time unit {}",
                           print(Seconds{header_.seconds_per_tick}));
    }

  private:
    void words(const char* p, const char* end);
    const char* fast_words(const char* p, const char* end);
    void too_long();
    void word(std::string_view text);
    bool section_word(std::string_view text);
    void keyword(std::string_view text);
    void begin_values();
    void time(std::string_view text);
    void say_all();
    void scalar(char value, std::string_view id, std::string_view text);
    void wide(std::string_view id);
    void vector(VcdVariable& v, std::string_view bits);
    void real(VcdVariable& v, std::string_view number);
    void unknown(std::string_view id, std::string_view text);
    void nine_values(std::string_view text);
    void set(std::int32_t channel, Bit value);
    void say(std::int32_t channel);
    void flush(std::int32_t channel);
    void flush();

    SampleSink& sink_;
    Complaints complaints_;
    VcdHeader header_;
    std::string carry_;
    bool skipping_ = false;  ///< the rest of a word that was given up
    std::uint64_t line_ = 1, section_line_ = 1;
    bool stopped_ = false, truncated_ = false;

    bool in_values_ = false, has_time_ = false;
    std::string section_;  ///< keyword whose $end is awaited
    std::vector<std::string> section_words_;
    std::string value_;  ///< of a vector or real whose identifier is awaited
    std::int64_t now_ = 0;

    struct Channel {
        Bit now = Bit::x;
        std::uint32_t waiting = 0;  ///< changes that the sink has not got yet
    };
    std::vector<Channel> channels_;
    std::vector<BitChange> waiting_;  ///< `batch_` places for every channel
    std::size_t batch_ = 0;
};

/// By first character of a word: the value of a scalar in IEEE 1364, or none.
constexpr std::array<std::uint8_t, 256> scalar_values = [] {
    std::array<std::uint8_t, 256> out{};
    out.fill(0xFF);
    out['0'] = 0, out['1'] = 1, out['x'] = out['X'] = 2, out['z'] = out['Z'] = 3;
    return out;
}();

void VcdReader::set(std::int32_t channel, Bit value) {
    Bit& now = channels_[static_cast<std::size_t>(channel)].now;
    if (std::exchange(now, value) != value && has_time_) say(channel);
}

/// The value as it stands.
void VcdReader::say(std::int32_t channel) {
    Channel& c = channels_[static_cast<std::size_t>(channel)];
    waiting_[static_cast<std::size_t>(channel) * batch_ + c.waiting++] = {now_, c.now};
    if (c.waiting == batch_) flush(channel);
}

void VcdReader::push(std::string_view bytes) {
    if (stopped()) return;
    if (!carry_.empty() || skipping_) {
        const auto at = static_cast<std::size_t>(std::ranges::find_if(bytes, blank) - bytes.begin());
        if (!skipping_) carry_ += bytes.substr(0, std::min(at, longest_line + 1));
        if (carry_.size() > longest_line) {
            too_long();
            carry_.clear();
            skipping_ = true;
        }
        if (at == bytes.size()) return;
        skipping_ = false;
        carry_ += ' ';
        const std::string whole = std::exchange(carry_, {});
        if (whole.size() > 1) words(whole.data(), whole.data() + whole.size());
        bytes.remove_prefix(at);
    }
    std::size_t last = bytes.size();
    while (last > 0 && !blank(bytes[last - 1])) --last;
    words(bytes.data(), bytes.data() + last);
    carry_ = bytes.substr(last);
}

void VcdReader::too_long() {
    complaints_.add(Severity::warning, "line-too-long", line_, {}, 0, 0,
                    fmt::format("a word has more than {} bytes; it is left out", longest_line));
    value_.clear();
}

/// [p, end) holds whole words; its last byte is a blank.
void VcdReader::words(const char* p, const char* end) {
    while (p < end && !stopped_) {
        if (blank(*p)) {
            line_ += *p++ == '\n';
            continue;
        }
        if (has_time_ && section_.empty() && value_.empty() && (p = fast_words(p, end)) == end) return;
        const char* const begin = p;
        while (!blank(*p)) ++p;
        word({begin, p});
        if (complaints_.refused()) return;
    }
}

/// Reads the digits from `p`, of which there are mostly `length`; returns the first byte that is none. The last byte
/// before `end` is a blank.
inline const char* fast_time(const char* p, const char* end, std::ptrdiff_t length, std::uint64_t& t) {
    if (decimal::by_words && length >= 8 && end - p > 20) {
        for (const char* const last = p + length - 8; p < last && decimal::digit(*p) <= 9; ++p)
            t = t * 10 + decimal::digit(*p);
        const std::uint64_t eight = decimal::side_by_side(p, 8);
        if (decimal::all_digits(eight)) {
            t = t * 100'000'000 + decimal::joined(eight);
            p += 8;
        }
    }
    for (unsigned d; (d = decimal::digit(*p)) <= 9; ++p) t = t * 10 + d;
    return p;
}

/// Reads times that do not fall and scalars with an identifier of one character; returns the first word
/// that is neither. What the loop needs stands in locals.
const char* VcdReader::fast_words(const char* p, const char* end) {
    const auto& channel_of = header_.channel_of_character;
    Channel* const channels = channels_.data();
    BitChange* const waiting = waiting_.data();
    const std::size_t batch = batch_;
    std::int64_t now = now_;
    std::uint64_t line = line_;
    std::ptrdiff_t length = 0;  ///< digits of the last time: the next has mostly as many
    while (p < end) {
        const char first = *p;
        if (first == '#') {
            std::uint64_t t = 0;
            const char* const q = fast_time(p + 1, end, length, t);
            if (!blank(*q) || q - p < 2 || q - p > 18 || static_cast<std::int64_t>(t) < now) break;
            now = static_cast<std::int64_t>(t);
            length = q - p - 1;
            p = q;
        } else if (const std::uint8_t value = scalar_values[static_cast<unsigned char>(first)]; value <= 3) {
            const std::int32_t channel = channel_of[static_cast<unsigned char>(p[1])];
            if (channel < 0 || !blank(p[2])) break;
            p += 2;
            Channel& c = channels[channel];
            if (c.now != static_cast<Bit>(value)) {
                c.now = static_cast<Bit>(value);
                waiting[static_cast<std::size_t>(channel) * batch + c.waiting++] = {now, c.now};
                if (c.waiting == batch) flush(channel);
            }
        } else if (!blank(first)) {
            break;
        }
        line += *p++ == '\n';
    }
    now_ = now;
    line_ = line;
    return p;
}

void VcdReader::word(std::string_view text) {
    if (text.size() > longest_line) {
        too_long();
        return;
    }
    if (section_word(text)) return;
    if (!value_.empty()) return wide(text);
    if (text[0] == '$') return keyword(text);
    if (!in_values_) {
        complaints_.add(Severity::error, "vcd-header", line_, text, 0, text.size(),
                        fmt::format("\"{}\" stands where a declaration should begin", text.substr(0, 40)),
                        "a keyword such as $var or $enddefinitions");
        return;
    }
    switch (text[0]) {
        case '#':
            return time(text);
        case 'b':
        case 'B':
        case 'r':
        case 'R':
            value_ = text;
            return;
        default:
            if (bit_of(text[0])) return scalar(text[0], text.substr(1), text);
            complaints_.add(Severity::warning, "vcd-value", line_, text, 0, text.size(),
                            fmt::format("\"{}\" is no value change", text.substr(0, 40)),
                            "#time, a scalar such as 1!, a vector such as b10 !, or a real such as r1.5 !");
    }
}

/// Words up to $end; true if this one was taken.
bool VcdReader::section_word(std::string_view text) {
    if (section_.empty()) return false;
    if (text != "$end") {
        if (section_words_.size() < most_words) section_words_.emplace_back(text.substr(0, 4096));
        return true;
    }
    const std::string keyword = std::exchange(section_, {});
    if (keyword == "$enddefinitions")
        begin_values();
    else if (keyword == "$timescale" || keyword == "$var" || keyword == "$scope" || keyword == "$upscope")
        header_.section(keyword, section_words_, section_line_);
    section_words_.clear();
    return true;
}

void VcdReader::keyword(std::string_view text) {
    static constexpr std::string_view in_header[] = {"$date",  "$version", "$comment", "$timescale",
                                                     "$scope", "$var",     "$upscope", "$enddefinitions"};
    static constexpr std::string_view dumps[] = {"$dumpvars", "$dumpall", "$dumpoff", "$dumpon", "$end"};
    if (std::ranges::find(dumps, text) != std::end(dumps)) return;  // the values inside are read as any
    if (std::ranges::find(in_header, text) == std::end(in_header)) {
        std::vector<std::string> known(std::begin(in_header), std::end(in_header));
        complaints_.add(Severity::warning, "vcd-keyword", line_, text, 0, text.size(),
                        fmt::format("\"{}\" is passed over up to its $end", text.substr(0, 40)),
                        "a keyword of IEEE 1364", nearest_name(text.substr(0, 40), known));
    } else if (in_values_ && text != "$comment") {
        complaints_.add(Severity::warning, "vcd-order", line_, text, 0, text.size(),
                        fmt::format("{} stands after $enddefinitions and is passed over", text));
        section_ = "$comment";
        return;
    }
    section_ = text.substr(0, 64);
    section_line_ = line_;
}

void VcdReader::begin_values() {
    in_values_ = true;
    channels_.assign(header_.channels.size(), {});
    batch_ = std::clamp(batches / std::max<std::size_t>(channels_.size(), 1), least_batch, longest_batch);
    waiting_.resize(channels_.size() * batch_);
    if (header_.channels.empty())
        complaints_.add(Severity::error, "vcd-empty", "no variable is declared that could be measured",
                        "$var ... $end before $enddefinitions");
    if (!header_.has_timescale && !complaints_.refused())
        complaints_.add(Severity::warning, "vcd-timescale", "no $timescale is given; 1 s is taken",
                        "$timescale 1 ns $end");
    if (!complaints_.refused() && !sink_.begin(header_.channels, header_.seconds_per_tick)) stopped_ = true;
}

void VcdReader::time(std::string_view text) {
    std::int64_t tick = -1;
    const auto [end, error] = std::from_chars(text.data() + 1, text.data() + text.size(), tick);
    if (error != std::errc() || end != text.data() + text.size() || tick < 0 ||
        tick > BitChange::latest_tick) {
        complaints_.add(Severity::warning, "vcd-time", line_, text, 0, text.size(),
                        fmt::format("\"{}\" is no time", text.substr(0, 40)), "# and whole units below 2^62");
        return;
    }
    if (has_time_ && tick < now_) {
        complaints_.add(Severity::warning, "time-goes-back", line_, text, 0, text.size(),
                        fmt::format("time goes back from {} to {}; what follows is measured as another sweep",
                                    now_, tick),
                        "times that never fall (IEEE 1364)");
        flush();
        sink_.until(now_);
        sink_.restart();
        has_time_ = false;
    }
    now_ = tick;
    if (!has_time_) say_all();
    has_time_ = true;
}

/// Where time begins, and where it begins again: every value as it stands.
void VcdReader::say_all() {
    for (const VcdVariable& v : header_.variables) {
        if (v.kind == VcdVariable::Kind::real && v.bits == 1) sink_.step(v.channel, now_, v.value);
        for (int bit = 0; v.kind == VcdVariable::Kind::bits && bit < v.bits; ++bit) say(v.channel + bit);
    }
}

void VcdReader::scalar(char value, std::string_view id, std::string_view text) {
    const int at = header_.find(id);
    if (id.empty() || at < 0) return unknown(id, text);
    if (of_nine_values(value)) nine_values(text);
    VcdVariable& v = header_.variables[static_cast<std::size_t>(at)];
    if (v.kind != VcdVariable::Kind::bits) return;  // an event has no value
    if (v.width > 1) return vector(v, text.substr(0, 1));
    if (v.bits == 1) set(v.channel, *bit_of(value));
}

/// The identifier after a vector or real.
void VcdReader::wide(std::string_view id) {
    const std::string value = std::exchange(value_, {});
    const int at = header_.find(id);
    if (at < 0) return unknown(id, value + " " + std::string(id));
    VcdVariable& v = header_.variables[static_cast<std::size_t>(at)];
    const bool real_value = value[0] == 'r' || value[0] == 'R';
    if (real_value != (v.kind == VcdVariable::Kind::real)) {
        if (v.kind != VcdVariable::Kind::ignored)
            complaints_.add(Severity::warning, "vcd-value", line_, value, 0, value.size(),
                            real_value ? "a real value for a variable of bits" : "bits for a real variable");
        return;
    }
    real_value ? real(v, std::string_view(value).substr(1)) : vector(v, std::string_view(value).substr(1));
}

void VcdReader::vector(VcdVariable& v, std::string_view bits) {
    if (bits.empty() || !std::ranges::all_of(bits, [](char c) { return bit_of(c).has_value(); })) {
        complaints_.add(Severity::warning, "vcd-value", line_, bits, 0, bits.size(),
                        fmt::format("\"{}\" is no vector", bits.substr(0, 40)), "0, 1, x and z after b");
        return;
    }
    if (std::ranges::any_of(bits, of_nine_values)) nine_values(bits);
    if (bits.size() > static_cast<std::size_t>(v.width))
        complaints_.add(
            Severity::warning, "vcd-width", line_, bits, 0, bits.size(),
            fmt::format("{} bits for a variable of {}; the upper ones are left out", bits.size(), v.width));
    const Bit first = *bit_of(bits[0]), extension = first == Bit::one ? Bit::zero : first;
    for (int k = 0; k < v.bits; ++k) {
        const auto from_right = static_cast<std::size_t>(k);
        set(v.channel + k,
            from_right < bits.size() ? *bit_of(bits[bits.size() - 1 - from_right]) : extension);
    }
}

void VcdReader::real(VcdVariable& v, std::string_view number) {
    const std::string text = std::string(number) + "\n";
    double value = 0;
    const char* end = read_decimal(text.data(), '.', value);
    if (end != text.data() + number.size() || !std::isfinite(value)) {
        complaints_.add(Severity::warning, "vcd-value", line_, number, 0, number.size(),
                        fmt::format("\"{}\" is no real number", number.substr(0, 40)),
                        "a number such as r1.5");
        value = std::numeric_limits<double>::quiet_NaN();
    }
    v.value = value;
    if (has_time_ && v.bits == 1) sink_.step(v.channel, now_, value);
}

void VcdReader::unknown(std::string_view id, std::string_view text) {
    complaints_.add(Severity::warning, "vcd-identifier", line_, text, 0, text.size(),
                    id.empty() ? "a value has no identifier"
                               : fmt::format("no variable has the identifier \"{}\"", id.substr(0, 40)),
                    "an identifier of a $var, after the value without a blank");
}

void VcdReader::nine_values(std::string_view text) {
    complaints_.add(Severity::warning, "vcd-nine-values", line_, text, 0, text.size(),
                    "U, W, L, H and - are no values of IEEE 1364; L is read as 0, H as 1, the others as x");
}

void VcdReader::flush(std::int32_t channel) {
    const auto at = static_cast<std::size_t>(channel);
    if (const std::size_t count = std::exchange(channels_[at].waiting, 0))
        sink_.changes(channel, {&waiting_[at * batch_], count});
}

void VcdReader::flush() {
    for (std::size_t k = 0; k < channels_.size(); ++k) flush(static_cast<std::int32_t>(k));
}

void VcdReader::finish() {
    if (stopped()) return;
    const auto doubtful = [&] {
        return complaints_.count("vcd-identifier") + complaints_.count("vcd-value") +
               complaints_.count("vcd-time") + complaints_.count("line-too-long");
    };
    const std::uint64_t before = doubtful() - skipping_;
    if (!carry_.empty()) {  // a file may end without a line end: the word counts, if it is one
        const std::string whole = std::exchange(carry_, {}) + " ";
        words(whole.data(), whole.data() + whole.size());
    }
    if (stopped()) return;
    if (!in_values_) {
        complaints_.add(Severity::error, "vcd-header", "the file ends before $enddefinitions",
                        "$enddefinitions $end and values");
        return;
    }
    truncated_ = !value_.empty() || !section_.empty() || doubtful() > before;
    if (truncated_)
        complaints_.add(Severity::warning, "truncated", line_, {}, 0, 0,
                        "the file ends in the middle of something; what came before is measured");
    if (!has_time_)
        complaints_.add(Severity::warning, "vcd-time", "no time is given: nothing can be measured",
                        "#0 and values");
    flush();
    sink_.until(now_);
}

}  // namespace

std::unique_ptr<FormatReader> make_vcd_reader(std::string file, SampleSink& sink) {
    return std::make_unique<VcdReader>(std::move(file), sink);
}

}  // namespace voltsill
