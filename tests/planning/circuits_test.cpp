/// Each circuit where it serves and where it must be refused, with the number that says why. When to
/// choose and when not is common practice, no source, unless a line names one.
#include "planning/circuits/circuits.h"

#include <gmock/gmock.h>

#include <algorithm>

#include "sample.h"

namespace voltsill {
namespace {

using namespace sample;

struct Case {
    const char* circuit;
    Two bench;
    bool serves;
    const char* says;  ///< part of the reason against it
};

Two faster(Two two, const char* rate) {
    two.link = two.link.substr(0, two.link.find("rate")) + fmt::format("rate = \"{}\"", rate);
    return two;
}
const Two tolerant{"push-pull output, 5 V", "five", "LVTTL input, 3.3 V, 5 V tolerant", "three",
                   "rate = \"10 kHz\""};
const Two ttl{"push-pull output, 3.3 V", "three", "TTL input, 5 V", "five", "rate = \"10 kHz\""};
const Two clamped{
    "push-pull output, 5 V", "five", "LVTTL input, 3.3 V", "three", "rate = \"10 kHz\"", "", false, "",
    "injection = \"1 mA\""};
const Two low_bus{"I2C pin",
                  "low",
                  "I2C pin",
                  "three",
                  "kind = \"open-drain\"\nbus = \"I2C\"\nrate = \"100 kHz\"",
                  "",
                  false,
                  "max = \"supply + 0.3 V\"",
                  "max = \"supply + 0.3 V\""};
const Two inverting = [] {
    Two t = down;
    t.link = "invert = true\nrate = \"10 kHz\"";
    return t;
}();
const Two two_ways{"controller pin, 3.3 V", "three", "controller pin, 5 V", "five",
                   "kind = \"two-way\"\nrate = \"1 MHz\""};
const Two led{"controller pin, 3.3 V", "three", "LED input, active high", "five", "kind = \"load\""};

const std::vector<Case> cases{
    {"direct", ttl, true, ""},
    {"direct", tolerant, true, ""},
    {"direct", down, false, "3.5"},  // 3.2 V + 0.3 V is all the pin stands
    {"series-resistor", clamped, true, ""},
    {"series-resistor", down, false, "1.5"},  // 5.25 V - 3.2 V - 0.5 V has nowhere to go
    {"divider", down, true, ""},
    {"divider", ttl, false, "3.4 V does not exceed"},
    {"divider", bus, false, "one way"},
    {"divider", faster(down, "200 MHz"), false, "source of"},
    {"blocking-diode", down, true, ""},
    {"blocking-diode", up, false, "not below"},
    {"pull-up", bucket, true, ""},
    {"pull-up", down, false, "pushes high itself"},
    {"npn-inverter", inverting, true, ""},
    {"npn-inverter", down, false, "upside down"},
    {"npn-inverter", faster(inverting, "1 MHz"), false, "200 kHz"},
    {"fet-inverter", inverting, true, ""},
    {"fet-inverter", down, false, "upside down"},
    {"inverter-pair", down, true, ""},
    {"inverter-pair", bucket, false, "no high"},
    {"two-way-fet", bus, true, ""},
    {"two-way-fet", faster(bus, "1 MHz"), false, "400 kHz"},
    {"two-way-fet", faster(up, "800 kHz"), false, "200 kHz"},
    {"low-rail-buffer", down, true, ""},
    {"low-rail-buffer", bus, false, "one way"},
    {"high-rail-buffer", up, true, ""},
    {"high-rail-buffer", with(down, "", "[stock]\n\"HCT 541\" = 1\n\"capacitor\" = 9\n"), false,
     "3.5"},  // its high is the 5 V rail
    {"high-rail-buffer", with(up, "", "[stock]\n\"HCT 541\" = 1\n\"capacitor\" = 9\n"), true, ""},
    {"dual-supply", up, true, ""},
    {"dual-supply", bus, false, "push high"},
    {"auto-push-pull", two_ways, true, ""},
    {"auto-push-pull", bus, false, "4 kΩ"},
    {"auto-push-pull", with(up, "safe_level = \"low\""), false, "50 kΩ"},
    {"auto-open-drain", bus, true, ""},
    {"auto-open-drain", relay, false, "drives no load"},
    {"pass-gate", low_bus, true, ""},
    {"pass-gate", down, false, "push-pull driver"},
    {"repeater", bus, true, ""},
    {"repeater", down, false, "open-drain buses"},
    {"opto", faster(inverting, "1 kHz"), true, ""},
    {"opto", faster(inverting, "115200 baud"), false, "50 µs"},
    {"comparator", faster(down, "1 MHz"), false, "100 kHz"},
    {"follower", analog, true, ""},
    {"follower", down, false, "analogue"},
    {"load-driver", relay, true, ""},
    {"load-driver", down, false, "no load"},
    {"load-driver", led, false, "ground"},
    {"change-of-supply", down, false, "made for"},
};

TEST(Circuits, ServeWhereTheyShouldAndSayWhyNotElsewhere) {
    for (const Case& c : cases) {
        const Evaluated e = of(c.bench.bench(), c.circuit);
        EXPECT_EQ(e.would_serve, c.serves)
            << c.circuit << " | " << c.bench.out << " -> " << c.bench.in << " | " << e.candidate.why_not;
        if (c.serves) continue;
        EXPECT_THAT(e.candidate.why_not, testing::HasSubstr(c.says)) << c.circuit;
    }
}

TEST(Circuits, EveryOneOfTheTableIsHeldBothWays) {
    for (const CircuitKind& kind : all_circuits())
        EXPECT_TRUE(std::ranges::any_of(cases, [&](const Case& c) {
            return std::string_view(c.circuit) == kind.name;
        })) << kind.name;
}

TEST(Circuits, NamesAreDifferentAndNoReasonIsEmpty) {
    for (const Case& c : cases)
        for (const Evaluated& e : tried(c.bench.bench()))
            EXPECT_TRUE(e.would_serve || !e.candidate.why_not.empty())
                << e.candidate.circuit << " " << e.candidate.title;
}

/// A rail the receiver would also work from is said, never chosen.
TEST(Circuits, ChangeOfSupplyIsASuggestion) {
    std::string text = up.text();
    for (const auto& [from, to] : {std::pair<std::string, std::string>{
             "range = \"3.0..3.6 V\", max = \"-0.3..4 V\"", "range = \"3.0..5.5 V\", max = \"-0.3..6 V\""}})
        text.replace(text.find(from), from.size(), to);
    const Evaluated e = of(read(text), "change-of-supply");
    EXPECT_FALSE(e.would_serve);
    EXPECT_EQ(e.candidate.title, "run D from rail five");
}

/// `as_is`: the planner moves no supply of the part and takes no pull-up off it.
TEST(Circuits, PartsAsTheyAreStayAsTheyAre) {
    const auto with_as_is = [](std::string text, const char* part) {
        const std::string head = std::string(part) + " = { type";
        text.replace(text.find(head), head.size(), std::string(part) + " = { as_is = true, type");
        return read(text);
    };
    std::string text = up.text();
    const std::string from = "range = \"3.0..3.6 V\", max = \"-0.3..4 V\"";
    text.replace(text.find(from), from.size(), "range = \"3.0..5.5 V\", max = \"-0.3..6 V\"");
    EXPECT_TRUE(of(with_as_is(text, "D"), "change-of-supply").recipe.title.empty());
    EXPECT_FALSE(of(bucket.bench(), "pull-up").recipe.pulls_removed.empty());
    const Evaluated kept = of(with_as_is(bucket.text(), "D"), "pull-up");
    EXPECT_TRUE(kept.recipe.pulls_removed.empty());
    EXPECT_THAT(kept.candidate.why_not, testing::HasSubstr("may not be taken off"));
}

}  // namespace
}  // namespace voltsill
