#pragma once
/// Level sets along channels: used by scene.cpp only.
#include "judging/scene.h"

namespace voltsill {

/// Adds to `scene.reach` what the stages of logic units can show, from what their inputs can read,
/// until nothing changes. A unit that waits for itself (a ring, a latch) may show anything.
void spread_levels(const Circuit& circuit, Scene& scene, Effort& effort);

}  // namespace voltsill
