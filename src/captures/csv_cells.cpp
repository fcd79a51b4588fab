#include <algorithm>
#include <array>
#include <cmath>

#include "captures/csv_layout.h"
#include "captures/decimal.h"

namespace voltsill {
namespace {

std::string_view trimmed(std::string_view text) {
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
    while (!text.empty() && blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && blank(text.back())) text.remove_suffix(1);
    return text;
}

std::string_view cell(std::string_view text) {
    text = trimmed(text);
    if (text.size() >= 2 && text.front() == '"' && text.back() == '"')
        text = trimmed(text.substr(1, text.size() - 2));
    return text;
}

}  // namespace

std::vector<std::string_view> cells_of(std::string_view line, char separator, std::size_t most) {
    std::vector<std::string_view> out;
    if (separator == ' ') {
        while (!(line = trimmed(line)).empty() && out.size() < most) {
            const std::size_t end = std::min(line.find_first_of(" \t"), line.size());
            out.push_back(cell(line.substr(0, end)));
            line.remove_prefix(end);
        }
        return out;
    }
    std::size_t begin = 0;
    bool quoted = false;
    for (std::size_t k = 0; k <= line.size() && out.size() < most; ++k) {
        if (k < line.size() && line[k] == '"') quoted = !quoted;
        if (k == line.size() || (line[k] == separator && !quoted)) {
            out.push_back(cell(line.substr(begin, k - begin)));
            begin = k + 1;
        }
    }
    return out;
}

std::optional<double> number_in(std::string_view text, char point) {
    if (text.empty() || text.size() > static_cast<std::size_t>(longest_number)) return std::nullopt;
    const std::string ended = std::string(text) + "\n";
    double value = 0;
    const char* end = read_decimal(ended.data(), point, value);
    return end == ended.data() + text.size() && std::isfinite(value) ? std::optional(value) : std::nullopt;
}

bool missing_value(std::string_view text) {
    if (text.empty()) return true;
    if (text.size() > 12) return false;
    std::string lower;
    for (const char c : text)
        if (c != '-' && c != '+' && c != '*' && c != '.')
            lower += static_cast<char>(c >= 'A' && c <= 'Z' ? c + 32 : c);
    static constexpr std::array words = {"",     "nan", "inf",      "infinity", "na",        "n/a",
                                         "null", "ol",  "overload", "overflow", "overrange", "clipped"};
    return std::ranges::find(words, lower) != words.end();
}

}  // namespace voltsill
