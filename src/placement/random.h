#pragma once
#include "signals/sampling.h"

namespace voltsill {

/// SplitMix64 (signals/sampling.h) as a row of numbers: the same on every machine.
class Random {
  public:
    explicit Random(std::uint64_t seed) : state_(seed) {}
    std::uint64_t next() {
        const std::uint64_t z = mixed(state_);
        state_ += golden_step;
        return z;
    }
    /// 0 to n - 1; n > 0. The remainder favours small numbers by less than 2^-40.
    int below(int n) { return static_cast<int>(next() % static_cast<std::uint64_t>(n)); }

  private:
    std::uint64_t state_;
};

}  // namespace voltsill
