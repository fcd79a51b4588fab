#pragma once
/// Pieces of the report of a trace.
#include "documents/report_pieces.h"
#include "signals/link_trace.h"

namespace voltsill {

/// A number as people read it: what is below the noise of a calculation is 0.
std::string measured_words(MeasureKind kind, const std::optional<double>& value);
/// "rise time at controller.D4"
std::string name_of(const Measured& measured);
/// "at most 500 ns"
std::string limit_words(const Measured& measured);
/// "4093 of 4096 samples: 99.8..100 %"
std::string yield_words(const Measured& measured);

/// Measures with a limit, worst first, as a table; the rest in one that opens.
Blocks measure_blocks(const LinkTrace& trace);
/// Which tolerances matter most for what.
Blocks influence_blocks(const LinkTrace& trace);

}  // namespace voltsill
