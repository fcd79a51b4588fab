/// Tables of numbers, row by row. A row of the expected shape is read in place; any other one is cut
/// into cells, with missing values and quotes, and reported if it is no row.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <utility>

#include "captures/csv_layout.h"
#include "captures/decimal.h"
#include "captures/reader.h"

namespace voltsill {
namespace {

constexpr std::size_t head_bytes = 1u << 16, head_lines = 256, block_rows = 1024;
constexpr double latest = 1e15;  ///< s

const char* separator_word(char c) {
    switch (c) {
        case '\t':
            return "tabs";
        case ';':
            return "semicolons";
        case '|':
            return "bars";
        case ' ':
            return "blanks";
        default:
            return "commas";
    }
}

class CsvReader final : public FormatReader {
  public:
    CsvReader(std::string file, SampleSink& sink, const ReaderOptions& options)
        : sink_(sink), options_(options), complaints_(std::move(file)) {}

    void push(std::string_view bytes) override;
    void finish() override;
    bool stopped() const override { return stopped_ || complaints_.refused(); }
    Problems problems() const override { return complaints_.all(); }
    bool truncated() const override { return truncated_; }
    std::string format() const override {
        if (!begun_) return "CSV";
        return fmt::format("CSV, columns separated by {}, decimal {}", separator_word(layout_.separator),
                           layout_.point == ',' ? "comma" : "point");
    }

  private:
    void lines(const char* p, const char* end);
    void head_line(std::string_view line);
    void begin();
    const char* fast_rows(const char* p, const char* end);
    void slow_row(std::string_view line);
    void keep_row(std::string_view line);
    void bad_row(std::string_view line, const std::vector<std::string_view>& cells);
    void too_long();
    void flush();

    SampleSink& sink_;
    ReaderOptions options_;
    Complaints complaints_;
    std::string carry_;
    bool skipping_ = false;  ///< the rest of a line that was given up
    std::uint64_t line_ = 0;
    bool stopped_ = false, truncated_ = false, begun_ = false, last_line_ = false;

    std::vector<std::string> head_;
    std::size_t head_size_ = 0;
    CsvLayout layout_;

    std::vector<double*> target_;  ///< by column: where its next value goes; null: passed over
    std::vector<double> seconds_;
    std::vector<std::vector<double>> values_;
    std::vector<double> scale_;
    std::vector<const double*> columns_;
    double time_ = 0, time_scale_ = 1;  ///< of the row being read, as the file has it
    std::size_t rows_ = 0;              ///< in the block
    std::uint64_t row_number_ = 0;
    double last_time_ = -std::numeric_limits<double>::infinity();
};

void CsvReader::too_long() {
    ++line_;
    complaints_.add(Severity::warning, "line-too-long", line_, {}, 0, 0,
                    fmt::format("a line has more than {} bytes; it is left out", longest_line));
}

void CsvReader::push(std::string_view bytes) {
    if (stopped() || bytes.empty()) return;
    if (!carry_.empty() || skipping_) {
        const std::size_t at = std::min(bytes.find('\n'), bytes.size() - 1) + 1;
        const bool ended = bytes[at - 1] == '\n';
        if (!skipping_) carry_.append(bytes.substr(0, at));
        if (!skipping_ && carry_.size() > longest_line + 1) {
            too_long();
            carry_.clear();
            skipping_ = true;
        }
        if (!ended) return;
        if (!skipping_) {
            const std::string whole = std::exchange(carry_, {});
            lines(whole.data(), whole.data() + whole.size());
        }
        skipping_ = false;
        bytes.remove_prefix(at);
    }
    const std::size_t last = bytes.rfind('\n');
    const std::size_t whole = last == std::string_view::npos ? 0 : last + 1;
    lines(bytes.data(), bytes.data() + whole);
    carry_ = bytes.substr(whole);
}

/// [p, end) holds whole lines, the last one with its line feed.
void CsvReader::lines(const char* p, const char* end) {
    while (p < end && !stopped()) {
        if (begun_ && (p = fast_rows(p, end)) == end) return;
        const char* const feed =
            static_cast<const char*>(std::memchr(p, '\n', static_cast<std::size_t>(end - p)));
        std::string_view line(p, static_cast<std::size_t>(feed - p));
        p = feed + 1;
        if (line.ends_with('\r')) line.remove_suffix(1);
        if (line.size() > longest_line) {
            too_long();
            continue;
        }
        ++line_;
        begun_ ? slow_row(line) : head_line(line);
    }
}

void CsvReader::head_line(std::string_view line) {
    if (line_ == 1 && line.starts_with("\xEF\xBB\xBF")) line.remove_prefix(3);
    head_.emplace_back(line);
    head_size_ += line.size() + 1;
    if (head_size_ >= head_bytes || head_.size() >= head_lines) begin();
}

void CsvReader::begin() {
    // A row that the end of the file cuts off shall not decide how wide the table is.
    auto layout = find_layout(head_, options_.sample_interval, complaints_);
    if (!layout) return;
    layout_ = std::move(*layout);
    std::vector<CaptureChannel> channels;
    std::vector<int> channel_of(layout_.columns.size(), -1);
    for (std::size_t c = 0; c < layout_.columns.size(); ++c) {
        const CsvColumn& column = layout_.columns[c];
        if (!column.used || static_cast<int>(c) == layout_.time_column) continue;
        channel_of[c] = static_cast<int>(channels.size());
        channels.push_back({.name = column.name, .kind = ChannelKind::sampled, .unit = column.unit});
        scale_.push_back(column.to_si);
    }
    seconds_.resize(block_rows);
    values_.assign(channels.size(), std::vector<double>(block_rows));
    for (const auto& column : values_) columns_.push_back(column.data());
    for (std::size_t c = 0; c < layout_.columns.size(); ++c)
        target_.push_back(static_cast<int>(c) == layout_.time_column ? &time_
                          : channel_of[c] >= 0 ? values_[static_cast<std::size_t>(channel_of[c])].data()
                                               : nullptr);
    if (layout_.time_column >= 0)
        time_scale_ = layout_.columns[static_cast<std::size_t>(layout_.time_column)].to_si;
    begun_ = true;
    if (!sink_.begin(channels, 1)) stopped_ = true;
    const std::uint64_t read = std::exchange(line_, 0);
    for (const std::string& line : std::exchange(head_, {})) {
        ++line_;
        if (line_ > layout_.first_row && !stopped_) slow_row(line);
    }
    line_ = read;
}

/// Reads rows of the expected shape from whole lines up to `end`, as long as time does not fall; returns
/// the first byte that it leaves to the slow way. What the loop needs stands in locals: members would be
/// read again after every value that is stored.
const char* CsvReader::fast_rows(const char* p, const char* end) {
    const std::size_t n = target_.size();
    const char point = layout_.point, separator = layout_.separator;
    const bool timed = layout_.time_column >= 0;
    const std::size_t time_column = timed ? static_cast<std::size_t>(layout_.time_column) : n;
    const double time_scale = time_scale_, start = layout_.start, interval = layout_.interval;
    double* const* const target = target_.data();
    double* const seconds = seconds_.data();
    std::size_t row = rows_;
    std::uint64_t number = row_number_;
    double before = last_time_;
    while (p < end) {
        const char* q = p;
        double t = start + interval * static_cast<double>(number);
        for (std::size_t c = 0; c < n; ++c) {
            while (*q == ' ') ++q;
            double value;
            q = read_decimal(q, point, value);
            if (!q) break;
            if (c == time_column)
                t = value * time_scale;
            else if (target[c])
                target[c][row] = value;
            if (c + 1 < n && *q++ != separator) {
                q = nullptr;
                break;
            }
        }
        if (!q) break;
        q += *q == '\r';
        if (*q != '\n' || !(t >= before && t <= latest)) break;
        p = q + 1;
        seconds[row] = before = t;
        ++number;
        if (++row < block_rows) continue;
        rows_ = row;
        last_time_ = before;
        flush();
        row = 0;
    }
    line_ += number - row_number_;
    row_number_ = number;
    rows_ = row;
    last_time_ = before;
    return p;
}

/// Takes the values of the row as they stand in the block. `line` is empty when it is not at hand.
void CsvReader::keep_row(std::string_view line) {
    const double t = layout_.time_column >= 0
                         ? time_ * time_scale_
                         : layout_.start + layout_.interval * static_cast<double>(row_number_);
    if (!(t >= last_time_ && t <= latest)) [[unlikely]] {
        if (!(std::abs(t) <= latest)) {
            complaints_.add(Severity::warning, "csv-time", line_, line, 0, 1,
                            "a time is beyond all measure; the row is left out",
                            fmt::format("seconds up to {:g}", latest));
            return;
        }
        complaints_.add(
            Severity::warning, "time-goes-back", line_, line, 0, 1,
            fmt::format("time goes back from {:g} s to {:g} s; what follows is measured as another sweep",
                        last_time_, t),
            "times that never fall");
        // The row stands at the end of the block: it becomes the first of the next.
        const std::size_t here = rows_;
        flush();
        for (auto& column : values_) column[0] = column[here];
        sink_.restart();
    }
    last_time_ = t;
    seconds_[rows_] = t;
    ++row_number_;
    if (++rows_ == block_rows) flush();
}

void CsvReader::slow_row(std::string_view line) {
    if (line.find_first_not_of(" \t") == std::string_view::npos) return;
    const auto cells = cells_of(line, layout_.separator, most_columns + 2);
    if (!layout_.point_seen && layout_.point == '.' && layout_.separator != ',' &&
        line.find(',') != std::string_view::npos) {
        layout_.point = ',';  // the first lines had whole numbers only
        layout_.point_seen = true;
    }
    std::size_t numbers = 0;
    for (std::size_t c = 0; c < target_.size(); ++c) {
        double* const column = target_[c];
        if (!column) continue;
        const auto number = c < cells.size() ? number_in(cells[c], layout_.point) : std::nullopt;
        if (!number && (column == &time_ || (c < cells.size() && !missing_value(cells[c]))))
            return bad_row(line, cells);
        numbers += number && column != &time_;
        column[column == &time_ ? 0 : rows_] = number.value_or(std::numeric_limits<double>::quiet_NaN());
    }
    if (cells.size() < target_.size() && last_line_) {
        truncated_ = true;
        return;
    }
    for (std::size_t c = target_.size(); c < cells.size(); ++c)
        if (!cells[c].empty()) return bad_row(line, cells);
    if (numbers == 0 && layout_.time_column < 0) return bad_row(line, cells);
    keep_row(line);
}

void CsvReader::bad_row(std::string_view line, const std::vector<std::string_view>& cells) {
    if (last_line_) {
        truncated_ = true;
        return;
    }
    for (std::size_t c = 0; c < cells.size(); ++c) {
        const bool beyond = c >= target_.size(), time = static_cast<int>(c) == layout_.time_column;
        if (number_in(cells[c], layout_.point) ? !beyond : missing_value(cells[c]) && !time) continue;
        complaints_.add(
            Severity::warning, "csv-row", line_, line,
            static_cast<std::size_t>(cells[c].data() - line.data()), cells[c].size(),
            beyond ? fmt::format("the row has more than {} columns; it is left out", target_.size())
                   : fmt::format("\"{}\" is no number; the row is left out", cells[c].substr(0, 40)),
            fmt::format("numbers with a decimal {}, separated by {}",
                        layout_.point == ',' ? "comma" : "point", separator_word(layout_.separator)));
        return;
    }
    complaints_.add(Severity::warning, "csv-row", line_, line, 0, line.size(),
                    "the row has too few columns; it is left out");
}

void CsvReader::flush() {
    if (rows_ == 0) return;
    for (std::size_t c = 0; c < values_.size(); ++c)
        if (scale_[c] != 1)
            for (std::size_t k = 0; k < rows_; ++k) values_[c][k] *= scale_[c];
    sink_.rows({seconds_.data(), rows_}, columns_);
    rows_ = 0;
}

void CsvReader::finish() {
    if (stopped()) return;
    // Without a line feed the last line may be cut: it counts if it is a whole row.
    std::string rest = std::exchange(carry_, {});
    if (!begun_) {
        if (!rest.empty() && head_.empty()) head_line(std::exchange(rest, {}));
        if (!begun_ && !complaints_.refused()) begin();
        if (stopped()) return;
    }
    last_line_ = true;
    if (!rest.empty()) {
        rest += '\n';
        lines(rest.data(), rest.data() + rest.size());
    }
    if (truncated_)
        complaints_.add(Severity::warning, "truncated", line_, {}, 0, 0,
                        "the file ends in the middle of a row; what came before is measured");
    flush();
}

}  // namespace

std::unique_ptr<FormatReader> make_csv_reader(std::string file, SampleSink& sink,
                                              const ReaderOptions& options) {
    return std::make_unique<CsvReader>(std::move(file), sink, options);
}

}  // namespace voltsill
