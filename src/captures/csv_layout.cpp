#include "captures/csv_layout.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "captures/csv_words.h"
#include "captures/reader.h"

namespace voltsill {
namespace {

using csv::is_key, csv::named, csv::names_time, csv::Unit, csv::unit_in, csv::valued;
using Cells = std::vector<std::string_view>;

// Separator and decimal sign ------------------------------------------------------------------------------

struct Grid {
    char separator = ',', point = '.';
    std::size_t rows = 0, columns = 0, first = 0;
    std::ptrdiff_t separators = 0;  ///< in all lines: tells where a table of one column has metadata above
    /// One column may be two with a decimal comma taken for one: two columns count twice.
    auto rank() const { return std::tuple(rows * std::min<std::size_t>(columns, 2), columns, separators); }
};

/// Numbers only, at least one; cells may be missing. Trailing empty cells do not count.
bool numeric(const Cells& cells, char point) {
    bool any = false;
    for (const std::string_view cell : cells) {
        const bool number = number_in(cell, point).has_value();
        any |= number;
        if (!number && !missing_value(cell)) return false;
    }
    return any;
}

std::size_t width_of(const Cells& cells) {
    std::size_t n = cells.size();
    while (n > 0 && cells[n - 1].empty()) --n;
    return n;
}

/// Rows of numbers of the most common width, and where they begin.
Grid grid_of(const std::vector<std::string>& lines, char separator, char point) {
    std::map<std::size_t, std::size_t> count;
    std::set<std::size_t> text_widths;
    std::vector<std::size_t> width(lines.size(), 0);
    for (std::size_t k = 0; k < lines.size(); ++k) {
        const Cells cells = cells_of(lines[k], separator, most_columns + 2);
        if (!numeric(cells, point)) {
            text_widths.insert(width_of(cells));
            continue;
        }
        width[k] = width_of(cells);
        ++count[width[k]];
    }
    Grid out{separator, point};
    for (const std::string& line : lines) out.separators += std::ranges::count(line, separator);
    for (const auto& [columns, rows] : count)
        if (rows >= out.rows) out.rows = rows, out.columns = columns;
    // Cells at the end of a row may be empty: a wider row counts if as many others are as wide, or the
    // line of names is.
    for (const auto& [columns, rows] : count)
        if (columns > out.columns && separator != ' ' &&
            (rows * 2 >= out.rows || text_widths.contains(columns)))
            out.columns = columns;
    for (std::size_t k = lines.size(); k-- > 0;)
        if (width[k] == out.columns) out.first = k;
    return out;
}

Grid best_grid(const std::vector<std::string>& lines) {
    Grid best;
    for (const char separator : {'\t', ';', '|', ',', ' '})
        for (const char point : {'.', ','}) {
            if (separator == point) continue;
            const Grid grid = grid_of(lines, separator, point);
            if (separator == ' ' && grid.columns < 2) continue;
            if (grid.rank() > best.rank()) best = grid;
        }
    return best;
}

// Metadata ------------------------------------------------------------------------------------------------

/// The value of a key in the lines above the numbers: beside it, or below it.
std::optional<double> value_of(const std::vector<std::string>& lines, const CsvLayout& layout,
                               std::initializer_list<std::string_view> keys) {
    const std::size_t shown = std::min(lines.size(), layout.first_row + 1);
    for (std::size_t k = 0; k < shown; ++k) {
        const Cells cells = cells_of(lines[k], layout.separator, most_columns);
        for (std::size_t c = 0; c < cells.size(); ++c) {
            std::string_view key = cells[c], value = c + 1 < cells.size() ? cells[c + 1] : std::string_view();
            if (const std::size_t colon = key.find_first_of(":=");
                colon != std::string_view::npos && value.empty()) {
                value = key.substr(colon + 1);
                key = key.substr(0, colon);
                while (!value.empty() && value.front() == ' ') value.remove_prefix(1);
            }
            if (!is_key(key, keys)) continue;
            const double factor = named(key).second.value_or(Unit{}).to_si;
            const auto unit_behind = c + 2 < cells.size() ? unit_in(cells[c + 2]) : std::nullopt;
            if (const auto number = valued(value, layout.point))
                return *number * factor * (unit_behind ? unit_behind->to_si : 1);
            if (k + 1 < lines.size())
                if (const Cells below = cells_of(lines[k + 1], layout.separator, most_columns);
                    c < below.size())
                    if (const auto number = valued(below[c], layout.point)) return *number * factor;
        }
    }
    return std::nullopt;
}

// Names and units -----------------------------------------------------------------------------------------

bool mostly_units(const Cells& cells) {
    std::size_t units = 0, texts = 0;
    for (const std::string_view cell : cells)
        if (!cell.empty()) ++texts, units += unit_in(cell).has_value();
    return texts > 0 && units * 2 > texts;
}

void name_columns(const std::vector<std::string>& lines, CsvLayout& layout) {
    bool have_names = false, have_units = false;
    for (std::size_t k = layout.first_row, above = 0; k-- > 0 && above < 3;) {
        const Cells cells = cells_of(lines[k], layout.separator, most_columns);
        if (width_of(cells) == 0) continue;
        ++above;
        const bool fits = width_of(cells) >= std::min<std::size_t>(layout.columns.size(), 2);
        const bool units = mostly_units(cells);
        if (!fits || (units ? have_units : have_names)) break;
        for (std::size_t c = 0; c < std::min(cells.size(), layout.columns.size()); ++c) {
            CsvColumn& column = layout.columns[c];
            if (units) {
                if (const auto unit = unit_in(cells[c]))
                    column.unit = unit->symbol, column.to_si = unit->to_si;
            } else if (!cells[c].empty()) {
                auto [name, unit] = named(cells[c].substr(0, 200));
                column.name = name;
                if (unit && column.unit.empty()) column.unit = unit->symbol, column.to_si = unit->to_si;
            }
        }
        (units ? have_units : have_names) = true;
        if (have_names) break;  // what is above the names is metadata
    }
}

bool rises(const std::vector<std::string>& lines, const CsvLayout& layout, std::size_t column) {
    std::optional<double> last, first;
    for (std::size_t k = layout.first_row; k < lines.size(); ++k) {
        const Cells cells = cells_of(lines[k], layout.separator, most_columns);
        const auto number = column < cells.size() ? number_in(cells[column], layout.point) : std::nullopt;
        if (!number) continue;
        if (last && *number < *last) return false;
        if (!first) first = number;
        last = number;
    }
    return first && *last > *first;
}

/// Columns that hold numbers; then rows upwards as long as these do, whatever stands in the others
/// (some instruments print their settings beside the first rows).
void find_used(const std::vector<std::string>& lines, CsvLayout& layout) {
    for (std::size_t k = layout.first_row; k < lines.size(); ++k) {
        const Cells cells = cells_of(lines[k], layout.separator, most_columns);
        for (std::size_t c = 0; c < std::min(cells.size(), layout.columns.size()); ++c)
            layout.columns[c].used |= number_in(cells[c], layout.point).has_value();
    }
    const auto is_row = [&](const std::string& line) {
        const Cells cells = cells_of(line, layout.separator, most_columns);
        for (std::size_t c = 0; c < layout.columns.size(); ++c)
            if (layout.columns[c].used && (c >= cells.size() || !number_in(cells[c], layout.point)))
                return false;
        return true;
    };
    while (layout.first_row > 0 && is_row(lines[layout.first_row - 1])) --layout.first_row;
}

/// By name or unit, else the first column if it rises.
int find_time(const std::vector<std::string>& lines, const CsvLayout& layout) {
    std::vector<std::size_t> used;
    for (std::size_t c = 0; c < layout.columns.size(); ++c)
        if (layout.columns[c].used) used.push_back(c);
    for (const std::size_t c : used)
        if (layout.columns[c].unit == "s" ||
            (names_time(layout.columns[c].name) && layout.columns[c].unit.empty()))
            return static_cast<int>(c);
    return used.size() > 1 && layout.columns[used[0]].unit.empty() && rises(lines, layout, used[0])
               ? static_cast<int>(used[0])
               : -1;
}

/// The time column holds the numbers of the rows: "Sequence" as its unit, and an increment somewhere.
bool counts_rows(const std::vector<std::string>& lines, const CsvLayout& layout) {
    if (layout.first_row == 0 || layout.time_column < 0) return false;
    const Cells cells = cells_of(lines[layout.first_row - 1], layout.separator, most_columns);
    const auto c = static_cast<std::size_t>(layout.time_column);
    return c < cells.size() &&
           is_key(cells[c], {"sequence", "index", "sample", "samples", "point", "points"});
}

void set_time(const std::vector<std::string>& lines, CsvLayout& layout, double interval) {
    layout.time_column = find_time(lines, layout);
    const auto step = value_of(
        lines, layout,
        {"increment", "sampleinterval", "samplinginterval", "sampleperiod", "samplingperiod", "xincrement",
         "xincr", "timeinterval", "timeincrement", "horizontalinterval", "dt", "deltat", "tinc"});
    const auto rate =
        value_of(lines, layout, {"samplerate", "samplingrate", "samplefrequency", "samplingfrequency", "fs"});
    layout.start =
        value_of(lines, layout, {"start", "starttime", "xzero", "xorigin", "t0", "tstart"}).value_or(0);
    if (interval > 0)
        layout.interval = interval;
    else if (step && *step > 0)
        layout.interval = *step;
    else if (rate && *rate > 0)
        layout.interval = 1 / *rate;
    if (interval > 0 || counts_rows(lines, layout)) {
        if (layout.time_column >= 0 && layout.interval > 0) {
            layout.columns[static_cast<std::size_t>(layout.time_column)].used = false;
            layout.time_column = -1;
        }
    }
}

}  // namespace

std::optional<CsvLayout> find_layout(const std::vector<std::string>& lines, double interval,
                                     Complaints& complaints) {
    const Grid grid = best_grid(lines);
    if (grid.rows == 0) {
        const auto first = std::ranges::find_if(
            lines, [](const std::string& l) { return l.find_first_not_of(" \t\r") != l.npos; });
        const std::string shown = first == lines.end() ? "" : *first;
        complaints.add(Severity::error, "csv-no-rows",
                       shown.empty() ? 0 : static_cast<std::uint64_t>(first - lines.begin()) + 1, shown, 0,
                       shown.size(), shown.empty() ? "the file is empty" : "no row of numbers is found",
                       "a VCD file, or rows of time and volts such as \"0.001,3.3\"");
        return std::nullopt;
    }
    if (grid.columns > most_columns) {
        complaints.add(Severity::error, "csv-columns", grid.first + 1, lines[grid.first].substr(0, 200), 0, 1,
                       fmt::format("a row has more than {} columns", most_columns),
                       "fewer channels in one file");
        return std::nullopt;
    }
    CsvLayout out{.separator = grid.separator, .point = grid.point, .first_row = grid.first};
    out.columns.resize(grid.columns);
    find_used(lines, out);
    for (std::size_t k = out.first_row; k < lines.size() && !out.point_seen; ++k)
        out.point_seen = lines[k].find(out.point) != std::string::npos;
    name_columns(lines, out);
    set_time(lines, out, interval);
    if (out.time_column < 0 && !(out.interval > 0)) {
        complaints.add(Severity::error, "csv-no-time", out.first_row + 1, lines[out.first_row].substr(0, 200),
                       0, 1, "no column rises as time does, and no sample interval is given",
                       "a column \"Time\", a line \"Sample Interval,1e-6\", or --interval");
        return std::nullopt;
    }
    int number = 0;
    for (std::size_t c = 0; c < out.columns.size(); ++c) {
        CsvColumn& column = out.columns[c];
        if (static_cast<int>(c) == out.time_column || !column.used) continue;
        ++number;
        if (column.name.empty()) column.name = fmt::format("CH{}", number);
    }
    if (number == 0) {
        complaints.add(Severity::error, "csv-columns", out.first_row + 1, lines[out.first_row].substr(0, 200),
                       0, 1, "there is no column of volts beside the time",
                       "rows of time and volts such as \"0.001,3.3\"");
        return std::nullopt;
    }
    return out;
}

}  // namespace voltsill
