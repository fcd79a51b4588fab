#pragma once
/// Benches made up from a number: parts at two or three voltages and links of several kinds.
#include <cstdint>
#include <string>

namespace voltsill::test {

/// `links` links; the same text for the same numbers. `boards`: what stands in [boards] `use`.
std::string generated_bench(std::uint64_t seed, int links, const std::string& boards = {});

}  // namespace voltsill::test
