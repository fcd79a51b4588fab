#pragma once
/// Problems of a file that may have as many as it has lines: the first ones are kept with their
/// place, the others are counted.
#include <cstdint>
#include <map>
#include <string>
#include <string_view>

#include "records/problem.h"

namespace voltsill {

class Complaints {
  public:
    static constexpr std::size_t kept_of_a_code = 3;

    explicit Complaints(std::string file) : file_(std::move(file)) {}

    /// `line` is the text of the line, `at` and `length` the bytes meant in it.
    void add(Severity severity, const std::string& code, std::uint64_t number, std::string_view line,
             std::size_t at, std::size_t length, std::string message, std::string expected = {},
             std::string nearest = {});
    /// About the file as a whole.
    void add(Severity severity, const std::string& code, std::string message, std::string expected = {}) {
        add(severity, code, 0, {}, 0, 0, std::move(message), std::move(expected));
    }
    bool refused() const { return has_error(problems_); }
    std::uint64_t count(const std::string& code) const;
    /// With one more for every code of which some were only counted.
    Problems all() const;

  private:
    std::string file_;
    Problems problems_;
    std::map<std::string, std::uint64_t> counts_;
};

}  // namespace voltsill
