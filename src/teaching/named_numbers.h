#pragma once
/// Two columns of a file: a name out of a list and a number, as rates and logs of a course are kept.
///
///     kind,share                  RFC 4180, comma or semicolon; the first line may be a header;
///     integrated circuit,0.2      empty lines and lines that begin with # are skipped
///
/// Mistakes are problems with their place: "unknown-name" with the nearest right one, "not-a-number",
/// "out-of-range", "missing-column".
#include <string>
#include <string_view>
#include <vector>

#include "records/problem.h"

namespace voltsill {

struct NamedNumber {
    std::string name;
    double value = 0;
    int line = 0;
};

/// `lo`..`hi` is what a number may be. Rows with a mistake are left out.
std::vector<NamedNumber> read_named_numbers(std::string_view bytes, const std::string& file,
                                            const std::vector<std::string>& names, double lo, double hi,
                                            Problems& problems);

}  // namespace voltsill
