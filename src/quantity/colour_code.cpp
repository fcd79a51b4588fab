#include "quantity/colour_code.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>

#include "quantity/engineering.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

constexpr auto none = std::nullopt;
constexpr std::array<BandColour, 13> colours{{
    {"black", "BK", 0, 0, none, none, 250},
    {"brown", "BN", 1, 1, 0.01, 'F', 100},
    {"red", "RD", 2, 2, 0.02, 'G', 50},
    {"orange", "OG", 3, 3, 0.0005, 'W', 15},
    {"yellow", "YE", 4, 4, 0.0002, 'P', 25},
    {"green", "GN", 5, 5, 0.005, 'D', 20},
    {"blue", "BU", 6, 6, 0.0025, 'C', 10},
    {"violet", "VT", 7, 7, 0.001, 'B', 5},
    {"grey", "GY", 8, 8, 0.0001, 'L', 1},
    {"white", "WH", 9, 9, none, none, none},
    {"gold", "GD", none, -1, 0.05, 'J', none},
    {"silver", "SR", none, -2, 0.10, 'K', none},
    {"pink", "PK", none, -3, none, none, none},
}};
/// Of IEC 60757 as well, but on no resistor.
constexpr std::pair<std::string_view, std::string_view> wire_colours[] = {{"TQ", "turquoise"}};
constexpr double tolerance_without_band = 0.20;

enum class Role { digit, multiplier, tolerance, coefficient };

/// What each band of a resistor with `count` bands means; empty for a count that does not exist.
std::span<const Role> roles(std::size_t count) {
    using enum Role;
    static constexpr Role three[] = {digit, digit, multiplier};
    static constexpr Role four[] = {digit, digit, multiplier, Role::tolerance};
    static constexpr Role six[] = {digit, digit, digit, multiplier, Role::tolerance, coefficient};
    switch (count) {
        case 3:
            return three;
        case 4:
            return four;
        case 5:
            return std::span(six).first(5);
        case 6:
            return six;
        default:
            return {};
    }
}

template <class T>
const BandColour* colour_with(std::optional<T> BandColour::*meaning, T wanted) {
    const auto found = std::ranges::find_if(colours, [&](const BandColour& colour) {
        return (colour.*meaning) && std::abs(*(colour.*meaning) - wanted) <= 1e-9;
    });
    return found == colours.end() ? nullptr : &*found;
}

bool means_something(const BandColour& colour, Role role) {
    switch (role) {
        case Role::digit:
            return colour.digit.has_value();
        case Role::multiplier:
            return colour.multiplier.has_value();
        case Role::tolerance:
            return colour.tolerance.has_value();
        case Role::coefficient:
            return colour.temperature_coefficient.has_value();
    }
    return false;
}

std::string lower(std::string_view text) {
    std::string result(text);
    for (char& c : result)
        if ('A' <= c && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return result;
}

const BandColour* find_colour(std::string_view word) {
    const auto found = std::ranges::find_if(colours, [wanted = lower(word)](const BandColour& colour) {
        return wanted == colour.name || wanted == lower(colour.code);
    });
    return found == colours.end() ? nullptr : &*found;
}

struct Band {
    const BandColour* colour;
    std::size_t at, length;
};

std::expected<std::vector<Band>, ParseTrouble> split(std::string_view text) {
    static constexpr std::string_view separators = " \t,-";
    std::vector<Band> bands;
    for (std::size_t at = text.find_first_not_of(separators); at != std::string_view::npos;) {
        const std::size_t end = std::min(text.find_first_of(separators, at), text.size());
        const std::string_view word = text.substr(at, end - at);
        const BandColour* colour = find_colour(word);
        if (!colour)
            return std::unexpected(ParseTrouble{"unknown-colour", "no band is called " + in_quotes(word),
                                                "a colour such as yellow or YE", at, word.size()});
        bands.push_back({colour, at, word.size()});
        at = text.find_first_not_of(separators, end);
    }
    return bands;
}

}  // namespace

std::span<const BandColour> band_colours() { return colours; }

std::string_view colour_name(std::string_view code) {
    for (const BandColour& colour : colours)
        if (colour.code == code) return colour.name;
    for (const auto& [of, name] : wire_colours)
        if (of == code) return name;
    return code;
}

std::optional<std::vector<const BandColour*>> colour_bands(const ResistorMarking& marking, int bands) {
    const std::span<const Role> layout = roles(static_cast<std::size_t>(std::max(bands, 0)));
    const double ohms = marking.value.si();
    if (layout.empty() || !std::isfinite(ohms) || ohms < 0.0) return std::nullopt;
    if (ohms == 0.0) return std::vector{&colours.front()};
    const auto digit_count = static_cast<std::size_t>(std::ranges::count(layout, Role::digit));
    if (bands == 3 && std::abs(marking.tolerance - tolerance_without_band) > 1e-9) return std::nullopt;

    DecimalDigits number = rounded_digits(ohms, std::numeric_limits<double>::digits10);
    if (number.digits.size() > digit_count) return std::nullopt;
    number.digits.resize(digit_count, '0');
    const int multiplier = number.exponent - static_cast<int>(digit_count) + 1;

    std::vector<const BandColour*> result;
    for (const Role role : layout) {
        const BandColour* colour = nullptr;
        switch (role) {
            case Role::digit:
                colour = colour_with(&BandColour::digit, number.digits[result.size()] - '0');
                break;
            case Role::multiplier:
                colour = colour_with(&BandColour::multiplier, multiplier);
                break;
            case Role::tolerance:
                colour = colour_with(&BandColour::tolerance, marking.tolerance);
                break;
            case Role::coefficient:
                if (marking.temperature_coefficient)
                    colour =
                        colour_with(&BandColour::temperature_coefficient, *marking.temperature_coefficient);
        }
        if (!colour) return std::nullopt;
        result.push_back(colour);
    }
    return result;
}

std::expected<ResistorMarking, ParseTrouble> read_bands(std::string_view text) {
    static constexpr auto fail = [](std::string code, std::string message, std::size_t at,
                                    std::size_t length) {
        return std::unexpected(ParseTrouble{std::move(code), std::move(message),
                                            "bands such as \"yellow violet red gold\"", at, length});
    };
    const auto bands = split(text);
    if (!bands) return std::unexpected(bands.error());
    if (bands->empty()) return fail("empty", "there is no band here", 0, text.size());
    if (bands->size() == 1 && bands->front().colour == &colours.front()) return ResistorMarking{Ohms(0.0)};
    const std::span<const Role> layout = roles(bands->size());
    if (layout.empty())
        return fail("band-count", "a resistor has three to six bands, or a single black one for zero ohms", 0,
                    text.size());

    ResistorMarking marking;
    Decimal number;
    for (std::size_t i = 0; i < layout.size(); ++i) {
        const auto& [colour, at, length] = (*bands)[i];
        if (!means_something(*colour, layout[i]))
            return fail("wrong-band",
                        std::string(colour->name) + " has no meaning as band " + std::to_string(i + 1), at,
                        length);
        switch (layout[i]) {
            case Role::digit:
                number.digits += static_cast<char>('0' + *colour->digit);
                break;
            case Role::multiplier:
                number.exponent = *colour->multiplier;
                break;
            case Role::tolerance:
                marking.tolerance = *colour->tolerance;
                break;
            case Role::coefficient:
                marking.temperature_coefficient = colour->temperature_coefficient;
        }
    }
    marking.value = Ohms(number.times_ten_to(0).value_or(0.0));
    return marking;
}

}  // namespace voltsill
