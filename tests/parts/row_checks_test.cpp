/// Figures that no sheet prints, one slip at a time in a part that is sound otherwise.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "parts/catalogue.h"

namespace voltsill {
namespace {

using Told = std::vector<std::string>;

Told told_of(const std::string& text) {
    Problems problems;
    Catalogue{}.with_file(text, "parts.toml", problems);
    Told codes;
    for (const Problem& p : problems) {
        EXPECT_FALSE(p.excerpt.empty()) << p.message;
        codes.push_back((p.severity == Severity::error ? "refused " : "doubted ") + p.code);
    }
    return codes;
}

constexpr const char* sound[] = {R"(is = "push-pull")",
                                 R"(high = [{ supply = "4.5..5.5 V", at = "4 mA", level = "supply - 0.7 V" }])",
                                 R"(low = [{ supply = "4.5..5.5 V", at = "4 mA", level = "0.4 V" }])",
                                 R"(drive_max = "20 mA")",
                                 R"(max = "supply + 0.5 V")",
                                 R"(max_unpowered = "6.5 V")",
                                 R"(range = "0 V .. supply")",
                                 R"(clamp_forward = "0.5..0.9 V")",
                                 R"(clamp_max = "20 mA")",
                                 R"(delay = "25 ns")",
                                 R"(rise_time = "2..5 ns")",
                                 R"(pulls = [{ to = "supply", ohms = "20..50 kΩ" }])",
                                 R"(thresholds = [{ supply = "4.5..5.5 V", low = "0.8 V", high = "2.0 V" }])",
                                 R"(transition = [{ supply = "4.5..5.5 V", per_volt = "10 ns/V" }])"};

/// The sound pin with one entry of its own in place of the one of the same key.
std::string part_with(const std::string& entry) {
    const std::string key = entry.substr(0, entry.find(' '));
    std::string pin;
    for (const std::string one : sound)
        pin += (pin.empty() ? "" : ", ") + (one.starts_with(key + " ") ? entry : one);
    return "[types.a]\nsupplies.VCC = { range = \"4.5..5.5 V\" }\npins.X = { " + pin + " }\n";
}

std::string row(const char* key, const char* at, const char* level) {
    return fmt::format(R"({} = [{{ supply = "4.5..5.5 V", at = "{}", level = "{}" }}])", key, at, level);
}
std::string thresholds(const char* low, const char* high, const char* supply = "4.5..5.5 V") {
    return fmt::format(R"(thresholds = [{{ supply = "{}", low = "{}", high = "{}" }}])", supply, low, high);
}

struct Slip {
    std::string entry, code;
    std::string beside;  ///< as near as can be, and right
};

const Slip slips[] = {
    {row("low", "4 mA", "4 V"), "doubted unlikely-level", row("low", "4 mA", "2.7 V")},
    {row("low", "4 mA", "-0.4 V"), "doubted unlikely-level", row("low", "4 mA", "0 V")},
    {row("high", "4 mA", "0.1 V"), "doubted unlikely-level", row("high", "4 mA", "2.4 V")},
    {row("high", "4 mA", "7 V"), "doubted unlikely-level", row("high", "4 mA", "5.5 V")},
    {row("high", "4 mA", "supply + 0.7 V"), "doubted unlikely-level", row("high", "4 mA", "supply")},
    {row("low", "0 mA", "0.4 V"), "doubted unlikely", row("low", "20 µA", "0.1 V")},
    {row("low", "25 mA", "0.4 V"), "refused above-drive-max", row("low", "20 mA", "0.4 V")},
    {thresholds("0.8 V", "7 V"), "doubted unlikely-level", thresholds("0.8 V", "5.5 V")},
    {thresholds("0.3 supply", "1.7 supply"), "doubted unlikely-level", thresholds("0.3 supply", "0.7 supply")},
    {thresholds("-0.8 V", "2 V"), "doubted unlikely-level", thresholds("0.2 V", "2 V")},
    {thresholds("0.8 mV", "2 V"), "doubted unlikely-level", thresholds("0 V", "2 V")},
    {thresholds("0.5 V", "1.2 V", "1.5..1.8 V"), "doubted rows-beside-supply", thresholds("0.8 V", "2 V", "4.5 V")},
    {R"(max = "supply - 2 V")", "refused range-above-maximum", R"(max = "supply")"},
    {R"(max_unpowered = "6.5 mV")", "doubted unlikely", R"(max_unpowered = "6.5 V")"},
    {R"(clamp_forward = "0 V")", "doubted unlikely", R"(clamp_forward = "0.3 V")"},
    {R"(clamp_max = "0 mA")", "doubted unlikely", R"(clamp_max = "1 mA")"},
    {R"(delay = "25 s")", "doubted unlikely", R"(delay = "25 µs")"},
    {R"(delay = "-25 ns")", "doubted below-zero", R"(delay = "0 ns")"},
    {R"(rise_time = "5 s")", "doubted unlikely", R"(rise_time = "5 µs")"},
    {R"(transition = [{ supply = "5 V", per_volt = "20 s/V" }])", "doubted unlikely",
     R"(transition = [{ supply = "5 V", per_volt = "20 ns/V" }])"},
    {R"(pulls = [{ to = "supply", ohms = "0 Ω" }])", "doubted unlikely",
     R"(pulls = [{ to = "supply", ohms = "100 Ω" }])"},
};

TEST(RowChecks, ASlipIsToldAndItsNeighbourIsNot) {
    ASSERT_EQ(told_of(part_with("none ")), Told{});
    for (const Slip& slip : slips) {
        EXPECT_EQ(told_of(part_with(slip.entry)), Told{slip.code}) << slip.entry;
        EXPECT_EQ(told_of(part_with(slip.beside)), Told{}) << slip.beside;
    }
}

/// More current, a level further from its rail; equal is what a sheet may print for two.
TEST(RowChecks, RowsGoOneWay) {
    const auto rows = [](const char* key, const char* first, const char* second) {
        return part_with(fmt::format(R"({} = [{{ supply = "4.5..5.5 V", at = "4 mA", level = "{}" }}, )"
                                     R"({{ supply = "4.5..5.5 V", at = "8 mA", level = "{}" }}])",
                                     key, first, second));
    };
    const Told turned{"doubted rows-turned-round"};
    EXPECT_EQ(told_of(rows("low", "0.4 V", "0.3 V")), turned);
    EXPECT_EQ(told_of(rows("low", "0.4 V", "0.4 V")), Told{});
    EXPECT_EQ(told_of(rows("low", "0.3 V", "0.5 V")), Told{});
    EXPECT_EQ(told_of(rows("high", "supply - 0.7 V", "supply - 0.4 V")), turned);
    EXPECT_EQ(told_of(rows("high", "supply - 0.4 V", "supply - 0.7 V")), Told{});
}

TEST(RowChecks, DiscreteParts) {
    const auto of = [](const char* kind, const char* figures) {
        return told_of(fmt::format("[types.a]\nkind = \"{0}\"\n{0} = {{ {1} }}\n", kind, figures));
    };
    const Told doubt{"doubted unlikely"};
    EXPECT_EQ(of("resistor", R"(power = "0 W")"), doubt);
    EXPECT_EQ(of("resistor", R"(power = "250 W")"), doubt);
    EXPECT_EQ(of("resistor", R"(power = "5 W")"), Told{});
    EXPECT_EQ(of("bjt", R"(polarity = "npn", beta = "0..300")"), doubt);
    EXPECT_EQ(of("bjt", R"(polarity = "npn", beta = "100..300", current_max = "0 mA")"), doubt);
    EXPECT_EQ(of("bjt", R"(polarity = "npn", beta = "100..300", vce_max = "40 mV")"), doubt);
    EXPECT_EQ(of("diode", R"(forward = "0.7 V", at = "0 mA")"), doubt);
    EXPECT_EQ(of("diode", R"(forward = "0.7 V", reverse_max = "-5 V")"), Told{"doubted below-zero"});
    EXPECT_EQ(of("opto", R"(forward = "1.2 V", ctr = "0..600 %")"), doubt);
    EXPECT_EQ(of("opto", R"(forward = "1.2 V", ctr = "50..600 %", turn_off = "50 s")"), doubt);
    EXPECT_EQ(of("mosfet", R"(polarity = "n", vth = "2..4 V", rds = "1 Ω", rds_at = "1.8 V")"),
              Told{"doubted closed-gate"});
    EXPECT_EQ(of("mosfet", R"(polarity = "n", vth = "2..4 V", rds = "1 Ω", rds_at = "4.5 V")"), Told{});
}

}  // namespace
}  // namespace voltsill
