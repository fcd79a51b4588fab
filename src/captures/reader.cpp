#include "captures/reader.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace voltsill {
namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF", blanks = " \t\r\n\v\f";
constexpr std::size_t told_by_bytes = 4096;  ///< looked at to tell what the file is

/// Signatures of files that hold no text (RFC 1952; ISO/IEC 21320-1; UTF-16 after ISO/IEC 10646).
const char* no_text(std::string_view head) {
    if (head.starts_with("\xFF\xFE") || head.starts_with("\xFE\xFF")) return "UTF-16 text";
    if (head.starts_with("\x1F\x8B")) return "compressed data";
    if (head.starts_with("PK\x03\x04")) return "an archive or a workbook";
    if (head.find('\0') != std::string_view::npos) return "no text: it has NUL bytes";
    return nullptr;
}

}  // namespace

CaptureReader::CaptureReader(std::string file, SampleSink& sink, const ReaderOptions& options)
    : file_(std::move(file)), sink_(sink), options_(options) {}

void CaptureReader::push(std::string_view bytes) {
    if (stopped()) return;
    if (reader_) return reader_->push(bytes);
    // The head is gathered up to a fixed place, so that pieces of any size decide alike.
    const std::size_t taken = std::min(bytes.size(), told_by_bytes - head_.size());
    head_ += bytes.substr(0, taken);
    if (head_.size() < told_by_bytes) return;
    open();
    if (reader_) reader_->push(bytes.substr(taken));
}

void CaptureReader::finish() {
    if (!reader_ && !has_error(problems_)) open();
    if (reader_) reader_->finish();
}

void CaptureReader::open() {
    if (const char* what = no_text(head_)) {
        Problem& problem = problems_.emplace_back();
        problem.code = "not-a-capture";
        problem.place.file = file_;
        problem.message = std::string("this is ") + what;
        problem.expected = "a VCD or CSV file as UTF-8 or ASCII text";
        return;
    }
    std::string_view first = head_;
    if (first.starts_with(byte_order_mark)) first.remove_prefix(byte_order_mark.size());
    const std::size_t at = first.find_first_not_of(blanks);
    if (at != std::string_view::npos && first[at] == '$')
        reader_ = make_vcd_reader(file_, sink_);
    else
        reader_ = make_csv_reader(file_, sink_, options_);
    reader_->push(std::exchange(head_, {}));
}

Problems CaptureReader::problems() const {
    Problems out = problems_;
    if (reader_) std::ranges::copy(reader_->problems(), std::back_inserter(out));
    return out;
}

}  // namespace voltsill
