#pragma once
/// Examples with the wiring that a class builds.
#include <fstream>
#include <map>
#include <sstream>

#include "planning/plan.h"

namespace voltsill::course {

inline const std::vector<std::string> examples = {"first-bench", "rain-garden", "two-way-bus", "unknown-module",
                                                  "eight-pairs", "up-shift",    "existing-build"};

struct Built {
    Bench bench;
    Wiring wiring;
};

inline const Built& built(const std::string& name) {
    static std::map<std::string, Built> made;
    if (const auto at = made.find(name); at != made.end()) return at->second;
    std::ifstream in(std::string(VOLTSILL_ROOT) + "/examples/" + name + ".toml", std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    Built out{std::move(*read_bench(text.str(), name).bench), {}};
    Problems problems;
    out.wiring = out.bench.wiring ? wire_as_given(out.bench, problems) : plan(out.bench).wiring;
    return made.emplace(name, std::move(out)).first->second;
}

}  // namespace voltsill::course
