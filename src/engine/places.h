#pragma once
/// Where in the bench file a finding belongs.
#include "bench/bench.h"
#include "judging/finding.h"

namespace voltsill {

/// Of the link, else of the part (of [parts] or [wiring]), else of the rail; line 0 when the
/// finding is about something the file does not name, such as a part a plan added.
Place place_of(const Finding& finding, const Bench& bench);

}  // namespace voltsill
