#pragma once
/// A document as a row of pieces for pages: each a block, or a part of one, that stays whole.
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "printing/letters.h"
#include "printing/structure.h"

namespace voltsill::printing {

/// Room for pieces on an upright page, points; a page on its side has width and height exchanged
/// between its edges.
struct Room {
    double width = 0, height = 0;
    double side_width = 0, side_height = 0;
};

struct PlacedLine {
    Lines text;
    int line = 0;
    double x = 0, top = 0, base = 0, bottom = 0;  ///< in the piece
    Elements within = {};                         ///< further in than those of the piece
};

struct PlacedDrawing {
    std::shared_ptr<const drawing::Drawing> drawing;
    double x = 0, y = 0, scale = 1;
};

struct Piece {
    double height = 0;
    double before = 0, after = 0;  ///< to what stands above and below; nothing at the ends of a page
    bool keeps_next = false;  ///< on one page with the next piece
    bool new_page = false, on_its_side = false;
    std::vector<PlacedLine> lines;
    std::optional<PlacedDrawing> drawing;
    std::function<void(cairo_t*, double x, double y, double height)> frame;  ///< under the lines
    std::shared_ptr<const Piece> head;  ///< comes again where this piece begins a page
    Elements within;                    ///< of its words and its drawing
    int level = 0;                      ///< of a bookmark; 0: none
    std::string words, anchor;          ///< of the bookmark

    /// Puts lines at a place and makes the piece high enough.
    void add(const Lines& text, double x, double y, const Elements& further_in = {});
};

/// Rows of a table, or options to tick, that stand together: as many as a question has.
inline constexpr std::size_t short_list = 6;
/// Whether row `at` stays with the one below: of a list that stands together each, of any other the first and the last
/// but one, so that no row is alone at an end of a page.
constexpr bool stands_with_next(std::size_t at, std::size_t rows, bool together) {
    return at + 1 < rows && ((together && rows <= short_list) || at == 0 || at + 2 == rows);
}

/// Parts no higher than `height`, at least a line each. Lines beside each other part where each has to.
std::vector<Piece> split(Piece piece, double height);

/// A piece per line, two lines at least before and after the end of a page.
std::vector<Piece> pieces_of(const Lines& text, double x, double before);

/// Column widths that fill no more than `room`: as wide as their words if they fit; else the widest
/// give way first, down to their longest word; and if that is too much, words break.
std::vector<double> shared_out(std::vector<double> natural, const std::vector<double>& least, double room);
/// Each column gets its longest word, and of what is over the more the more it lacks of one line: a column
/// of sentences beside columns of names is the wider for it.
std::vector<double> shared_by_need(const std::vector<double>& natural, std::vector<double> least, double room);

std::vector<Piece> table_pieces(const Letters& letters, const doc::Table& table, double x, double width);
/// Terms at the left, what they are at the right.
std::vector<Piece> definition_pieces(const Letters& letters, const doc::Definitions& list, double x, double width);

struct Pieces {
    std::vector<Piece> all;
    std::string trouble;  ///< drawings too small to read
};
Pieces pieces_of(const Letters& letters, const doc::Document& document, const Room& room);

}  // namespace voltsill::printing
