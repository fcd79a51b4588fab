#pragma once
#include <cstdint>

namespace voltsill {

/// SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014): the same numbers on every machine.
class Random {
  public:
    explicit Random(std::uint64_t seed) : state_(seed) {}
    std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9e3779b97f4a7c15u);
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
        return z ^ (z >> 31);
    }
    /// 0 to n - 1; n > 0. The remainder favours small numbers by less than 2^-40.
    int below(int n) { return static_cast<int>(next() % static_cast<std::uint64_t>(n)); }

  private:
    std::uint64_t state_;
};

}  // namespace voltsill
