#pragma once
/// The keywords of IBIS files, from memory.
#include <string>
#include <string_view>
#include <vector>

namespace voltsill {

/// Those that are read, as the standard writes them.
const std::vector<std::string>& used_ibis_keywords();

/// Those of versions 3.2 to 7.x that are known and not used here, as `ibis_key` gives them.
struct UnusedIbisKeyword {
    std::string_view name, reason;
    bool block = false;  ///< everything up to its end, the next model, selector or component belongs to it
};
const std::vector<UnusedIbisKeyword>& unused_ibis_keywords();

}  // namespace voltsill
