/// Tables of numbers, row by row. A row of the expected shape is read in place; any other one is cut
/// into cells, with missing values and quotes, and reported if it is no row.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <memory>
#include <optional>
#include <utility>

#include "captures/csv_layout.h"
#include "captures/csv_rows.h"
#include "captures/reader.h"

namespace voltsill {
namespace {

constexpr std::size_t head_bytes = 1u << 16, head_lines = 256, block_rows = 1024;
constexpr std::ptrdiff_t least_shared = 1 << 15, most_shared = 1 << 18;  ///< bytes read by two threads

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
    void shared_lines(const char* p, const char* end);
    bool take_over(CsvRows& theirs);
    void deliver_shared();
    void deliver(CsvRows& rows);
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

    CsvShape shape_;
    std::vector<double> scale_;  ///< by channel
    std::optional<CsvRows> rows_;
    std::uint64_t row_number_ = 0;
    double last_time_ = -std::numeric_limits<double>::infinity();

    std::vector<CsvRows> shared_;  ///< two: one is read while the other is delivered
    std::size_t next_shared_ = 0;
    CsvRows* waiting_ = nullptr;  ///< read by the helper, not delivered: they come before `rows_`
    std::unique_ptr<CsvHelper> helper_;
};

/// Where the last line that begins in (p, from] begins; without one, `p`.
const char* line_after(const char* p, const char* from) {
    const auto* const feed = static_cast<const char*>(::memrchr(p, '\n', static_cast<std::size_t>(from - p)));
    return feed ? feed + 1 : p;
}

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
    shared_lines(bytes.data(), bytes.data() + whole);
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
    shape_ = shape_of(layout_);
    rows_.emplace(shape_, channel_of, block_rows);
    // Enough for three bytes a column; of narrower rows the helper leaves some.
    const std::size_t most_rows = static_cast<std::size_t>(most_shared) / 5 / channel_of.size() + 1;
    shared_.reserve(2);
    for (int k = 0; k < 2; ++k) shared_.emplace_back(shape_, channel_of, most_rows);
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
/// the first byte that it leaves to the slow way.
const char* CsvReader::fast_rows(const char* p, const char* end) {
    while (p < end) {
        const std::size_t before = rows_->count;
        p = read_rows(shape_, p, end, *rows_, last_time_, row_number_);
        const std::size_t read = rows_->count - before;
        line_ += read;
        row_number_ += read;
        if (read > 0) last_time_ = rows_->seconds[rows_->count - 1];
        if (!rows_->full()) break;
        flush();
    }
    return p;
}

/// [p, end) holds whole lines; the later ones are read by a second thread meanwhile.
void CsvReader::shared_lines(const char* p, const char* end) {
    while (end - p >= least_shared && begun_ && !stopped()) {
        const char* const stop = end - p > most_shared ? line_after(p, p + most_shared) : end;
        const char* const cut = line_after(p, p + (stop - p) / 5 * 2);
        if (cut == p) break;  // a line longer than that
        if (!helper_) helper_ = std::make_unique<CsvHelper>();
        CsvRows& theirs = shared_[next_shared_];
        const CsvShape shape = shape_;
        helper_->offer(shape, cut, stop, theirs);
        deliver_shared();
        lines(p, cut);
        const char* const left = helper_->result();
        if (stopped()) return;
        const bool taken = shape.point == shape_.point && take_over(theirs);
        lines(taken ? left : cut, stop);
        p = stop;
    }
    lines(p, end);
}

/// Rows that the helper has read follow those of the block, if their times do. False: they do not count.
bool CsvReader::take_over(CsvRows& theirs) {
    if (theirs.count == 0) return false;
    if (!shape_.timed)
        for (std::size_t k = 0; k < theirs.count; ++k)
            theirs.seconds[k] = shape_.start + shape_.interval * static_cast<double>(row_number_ + k);
    if (!(theirs.seconds[0] >= last_time_ && theirs.seconds[theirs.count - 1] <= CsvRows::latest))
        return false;
    flush();
    line_ += theirs.count;
    row_number_ += theirs.count;
    last_time_ = theirs.seconds[theirs.count - 1];
    waiting_ = &theirs;
    next_shared_ = 1 - next_shared_;
    return true;
}

/// Only now, so that the sink has them while the helper reads others.
void CsvReader::deliver_shared() {
    if (CsvRows* const rows = std::exchange(waiting_, nullptr)) deliver(*rows);
}

/// Takes the values of the row as they stand at the end of the block, the time as the file has it. `line`
/// is empty when it is not at hand.
void CsvReader::keep_row(std::string_view line) {
    const std::size_t here = rows_->count;
    const double t = shape_.timed ? rows_->seconds[here] * shape_.time_scale
                                  : shape_.start + shape_.interval * static_cast<double>(row_number_);
    if (!(t >= last_time_ && t <= CsvRows::latest)) [[unlikely]] {
        if (!(std::abs(t) <= CsvRows::latest)) {
            complaints_.add(Severity::warning, "csv-time", line_, line, 0, 1,
                            "a time is beyond all measure; the row is left out",
                            fmt::format("seconds up to {:g}", CsvRows::latest));
            return;
        }
        complaints_.add(
            Severity::warning, "time-goes-back", line_, line, 0, 1,
            fmt::format("time goes back from {:g} s to {:g} s; what follows is measured as another sweep",
                        last_time_, t),
            "times that never fall");
        // The row stands at the end of the block: it becomes the first of the next.
        flush();
        for (auto& column : rows_->values) column[0] = column[here];
        sink_.restart();
    }
    last_time_ = t;
    rows_->seconds[rows_->count++] = t;
    ++row_number_;
    if (rows_->full()) flush();
}

void CsvReader::slow_row(std::string_view line) {
    if (line.find_first_not_of(" \t") == std::string_view::npos) return;
    const auto cells = cells_of(line, layout_.separator, most_columns + 2);
    if (!layout_.point_seen && layout_.point == '.' && layout_.separator != ',' &&
        line.find(',') != std::string_view::npos) {
        shape_.point = layout_.point = ',';  // the first lines had whole numbers only
        layout_.point_seen = true;
    }
    std::size_t numbers = 0;
    const std::vector<double*>& target = rows_->target;
    for (std::size_t c = 0; c < target.size(); ++c) {
        double* const column = target[c];
        if (!column) continue;
        const auto number = c < cells.size() ? number_in(cells[c], layout_.point) : std::nullopt;
        if (!number && (column == rows_->seconds.data() || (c < cells.size() && !missing_value(cells[c]))))
            return bad_row(line, cells);
        numbers += number && column != rows_->seconds.data();
        column[rows_->count] = number.value_or(std::numeric_limits<double>::quiet_NaN());
    }
    if (cells.size() < target.size() && last_line_) {
        truncated_ = true;
        return;
    }
    for (std::size_t c = target.size(); c < cells.size(); ++c)
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
        const bool beyond = c >= rows_->target.size(), time = static_cast<int>(c) == layout_.time_column;
        if (number_in(cells[c], layout_.point) ? !beyond : missing_value(cells[c]) && !time) continue;
        complaints_.add(
            Severity::warning, "csv-row", line_, line,
            static_cast<std::size_t>(cells[c].data() - line.data()), cells[c].size(),
            beyond ? fmt::format("the row has more than {} columns; it is left out", rows_->target.size())
                   : fmt::format("\"{}\" is no number; the row is left out", cells[c].substr(0, 40)),
            fmt::format("numbers with a decimal {}, separated by {}",
                        layout_.point == ',' ? "comma" : "point", separator_word(layout_.separator)));
        return;
    }
    complaints_.add(Severity::warning, "csv-row", line_, line, 0, line.size(),
                    "the row has too few columns; it is left out");
}

void CsvReader::flush() {
    deliver_shared();
    if (rows_->count > 0) deliver(*rows_);
    rows_->count = 0;
}

void CsvReader::deliver(CsvRows& rows) {
    std::vector<const double*> columns;
    columns.reserve(rows.values.size());
    for (std::size_t c = 0; c < rows.values.size(); ++c) {
        if (scale_[c] != 1)
            for (std::size_t k = 0; k < rows.count; ++k) rows.values[c][k] *= scale_[c];
        columns.push_back(rows.values[c].data());
    }
    sink_.rows({rows.seconds.data(), rows.count}, columns);
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
    if (begun_) flush();
}

}  // namespace

std::unique_ptr<FormatReader> make_csv_reader(std::string file, SampleSink& sink,
                                              const ReaderOptions& options) {
    return std::make_unique<CsvReader>(std::move(file), sink, options);
}

}  // namespace voltsill
