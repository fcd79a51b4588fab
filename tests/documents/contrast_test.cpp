/// Every pair of ink and ground that a style sheet sets, by the definition of WCAG 2.2: letters at 4.5:1 or more
/// (SC 1.4.3), edges of what is pressed or filled in, frames and rings of focus at 3:1 or more (SC 1.4.11).
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>

#include "documents/html.h"
#include "drawing/svg.h"

namespace voltsill::doc {
namespace {

/// "#1d2430" and "#fff"; WCAG 2.2, "relative luminance".
double hex_luminance(std::string hex) {
    if (hex.size() == 4) hex = {'#', hex[1], hex[1], hex[2], hex[2], hex[3], hex[3]};
    const auto channel = [&](std::size_t k) {
        const double c = std::stoi(hex.substr(1 + 2 * k, 2), nullptr, 16) / 255.0;
        return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
    };
    return 0.2126 * channel(0) + 0.7152 * channel(1) + 0.0722 * channel(2);
}
/// WCAG 2.2, "contrast ratio".
double contrast_ratio(const std::string& a, const std::string& b) {
    const double x = hex_luminance(a), y = hex_luminance(b);
    return (std::max(x, y) + 0.05) / (std::min(x, y) + 0.05);
}

TEST(Contrast, IsThatOfTheDefinition) {
    EXPECT_NEAR(contrast_ratio("#000", "#ffffff"), 21.0, 1e-9);
    EXPECT_NEAR(contrast_ratio("#767676", "#ffffff"), 4.54, 0.005);  // the published grey that just passes
}

struct CssRule {
    std::string selector;
    std::vector<std::pair<std::string, std::string>> declarations;
};
/// Without the last `@media print`, which has its own black and white.
std::vector<CssRule> rules_of(std::string css) {
    for (std::size_t from = 0; (from = css.find("/*", from)) != std::string::npos;)
        css.erase(from, css.find("*/", from) + 2 - from);
    if (const std::size_t print = css.rfind("@media print"); print != std::string::npos) css.resize(print);
    std::vector<CssRule> out;
    static const std::regex rule(R"(([^{}]+)\{([^{}]*)\})"), declaration(R"(\s*([\w-]+)\s*:\s*([^;]+);?)");
    for (std::sregex_iterator at(css.begin(), css.end(), rule), end; at != end; ++at) {
        CssRule one{std::regex_replace((*at)[1].str(), std::regex(R"(^\s+|\s+$)"), ""), {}};
        const std::string body = (*at)[2];
        for (std::sregex_iterator d(body.begin(), body.end(), declaration); d != end; ++d)
            one.declarations.emplace_back((*d)[1], (*d)[2]);
        out.push_back(std::move(one));
    }
    return out;
}

using Inks = std::map<std::string, std::string>;
/// Tones of light (0) and dark (1): the first and the second value that a sheet gives a variable.
Inks inks_of(const std::string& css, std::size_t theme) {
    std::map<std::string, std::vector<std::string>> all;
    static const std::regex variable(R"(--([\w-]+): (#[0-9a-f]{3,6});)");
    for (std::sregex_iterator at(css.begin(), css.end(), variable), end; at != end; ++at)
        all[(*at)[1]].push_back((*at)[2]);
    Inks out;
    for (const auto& [name, values] : all) out[name] = values[std::min(theme, values.size() - 1)];
    return out;
}
/// The colour that a declaration names, "" when it names none that is known here.
std::string ink_in(const std::string& value, const Inks& inks) {
    std::smatch found;
    if (std::regex_search(value, found, std::regex(R"(var\(--([\w-]+)\))")))
        return inks.contains(found[1]) ? inks.at(found[1]) : "";
    return std::regex_search(value, found, std::regex("#[0-9a-fA-F]{3,6}")) ? found.str() : "";
}

struct Sheet {
    std::string name, css;
};
std::vector<Sheet> style_sheets() {
    std::vector<Sheet> out{{"documents", std::string(html_style())}};
    for (const auto& file : std::filesystem::directory_iterator(VOLTSILL_ROOT "/web/style")) {
        if (file.path().extension() != ".css") continue;
        std::stringstream text;
        text << std::ifstream(file.path()).rdbuf();
        out.push_back({file.path().filename(), text.str()});
    }
    return out;
}

/// Tones of drawings, and those that the page adds to them.
std::string all_variables() {
    std::string out = drawing::style_sheet();
    for (const Sheet& sheet : style_sheets())
        if (sheet.name == "paper.css") out += sheet.css;
    return out;
}

/// Grounds without letters: patches of wire colours, boxes of gates, strokes of rails, the shade behind a dialog.
bool bears_letters(const std::string& selector) {
    return !std::regex_search(selector, std::regex("swatch|boxes|volts-stroke|backdrop|drawing"));
}
/// Lines that only part rows, and the frame of a drawing on its way: nothing is lost without them.
bool only_parts(const CssRule& rule, const std::string& value) {
    return value.find("--hair") != std::string::npos || rule.selector.find("swatch") != std::string::npos;
}

TEST(Contrast, LettersOnTheirOwnGroundInEverySheet) {
    const std::string variables = all_variables();
    std::size_t pairs = 0;
    for (const std::size_t theme : {0u, 1u}) {
        const Inks inks = inks_of(variables, theme);
        for (const char* tone : {"paper", "ink", "soft", "wash", "range", "link", "focus", "line", "alarm"})
            ASSERT_TRUE(inks.contains(tone)) << tone;
        for (const Sheet& sheet : style_sheets())
            for (const CssRule& rule : rules_of(sheet.css)) {
                std::string letters, ground;
                for (const auto& [property, value] : rule.declarations) {
                    if (property == "color") letters = ink_in(value, inks);
                    if (property == "background" || property == "background-color") ground = ink_in(value, inks);
                }
                const bool sign = rule.selector.find(".sign") != std::string::npos;  // black in every theme
                if (letters.empty() && (ground.empty() || !bears_letters(rule.selector))) continue;
                if (letters.empty()) letters = sign ? "#000000" : inks.at("ink");
                std::vector<std::string> grounds{ground};
                if (ground.empty() && sign) continue;  // its grounds stand in rules of their own
                if (ground.empty()) grounds = {inks.at("paper"), inks.at("wash"), inks.at("range")};
                for (const std::string& on : grounds) {
                    EXPECT_GE(contrast_ratio(letters, on), 4.5) << sheet.name << ", theme " << theme << ": "
                                                                << rule.selector << ", " << letters << " on " << on;
                    ++pairs;
                }
            }
    }
    EXPECT_GT(pairs, 200u);
}

TEST(Contrast, EdgesAndRingsInEverySheet) {
    const std::string variables = all_variables();
    std::size_t edges = 0;
    static const std::regex edge("border.*|outline.*|accent-color|box-shadow");
    for (const std::size_t theme : {0u, 1u}) {
        const Inks inks = inks_of(variables, theme);
        for (const Sheet& sheet : style_sheets())
            for (const CssRule& rule : rules_of(sheet.css))
                for (const auto& [property, value] : rule.declarations) {
                    if (!std::regex_match(property, edge) || only_parts(rule, value)) continue;
                    const std::string ink = ink_in(value, inks);
                    if (ink.empty() || rule.selector.find(".sign") != std::string::npos) continue;
                    for (const char* on : {"paper", "wash"})
                        EXPECT_GE(contrast_ratio(ink, inks.at(on)), 3.0)
                            << sheet.name << ", theme " << theme << ": " << rule.selector << ", " << property << " on "
                            << on;
                    ++edges;
                }
    }
    EXPECT_GT(edges, 100u);
}

/// What the editor of the page writes its text in, selected or not.
TEST(Contrast, TextOfABenchSelectedOrNot) {
    const std::string variables = all_variables();
    for (const std::size_t theme : {0u, 1u}) {
        const Inks inks = inks_of(variables, theme);
        for (const char* letters : {"ink", "soft", "link", "alarm"})
            for (const char* on : {"paper", "wash", "range"})
                EXPECT_GE(contrast_ratio(inks.at(letters), inks.at(on)), 4.5)
                    << theme << ": " << letters << " on " << on;
        // A sign in ink on the colour of its verdict, in a drawing: a mark, with the word beside it on paper.
        for (const char* verdict : {"safe", "thin", "unknown", "unreadable", "harmful"})
            EXPECT_GE(contrast_ratio(inks.at("ink"), inks.at(verdict)), 3.0) << theme << ": " << verdict;
    }
}

/// Signs stand in black on five colours that printers and eyes see as greys: each word and sign is its own.
TEST(Contrast, SignsOfVerdicts) {
    int signs = 0;
    const std::string css(html_style());
    static const std::regex sign(R"(\.sign \{ background: (#\w{6}); \})");
    for (std::sregex_iterator at(css.begin(), css.end(), sign), end; at != end; ++at, ++signs)
        EXPECT_GE(contrast_ratio("#000000", (*at)[1]), 4.5) << at->str();
    EXPECT_EQ(signs, 5);
}

/// The colours of signs are the drawings' tones: one table, said again where a page needs them.
TEST(Contrast, ThePageAndDocumentsGiveVerdictsOneColour) {
    const Inks inks = inks_of(all_variables(), 0);
    for (const Sheet& sheet : style_sheets()) {
        static const std::regex sign(R"(\.(\w+) > \.sign \{ background: (#\w{6}); \})");
        for (std::sregex_iterator at(sheet.css.begin(), sheet.css.end(), sign), end; at != end; ++at)
            EXPECT_EQ((*at)[2], inks.at((*at)[1])) << sheet.name;
    }
}

}  // namespace
}  // namespace voltsill::doc
