#pragma once
/// Rows of the expected shape of a table of numbers, read in place, on one thread or two.
///
///     CsvHelper helper;
///     helper.offer(shape, cut, end, rows);     // a second thread reads from `cut` to `end`
///     ... meanwhile the caller reads what comes before `cut` ...
///     const char* left = helper.result();      // first byte of the first row that is not of that shape
///
/// A share that the second thread has not begun when the caller asks for it is read by the caller: on a
/// busy machine nobody waits for a processor.
#include <atomic>
#include <cstdint>
#include <limits>
#include <thread>
#include <vector>

#include "captures/csv_layout.h"

namespace voltsill {

/// What of the layout a row needs.
struct CsvShape {
    char separator = ',', point = '.';
    bool timed = false;
    std::size_t time_column = 0;
    double time_scale = 1, start = 0, interval = 0;  ///< s
};

CsvShape shape_of(const CsvLayout& layout);

/// Numbers by column: times in seconds, values as the file has them.
struct CsvRows {
    static constexpr double latest = 1e15;  ///< s

    /// `channel_of` gives the channel of each column; -1: time, or passed over.
    CsvRows(const CsvShape& shape, const std::vector<int>& channel_of, std::size_t capacity);

    CsvRows(CsvRows&&) = default;  // a copy's targets would be the rows of the first

    std::vector<double> seconds;
    std::vector<std::vector<double>> values;  ///< by channel
    std::vector<double*> target;              ///< by column: where its values go; null: passed over
    std::vector<unsigned> fractions;          ///< by column: digits after the point in the last number
    std::size_t count = 0;
    bool full() const { return count == seconds.size(); }
};

/// Adds rows from whole lines up to `end`, until `rows` is full, a row is not of the shape or its time is
/// below `before` or that of the row before it. Rows without times are counted from `number`. Returns the
/// first byte that is left.
const char* read_rows(const CsvShape& shape, const char* p, const char* end, CsvRows& rows, double before,
                      std::uint64_t number);

class CsvHelper {
  public:
    CsvHelper() : worker_([this] { run(); }) {}
    ~CsvHelper();
    CsvHelper(const CsvHelper&) = delete;
    CsvHelper& operator=(const CsvHelper&) = delete;

    /// Reads [begin, end) into `rows`, which are emptied. Bytes and rows are the helper's until `result`.
    void offer(const CsvShape& shape, const char* begin, const char* end, CsvRows& rows);
    const char* result();

  private:
    enum State { idle, offered, running, done, leaving };

    void read();
    void run();
    void become(State state);

    CsvShape shape_;
    const char* begin_ = nullptr;
    const char* end_ = nullptr;
    CsvRows* rows_ = nullptr;
    std::atomic<State> state_ = idle;
    std::thread worker_;
};

}  // namespace voltsill
