#pragma once
/// Pieces that several sheets share.
#include "documents/report_pieces.h"
#include "documents/sheets.h"

namespace voltsill {

/// "12 mA to 80 mA"
std::string amps_window(double lo, double hi);
/// "high", "low", "released", "any level"
std::string set_words(char set);
/// Space for a pen: "........ V".
std::string to_fill(const char* unit);

/// Title, version, verdict; and loudly what may not be built, if anything.
Blocks front_blocks(const Bench& bench, const Sheets& sheets);
/// Rows where a slip could harm, the worst first; with `answers` what the slips would do.
Blocks slip_blocks(const Sheets& sheets, bool answers);
/// Static levels of every link: margins and levels before and after, then readings to take.
Blocks level_blocks(const Bench& bench, const Sheets& sheets, bool answers);
/// Each link driven at one end and looked at at the other.
Blocks function_blocks(const Bench& bench, const Sheets& sheets, bool answers);
/// Columns for a pen at the end of a table, and their cells in a row.
void add_pen_columns(doc::Table& table);
void add_pen_cells(std::vector<doc::Text>& row, const char* unit, const std::string& what);

/// Before touching: power, hands, deference.
doc::Block care_block();

/// The circuit of a link; empty: nothing to draw.
Blocks circuit_blocks(const Bench& bench, const Sheets& sheets, const std::string& link);
/// Map of rails, boards with parts and wires, packages pin by pin.
Blocks picture_blocks(const Bench& bench, const Sheets& sheets);

/// A heading and blocks of another sheet under it, its headings one level deeper.
void append_sheet(Blocks& blocks, doc::Document sheet);

}  // namespace voltsill
