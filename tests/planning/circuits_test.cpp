/// Each circuit where it serves and where it must be refused, with the number that says why. When to
/// choose and when not is common practice, no source, unless a line names one.
#include "planning/circuits/circuits.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

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
const Two same{"push-pull output, 3.3 V", "three", "CMOS input, 3.3 V", "three", "rate = \"10 kHz\""};
const Two two_ways_up{"controller pin, 5 V", "five", "controller pin, 5 V", "twelve", "kind = \"two-way\""};
const Two from_tiny{"push-pull output, 1.8 V", "tiny", "CMOS input, 5 V", "five", "rate = \"10 kHz\""};
const Two to_high{"push-pull output, 5 V", "five", "CMOS input, 5 V", "high", "rate = \"10 kHz\""};
const Two pulled{"open-collector output with 10 kΩ to its supply", "three", "CMOS input, 3.3 V", "three",
                 "rate = \"100 Hz\""};
const Two bare_drain{"open-collector output", "five", "LVTTL input, 3.3 V", "three", "rate = \"100 Hz\""};
const Two drain_to_load{"open-collector output", "three", "relay input, active low, 5 V", "five",
                        "kind = \"load\"\ninvert = true"};
const Two tiny_converter = [] {
    Two t = analog;
    t.in_rail = "tiny";
    return t;
}();
Two keyed(Two two, const char* out_keys, const char* in_keys) {
    two.out_keys = out_keys;
    two.in_keys = in_keys;
    return two;
}
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
    {"change-of-supply", same, false, "made for"},
    {"series-resistor", analog, false, "clamping"},
    {"series-resistor", keyed(down, "", "injection = \"0 mA\""), false, "no injected current"},
    {"divider", relay, false, "more current than a divider"},
    {"divider", bare_drain, false, "no high to divide"},
    {"divider", with(bucket, "", "[stock]\n\"resistor\" = \"100 kΩ .. 1 MΩ\"\n"), false, "no resistor of the series"},
    {"divider", with(down, "", "[stock]\n\"resistor E12\" = \"1 Ω .. 2 Ω\"\n"), false, "no pair of E12"},
    {"blocking-diode", bus, false, "one way"},
    {"blocking-diode", analog, false, "not voltages"},
    {"pull-up", drain_to_load, false, "pulls the line up itself"},
    {"pull-up", pulled, false, "pull-up already"},
    {"pull-up", with(bucket, "safe_level = \"high\""), true, ""},
    {"pull-up", with(bucket, "safe_level = \"low\""), false, "low is wanted"},
    {"npn-inverter", relay, false, "a load"},
    {"npn-inverter", faster(inverting, "200 kHz"), true, ""},
    {"comparator", faster(up, "100 kHz"), true, ""},
    {"two-way-fet", faster(bus, "400 kHz"), false, "3 mA is what"},  // not too fast: 2.2 kΩ on each side
    {"npn-inverter", analog, false, "not voltages"},
    {"npn-inverter", bus, false, "one way"},
    {"fet-inverter", from_tiny, false, "threshold surely 0.3 V below"},
    {"inverter-pair", from_tiny, false, "threshold surely 0.3 V below"},
    {"two-way-fet", same, false, "one rail"},
    {"two-way-fet", relay, false, "drives no load"},
    {"two-way-fet", analog, false, "not voltages"},
    {"two-way-fet", from_tiny, false, "1.16 V less 0.7 V of the body diode, 464 mV"},
    {"low-rail-buffer", analog, false, "one threshold"},
    {"low-rail-buffer", Two{"push-pull output, 5 V", "high", "CMOS input, 5 V", "high"}, false, "no buffer is made"},
    {"low-rail-buffer", with(down, "", "[stock]\n\"capacitor\" = 9\n"), false, "no buffer in stock"},
    {"high-rail-buffer", same, false, "one rail"},
    {"dual-supply", same, false, "rail on each side"},
    {"dual-supply", analog, false, "not voltages"},
    {"dual-supply", two_ways, false, "software"},
    {"dual-supply", to_high, false, "no dual-supply part takes"},
    {"dual-supply", with(up, "", "[stock]\n\"capacitor\" = 9\n"), false, "no dual-supply part in stock"},
    {"auto-push-pull", analog, false, "not voltages"},
    {"auto-push-pull", relay, false, "no load"},
    {"auto-push-pull", same, false, "rail on each side"},
    {"auto-push-pull", faster(two_ways, "200 MHz"), false, "the link runs at"},
    {"auto-push-pull", two_ways_up, false, "takes 1.2..3.6 V"},
    {"auto-push-pull", with(two_ways, "", "[stock]\n\"capacitor\" = 9\n"), false, "none in stock"},
    // SCES650E: the 4 kΩ hold needs external pulls above 50 kΩ; the stronger of two is named.
    {"auto-push-pull",
     keyed(two_ways, "pulls = [{ to = \"supply\", ohms = \"40 kΩ\" }]", "pulls = [{ to = \"supply\", ohms = \"10 kΩ\" }]"),
     false, "10 kΩ is there"},
    {"auto-push-pull",
     keyed(two_ways, "pulls = [{ to = \"supply\", ohms = \"10 kΩ\" }]", "pulls = [{ to = \"supply\", ohms = \"40 kΩ\" }]"),
     false, "10 kΩ is there"},
    {"auto-push-pull", keyed(two_ways, "", "pulls = [{ to = \"supply\", ohms = \"10 kΩ\", at_reset = true }]"), true, ""},
    {"auto-push-pull", keyed(two_ways, "", "pulls = [{ to = \"supply\", ohms = \"100 kΩ\" }]"), true, ""},
    {"auto-open-drain", analog, false, "not voltages"},
    {"auto-open-drain", same, false, "rail on each side"},
    {"pass-gate", with(analog, ""), false, "not voltages"},
    {"pass-gate", Two{"I2C pin", "three", "I2C pin", "three", "kind = \"open-drain\"\nrate = \"100 kHz\""}, false,
     "0.6 V above"},
    {"opto", bus, false, "one way"},
    {"opto", analog, false, "precision"},
    {"opto", bucket, false, "no high"},
    {"opto", relay, false, "no load"},
    {"opto", faster(from_tiny, "100 Hz"), false, "leaves nothing over"},
    {"comparator", bus, false, "one way"},
    {"comparator", analog, false, "one threshold"},
    {"comparator", faster(up, "1 kHz"), true, ""},
    {"follower", tiny_converter, false, "no op amp made for 1.2 V"},
    {"follower", keyed(analog, "analog_range = \"0..3 V\"", ""), false, "nothing to divide"},
    {"load-driver", drain_to_load, false, "sinks the load itself"},
};

/// How hard each is to explain, from a wire up (common practice, no source). A part that guesses the direction is the
/// last resort where the direction is known.
const std::map<double, std::set<std::string>> taught{
    {0, {"direct"}},
    {1, {"series-resistor", "pull-up", "divider"}},  // one resistor under a module's pull-up
    {2, {"divider", "low-rail-buffer", "high-rail-buffer"}},
    {3, {"blocking-diode", "dual-supply", "load-driver", "pull-up"}},  // one pull-up taken off
    {4, {"npn-inverter", "fet-inverter", "two-way-fet", "auto-push-pull", "auto-open-drain", "pass-gate", "repeater"}},
    {5, {"follower"}},
    {6, {"inverter-pair", "opto"}},
    {7, {"comparator"}},
    {9, {"auto-push-pull", "auto-open-drain"}},
};

TEST(Circuits, ServeWhereTheyShouldAndSayWhyNotElsewhere) {
    std::map<double, std::set<std::string>> explained;
    for (const Case& c : cases) {
        const std::vector<Evaluated> all = tried(c.bench.bench());
        for (const Evaluated& e : all) {
            if (e.would_serve) explained[std::floor(e.recipe.simplicity)].insert(e.candidate.circuit);
            EXPECT_TRUE(e.would_serve || !e.candidate.why_not.empty()) << e.candidate.circuit << " " << e.candidate.title;
        }
        const Evaluated e = first_of(all, c.circuit);
        EXPECT_EQ(e.would_serve, c.serves)
            << c.circuit << " | " << c.bench.out << " -> " << c.bench.in << " | " << e.candidate.why_not;
        if (c.serves) continue;
        EXPECT_THAT(e.candidate.why_not, testing::HasSubstr(c.says)) << c.circuit;
    }
    EXPECT_EQ(explained, taught);
}

TEST(Circuits, EveryOneOfTheTableIsHeldBothWays) {
    for (const CircuitKind& kind : all_circuits())
        EXPECT_TRUE(std::ranges::any_of(cases, [&](const Case& c) {
            return std::string_view(c.circuit) == kind.name;
        })) << kind.name;
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
