#include "records/source.h"

#include <algorithm>

namespace voltsill {
namespace {

constexpr std::size_t longest_excerpt = 4096;
constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

bool continues(char byte) { return (static_cast<unsigned char>(byte) & 0xC0) == 0x80; }

}  // namespace

int code_points(std::string_view text) {
    return static_cast<int>(std::ranges::count_if(text, [](char byte) { return !continues(byte); }));
}

Source::Source(std::string file, std::string text) : file_(std::move(file)), text_(std::move(text)) {
    starts_.push_back(text_.starts_with(byte_order_mark) ? byte_order_mark.size() : 0);
    for (std::size_t i = 0; i < text_.size(); ++i)
        if (text_[i] == '\n') starts_.push_back(i + 1);
}

std::size_t Source::line_begin(int line) const {
    return line > line_count() ? text_.size() : starts_[static_cast<std::size_t>(std::max(line, 1) - 1)];
}

int Source::line_of(std::size_t offset) const {
    const auto next = std::ranges::upper_bound(starts_, offset);
    return std::max(1, static_cast<int>(next - starts_.begin()));
}

std::string_view Source::line(int number) const {
    if (number < 1 || number > line_count()) return {};
    std::string_view whole = slice(line_begin(number), line_begin(number + 1));
    if (whole.ends_with('\n')) whole.remove_suffix(1);
    if (whole.ends_with('\r')) whole.remove_suffix(1);
    return whole;
}

std::size_t Source::offset(int number, int column) const {
    const std::string_view whole = line(number);
    std::size_t at = 0;
    for (int passed = 1; passed < column && at < whole.size(); ++passed) do
            ++at;
        while (at < whole.size() && continues(whole[at]));
    return line_begin(number) + at;
}

Spot Source::spot(std::size_t begin, std::size_t end) const {
    const int number = line_of(begin);
    const std::size_t start = line_begin(number), stop = start + line(number).size();
    const std::size_t last = std::clamp(end, begin, std::max(begin, stop));
    return {begin, end, number, 1 + code_points(slice(std::min(start, begin), begin)),
            std::max(1, code_points(slice(begin, last)))};
}

std::string Source::excerpt(int number) const {
    const std::string_view whole = line(number);
    return whole.size() > longest_excerpt ? std::string() : std::string(whole);
}

Problem Source::problem(const Spot& spot, std::string code, std::string message, std::string expected) const {
    return {.code = std::move(code),
            .place = place(spot),
            .message = std::move(message),
            .expected = std::move(expected),
            .nearest = {},
            .excerpt = excerpt(spot.line),
            .other = {},
            .other_excerpt = {}};
}

}  // namespace voltsill
