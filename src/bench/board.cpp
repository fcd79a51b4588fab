#include "bench/board.h"

#include <algorithm>

#include "bench/bench_work.h"
#include "parts/embedded.h"
#include "parts/pin_list.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

constexpr int most_columns = 12;  ///< on one side, strips apart (our choice)
constexpr std::size_t most_boards = 64;

/// A column of tie points, or nothing after a report.
void add_columns(const std::string& letters, int side, double first, BoardKind& board,
                 const Named<BoardRecord>& named, Reader& reader) {
    const FieldPlaces::One* key = named.value.keys.find(side == 0 ? "left" : "right");
    const Spot spot = key ? key->value_spot : spot_of(named.place);
    const std::vector<std::string> words = split_words(letters);
    if (words.empty() || static_cast<int>(words.size()) > most_columns)
        reader.error(spot, "bad-columns", "a side of a board has 1 to 12 columns", "\"a b c d e\"");
    for (const std::string& word : words) {
        if (word.size() != 1 || word[0] < 'a' || word[0] > 'z')
            reader.error(spot, "bad-columns", in_quotes(word) + " is no letter of a column", "a to z");
        if (board.column(word) >= 0)
            reader.error(spot, "duplicate-name", "column " + in_quotes(word) + " stands twice");
        board.columns.push_back({.name = word, .side = side, .across = first++});
    }
}

void add_strip(const Named<StripRecord>& strip, double across, int groups, BoardKind& board,
               Reader& reader) {
    const Spot spot = spot_of(strip.place);
    if (strip.name.size() != 1 || strip.name[0] < 'a' || strip.name[0] > 'z')
        reader.error(spot, "bad-columns", in_quotes(strip.name) + " is no letter of a strip", "a to z");
    if (board.column(strip.name) >= 0)
        reader.error(spot, "duplicate-name", "column " + in_quotes(strip.name) + " stands twice");
    BoardColumn column{.name = strip.name, .strip = true, .mark = strip.value.mark,
                       .side = strip.value.side, .across = across};
    int last = 0;
    for (const RowSpan& piece : strip.value.pieces) {
        if (!piece.at) continue;
        if (piece.first <= last || piece.last > board.rows)
            reader.error(piece.at->spot, "bad-pieces",
                         piece.last > board.rows ? "the board has only " + std::to_string(board.rows) + " rows"
                                                 : "pieces of a strip overlap or are out of order",
                         "pieces from row 1 to row " + std::to_string(board.rows));
        last = std::max(last, piece.last);
        column.segments.emplace_back(piece.first, piece.last);
        for (int row = piece.first + groups; groups > 0 && row <= piece.last; row += groups + 1)
            column.no_holes.push_back(row);
    }
    if (column.segments.empty())
        reader.error(spot, "bad-pieces", "this strip has no rows", "pieces = \"1..29\"");
    board.columns.push_back(std::move(column));
}

}  // namespace

int BoardKind::column(std::string_view name_of_column) const {
    const auto found = std::ranges::find(columns, name_of_column, &BoardColumn::name);
    return found == columns.end() ? -1 : static_cast<int>(found - columns.begin());
}

bool BoardKind::has_hole(int row, int column) const { return node_of(row, column) >= 0; }

int BoardKind::node_of(int row, int column) const {
    if (row < 1 || row > rows || column < 0 || column >= static_cast<int>(columns.size())) return -1;
    const BoardColumn& at = columns[column];
    if (!at.strip) return 2 * (row - 1) + at.side;
    if (std::ranges::find(at.no_holes, row) != at.no_holes.end()) return -1;
    int node = 2 * rows;
    for (int c = 0; c < column; ++c) node += static_cast<int>(columns[c].segments.size());
    for (const auto& [first, last] : at.segments) {
        if (row >= first && row <= last) return node;
        ++node;
    }
    return -1;
}

int BoardKind::node_count() const {
    int count = 2 * rows;
    for (const BoardColumn& column : columns) count += static_cast<int>(column.segments.size());
    return count;
}

std::shared_ptr<const BoardKind> make_board(const Named<BoardRecord>& named, Reader& reader) {
    const BoardRecord& record = named.value;
    BoardKind board{.name = named.name, .title = record.title, .rows = record.rows, .place = named.place};
    if (named.name.find_first_not_of(" \t") == std::string::npos)
        reader.error(spot_of(named.place), "bad-name", "the name of a board is empty");
    // A margin of one pitch, two pitches between a strip and the columns (common practice).
    double across = 1;
    const auto strips = [&](int side) {
        for (const auto& strip : record.strips)
            if (strip.value.side == side) add_strip(strip, across++, record.strip_groups, board, reader);
    };
    strips(0);
    if (!board.columns.empty()) ++across;
    add_columns(record.left, 0, across, board, named, reader);
    if (board.columns.empty()) return nullptr;
    across = board.columns.back().across + trench_pitches;
    add_columns(record.right, 1, across, board, named, reader);
    across = board.columns.back().across + 2;
    strips(1);
    return std::make_shared<const BoardKind>(std::move(board));
}

std::vector<std::shared_ptr<const BoardKind>> read_built_in_boards(Problems& problems) {
    std::vector<std::shared_ptr<const BoardKind>> boards;
    for (const EmbeddedFile& file : embedded_boards()) {
        const ParsedText parsed = parse_toml(file.text, file.name);
        Reader reader(parsed);
        const BoardFile records = read(board_file_shape(), parsed.root, reader);
        for (const auto& named : records.kinds)
            if (auto board = make_board(named, reader)) boards.push_back(std::move(board));
        for (Problem& problem : reader.take()) problems.push_back(std::move(problem));
    }
    return boards;
}

std::span<const std::shared_ptr<const BoardKind>> built_in_boards() {
    static const auto boards = [] {
        Problems problems;
        return read_built_in_boards(problems);
    }();
    return boards;
}

void take_boards(BenchWork& work) {
    const auto built_in = built_in_boards();
    auto& kinds = work.bench.board_kinds;
    kinds.assign(built_in.begin(), built_in.end());
    for (const Named<BoardRecord>& named : work.file.boards.kinds) {
        const auto board = make_board(named, work.reader);
        if (!board) continue;
        const auto same = std::ranges::find(kinds, named.name, [](const auto& k) { return k->name; });
        if (same == kinds.end())
            kinds.push_back(board);
        else
            *same = board;  // a kind of one's own hides the built-in one
    }
    NameList names;
    for (const auto& kind : kinds) names.push_back(kind->name);
    for (const Text& text : work.file.boards.use) {
        if (!text.at) continue;
        const auto kind = work.bench.board_kind(text.text);
        if (!kind)
            work.reader.unknown_name(text.at->spot, "unknown-board",
                                     "there is no board " + in_quotes(text.text), text.text, names);
        else if (work.bench.boards.size() == most_boards)
            work.reader.error(text.at->spot, "too-many-entries", "more boards than a bench can hold",
                              "at most " + std::to_string(most_boards));
        else
            work.bench.boards.push_back(kind);
    }
}

}  // namespace voltsill
