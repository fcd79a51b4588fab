#pragma once
/// The divider's values, for the follower behind one as well.
#include "planning/circuit_kind.h"

namespace voltsill {

Proposal propose_divider(const Crossing& crossing);

}  // namespace voltsill
