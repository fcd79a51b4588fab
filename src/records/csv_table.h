#pragma once
/// A table of comma-separated values (RFC 4180, "Common Format and MIME Type for CSV Files", 2005) whose
/// cells know where they stand.
///
/// Beside the comma, a semicolon or a tab separates when the first line holds it and no comma: what
/// spreadsheets of other countries write (common practice, no source). Blanks around a cell without
/// quotes do not count, empty lines neither.
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "records/source.h"

namespace voltsill {

struct CsvTableCell {
    std::string text;
    std::size_t begin = 0, end = 0;  ///< bytes of the source, quotes included
};
using CsvTableRow = std::vector<CsvTableCell>;

struct CsvTable {
    std::shared_ptr<const Source> source;
    std::vector<CsvTableRow> rows;  ///< at least one cell with text in each
    Problems problems;

    Spot spot(const CsvTableCell& cell) const { return source->spot(cell.begin, cell.end); }
    /// The whole row.
    Spot spot(const CsvTableRow& row) const { return source->spot(row.front().begin, row.back().end); }
};

struct CsvTableLimits {
    std::size_t bytes = std::size_t{1} << 20;
    std::size_t rows = 20'000, cells = 64;  ///< cells of a row; more are a mistake of the file
};

/// Codes: too-large, not-text, bare-quote, unclosed-quote, too-many-rows, too-many-cells. Rows before a
/// quote that is not closed are kept.
CsvTable parse_csv_table(std::string_view bytes, std::string file, const CsvTableLimits& limits = {});

}  // namespace voltsill
