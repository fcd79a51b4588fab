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
/// "4093 of 4096: 99.78..99.97 %"
std::string yield_words(const Measured& measured);

/// Measures with a limit, worst first, as a table; ratings that are kept and the rest open.
Blocks measure_blocks(const LinkTrace& trace);
/// Which tolerances matter most for what.
Blocks influence_blocks(const LinkTrace& trace);

/// The first rising edge of the driver and what follows from it, where the waves are too long to
/// show it; 0 s is where it begins.
std::optional<doc::WaveChart> edge_chart(const LinkTrace& trace);

}  // namespace voltsill
