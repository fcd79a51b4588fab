#pragma once
/// Pairs of preferred resistors for a voltage divider.
///
///     ratio  = lower / (upper + lower)            output over input, unloaded
///     source = upper lower / (upper + lower)      Thevenin resistance seen at the tap
///
/// Ratio is judged; the window of source resistance (speed and load on one side, current on
/// the other) is a hard limit. Elementary circuit theory; no table is involved.
#include <vector>

#include "quantity/preferred.h"

namespace voltsill {

struct DividerWish {
    double ratio = 0.5;  ///< between 0 and 1, both excluded
    Ohms source_lo{100.0}, source_hi{100e3};
    Ohms part_lo{1.0}, part_hi{10e6};  ///< what the drawer holds
    int count = 5;                     ///< how many pairs to return at most
};

struct DividerPair {
    Ohms upper, lower;
    double ratio;
    Ohms source;

    bool operator==(const DividerPair&) const = default;
};

/// Best first: smallest |ratio - wish|; pairs whose ratios agree to 1e-9 by the closeness of
/// their source resistance to the geometric middle of the window, then by the smaller upper
/// resistor. Empty if the wish is contradictory or no pair lies in the window.
std::vector<DividerPair> best_ratio(Series series, const DividerWish& wish);

}  // namespace voltsill
