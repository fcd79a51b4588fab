#include "teaching/named_numbers.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <charconv>
#include <optional>

#include "records/source.h"

namespace voltsill {
namespace {

/// Of the line that begins at `begin`, without blanks and quotes around.
struct NumberCell {
    std::string text;
    std::size_t begin = 0, end = 0;
};

NumberCell trimmed_cell(const Source& source, std::size_t begin, std::size_t end) {
    const auto blank = [&](std::size_t at) {
        return std::string_view(" \t\r\"").find(source.text()[at]) != std::string_view::npos;
    };
    while (begin < end && blank(begin)) ++begin;
    while (end > begin && blank(end - 1)) --end;
    return {std::string(source.slice(begin, end)), begin, end};
}

std::optional<double> number_in(const std::string& text) {
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
    return value;
}

}  // namespace

std::vector<NamedNumber> read_named_numbers(std::string_view bytes, const std::string& file,
                                            const std::vector<std::string>& names, double lo, double hi,
                                            Problems& problems) {
    std::vector<NamedNumber> out;
    const Source source(file, std::string(bytes));
    bool first = true;
    for (int line = 1; line <= source.line_count(); ++line) {
        const std::string_view text = source.line(line);
        const std::size_t begin = source.line_begin(line), end = begin + text.size();
        const NumberCell all = trimmed_cell(source, begin, end);
        if (all.text.empty() || all.text.front() == '#') continue;
        const std::size_t comma = text.find_first_of(",;");
        const auto complain = [&](const NumberCell& at, const char* code, std::string message, std::string expected) {
            problems.push_back(
                source.problem(source.spot(at.begin, at.end), code, std::move(message), std::move(expected)));
        };
        if (comma == std::string_view::npos) {
            complain(all, "missing-column", "this line has one column", "a name, a comma and a number");
            continue;
        }
        const NumberCell name = trimmed_cell(source, begin, begin + comma),
                         number = trimmed_cell(source, begin + comma + 1, end);
        const auto value = number_in(number.text);
        const bool known = std::ranges::find(names, name.text) != names.end();
        const bool header = first && !value && !known;
        first = false;
        if (header) continue;
        if (!known) {
            complain(name, "unknown-name", fmt::format("nothing here is called \"{}\"", name.text),
                     fmt::format("one of: {}", fmt::join(names, ", ")));
            problems.back().nearest = nearest_name(name.text, names);
        } else if (!value) {
            complain(number, "not-a-number", fmt::format("\"{}\" is no number", number.text),
                     "a decimal number such as 0.2");
        } else if (!(lo <= *value && *value <= hi)) {
            complain(number, "out-of-range", fmt::format("{} is out of range", number.text),
                     fmt::format("{:g} to {:g}", lo, hi));
        } else {
            out.push_back({name.text, *value, line});
        }
    }
    return out;
}

}  // namespace voltsill
