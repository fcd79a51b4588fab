#pragma once
/// What to say and what to leave out when toml++ refuses a text, so that one run finds all
/// mistakes: the line of the mistake, or its whole statement, is blanked and the rest read again.
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "records/statements.h"
#include "records/tree.h"

namespace voltsill {

/// A refusal of toml++.
struct Refusal {
    std::string text;
    int line = 0, column = 0;
};

/// Problems of the syntax, one refusal at a time, and the bytes to leave out for each.
class SyntaxMending {
  public:
    explicit SyntaxMending(const Source& source) : source_(source), working_(source.text()) {}

    const std::string& working() const { return working_; }
    /// Reports the refusal and blanks what caused it; false if nothing is left to blank.
    bool mend(const Refusal& refusal, const Scan& scan, Problems& problems);
    const std::vector<std::size_t>& blanked() const { return blanked_; }
    bool lost_header() const { return lost_header_; }

  private:
    bool blank(std::size_t begin, std::size_t end);
    Problem describe(const Refusal& refusal, const Spot& spot, const Scan& scan, std::size_t index) const;

    const Source& source_;
    std::string working_;
    std::vector<std::size_t> blanked_;  ///< where each part that was left out begins
    std::set<std::size_t> reported_;    ///< beginnings of broken statements
    bool lost_header_ = false;
};

/// The earlier place of a key or table that statement `index` defines again, and its own.
struct Duplicate {
    std::string name;
    Spot first, again;
};
std::optional<Duplicate> find_duplicate(const Scan& scan, std::size_t index);

}  // namespace voltsill
