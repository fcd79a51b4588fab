#pragma once
/// An IBIS model as a part of the catalogue: text of a part file, in the words of docs/part-files.md.
///
/// Figures of such a part are the maker's model, not limits of a data sheet, so their certainty is
/// `typical`: drive levels come from the I-V tables corner by corner, thresholds from Vinl and Vinh (or
/// the hysteresis of [Model Spec]), clamps from the clamp tables, capacitance from C_comp and C_pkg.
/// The biography names the file and all that stands in, was repaired or is not used.
#include <optional>
#include <string>

#include "parts/ibis.h"

namespace voltsill {

/// Which model: by its name (or a selector's), by a pin of a component, or both. Empty: not given.
struct IbisChoice {
    std::string model, pin;
};

struct IbisImport {
    std::string type, model, component, pin;  ///< names; component and pin may be empty
    std::string part_file;                    ///< TOML
    std::vector<std::string> remarks;
};

/// nullopt after a problem: no such model or pin, or of a type that has no place here.
std::optional<IbisImport> import_ibis(const IbisFile& file, const IbisChoice& choice, Problems& problems);

/// Components with their pins, selectors, models and what is not used, for a terminal.
std::string ibis_listing(const IbisFile& file);

}  // namespace voltsill
