#include "parts/pin_list.h"

#include <algorithm>
#include <charconv>

#include "quantity/scan.h"

namespace voltsill {
namespace {

constexpr int longest_range = 256;
constexpr std::string_view blanks = " \t\r\n";

/// A name around its last run of digits: "2A11" is "2A", 11, "".
struct Numbered {
    std::string_view before, after;
    int number = 0;
};

bool is_digit(char c) { return '0' <= c && c <= '9'; }

std::optional<Numbered> numbered(std::string_view name) {
    std::size_t end = name.size();
    while (end > 0 && !is_digit(name[end - 1])) --end;
    std::size_t begin = end;
    while (begin > 0 && is_digit(name[begin - 1])) --begin;
    Numbered result{name.substr(0, begin), name.substr(end)};
    const auto [stop, error] = std::from_chars(name.data() + begin, name.data() + end, result.number);
    if (begin == end || error != std::errc{} || stop != name.data() + end) return std::nullopt;
    return result;
}

std::vector<Word> split(const Value& value, Reader& reader) {
    std::vector<Word> words;
    const std::string_view text = value.text;
    for (std::size_t at = text.find_first_not_of(blanks); at < text.size();) {
        const std::size_t end = std::min(text.find_first_of(blanks, at), text.size());
        words.push_back(
            {std::string(text.substr(at, end - at)), reader.place(reader.inside(value, at, end - at))});
        at = text.find_first_not_of(blanks, end);
    }
    return words;
}

/// Kinds whose names end in a number of their own ("TO-92", "SOT-23").
constexpr std::string_view numbered_kinds[] = {"TO", "SOT", "SC", "DO", "SOD"};
constexpr std::string_view board_kinds[] = {"DIP",   "SIP",    "HEADER", "LEADS",
                                            "AXIAL", "RADIAL", "TO-92",  "TO-220"};

}  // namespace

std::optional<std::vector<std::string>> expand_pins(std::string_view word) {
    const std::size_t dots = word.find("..");
    if (dots == std::string_view::npos) return std::vector{std::string(word)};
    const auto from = numbered(word.substr(0, dots)), to = numbered(word.substr(dots + 2));
    if (!from || !to || from->before != to->before || from->after != to->after) return std::nullopt;
    const int step = from->number <= to->number ? 1 : -1;
    if (std::abs(to->number - from->number) >= longest_range) return std::nullopt;
    std::vector<std::string> names;
    for (int n = from->number; n != to->number + step; n += step)
        names.push_back(std::string(from->before) + std::to_string(n) + std::string(from->after));
    return names;
}

std::vector<std::string> split_words(std::string_view text) {
    std::vector<std::string> words;
    for (std::size_t at = text.find_first_not_of(blanks); at < text.size();) {
        const std::size_t end = std::min(text.find_first_of(blanks, at), text.size());
        words.emplace_back(text.substr(at, end - at));
        at = text.find_first_not_of(blanks, end);
    }
    return words;
}

std::optional<std::vector<std::string>> expand_pin_list(std::string_view text) {
    std::vector<std::string> names;
    for (const std::string& word : split_words(text)) {
        const auto expanded = expand_pins(word);
        if (!expanded) return std::nullopt;
        names.insert(names.end(), expanded->begin(), expanded->end());
    }
    if (names.empty()) return std::nullopt;
    return names;
}

std::string_view package_kind(std::string_view package) {
    const std::size_t dash = package.rfind('-');
    if (dash == std::string_view::npos || !package_pin_count(package)) return package;
    return package.substr(0, dash);
}

std::optional<int> package_pin_count(std::string_view package) {
    const std::size_t dash = package.rfind('-');
    if (dash == std::string_view::npos) return std::nullopt;
    const std::string_view kind = package.substr(0, dash), digits = package.substr(dash + 1);
    if (std::ranges::find(numbered_kinds, kind) != std::end(numbered_kinds)) return std::nullopt;
    int count = 0;
    const auto [stop, error] = std::from_chars(digits.data(), digits.data() + digits.size(), count);
    if (error != std::errc{} || stop != digits.data() + digits.size()) return std::nullopt;
    return count;
}

bool fits_solderless_board(std::string_view package) {
    return std::ranges::find(board_kinds, package_kind(package)) != std::end(board_kinds);
}

Type<WordList> TypeOf<WordList>::get() {
    return {"words separated by blanks",
            [](const Value& value, WordList& out, Reader& reader) {
                std::string text;
                if (!read_text(value, "words separated by blanks, in quotes", text, reader)) return false;
                out.words = split(value, reader);
                return true;
            },
            [](SchemaSheet&) { return text_schema(); }};
}

Type<PinList> TypeOf<PinList>::get() {
    return {"a pin list such as \"A1..A8 GND\"",
            [](const Value& value, PinList& out, Reader& reader) {
                std::string text;
                if (!read_text(value, "a pin list such as \"A1..A8 GND\"", text, reader)) return false;
                out.place = reader.place(value.spot);
                bool good = true;
                std::size_t from = 0;
                for (const Word& word : split(value, reader)) {
                    const std::size_t at = value.text.find(word.text, from);
                    from = at + word.text.size();
                    if (const auto names = expand_pins(word.text)) {
                        for (const std::string& name : *names) out.words.push_back({name, word.place});
                        continue;
                    }
                    reader.error(reader.inside(value, at, word.text.size()), "wrong-pin-range",
                                 in_quotes(word.text) + " does not count from one pin to another",
                                 "the same name with two numbers, such as \"A1..A8\"");
                    good = false;
                }
                return good;
            },
            [](SchemaSheet&) { return text_schema(); }};
}

}  // namespace voltsill
