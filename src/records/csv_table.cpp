#include "records/csv_table.h"

#include <fmt/format.h>

namespace voltsill {
namespace {

class CsvTableParser {
  public:
    CsvTableParser(CsvTable& table, const CsvTableLimits& limits)
        : table_(table), text_(table.source->text()), limits_(limits), at_(table.source->line_begin(1)) {}

    void run() {
        separator_ = separator();
        while (at_ < text_.size()) {
            if (!row()) return;
            if (table_.rows.size() > limits_.rows) {
                table_.rows.pop_back();
                complain(at_ - 1, at_, "too-many-rows",
                         fmt::format("this table has more than {} rows", limits_.rows));
                return;
            }
        }
    }

  private:
    void complain(std::size_t begin, std::size_t end, const char* code, std::string message,
                  std::string expected = {}) {
        constexpr std::size_t most = 50;
        if (table_.problems.size() < most)
            table_.problems.push_back(table_.source->problem(table_.source->spot(begin, end), code,
                                                             std::move(message), std::move(expected)));
    }

    char separator() const {
        const std::string_view first = table_.source->line(1);
        if (first.find(',') != std::string_view::npos) return ',';
        if (first.find(';') != std::string_view::npos) return ';';
        return first.find('\t') != std::string_view::npos ? '\t' : ',';
    }

    bool ends_row(std::size_t k) const {
        return k >= text_.size() || text_[k] == '\n' ||
               (text_[k] == '\r' && (k + 1 == text_.size() || text_[k + 1] == '\n'));
    }
    bool blank(char c) const { return c == ' ' || (c == '\t' && separator_ != '\t'); }

    /// Within quotes a doubled quote is one, and lines may end.
    bool quoted(CsvTableCell& cell) {
        cell.begin = at_++;
        for (; at_ < text_.size(); ++at_) {
            if (text_[at_] != '"') {
                cell.text += text_[at_];
            } else if (at_ + 1 < text_.size() && text_[at_ + 1] == '"') {
                cell.text += '"', ++at_;
            } else {
                cell.end = ++at_;
                return true;
            }
        }
        complain(cell.begin, cell.begin + 1, "unclosed-quote", "this quote is not closed",
                 "a second quote at the end of the cell");
        return false;
    }
    void bare(CsvTableCell& cell) {
        cell.begin = at_;
        while (!ends_row(at_) && text_[at_] != separator_) ++at_;
        cell.end = at_;
        while (cell.end > cell.begin && blank(text_[cell.end - 1])) --cell.end;
        cell.text.assign(text_, cell.begin, cell.end - cell.begin);
        if (const std::size_t quote = cell.text.find('"'); quote != std::string::npos)
            complain(cell.begin + quote, cell.begin + quote + 1, "bare-quote",
                     "a quote within a cell that does not begin with one",
                     "the whole cell in quotes, and each quote in it doubled");
    }

    bool row() {
        CsvTableRow cells;
        bool any = false;
        while (true) {
            CsvTableCell cell;
            while (at_ < text_.size() && blank(text_[at_])) ++at_;
            if (at_ < text_.size() && text_[at_] == '"') {
                if (!quoted(cell)) return false;
                while (at_ < text_.size() && blank(text_[at_])) ++at_;
                if (!ends_row(at_) && text_[at_] != separator_) {
                    const std::size_t from = at_;
                    while (!ends_row(at_) && text_[at_] != separator_) ++at_;
                    complain(from, at_, "bare-quote", "text behind a cell in quotes",
                             "a quote within a cell doubled: \"\"");
                }
            } else {
                bare(cell);
            }
            any |= !cell.text.empty();
            if (cells.size() < limits_.cells)
                cells.push_back(std::move(cell));
            else if (cells.size() == limits_.cells && !cell.text.empty() && !crowded_)
                complain(cell.begin, cell.end, "too-many-cells",
                         fmt::format("more than {} cells in a row", limits_.cells)),
                    crowded_ = true;
            if (ends_row(at_)) break;
            ++at_;
        }
        if (at_ < text_.size() && text_[at_] == '\r') ++at_;
        ++at_;
        if (any) table_.rows.push_back(std::move(cells));
        return true;
    }

    CsvTable& table_;
    const std::string& text_;
    const CsvTableLimits& limits_;
    std::size_t at_;
    char separator_ = ',';
    bool crowded_ = false;
};

}  // namespace

CsvTable parse_csv_table(std::string_view bytes, std::string file, const CsvTableLimits& limits) {
    CsvTable table;
    const bool large = bytes.size() > limits.bytes;
    table.source = std::make_shared<const Source>(std::move(file), large ? std::string() : std::string(bytes));
    const Spot start = table.source->spot(0, 0);
    if (large) {
        table.problems.push_back(table.source->problem(
            start, "too-large", fmt::format("the file has {} bytes; {} are read at most", bytes.size(), limits.bytes)));
    } else if (const std::size_t zero = bytes.find('\0'); zero != std::string_view::npos) {
        table.problems.push_back(table.source->problem(table.source->spot(zero, zero + 1), "not-text",
                                                       "this is not a text file",
                                                       "comma-separated values, saved as UTF-8"));
    } else {
        CsvTableParser(table, limits).run();
    }
    return table;
}

}  // namespace voltsill
