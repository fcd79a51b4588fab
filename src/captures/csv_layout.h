#pragma once
/// How a table of an instrument is laid out, found from its first lines.
///
/// Instruments agree on little: a few lines of metadata ("Sample Interval,1e-6"), a line of names, perhaps
/// one of units, then rows of numbers. The separator is the one of comma, semicolon, tab, bar and blank
/// that, with decimal point or comma, makes most of the lines rows of numbers (RFC 4180 for quotes;
/// the rest is common practice, no source).
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "captures/complaints.h"
#include "captures/samples.h"

namespace voltsill {

struct CsvColumn {
    bool used = false;
    std::string name, unit;
    double to_si = 1;  ///< "mV" 1e-3
};

struct CsvLayout {
    char separator = ',';
    char point = '.';
    bool point_seen = false;         ///< some number of the first lines has a fraction
    std::size_t first_row = 0;       ///< index of the first line of numbers
    std::vector<CsvColumn> columns;  ///< all of them, in order; trailing empty ones left out
    int time_column = -1;            ///< -1: rows are `interval` apart
    double interval = 0, start = 0;  ///< s
};

/// Cells of a line: blanks and quotes taken off. At most `most` of them.
std::vector<std::string_view> cells_of(std::string_view line, char separator, std::size_t most);

/// A number and nothing else; empty: none.
std::optional<double> number_in(std::string_view cell, char point);
/// No value, as instruments write it: nothing, or "NaN", "inf", "---", "overflow".
bool missing_value(std::string_view cell);

/// `lines` without their ends. Nothing, and a complaint, when there is no table of numbers.
/// `interval`: what the user says, 0: nothing.
std::optional<CsvLayout> find_layout(const std::vector<std::string>& lines, double interval,
                                     Complaints& complaints);

}  // namespace voltsill
