#pragma once
/// The figures of a part as rows: name, value, where it holds, and its provenance.
#include <string>
#include <vector>

#include "parts/model.h"

namespace voltsill {

struct FigureRow {
    std::string name, value;
    std::string at;  ///< "supply 4.5..5.5 V"; empty: always
    Provenance origin;

    bool operator==(const FigureRow&) const = default;
};

struct FigureRows {
    std::vector<FigureRow> known;
    std::vector<std::string> missing;  ///< names of figures that nobody has stated

    bool operator==(const FigureRows&) const = default;
};

FigureRows figures_of(const SupplyPort& supply);
FigureRows figures_of(const Pin& pin);
/// Of a discrete part or of what the part does as a whole.
FigureRows figures_of_model(const PartType& type);

}  // namespace voltsill
