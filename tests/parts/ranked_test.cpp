// Parts by what somebody says of them.
#include "parts/ranked.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace {
using namespace voltsill;

std::vector<std::string> ranked(std::string_view query) {
    std::vector<std::string> names;
    for (const PartType* type : ranked_types(Catalogue::built_in(), query)) names.push_back(type->name);
    return names;
}

bool among_first(const std::vector<std::string>& names, const std::string& name, long n) {
    return std::ranges::find(names.begin(), names.begin() + std::min<long>(n, static_cast<long>(names.size())), name) !=
           names.begin() + std::min<long>(n, static_cast<long>(names.size()));
}

const PartType& type_of(const std::string& name) { return *Catalogue::built_in().find(name); }

TEST(Ranked, AnEmptyQueryListsAll) {
    EXPECT_EQ(ranked("").size(), Catalogue::built_in().types().size());
    EXPECT_EQ(ranked(" with the ").size(), Catalogue::built_in().types().size());
    EXPECT_TRUE(ranked("zzzz").empty());
}

TEST(Ranked, ANameFindsItsPartFirst) {
    for (const auto& type : Catalogue::built_in().types())
        EXPECT_TRUE(among_first(ranked(type->name), type->name, 3)) << type->name;
}

TEST(Ranked, PlainWordsFindWhatIsMeant) {
    // The sentence of a person, word for word: an open-collector output whose module pulls it up to 5 V.
    const auto found = ranked("open collector sensor with pull-up to 5 V");
    ASSERT_FALSE(found.empty());
    const PartType& best = type_of(found.front());
    EXPECT_TRUE(std::ranges::any_of(best.pins, [](const Pin& pin) {
        return (pin.role == PinRole::open_drain || pin.role == PinRole::open_drain_io) && !pin.pulls.empty();
    })) << best.name;
    EXPECT_TRUE(std::ranges::any_of(best.supplies, [](const SupplyPort& supply) {
        return supply.range.lo.si() <= 5 && supply.range.hi.si() >= 5;
    })) << best.name;
    EXPECT_TRUE(among_first(ranked("two-way level shifter for I2C"), "two-bit pass-gate translator", 4));
    EXPECT_EQ(type_of(ranked("a Schmitt trigger inverter").front()).function, type_of("HC 14").function);
    EXPECT_EQ(type_of(ranked("comparators with open collector").front()).kind, PartKind::comparator);
}

TEST(Ranked, WordsOfTheTradeFindWhatTheCatalogueCallsOtherwise) {
    EXPECT_EQ(ranked("open collector sensor with pull-up to 5 V").front(), "open-collector-sensor-5v");
    EXPECT_EQ(ranked("microcontroller 3.3 V").front(), "controller-3v3");
    for (const char* query : {"level shifter", "level translator", "level converter", "5 V level shifter"})
        EXPECT_NE(ranked(query).front().find("translator"), std::string::npos)
            << query << ": " << ranked(query).front();
    EXPECT_EQ(ranked("logic level mosfet").front(), "logic-level power n-mosfet");
}

TEST(Ranked, AShortWordIsNotTakenForAnother) {
    EXPECT_TRUE(near_names(Catalogue::built_in(), "buzzer").empty()) << "no buffer";
    EXPECT_FALSE(near_names(Catalogue::built_in(), "bufer").empty());
    EXPECT_FALSE(near_names(Catalogue::built_in(), "bufefr").empty());
}

TEST(Ranked, VoltagesMeanSupplies) {
    for (const char* query : {"buffer 1.8 V", "buffer 1.8V", "buffer 1v8", "buffer at 1.8 volts"}) {
        const auto found = ranked(query);
        ASSERT_FALSE(found.empty()) << query;
        EXPECT_TRUE(std::ranges::any_of(type_of(found.front()).supplies, [](const SupplyPort& supply) {
            return supply.range.lo.si() <= 1.8 && supply.range.hi.si() >= 1.8;
        })) << query << ": " << found.front();
    }
}

/// A part that can be had over all of the range asked for, as the page prints it.
TEST(Ranked, RangesOfASupplyMeanBothEnds) {
    for (const char* query : {"octal buffer 1.65..3.6 V", "octal buffer 1.65 V to 3.6 V",
                              "octal buffer 1.65 to 3.6 volts", "octal buffer 1.65v-3.6v"}) {
        const auto found = ranked(query);
        ASSERT_FALSE(found.empty()) << query;
        EXPECT_TRUE(std::ranges::any_of(type_of(found.front()).supplies, [](const SupplyPort& supply) {
            return supply.range.lo.si() <= 1.65 && supply.range.hi.si() >= 3.6;
        })) << query << ": " << found.front();
    }
    EXPECT_EQ(type_of(ranked("HC 245").front()).name, "HC 245") << "a number without volts is a name";
    EXPECT_TRUE(among_first(ranked("quad 4 buffer 3.3 V"), "LVC 125", 8))
        << "nor is every number before one a voltage of it";
}

/// Family, function and supply of every logic type, as its row in the page says them.
TEST(Ranked, FamilyFunctionAndSupplyFindEachType) {
    for (const auto& type : Catalogue::built_in().types())
        if (!type->family.empty()) {
            const double volts = type->supplies.front().range.hi.si();
            const std::string query = type->family + " " + type->function + " " + std::to_string(volts) + " V";
            EXPECT_TRUE(among_first(ranked(query), type->name, 4)) << query;
        }
}

TEST(Ranked, WordsFoundGoBeforeScoreAndOrderDoesNotMatter) {
    EXPECT_EQ(ranked("octal buffer three-state"), ranked("three-state octal buffer"));
    EXPECT_EQ(ranked("OCTAL buffer"), ranked("octal Buffer with the"));
}

}  // namespace
