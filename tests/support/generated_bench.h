#pragma once
/// Benches made up from a number: parts at two or three voltages and links of several kinds.
#include <cstdint>
#include <string>

namespace voltsill::test {

/// Types "five" and "three": modules at 5 V and at 3.3 V with four outputs, four inputs and these pins of a bus.
/// `of_five`: further entries of the first.
std::string module_types(const std::string& bus_pins, const std::string& of_five = {});

/// `links` links; the same text for the same numbers. `boards`: what stands in [boards] `use`.
std::string generated_bench(std::uint64_t seed, int links, const std::string& boards = {});

}  // namespace voltsill::test
