#include <algorithm>

#include "printing/pieces.h"

namespace voltsill::printing {
namespace {

constexpr Type cell_type{.size = 8.5}, head_type{.size = 8, .bold = true};
constexpr double pad = 2.5;  ///< over and under the words of a row, points

/// A thin line under a row; under a head a stronger one.
auto rule(double at, double width, double weight) {
    return [at, width, weight](cairo_t* cr, double x, double y, double height) {
        cairo_set_source_rgb(cr, weight > 0.5 ? 0 : 0.6, weight > 0.5 ? 0 : 0.6, weight > 0.5 ? 0 : 0.6);
        cairo_set_line_width(cr, weight);
        cairo_move_to(cr, x + at, y + height);
        cairo_line_to(cr, x + at + width, y + height);
        cairo_stroke(cr);
    };
}

struct Grid {
    const Letters& letters;
    std::vector<Type> types;
    std::vector<double> widths;
    double x, gap;

    /// `cell_types`: of the elements of the cells; the last goes for the rest.
    Piece row(const std::vector<doc::Text>& cells, Element element, const std::vector<std::string>& cell_types) const {
        Piece piece;
        piece.within = {std::move(element)};
        double at = x;
        for (std::size_t c = 0; c < std::min(cells.size(), widths.size()); ++c) {
            piece.add(letters.set(cells[c], types[c], widths[c]), at, pad,
                      {{cell_types[std::min(c, cell_types.size() - 1)], static_cast<int>(c)}});
            at += widths[c] + gap;
        }
        piece.height += pad;
        return piece;
    }
};

Type type_of(const doc::Column& column, bool first, bool head) {
    Type type = head ? head_type : cell_type;
    type.bold = type.bold || first;
    type.align = column.align;
    return type;
}

double height_of(const doc::Table& table, const Grid& grid) {
    double height = 0;
    for (const auto& row : table.rows) height += grid.row(row, {}, {{}}).height;
    return height;
}

/// `grid`: with the types of the rows. Names stay whole if they can; where that makes the table far higher, sentences
/// get the room.
std::vector<double> widths_of(const doc::Table& table, Grid grid, const std::vector<double>& natural,
                              const std::vector<double>& least, double room) {
    constexpr double worth_breaking_names = 0.85;  // of the height (our choice)
    std::vector<double> even = shared_out(natural, least, room), by_need = shared_by_need(natural, least, room);
    if (even == by_need) return even;
    grid.widths = even;
    const double usual = height_of(table, grid);
    grid.widths = by_need;
    return height_of(table, grid) < worth_breaking_names * usual ? by_need : even;
}

}  // namespace

std::vector<Piece> table_pieces(const Letters& letters, const doc::Table& table, double x, double width) {
    std::vector<Piece> out;
    const std::size_t n = table.columns.size();
    if (!table.caption.empty()) {
        out = pieces_of(letters.set({table.caption}, {.size = 8.5, .bold = true}, width), x, 8);
        for (Piece& piece : out) {
            piece.keeps_next = true;
            piece.within = {{"Caption"}};
        }
    }
    if (n == 0) return out;
    Grid grid{letters, {}, {}, x, std::min(9.0, width / (4 * static_cast<double>(n)))};
    std::vector<double> natural(n), least(n);
    std::vector<doc::Text> titles;
    Grid rows = grid;
    for (std::size_t c = 0; c < n; ++c) {
        const doc::Column& column = table.columns[c];
        const doc::Text title{column.title};
        const Type head = type_of(column, false, true), body = type_of(column, c == 0, false);
        titles.push_back(title);
        grid.types.push_back(head), rows.types.push_back(body);
        natural[c] = letters.set(title, head, -1).width;
        least[c] = letters.set(title, head, 0).width;
        for (const auto& row : table.rows) {
            if (c >= row.size()) continue;
            const double whole = letters.set(row[c], body, -1).width;
            natural[c] = std::max(natural[c], whole);
            least[c] = std::max(least[c], column.may_wrap ? letters.set(row[c], body, 0).width : whole);
        }
        natural[c] += 0.5, least[c] += 0.5;  // rounding of Pango's units must not break a line
    }
    grid.widths = rows.widths = widths_of(table, rows, natural, least, width - grid.gap * static_cast<double>(n - 1));
    Piece head = grid.row(titles, {"TR"}, {"TH"});
    double across = -grid.gap;
    for (const double w : grid.widths) across += w + grid.gap;
    head.frame = rule(x, across, 0.7);
    head.before = table.caption.empty() ? 8 : 2;
    head.keeps_next = true;
    const auto again = std::make_shared<const Piece>(head);
    out.push_back(std::move(head));
    for (const auto& row : table.rows) {
        const int number = static_cast<int>(&row - table.rows.data()) + 1;
        Piece piece = rows.row(row, {"TR", number}, {"TD"});
        piece.frame = rule(x, across, 0.3);
        piece.head = again;
        piece.keeps_next =
            stands_with_next(static_cast<std::size_t>(&row - table.rows.data()), table.rows.size(), true);
        out.push_back(std::move(piece));
    }
    return out;
}

std::vector<Piece> definition_pieces(const Letters& letters, const doc::Definitions& list, double x, double width) {
    std::vector<Piece> out;
    const double term = 0.26 * width, gap = 9;
    const Grid grid{letters, {{.size = 8.5, .bold = true}, {.size = 9}}, {term, width - term - gap}, x, gap};
    for (const auto& [name, text] : list.rows) {
        out.push_back(grid.row({name, text}, {"LI", static_cast<int>(out.size())}, {"Lbl", "LBody"}));
        out.back().frame = rule(x, width, 0.3);
    }
    if (!out.empty()) out.front().before = 6;
    return out;
}

}  // namespace voltsill::printing
