#pragma once
/// The benches of examples/, as they are wired: by their [wiring], else by the planner.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "planning/plan.h"

namespace voltsill::examples {

struct Example {
    std::string name;
    Bench bench;
    Wiring wiring;
};

inline Example read(const std::string& name) {
    const std::filesystem::path path = std::filesystem::path(VOLTSILL_ROOT) / "examples" / name;
    std::ifstream file(path, std::ios::binary);
    std::ostringstream bytes;
    bytes << file.rdbuf();
    BenchReading reading = read_bench(bytes.str(), name);
    EXPECT_TRUE(reading.bench) << name;
    Example example{.name = name, .bench = std::move(*reading.bench)};
    Problems problems;
    example.wiring =
        example.bench.wiring ? wire_as_given(example.bench, problems) : plan(example.bench).wiring;
    return example;
}

inline const std::vector<Example>& all() {
    static const std::vector<Example> examples = [] {
        std::vector<Example> out;
        for (const auto& file :
             std::filesystem::directory_iterator(std::filesystem::path(VOLTSILL_ROOT) / "examples"))
            if (file.path().extension() == ".toml") out.push_back(read(file.path().filename().string()));
        std::ranges::sort(out, {}, &Example::name);
        return out;
    }();
    return examples;
}

}  // namespace voltsill::examples
