#pragma once
#include <vector>

#include "wiring/wiring.h"

namespace voltsill {

/// Nets that a search need not tell apart: the same kinds of pins on the same supplies, and the same
/// small parts to the same rails. By net of the wiring, from 0.
std::vector<int> net_classes(const Wiring& wiring);

}  // namespace voltsill
