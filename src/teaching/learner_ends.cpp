/// Ends of wires, holes and places of parts in a learner's file.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "teaching/build_file.h"
#include "teaching/build_text.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

bool is_digit(char c) { return '0' <= c && c <= '9'; }

}  // namespace

std::optional<BuildFile::HoleText> BuildFile::hole_text(std::string_view text) {
    HoleText out;
    std::size_t k = 0;
    while (k < text.size() && 'a' <= text[k] && text[k] <= 'z') ++k;
    out.board = text.substr(0, k);
    while (k < text.size() && text[k] == ' ') ++k;
    const std::size_t digits = k;
    while (k < text.size() && is_digit(text[k])) ++k;
    out.row = text.substr(digits, k - digits);
    out.column = text.substr(k);
    const bool letter = out.column.size() == 1 && 'a' <= out.column[0] && out.column[0] <= 'z';
    if (out.row.empty() || out.row.size() > 4 || !letter || out.board.size() > 2) return std::nullopt;
    return out;
}

std::optional<WireEnd> BuildFile::end(const CsvTableCell& cell) {
    const std::string text = small_letters(cell.text);
    if (const auto known = named(text)) return known;
    if (const auto hole = hole_text(text)) {
        if (const auto at = hole_at(cell, *hole)) return WireEnd{.kind = WireEnd::Kind::hole, .hole = *at};
        return std::nullopt;
    }
    const std::size_t dot = text.find('.');
    const auto part = r_.parts_.find(text.substr(0, dot));
    if (dot != std::string::npos && part != r_.parts_.end()) {
        const WiredPart& wired = r_.build_.wiring.parts[part->second];
        std::vector<std::string> pins;
        for (const Pin& pin : wired.type->pins) pins.push_back(pin.name);
        complain(table_.spot(cell), "unknown-pin",
                 fmt::format("{} has no pin \"{}\"", wired.name, cell.text.substr(dot + 1)),
                 fmt::format("a pin of {}", part_words(wired)))
            .nearest = nearest_name(cell.text.substr(dot + 1), pins);
        return std::nullopt;
    }
    complain(table_.spot(cell), "unknown-end", fmt::format("\"{}\" is no end of a wire", cell.text),
             r_.holes_ ? "a hole such as 12c, a pin such as U1.3, \"supply NAME +\" or \"ground\""
                       : "a pin such as U1.3, \"rail NAME\" or \"ground\"")
        .nearest = nearest_name(cell.text, dot == std::string::npos ? r_.names_ : r_.part_names_);
    return std::nullopt;
}

/// Also as the sheets write pins: "U1.4 (2Y)", "U1.20 VCC".
std::optional<WireEnd> BuildFile::named(const std::string& text) {
    auto found = r_.ends_.find(text);
    if (const std::size_t dot = text.find('.'); found == r_.ends_.end() && dot != std::string::npos)
        if (const std::size_t gap = text.find(' ', dot); gap != std::string::npos)
            found = r_.ends_.find(text.substr(0, gap));
    if (found == r_.ends_.end()) return std::nullopt;
    ground_named_ |= text == "ground";
    return found->second;
}

int BuildFile::board_at(const CsvTableCell& cell, const HoleText& text) {
    const auto& boards = build_.placement.boards;
    int board = text.board.empty() && boards.size() == 1 ? 0 : -1;
    for (std::size_t b = 0; b < boards.size() && !text.board.empty(); ++b)
        if (small_letters(board_letters(static_cast<int>(b))) == text.board) board = static_cast<int>(b);
    if (board < 0) {
        complain(table_.spot(cell), "unknown-board",
                 text.board.empty()
                     ? fmt::format("there are {} boards; \"{}\" does not say which", boards.size(), cell.text)
                     : fmt::format("there is no board \"{}\"", cell.text.substr(0, text.board.size())),
                 boards.size() == 1 ? "a hole without a letter before it, such as 12c"
                                    : fmt::format("a board from A to {}, such as \"A 12c\"",
                                                  board_letters(static_cast<int>(boards.size()) - 1)));
    }
    return board;
}

std::optional<Hole> BuildFile::hole_at(const CsvTableCell& cell, const HoleText& text) {
    const auto& boards = build_.placement.boards;
    if (!r_.holes_) {
        complain(table_.spot(cell), "no-holes", "this bench has no plan of holes, so ends are pins",
                 "a pin such as U1.3");
        return std::nullopt;
    }
    const int board = board_at(cell, text);
    if (board < 0) return std::nullopt;
    Hole hole{.board = board, .column = boards[board]->column(text.column)};
    std::from_chars(text.row.data(), text.row.data() + text.row.size(), hole.row);
    if (hole.column >= 0 && boards[board]->has_hole(hole.row, hole.column)) return hole;
    std::string columns;
    for (const BoardColumn& column : boards[board]->columns) columns += column.name;
    complain(table_.spot(cell), "unknown-hole", fmt::format("the board has no hole \"{}\"", cell.text),
             fmt::format("a row from 1 to {} and a column of \"{}\"; strips leave some rows out", boards[board]->rows,
                         columns));
    return std::nullopt;
}

void BuildFile::part(const CsvTableRow& row) {
    const CsvTableCell* name = needed(row, from_column, "the part, such as U1");
    if (!name) return;
    const std::string text = small_letters(name->text);
    const std::size_t dot = text.find('.');
    const auto found = r_.parts_.find(text.substr(0, dot));
    if (found == r_.parts_.end()) {
        complain(table_.spot(*name), "unknown-part", fmt::format("there is no part \"{}\"", name->text),
                 "a part of the list")
            .nearest = nearest_name(name->text.substr(0, dot), r_.part_names_);
        return;
    }
    const CsvTableCell *value = cell(row, value_column), *to = cell(row, to_column);
    const std::string word = value ? small_letters(value->text) : "";
    if (word != "" && word != "turned" && word != "missing") {
        complain(table_.spot(*value), "unknown-word", fmt::format("\"{}\" says nothing of a part", value->text),
                 "turned, missing or nothing")
            .nearest = nearest_name(word, {"turned", "missing"});
        return;
    }
    if (word == "missing") return take_out(found->second);
    if (word.empty() && !to) {
        needed(row, to_column, "the hole of its pin 1, such as 5e");
        return;
    }
    put(*name, found->second, dot, to, word == "turned");
}

void BuildFile::take_out(int part) {
    build_.missing.push_back(part);
    build_.moved = true;
    if (part < static_cast<int>(build_.placement.parts.size())) build_.placement.parts[part].holes.clear();
}

void BuildFile::put(const CsvTableCell& name, int part, std::size_t dot, const CsvTableCell* to, bool turned) {
    if (!r_.holes_ || !r_.build_.placement.parts[part].on_board()) {
        complain(table_.spot(name), "not-on-board", fmt::format("{} does not sit in holes", name.text),
                 "a part that is pushed into a board");
        return;
    }
    std::optional<Hole> hole;
    if (to) {
        const std::string small = small_letters(to->text);  // `text` looks into it
        const auto text = hole_text(small);
        if (!text)
            complain(table_.spot(*to), "unknown-hole", fmt::format("\"{}\" is no hole", to->text), "a hole such as 5e");
        hole = text ? hole_at(*to, *text) : std::nullopt;
        if (!hole) return;
    }
    std::vector<Hole>& holes = build_.placement.parts[part].holes;
    if (dot != std::string::npos) {
        int lead = 0;
        const std::string digits = name.text.substr(dot + 1);
        std::from_chars(digits.data(), digits.data() + digits.size(), lead);
        if (lead < 1 || lead > static_cast<int>(holes.size()) || !hole) {
            complain(table_.spot(name), "unknown-lead", fmt::format("{} is no lead", name.text),
                     fmt::format("a lead from 1 to {} and its hole", holes.size()));
            return;
        }
        holes[lead - 1] = *hole;
    } else if (auto moved = moved_to(r_.build_.placement, part, hole, turned)) {
        holes = std::move(*moved);
    } else {
        complain(table_.spot(*to), "off-board", fmt::format("{} does not fit with pin 1 in {}", name.text, to->text),
                 "a hole from which all its pins are on the board");
        return;
    }
    build_.moved |= holes != r_.build_.placement.parts[part].holes;
}

}  // namespace voltsill
