#include <algorithm>
#include <iterator>
#include <numeric>

#include "documents/terminal_blocks.h"

namespace voltsill::doc {
namespace {

constexpr int column_gap = 2;
constexpr int readable = 14;  ///< columns; text squeezed further is harder to read than a stack

struct Cells {
    std::vector<Line> titles;
    std::vector<std::vector<Line>> rows;
};

Cells cells_of(const Table& table, const TerminalStyle& style) {
    Cells cells;
    for (const Column& c : table.columns) cells.titles.push_back(glyphs_of(c.title, style, "1"));
    for (const auto& row : table.rows) {
        auto& line = cells.rows.emplace_back();
        for (const Text& cell : row) line.push_back(glyphs_of(cell, style));
    }
    return cells;
}

/// Column widths that fit, or none.
std::vector<int> column_widths(const Table& table, const Cells& cells, int width) {
    const std::size_t n = table.columns.size();
    std::vector<int> natural(n), least(n);
    const auto measure = [&](std::size_t c, const Line& line) {
        natural[c] = std::max(natural[c], width_of(line));
        least[c] = std::max(least[c], table.columns[c].may_wrap ? longest_word(line) : width_of(line));
    };
    for (std::size_t c = 0; c < n; ++c) {
        natural[c] = width_of(cells.titles[c]);
        least[c] = longest_word(cells.titles[c]);  // a title may always wrap
        for (const auto& row : cells.rows) measure(c, row[c]);
        if (!table.columns[c].may_wrap) natural[c] = std::max(natural[c], least[c]);
    }
    const int room = width - column_gap * (static_cast<int>(n) - 1);
    for (std::size_t c = 0; c < n; ++c)
        if (table.columns[c].may_wrap) least[c] = std::max(least[c], std::min(natural[c], readable));
    if (std::accumulate(least.begin(), least.end(), 0) > room) return {};
    // The widest column that can still give way gives one column at a time.
    while (std::accumulate(natural.begin(), natural.end(), 0) > room) {
        std::size_t widest = n;
        for (std::size_t c = 0; c < n; ++c)
            if (natural[c] > least[c] && (widest == n || natural[c] > natural[widest])) widest = c;
        --natural[widest];
    }
    return natural;
}

void append_row(std::vector<Line>& out, const Table& table, const std::vector<Line>& row,
                const std::vector<int>& widths) {
    std::vector<std::vector<Line>> wrapped;
    std::size_t height = 1;
    for (std::size_t c = 0; c < row.size(); ++c) {
        wrapped.push_back(wrap(row[c], std::max(1, widths[c])));
        height = std::max(height, wrapped.back().size());
    }
    for (std::size_t k = 0; k < height; ++k) {
        Line& line = out.emplace_back();
        for (std::size_t c = 0; c < row.size(); ++c) {
            if (c > 0) line.insert(line.end(), column_gap, Glyph{" ", 1, "", true});
            Line cell =
                padded(k < wrapped[c].size() ? wrapped[c][k] : Line{}, widths[c], table.columns[c].align);
            std::ranges::move(cell, std::back_inserter(line));
        }
    }
}

std::vector<Line> stacked(const Cells& cells, int width, const TerminalStyle& style) {
    std::vector<Line> out;
    for (const auto& row : cells.rows) {
        if (!out.empty()) out.emplace_back();
        for (std::size_t c = 0; c < row.size(); ++c) {
            if (row[c].empty()) continue;
            Line line = cells.titles[c];
            if (!line.empty()) std::ranges::move(glyphs_of(": ", style), std::back_inserter(line));
            std::ranges::copy(row[c], std::back_inserter(line));
            int indent = c == 0 ? 0 : 2;
            for (Line& part : wrap(line, width - 4)) {
                part.insert(part.begin(), static_cast<std::size_t>(indent), Glyph{" ", 1, "", true});
                out.push_back(std::move(part));
                indent = 4;
            }
        }
    }
    return out;
}

}  // namespace

std::vector<Line> table_lines(const Table& table, int width, const TerminalStyle& style) {
    const Cells cells = cells_of(table, style);
    std::vector<Line> out;
    if (!table.caption.empty()) out = wrap(glyphs_of(table.caption, style, "1"), width);
    const std::vector<int> widths = column_widths(table, cells, width);
    if (widths.empty()) {
        std::ranges::move(stacked(cells, width, style), std::back_inserter(out));
        return out;
    }
    append_row(out, table, cells.titles, widths);
    Line rule;
    for (std::size_t c = 0; c < widths.size(); ++c) {
        if (c > 0) rule.insert(rule.end(), column_gap, Glyph{" ", 1, "", true});
        rule.insert(rule.end(), static_cast<std::size_t>(widths[c]),
                    Glyph{style.unicode ? "─" : "-", 1, "", false});
    }
    out.push_back(std::move(rule));
    for (const auto& row : cells.rows) append_row(out, table, row, widths);
    return out;
}

}  // namespace voltsill::doc
