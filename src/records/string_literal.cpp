#include "records/string_literal.h"

#include <utf8proc.h>

#include <algorithm>
#include <charconv>
#include <cstdint>

namespace voltsill {

StringLiteral::StringLiteral(std::string_view literal) : literal_(literal) {
    escapes_ = literal.starts_with('"');
    multiline_ = literal.size() >= 6 && (literal.starts_with("\"\"\"") || literal.starts_with("'''"));
    const std::size_t quotes = multiline_ ? 3 : 1;
    at_ = std::min(quotes, literal.size());
    end_ = std::max(at_, literal.size() - std::min(quotes, literal.size()));
    if (multiline_) {
        if (literal_.substr(at_).starts_with("\r\n"))
            at_ += 2;
        else if (literal_.substr(at_).starts_with('\n'))
            ++at_;
    }
    skip_trimmed();
}

/// A backslash at the end of a line takes all white space after it away.
void StringLiteral::skip_trimmed() {
    while (escapes_ && multiline_ && at_ < end_ && literal_[at_] == '\\') {
        const std::size_t line_end = literal_.find_first_not_of(" \t\r", at_ + 1);
        if (line_end >= end_ || literal_[line_end] != '\n') return;
        at_ = std::min(literal_.find_first_not_of(" \t\r\n", line_end), end_);
    }
}

bool StringLiteral::next(std::string& out) {
    if (at_ >= end_) return false;
    if (multiline_ && literal_.substr(at_).starts_with("\r\n")) ++at_;  // every line end reads as LF
    if (!escapes_ || literal_[at_] != '\\' || at_ + 1 >= end_) {
        do out += literal_[at_++];
        while (at_ < end_ && (static_cast<unsigned char>(literal_[at_]) & 0xC0) == 0x80);
        skip_trimmed();
        return true;
    }
    static constexpr std::string_view letters = "btnfr\"\\", meant = "\b\t\n\f\r\"\\";
    const char letter = literal_[at_ + 1];
    at_ += 2;
    if (const std::size_t simple = letters.find(letter); simple != std::string_view::npos) {
        out += meant[simple];
    } else if (letter == 'u' || letter == 'U') {
        const std::size_t digits = std::min<std::size_t>(letter == 'u' ? 4 : 8, end_ - at_);
        std::uint32_t code_point = 0;
        std::from_chars(literal_.data() + at_, literal_.data() + at_ + digits, code_point, 16);
        at_ += digits;
        utf8proc_uint8_t bytes[4];
        const bool valid = utf8proc_codepoint_valid(static_cast<utf8proc_int32_t>(code_point));
        const auto length =
            utf8proc_encode_char(valid ? static_cast<utf8proc_int32_t>(code_point) : 0xFFFD, bytes);
        out.append(reinterpret_cast<const char*>(bytes), static_cast<std::size_t>(length));
    }
    skip_trimmed();
    return true;
}

}  // namespace voltsill
