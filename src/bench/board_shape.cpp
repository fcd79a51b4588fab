/// The description of a solderless board, in a bench and in a file of boards.
#include <charconv>

#include "bench/bench_records.h"

namespace voltsill {
namespace {

constexpr const char* rows_noun = "the first and the last row such as \"3..31\"";

std::expected<RowSpan, ParseTrouble> parse_rows(std::string_view text) {
    const ParseTrouble trouble{"not-rows", "this is no span of rows", rows_noun, 0, text.size()};
    RowSpan rows;
    const std::size_t dots = text.find("..");
    if (dots == std::string_view::npos) return std::unexpected(trouble);
    const auto number = [](std::string_view word, int& out) {
        const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), out);
        return error == std::errc{} && end == word.data() + word.size();
    };
    if (!number(text.substr(0, dots), rows.first) || !number(text.substr(dots + 2), rows.last))
        return std::unexpected(trouble);
    if (rows.first < 1 || rows.last < rows.first)
        return std::unexpected(ParseTrouble{"reversed-range", "the last row comes before the first",
                                            rows_noun, 0, text.size()});
    return rows;
}

const Shape<StripRecord>& strip_shape() {
    static const auto shape = [] {
        Shape<StripRecord> s("rail strip", "A strip of holes along a board");
        s.place(&StripRecord::place);
        s.required("side", &StripRecord::side, "of the trench, row 1 at the top", "\"left\"",
                   choice<int>({{"left", 0}, {"right", 1}}));
        s.optional("mark", &StripRecord::mark, "sign printed along it", "\"+\"",
                   choice<std::string>({{"+", "+"}, {"-", "-"}}));
        s.required("pieces", &StripRecord::pieces, "rows that are one node; several where it is split",
                   "[\"3..31\", \"33..61\"]", one_or_more<RowSpan>());
        return s;
    }();
    return shape;
}

const Shape<BoardRecord>& board_shape() {
    static const auto shape = [] {
        Shape<BoardRecord> s("board", "A solderless board");
        s.place(&BoardRecord::place).places(&BoardRecord::keys);
        s.required("title", &BoardRecord::title, "what it is", "\"30 rows, four rail strips\"");
        s.required("rows", &BoardRecord::rows, "how many rows it has", "30", whole_number(1, 200));
        s.optional("left", &BoardRecord::left, "letters of the columns left of the trench", "\"a b c d e\"");
        s.optional("right", &BoardRecord::right, "and right of it", "\"f g h i j\"");
        s.optional("strips", &BoardRecord::strips, "rail strips by letter, from left to right",
                   "{ x = { side = \"left\", mark = \"+\", pieces = \"1..29\" } }",
                   named(record(strip_shape())));
        s.optional("strip_groups", &BoardRecord::strip_groups,
                   "holes of a strip between rows without one; 0: a hole in every row", "5",
                   whole_number(0, 200));
        return s;
    }();
    return shape;
}

}  // namespace

Type<RowSpan> TypeOf<RowSpan>::get() {
    Type<RowSpan> type =
        from_text<RowSpan>(rows_noun, R"(^[0-9]{1,3}\.\.[0-9]{1,3}$)", &parse_rows);
    return {type.noun,
            [read = type.read](const Value& value, RowSpan& out, Reader& reader) {
                const bool good = read(value, out, reader);
                out.at = &value;
                return good;
            },
            type.schema};
}

const Shape<BoardsRecord>& boards_shape() {
    static const auto shape = [] {
        Shape<BoardsRecord> s("boards", "Solderless boards to build on, and kinds of one's own");
        s.optional("use", &BoardsRecord::use, "kinds of the boards, in order; the last as often as needed",
                   "[\"full split\", \"half\"]", one_or_more<Text>());
        s.optional("kinds", &BoardsRecord::kinds, "boards of one's own by name",
                   "{ short = { title = \"ten rows\", rows = 10 } }", named(record(board_shape())));
        return s;
    }();
    return shape;
}

const Shape<BoardFile>& board_file_shape() {
    static const auto shape = [] {
        Shape<BoardFile> s("board file", "Solderless boards by name");
        s.optional("about", &BoardFile::about, "where the descriptions come from");
        s.optional("kinds", &BoardFile::kinds, "boards by name", "", named(record(board_shape())));
        return s;
    }();
    return shape;
}

}  // namespace voltsill
