#pragma once
/// Networks solved before: wirings that differ in a wire share most of their islands.
///
///     volts = f(shape of the island, levels of its stages, parameter values)
///
/// f is a pure function, so that what is remembered is to the last bit what would be solved again. Names
/// are no part of it. Networks without a solution are not remembered: what is said of them names nodes.
#include <span>
#include <string>
#include <unordered_map>
#include <vector>

#include "judging/island.h"

namespace voltsill {

/// For one thread. It forgets all when it has become large.
class SolutionMemory {
  public:
    /// `hurried`: solved with fewer steps, so that less is found. `near_nominal`: from the balance at the nominal
    /// values, on which the last bits hang.
    std::string key_of(const Island& island, const Levels& levels, std::span<const double> values,
                       bool hurried, bool near_nominal);
    /// Volts by node of the island; nullptr: not met yet.
    const std::vector<double>* find(const std::string& key) const;
    void keep(std::string key, const std::vector<double>& volts);

  private:
    static constexpr std::size_t most_bytes = 64u << 20;
    std::unordered_map<std::string, int> shapes_;
    std::unordered_map<std::string, std::vector<double>> volts_;
    std::size_t bytes_ = 0;
};

}  // namespace voltsill
