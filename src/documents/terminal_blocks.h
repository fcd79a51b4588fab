#pragma once
/// The blocks of a terminal page that need a layout of their own.
#include <vector>

#include "documents/styled_lines.h"

namespace voltsill::doc {

/// Columns at their natural width if they fit; else wrapping columns give way; and if that
/// leaves them too narrow to read, every row as a stack of "title: cell" lines.
std::vector<Line> table_lines(const Table& table, int width, const TerminalStyle& style);

/// Two bars per point on one axis: what arrives, and how the point reads it.
std::vector<Line> chart_lines(const LevelChart& chart, int width, const TerminalStyle& style);

/// What the signs in the bars of all charts mean.
std::vector<Line> chart_legend(int width, const TerminalStyle& style);

/// A plot a point with its levels named at the left, one time axis below, and what the signs mean.
std::vector<Line> wave_lines(const WaveChart& chart, int width, const TerminalStyle& style);

}  // namespace voltsill::doc
