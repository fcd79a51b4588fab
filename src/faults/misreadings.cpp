/// Resistors that are taken for others: a decade off, or one colour band misread.
///
/// Digits and multipliers are those of IEC 60062 (quantity/colour_code.h). Which colours are taken for each
/// other depends on paint and light: brown, red and orange; grey and white; blue, violet and grey; black and
/// brown; yellow and white; green and blue (common practice, no source).
/// Five per cent has four bands, closer ones five.
#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "faults/listing.h"
#include "quantity/colour_code.h"
#include "quantity/preferred.h"

namespace voltsill {
namespace {

constexpr std::array<std::pair<std::string_view, std::string_view>, 9> confused{{
    {"brown", "red"},
    {"red", "orange"},
    {"brown", "orange"},
    {"black", "brown"},
    {"blue", "violet"},
    {"violet", "grey"},
    {"grey", "white"},
    {"yellow", "white"},
    {"green", "blue"},
}};

bool like(std::string_view a, std::string_view b) {
    return std::ranges::any_of(confused, [&](const auto& pair) {
        return (pair.first == a && pair.second == b) || (pair.first == b && pair.second == a);
    });
}

/// A drawer holds what is made: 5 % in E24, closer ones in E96 or E24.
bool is_made(double ohms, bool close) {
    const auto is_in = [&](Series series) {
        const auto value = nearest(series, ohms);
        return value && std::abs(*value - ohms) <= 1e-9 * ohms;
    };
    return is_in(Series::E24) || (close && is_in(Series::E96));
}

}  // namespace

std::vector<Misreading> misreadings_of(double ohms, double tolerance) {
    std::vector<Misreading> out;
    const auto take = [&](double value, std::string how) {
        const bool known = std::ranges::any_of(
            out, [&](const Misreading& m) { return std::abs(m.ohms - value) <= 1e-9 * value; });
        if (!known && value >= 1 && value <= 10e6) out.push_back({value, std::move(how)});
    };
    take(ohms * 10, "a decade higher");
    take(ohms / 10, "a decade lower");
    const bool close = tolerance < 0.05;
    const int count = close ? 5 : 4;
    const auto bands = colour_bands({Ohms{ohms}, close ? 0.01 : 0.05}, count);
    if (!bands) return out;
    for (int at = 0; at < count - 1; ++at)  // the last is the tolerance
        for (const BandColour& other : band_colours()) {
            const BandColour& right = *(*bands)[at];
            if (!like(right.name, other.name) || (at == 0 && other.digit == 0)) continue;  // no code begins with 0
            std::string text;
            for (int k = 0; k < count; ++k)
                text += fmt::format("{} ", k == at ? other.code : (*bands)[k]->code);
            const auto read = read_bands(text);
            if (!read || !is_made(read->value.si(), close)) continue;
            take(read->value.si(), fmt::format("{} taken for {}", right.name, other.name));
        }
    return out;
}

}  // namespace voltsill
