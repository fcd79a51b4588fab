#pragma once
/// The voltage of a pin that nobody drives: on a rail, on ground, or where resistors put it.
#include "judging/inspection.h"

namespace voltsill {

struct SteadyVolts {
    double volts = 0;
    Provenance origin{Certainty::guaranteed, "the wiring"};
};
/// Nothing where an output is on the net, or where the network has no solution.
std::optional<SteadyVolts> steady_volts(Inspection& inspection, const Scene& scene, const PinSite& site);
/// What the pin reads there; X where it has no steady level.
Logic steady_level(Inspection& inspection, const Scene& scene, const PinSite& site);

}  // namespace voltsill
