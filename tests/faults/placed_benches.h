#pragma once
/// Benches on boards for tests of faults: those of examples/, planned and placed, and made ones.
#include <map>

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
/// Interface circuits that the examples do not use, by the wish of each link; types follow (test::module_types).
inline constexpr const char* many_ways = R"(
title = "many ways"
[rails]
five = { volts = "4.75..5.25 V" }
three = { volts = "3.3 V ± 3 %" }
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

/// "rain-garden.toml" and the other examples, "many ways", "generated 1". Each is planned and placed once.
inline const Build& named(const std::string& name) {
    static std::map<std::string, Build> made;
    const auto known = made.find(name);
    if (known != made.end()) return known->second;
    Bench bench = name == "many ways" ? *read_bench(many_ways + test::module_types("SD"), name).bench
                  : name.starts_with("generated ")
                      ? *read_bench(test::generated_bench(std::stoul(name.substr(10)), 6), name).bench
                      : examples::read(name).bench;
    return made.emplace(name, build(name, std::move(bench))).first->second;
}
/// All of these.
inline std::vector<const Build*> all() {
    std::vector<const Build*> out;
    for (const examples::Example& example : examples::all()) out.push_back(&named(example.name));
    for (const char* name : {"many ways", "generated 1", "generated 2"}) out.push_back(&named(name));
    return out;
}

}  // namespace voltsill::placed
