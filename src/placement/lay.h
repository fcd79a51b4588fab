#pragma once
/// From trees of nets to wires in holes: columns, lengths, colours, the order of laying.
#include "placement/layout.h"

namespace voltsill {

/// Nothing is decided here but which free hole of a half row or strip a wire takes: the nearest.
Placement lay(const Layout& layout);

/// Letter codes of IEC 60757:2021 (from memory): black for 0 V, then rails by voltage (5 V red, 3.3 V
/// orange, 1.8 V violet, 12 V brown and nothing else brown: common practice), signals from what is left.
std::vector<std::string> colours_of(const Bench& bench, const Wiring& wiring);

/// Pairs of wires whose straight lines cross.
int crossings_of(const Bench& bench, const Placement& placement);

}  // namespace voltsill
