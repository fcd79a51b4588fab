#pragma once
// What these programs share: an end for wrong answers, the bytes of a file, the best of some runs.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

namespace voltsill::measured {

[[noreturn]] inline void wrong(const std::string& what) {
    fmt::print(stderr, "wrong answer, nothing timed: {}\n", what);
    std::exit(1);
}

inline std::string bytes_of(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    if (!in) wrong(path + " cannot be read");
    return text.str();
}

/// Seconds of the quickest of `repeats` runs.
double seconds_of(int repeats, const auto& job) {
    double best = 1e300;
    for (int k = 0; k < repeats; ++k) {
        const auto begin = std::chrono::steady_clock::now();
        job();
        best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
    }
    return best;
}

}  // namespace voltsill::measured
