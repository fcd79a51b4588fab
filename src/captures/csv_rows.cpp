#include "captures/csv_rows.h"

#include "captures/decimal.h"

namespace voltsill {

CsvShape shape_of(const CsvLayout& layout) {
    CsvShape shape{.separator = layout.separator,
                   .point = layout.point,
                   .timed = layout.time_column >= 0,
                   .start = layout.start,
                   .interval = layout.interval};
    if (shape.timed) {
        shape.time_column = static_cast<std::size_t>(layout.time_column);
        shape.time_scale = layout.columns[shape.time_column].to_si;
    }
    return shape;
}

CsvRows::CsvRows(const CsvShape& shape, const std::vector<int>& channel_of, std::size_t capacity)
    : seconds(capacity), fractions(channel_of.size()) {
    for (const int channel : channel_of)
        if (channel >= 0) values.emplace_back(capacity);
    for (std::size_t c = 0; c < channel_of.size(); ++c)
        target.push_back(shape.timed && c == shape.time_column ? seconds.data()
                         : channel_of[c] >= 0 ? values[static_cast<std::size_t>(channel_of[c])].data()
                                              : nullptr);
}

/// What the loop needs stands in locals: members would be read again after every value that is stored.
const char* read_rows(const CsvShape& shape, const char* p, const char* end, CsvRows& rows, double before,
                      std::uint64_t number) {
    const std::size_t n = rows.target.size(), capacity = rows.seconds.size();
    const char point = shape.point, separator = shape.separator;
    const std::size_t time_column = shape.timed ? shape.time_column : n;
    const double time_scale = shape.time_scale, start = shape.start, interval = shape.interval;
    double* const* const target = rows.target.data();
    double* const seconds = rows.seconds.data();
    unsigned* const fractions = rows.fractions.data();
    std::size_t row = rows.count;
    while (p < end && row < capacity) {
        const char* q = p;
        double t = start + interval * static_cast<double>(number);
        for (std::size_t c = 0; c < n; ++c) {
            while (*q == ' ') ++q;
            double value;
            q = read_decimal_alike(q, end, point, fractions[c], value);
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
        if (*q != '\n' || !(t >= before && t <= CsvRows::latest)) break;
        p = q + 1;
        seconds[row++] = before = t;
        ++number;
    }
    rows.count = row;
    return p;
}

CsvHelper::~CsvHelper() {
    become(leaving);
    worker_.join();
}

void CsvHelper::become(State state) {
    state_.store(state);
    state_.notify_all();
}

void CsvHelper::offer(const CsvShape& shape, const char* begin, const char* end, CsvRows& rows) {
    shape_ = shape;
    begin_ = begin;
    end_ = end;
    rows_ = &rows;
    rows.count = 0;
    become(offered);
}

const char* CsvHelper::result() {
    if (State expected = offered; state_.compare_exchange_strong(expected, idle))
        read();
    else
        state_.wait(running);
    return begin_;
}

void CsvHelper::read() {
    begin_ = read_rows(shape_, begin_, end_, *rows_, -std::numeric_limits<double>::infinity(), 0);
}

void CsvHelper::run() {
    while (true) {
        State seen = state_.load();
        if (seen == leaving) return;
        if (seen != offered) {
            state_.wait(seen);
        } else if (state_.compare_exchange_strong(seen, running)) {
            read();
            become(done);
        }
    }
}

}  // namespace voltsill
