#pragma once
/// What a trace makes of a link: a measure against its limit, in every sample that was run.
#include <optional>

#include "judging/finding.h"
#include "signals/link_trace.h"

namespace voltsill {

/// Nothing without a limit. A limit that one sample breaks is broken: thin where the line only rings past
/// a rating, harmful where it rests beyond it and for power, else unreadable. A figure that is not there although
/// there is a limit is unreadable if a signal that arrives would have it (set-up, time past a threshold,
/// rate), else unknown.
std::optional<Verdict> verdict_of(const Measured& measured);

/// The worst of its measures; unknown when nothing could be simulated, nothing has a limit, or a receiver
/// states no thresholds.
Verdict verdict_of(const LinkTrace& trace);

/// Numbers that break the limit: the nominal first, else the far end of the samples.
bool breaks(const Measured& measured, double value);

}  // namespace voltsill
