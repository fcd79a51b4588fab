#pragma once
/// One link run over time: at its nominal values, in many samples, and at the rate it stands.
#include "signals/link_measures.h"
#include "signals/simulate.h"

namespace voltsill {

/// Told the share of this link's samples that are done; false cancels.
using LinkProgress = std::function<bool(double share)>;

/// `setup` must have no trouble.
LinkTrace run_link(const TimedCircuit& timed, const Link& link, const LinkSetup& setup,
                   const SimulateOptions& options, const LinkProgress& progress);

/// Power the outputs of each part draw from their supply over a run, with what the part itself takes.
std::vector<Measured> part_powers(const TimedCircuit& timed, const LinkSetup& setup, double bit_time);

}  // namespace voltsill
