#pragma once
#include <string>
#include <vector>

#include "wiring/wiring.h"

namespace voltsill {

/// Parts with a supply whose type says nothing of a ground pin: their current returns by a wire that nothing here
/// lays, and nothing misses.
std::vector<std::string> ground_notes(const Wiring& wiring);

}  // namespace voltsill
