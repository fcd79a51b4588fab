/// Resistors misread by their bands, and parts of near names in the holes of others.
#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "faults/listing.h"
#include "quantity/colour_code.h"
#include "quantity/preferred.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

std::set<long> values_of(const std::vector<Misreading>& all) {
    std::set<long> out;
    for (const Misreading& m : all) out.insert(std::lround(m.ohms));
    return out;
}

/// IEC 60062:2016, table of colours (from memory): brown 1, red 2, orange 3, violet 7, grey 8, yellow 4, white 9.
/// 1 kΩ 5 % is brown black red gold: red black red is 2 kΩ, orange black red 3 kΩ, brown brown red 1.1 kΩ, and the
/// third band makes a decade. 4.7 kΩ is yellow violet red: violet for blue would be 4.6 kΩ, which nobody makes.
TEST(Misreadings, OfOneKiloohmAreThoseOfTheColourTable) {
    EXPECT_EQ(values_of(misreadings_of(1e3, 0.05)), (std::set<long>{10000, 100, 2000, 3000, 1100}));
    EXPECT_EQ(values_of(misreadings_of(4.7e3, 0.05)), (std::set<long>{47000, 470}));
    EXPECT_EQ(values_of(misreadings_of(2.2e3, 0.05)), (std::set<long>{22000, 220, 1200}));
}

/// Every value differs from the right one in exactly one band, and is made.
TEST(Misreadings, DifferInOneBandAndAreMade) {
    for (const double ohms : values(Series::E24, 10, 1e6))
        for (const Misreading& wrong : misreadings_of(ohms, 0.05)) {
            const auto right_bands = colour_bands({Ohms{ohms}, 0.05}, 4);
            const auto bands = colour_bands({Ohms{wrong.ohms}, 0.05}, 4);
            ASSERT_TRUE(right_bands && bands) << ohms << " " << wrong.ohms;
            int differ = 0;  // a decade is one band as well
            for (std::size_t k = 0; k < 4; ++k) differ += (*right_bands)[k] != (*bands)[k];
            EXPECT_EQ(differ, 1) << ohms << " " << wrong.ohms;
            EXPECT_NEAR(*nearest(Series::E24, wrong.ohms), wrong.ohms, 1e-9 * wrong.ohms);
            EXPECT_GT(std::abs(wrong.ohms - ohms), 0.05 * ohms);
        }
}

TEST(Misreadings, OfClosePartsHaveFiveBands) {
    for (const Misreading& wrong : misreadings_of(1.02e3, 0.01)) EXPECT_TRUE(colour_bands({Ohms{wrong.ohms}, 0.01}, 5));
    // brown black red brown brown: the third band orange is 1.03 kΩ, not of E96; red for the first is 2.02 kΩ, neither;
    // orange for the fourth is 102 kΩ.
    EXPECT_EQ(values_of(misreadings_of(1.02e3, 0.01)), (std::set<long>{10200, 102, 102000}));
}

const Catalogue& built_in() { return Catalogue::built_in(); }
WiredPart wired(std::string_view name) {
    WiredPart part{.name = "U1"};
    for (const auto& type : built_in().types())
        if (type->name == name) part.type = type;
    part.package = Catalogue::package_in(*part.type, part.type->name);
    for (std::size_t k = 0; k < part.type->pins.size(); ++k) part.net_of_pin.push_back(static_cast<NetId>(k));
    return part;
}
std::set<std::string> names_near(std::string_view name) {
    std::set<std::string> out;
    for (const Namesake& other : namesakes_of(built_in(), wired(name))) out.insert(other.type->name);
    return out;
}

/// Failure mode F11: HC for HCT, 125 for 126 (docs/failure-modes.md).
TEST(Namesakes, LettersAndDigitsThatAreNear) {
    const auto of_125 = names_near("HCT 125");
    for (const char* name : {"HC 125", "HCT 126"}) EXPECT_TRUE(of_125.contains(name)) << name;
    EXPECT_FALSE(of_125.contains("HCT 125"));
    for (const std::string& name : of_125) EXPECT_TRUE(name.find("541") == std::string::npos) << name;
    EXPECT_TRUE(names_near("npn").contains("pnp"));
    EXPECT_TRUE(names_near("four-bit auto-direction push-pull translator")
                    .contains("four-bit auto-direction open-drain translator"));
}

/// By number: the net of lead n stays in hole n, whatever the other part calls that lead.
TEST(Namesakes, TakeTheNetsOfTheHoles) {
    int pairs = 0, moved_power = 0;
    for (const auto& type : built_in().types()) {
        const WiredPart part = wired(type->name);
        if (!part.package) continue;
        for (const Namesake& other : namesakes_of(built_in(), part)) {
            const WiredPart put = in_place_of(part, other);
            const auto &old = part.package->pin_of_number, &fresh = put.package->pin_of_number;
            ASSERT_EQ(old.size(), fresh.size()) << type->name << " " << put.type->name;
            ++pairs;
            for (std::size_t n = 0; n < old.size(); ++n) {
                if (fresh[n] < 0 || std::ranges::count(fresh, fresh[n]) > 1) continue;
                const NetId wanted = old[n] < 0 ? unconnected : part.net_of_pin[old[n]];
                EXPECT_EQ(put.net_of_pin[fresh[n]], wanted) << type->name << " " << put.type->name << " lead " << n + 1;
                const bool power = put.type->pins[fresh[n]].role == PinRole::supply;
                moved_power += power && old[n] >= 0 && part.type->pins[old[n]].role != PinRole::supply;
            }
        }
    }
    EXPECT_GT(pairs, 100);
    EXPECT_GT(moved_power, 0);  // failure mode F10: power on other pins, as of regulators in one package
}

}  // namespace
}  // namespace voltsill
