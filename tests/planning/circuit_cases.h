#pragma once
/// Each circuit where it serves and where it must be refused, with the number that says why. When to
/// choose and when not is common practice, no source, unless a line names one. Held by circuits_test.cpp; the
/// benches where a circuit serves are drawn in tests/drawing.
#include <cmath>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "sample.h"

namespace voltsill::sample {

struct Case {
    const char* circuit;
    Two bench;
    bool serves;
    const char* says;  ///< part of the reason against it
};

inline Two faster(Two two, const char* rate) {
    two.link = two.link.substr(0, two.link.find("rate")) + fmt::format("rate = \"{}\"", rate);
    return two;
}
inline const Two tolerant{"push-pull output, 5 V", "five", "LVTTL input, 3.3 V, 5 V tolerant", "three",
                   "rate = \"10 kHz\""};
inline const Two ttl{"push-pull output, 3.3 V", "three", "TTL input, 5 V", "five", "rate = \"10 kHz\""};
inline const Two clamped{
    "push-pull output, 5 V", "five", "LVTTL input, 3.3 V", "three", "rate = \"10 kHz\"", "", false, "",
    "injection = \"1 mA\""};
inline const Two low_bus{"I2C pin",
                  "low",
                  "I2C pin",
                  "three",
                  "kind = \"open-drain\"\nbus = \"I2C\"\nrate = \"100 kHz\"",
                  "",
                  false,
                  "max = \"supply + 0.3 V\"",
                  "max = \"supply + 0.3 V\""};
inline const Two inverting = [] {
    Two t = down;
    t.link = "invert = true\nrate = \"10 kHz\"";
    return t;
}();
inline const Two two_ways{"controller pin, 3.3 V", "three", "controller pin, 5 V", "five",
                   "kind = \"two-way\"\nrate = \"1 MHz\""};
inline const Two same{"push-pull output, 3.3 V", "three", "CMOS input, 3.3 V", "three", "rate = \"10 kHz\""};
inline const Two two_ways_up{"controller pin, 5 V", "five", "controller pin, 5 V", "twelve", "kind = \"two-way\""};
inline const Two from_tiny{"push-pull output, 1.8 V", "tiny", "CMOS input, 5 V", "five", "rate = \"10 kHz\""};
inline const Two to_high{"push-pull output, 5 V", "five", "CMOS input, 5 V", "high", "rate = \"10 kHz\""};
inline const Two pulled{"open-collector output with 10 kΩ to its supply", "three", "CMOS input, 3.3 V", "three",
                 "rate = \"100 Hz\""};
inline const Two bare_drain{"open-collector output", "five", "LVTTL input, 3.3 V", "three", "rate = \"100 Hz\""};
inline const Two drain_to_load{"open-collector output", "three", "relay input, active low, 5 V", "five",
                        "kind = \"load\"\ninvert = true"};
inline const Two tiny_converter = [] {
    Two t = analog;
    t.in_rail = "tiny";
    return t;
}();
inline Two keyed(Two two, const char* out_keys, const char* in_keys) {
    two.out_keys = out_keys;
    two.in_keys = in_keys;
    return two;
}
inline const Two led{"controller pin, 3.3 V", "three", "LED input, active high", "five", "kind = \"load\""};

/// Active high, hangs on ground: 3 mA are surely on, and 3.3 V give 0.7 mA.
inline const Two lamp{
    "controller pin, 3.3 V", "three", "LED input, active high", "twelve", "kind = \"load\"", "", false, "",
    "load = { to = \"ground\", forward = \"1.0..1.15..1.4 V\", ohms = \"2.2 kΩ ± 5 %\", on_above = \"3 mA\", "
    "off_below = \"0.1 mA\", consequence = \"lamp lights\" }"};

inline const std::vector<Case> cases{
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
    {"two-way-fet", faster(bus, "400 kHz"), true, ""},  // 2.2 kΩ on each side would be too much for one sink
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
     keyed(two_ways, "pulls = [{ to = \"supply\", ohms = \"40 kΩ\" }]",
           "pulls = [{ to = \"supply\", ohms = \"10 kΩ\" }]"),
     false, "10 kΩ is there"},
    {"auto-push-pull",
     keyed(two_ways, "pulls = [{ to = \"supply\", ohms = \"10 kΩ\" }]",
           "pulls = [{ to = \"supply\", ohms = \"40 kΩ\" }]"),
     false, "10 kΩ is there"},
    {"auto-push-pull", keyed(two_ways, "", "pulls = [{ to = \"supply\", ohms = \"10 kΩ\", at_reset = true }]"),
     true, ""},
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
    {"direct", lamp, false, "714 µA"},  // (2.97 V - 1.4 V) / 2.2 kΩ
    {"high-side-switch", lamp, true, ""},
    {"high-side-switch", led, true, ""},
    {"high-side-switch", with(lamp, "rate = \"15 kHz\""), true, ""},
    {"high-side-switch", with(lamp, "rate = \"25 kHz\""), false, "20 kHz or less"},
    {"high-side-switch", relay, false, "sinks it does with less"},
    {"high-side-switch", down, false, "no load"},
    {"high-side-switch", Two{"open-collector output", "three", "LED input, active high", "five", "kind = \"load\""},
     false, "gives no high"},
};

/// How hard each is to explain, from a wire up (common practice, no source): 0 a wire, 1 one resistor, 2 two or a
/// package, 3 what needs a word of warning, 4 a transistor, 5 and more two stages. A part that guesses the direction is
/// the last resort where the direction is known.
inline const std::map<std::string, std::set<double>> taught{
    {"direct", {0}},          {"series-resistor", {1}},
    {"divider", {1, 2}},      // one resistor under a module's pull-up
    {"blocking-diode", {3}},  {"pull-up", {1, 3}},  // 3: one taken off
    {"npn-inverter", {4}},    {"fet-inverter", {4}},       {"inverter-pair", {6}},
    {"two-way-fet", {4}},     {"low-rail-buffer", {2}},    {"high-rail-buffer", {2}},
    {"dual-supply", {3}},     {"auto-push-pull", {4, 9}},  {"auto-open-drain", {4, 9}},
    {"pass-gate", {4}},       {"repeater", {4}},           {"opto", {6}},
    {"comparator", {7}},      {"follower", {5}},           {"load-driver", {3}},
    {"high-side-switch", {5, 6}},  // 6: its gate behind a divider
};

}  // namespace voltsill::sample
