#pragma once
/// IBIS files and what is imported from them, as JSON.
#include <optional>

#include "parts/ibis_import.h"

namespace voltsill {

/// "voltsill-ibis-1": what a file holds, and the part file made from one model if one was asked for.
std::string ibis_to_json(const IbisFile& file, const std::optional<IbisImport>& import,
                         const Problems& problems);

}  // namespace voltsill
