#pragma once
/// Captures of instruments, byte by byte: value change dumps (IEEE Std 1364-2005, clause 18) and
/// tables of comma-separated values, told apart by their first byte.
///
///     CaptureReader reader("trace.csv", sink);
///     while (more()) reader.push(bytes);       // pieces of any size; the result is the same
///     reader.finish();
///     for (const Problem& p : reader.problems()) ...
///
/// Memory does not grow with the file. Limits, each said when it is met: `longest_line`,
/// `most_columns`, `most_channels`. Whatever the bytes, what could be read has gone to the sink.
#include <memory>
#include <string>
#include <string_view>

#include "captures/samples.h"
#include "records/problem.h"

namespace voltsill {

inline constexpr std::size_t longest_line = 1u << 20;  ///< bytes, of a CSV row or a VCD word
inline constexpr std::size_t most_columns = 256;       ///< of a CSV file
inline constexpr std::size_t most_channels = 4096;     ///< of a VCD file; a bit of a vector is one

struct ReaderOptions {
    double sample_interval = 0;  ///< s between rows of a CSV file without times; 0: as the file says
};

/// What a reader of one format does.
class FormatReader {
  public:
    virtual ~FormatReader() = default;
    virtual void push(std::string_view bytes) = 0;
    virtual void finish() = 0;
    /// Nothing more will be read: refused, or the sink wants no more.
    virtual bool stopped() const = 0;
    virtual Problems problems() const = 0;
    /// The file ends in the middle of something.
    virtual bool truncated() const = 0;
    /// How the file was understood: "CSV, columns separated by semicolons, decimal comma".
    virtual std::string format() const = 0;
};

std::unique_ptr<FormatReader> make_csv_reader(std::string file, SampleSink& sink,
                                              const ReaderOptions& options);
std::unique_ptr<FormatReader> make_vcd_reader(std::string file, SampleSink& sink);

class CaptureReader {
  public:
    CaptureReader(std::string file, SampleSink& sink, const ReaderOptions& options = {});

    void push(std::string_view bytes);
    void finish();
    bool stopped() const { return reader_ ? reader_->stopped() : has_error(problems_); }
    Problems problems() const;
    bool truncated() const { return reader_ && reader_->truncated(); }
    std::string format() const { return reader_ ? reader_->format() : ""; }

  private:
    void open();

    std::string file_;
    SampleSink& sink_;
    ReaderOptions options_;
    std::string head_;  ///< first bytes, until the format is told by them
    std::unique_ptr<FormatReader> reader_;
    Problems problems_;
};

}  // namespace voltsill
