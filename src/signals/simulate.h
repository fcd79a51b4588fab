#pragma once
/// Links of a wiring run over time, once with every figure at its nominal and then with figures
/// drawn from their tolerances.
///
/// Sample k depends on `seed` and k alone: the same on any number of threads, and `replay` runs it
/// by itself.
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "bench/bench.h"
#include "signals/link_trace.h"
#include "wiring/wiring.h"

namespace voltsill {

struct SimulateOptions {
    std::vector<std::string> links;  ///< names; empty: all
    int samples = 0;                 ///< 0: nominal only
    std::uint64_t seed = 1;
    std::optional<std::uint64_t> replay;  ///< index of the one sample to run, beside the nominal
    std::optional<double> rate;           ///< bits a second, in place of what the bench states
    int threads = 1;
};

/// Told the share done, 0..1, and what is being done, by one thread at a time; returns false to cancel.
using Progress = std::function<bool(double share, const std::string& what)>;

/// One trace a link, in the order of the bench. A link that cannot be run says why in `trouble`;
/// a cancelled run keeps the samples it has.
std::vector<LinkTrace> simulate_links(const Bench& bench, const Wiring& wiring,
                                      const SimulateOptions& options, const Progress& progress = {});

}  // namespace voltsill
