#pragma once
/// A source text with its name: bytes, lines and columns.
///
/// Offsets count bytes from the start of the text (a byte order mark included), lines and
/// columns count from 1, columns in Unicode code points (a tab is one column). A line ends
/// at LF; a CR before it belongs to the end.
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "records/problem.h"

namespace voltsill {

/// Where something stands: bytes [begin, end), and the line, column and width of its first line.
struct Spot {
    std::size_t begin = 0, end = 0;
    int line = 0, column = 0;
    int width = 1;

    bool operator==(const Spot&) const = default;
};

class Source {
  public:
    Source(std::string file, std::string text);

    const std::string& file() const { return file_; }
    const std::string& text() const { return text_; }
    std::string_view at(const Spot& spot) const { return slice(spot.begin, spot.end); }
    std::string_view slice(std::size_t begin, std::size_t end) const {
        return std::string_view(text_).substr(begin, end - begin);
    }

    int line_count() const { return static_cast<int>(starts_.size()); }
    /// First byte of a line; the length of the text for a line after the last.
    std::size_t line_begin(int line) const;
    int line_of(std::size_t offset) const;
    /// Without its end; "" for a line that does not exist.
    std::string_view line(int number) const;
    /// The byte at a column, at most the end of the line.
    std::size_t offset(int line, int column) const;

    Spot spot(std::size_t begin, std::size_t end) const;
    Place place(const Spot& spot) const { return {file_, spot.line, spot.column, spot.width}; }
    /// A problem with place and excerpt filled in. Lines above 4 KiB are not quoted.
    Problem problem(const Spot& spot, std::string code, std::string message, std::string expected = {}) const;
    std::string excerpt(int line) const;

  private:
    std::string file_, text_;
    std::vector<std::size_t> starts_;
};

/// Number of code points; bytes that begin no code point count with the one before them.
int code_points(std::string_view text);

}  // namespace voltsill
