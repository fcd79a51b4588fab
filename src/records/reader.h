#pragma once
/// Collects the problems of one file while its records are read.
#include <string>
#include <string_view>
#include <vector>

#include "quantity/parse.h"
#include "records/tree.h"

namespace voltsill {

class Reader {
  public:
    /// After this many problems of one file the rest is counted only.
    static constexpr int most_problems = 200;

    /// Problems found by the parser are taken over. `parsed` must outlive the reader.
    explicit Reader(const ParsedText& parsed) : source_(*parsed.source), problems_(parsed.problems) {}

    const Source& source() const { return source_; }
    Place place(const Spot& spot) const { return source_.place(spot); }
    bool ok() const { return !has_error(problems_); }

    void add(Problem problem);
    void error(const Spot& spot, std::string code, std::string message, std::string expected = {});
    void warning(const Spot& spot, std::string code, std::string message, std::string expected = {});
    /// A name that is not among `choices`; the nearest one is suggested. Without `expected` a few choices are told.
    void unknown_name(const Spot& spot, std::string code, std::string message, std::string_view name,
                      const std::vector<std::string>& choices, std::string expected = {});
    /// Two entries that contradict each other.
    void conflict(const Spot& spot, const Spot& other, std::string code, std::string message,
                  std::string expected = {});
    void wrong_type(const Value& value, std::string_view expected);

    /// Bytes [at, at + length) of a decoded string as a place in the source.
    Spot inside(const Value& string, std::size_t at, std::size_t length) const;
    /// A trouble inside a string, at its exact column.
    void trouble(const Value& string, const ParseTrouble& trouble, std::size_t from = 0);

    /// Also says how many problems were counted only. Leaves the reader empty.
    Problems take();

  private:
    const Source& source_;
    Problems problems_;
    int left_out_ = 0;
};

}  // namespace voltsill
