#include "captures/csv_words.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "captures/csv_layout.h"
#include "captures/reader.h"
#include "quantity/dimension.h"

namespace voltsill::csv {
namespace {

std::string lower(std::string_view text) {
    std::string out(text.substr(0, 64));
    for (char& c : out)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + 32);
    return out;
}

}  // namespace

std::optional<Unit> unit_in(std::string_view text) {
    while (text.size() >= 2 &&
           ((text.front() == '(' && text.back() == ')') || (text.front() == '[' && text.back() == ']')))
        text = text.substr(1, text.size() - 2);
    if (text.empty() || text.size() > 24) return std::nullopt;
    if (const auto unit = find_unit(text))
        return Unit{std::string(info(unit->dimension).symbol), std::pow(10.0, unit->power)};
    std::string word = lower(text);
    if (word.size() > 3 && word.back() == 's') word.pop_back();
    static constexpr std::pair<std::string_view, double> prefixes[] = {
        {"nano", 1e-9}, {"micro", 1e-6}, {"milli", 1e-3}, {"kilo", 1e3}};
    double factor = 1;
    for (const auto& [prefix, value] : prefixes)
        if (word.starts_with(prefix)) {
            factor = value;
            word.erase(0, prefix.size());
            break;
        }
    static constexpr std::pair<std::string_view, std::string_view> words[] = {
        {"second", "s"}, {"sec", "s"}, {"sekunde", "s"}, {"volt", "V"}, {"ampere", "A"}, {"amp", "A"}};
    for (const auto& [known, symbol] : words)
        if (word == known) return Unit{std::string(symbol), factor};
    return std::nullopt;
}

std::pair<std::string, std::optional<Unit>> named(std::string_view text) {
    const auto cut = [&](std::size_t at,
                         std::size_t skip) -> std::optional<std::pair<std::string, std::optional<Unit>>> {
        if (at == std::string_view::npos || at == 0) return std::nullopt;
        const auto unit = unit_in(text.substr(at + skip));
        if (!unit) return std::nullopt;
        std::string_view name = text.substr(0, at);
        while (!name.empty() && name.back() == ' ') name.remove_suffix(1);
        return std::pair{std::string(name), unit};
    };
    for (const std::string_view mark : {"(", "["})
        if (auto found = cut(text.rfind(mark), 0)) return *found;
    for (const std::string_view mark : {" in ", " / ", "/", "_", ", "})
        if (auto found = cut(text.rfind(mark), mark.size())) return *found;
    return {std::string(text), std::nullopt};
}

bool names_time(std::string_view name) {
    static constexpr std::array words = {"time",       "t",    "x-axis", "x",      "timestamp",
                                         "time stamp", "zeit", "temps",  "tiempo", "second",
                                         "seconds",    "sec",  "elapsed"};
    const std::string word = lower(name);
    return std::ranges::find(words, word) != words.end() || word.starts_with("time ");
}

bool is_key(std::string_view cell, std::initializer_list<std::string_view> keys) {
    std::string word;
    for (const char c : lower(named(cell).first))
        if (c != ' ' && c != '_' && c != '-' && c != ':' && c != '#') word += c;
    return std::ranges::find(keys, word) != keys.end();
}

std::optional<double> valued(std::string_view cell, char point) {
    if (const auto plain = number_in(cell, point)) return plain;
    const std::size_t digits = std::min(cell.find_first_not_of("0123456789.,eE+-"), cell.size());
    for (std::size_t end = digits; end > 0; --end) {
        const auto number = number_in(cell.substr(0, end), point);
        std::string_view rest = cell.substr(end);
        while (!rest.empty() && rest.front() == ' ') rest.remove_prefix(1);
        if (number)
            if (const auto unit = unit_in(rest)) return *number * unit->to_si;
    }
    return std::nullopt;
}

}  // namespace voltsill::csv
