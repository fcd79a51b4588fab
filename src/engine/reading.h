#pragma once
/// What every job does first.
#include <string>
#include <string_view>

#include "bench/bench.h"
#include "wiring/wiring.h"

namespace voltsill {

/// A bench whose interface circuits are names of the planner's; no bench when anything is wrong.
BenchReading read_for_job(std::string_view bytes, const std::string& file, const Includer& include);

/// The wires of [wiring]; what is wrong with them is shown in the lines of the bench.
Wiring wired_as_written(const Bench& bench, std::string_view bytes, const std::string& file, Problems& problems);

}  // namespace voltsill
