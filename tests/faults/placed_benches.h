#pragma once
/// Benches on boards for tests of faults: those of examples/, planned and placed, and made ones.
#include "placement/example_benches.h"
#include "placement/place.h"
#include "support/generated_bench.h"

namespace voltsill::placed {

struct Build {
    std::string name;
    Bench bench;
    PlacedWiring placed;
};

inline Build build(std::string name, Bench bench) {
    Problems problems;
    const Wiring wiring = bench.wiring ? wire_as_given(bench, problems) : plan(bench).wiring;
    PlacedWiring placed = place(bench, wiring, {.effort = 0.2});
    return {std::move(name), std::move(bench), std::move(placed)};
}
inline Build generated(std::uint64_t seed, int links) {
    return build("generated " + std::to_string(seed), *read_bench(test::generated_bench(seed, links), "made").bench);
}
/// Interface circuits that the examples do not use, by the wish of each link.
inline constexpr const char* many_ways = R"(
title = "many ways"
[rails]
five = { volts = "4.75..5.25 V" }
three = { volts = "3.3 V ± 3 %" }
[types.five]
title = "five"
source = "invented"
certainty = "assumed"
invented = true
supplies.VCC = { range = "4.5..5.5 V", max = "-0.3..6 V" }
pins."OUT1..OUT4" = { like = "push-pull output, 5 V" }
pins."IN1..IN4" = { like = "TTL input, 5 V" }
pins.SD = { like = "I2C pin", max = "6 V", min = "-0.3 V" }
pins.GND = { is = "ground" }
[types.three]
title = "three"
source = "invented"
certainty = "assumed"
invented = true
supplies.VCC = { range = "3.0..3.6 V", max = "-0.3..4 V" }
pins."OUT1..OUT4" = { like = "push-pull output, 3.3 V" }
pins."IN1..IN4" = { like = "LVTTL input, 3.3 V" }
pins.SD = { like = "I2C pin", max = "supply + 0.3 V", min = "-0.3 V" }
pins.GND = { is = "ground" }
[parts]
a = { type = "five", supply = "five" }
b = { type = "three", supply = "three" }
[[links]]
name = "diode"
from = "a.OUT1"
to = "b.IN1"
rate = "1 kHz"
interface = "blocking-diode"
[[links]]
name = "divider"
from = "a.OUT2"
to = "b.IN2"
rate = "1 kHz"
interface = "divider"
[[links]]
name = "both supplies"
from = "b.OUT1"
to = "a.IN1"
rate = "10 kHz"
interface = "dual-supply"
[[links]]
name = "by itself"
from = "b.OUT2"
to = "a.IN2"
rate = "10 kHz"
interface = "auto-push-pull"
[[links]]
name = "data"
kind = "open-drain"
from = "a.SD"
to = "b.SD"
rate = "100 kHz"
interface = "auto-open-drain"
)";

/// As they are in examples/, with many ways, and three made ones.
inline const std::vector<Build>& all() {
    static const std::vector<Build> builds = [] {
        std::vector<Build> out;
        for (const examples::Example& example : examples::all()) out.push_back(build(example.name, example.bench));
        out.push_back(build("many ways", *read_bench(many_ways, "many").bench));
        for (const unsigned seed : {1u, 2u, 3u}) out.push_back(generated(seed, 6));
        return out;
    }();
    return builds;
}
inline const Build& named(std::string_view name) {
    return *std::ranges::find(all(), name, &Build::name);
}

}  // namespace voltsill::placed
