#pragma once
/// TOML of an imported model.
#include "parts/ibis_driver.h"
#include "parts/ibis_import.h"

namespace voltsill {

/// All that is needed to write a part; names are those of the part file.
struct IbisPart {
    const IbisModel* model = nullptr;
    IbisPackage package;
    std::string type, pin, title, source;
    IbisDriver driver;
};

/// The section [types."NAME"]. Adds to `remarks` what it leaves out.
std::string ibis_part_text(const IbisPart& part, std::vector<std::string>& remarks);

/// Printable ASCII; everything else becomes a question mark.
std::string ibis_plain(std::string_view text, std::size_t longest = 200);

}  // namespace voltsill
