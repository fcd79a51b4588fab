#pragma once
/// What every job does first.
#include <string>
#include <string_view>

#include "bench/bench.h"

namespace voltsill {

/// A bench whose interface circuits are names of the planner's; no bench when anything is wrong.
BenchReading read_for_job(std::string_view bytes, const std::string& file, const Includer& include);

}  // namespace voltsill
