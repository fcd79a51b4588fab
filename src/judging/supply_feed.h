#pragma once
/// Supplies behind a filter or a bad contact: a net that small resistors join to rails that are up,
///
///     V = (sum of V_rail / R - I) / (sum of 1 / R),  I: what the parts on the net draw
///
/// It is fed when V is enough for each of these parts: surely with the most they draw, perhaps with the least. Else the
/// network alone says what it gets, and its parts count as without supply.
#include <span>
#include <utility>
#include <vector>

#include "wiring/circuit.h"

namespace voltsill {

/// What a part draws whose sheet is silent, where it hangs on its rail through some ohms (assumed).
inline constexpr Amps silent_draw{20e-3};

struct SupplyFeed {
    Node node;
    double least = 0, most = 0;  ///< V, with the largest and the smallest draw
    double needed = 0;           ///< V, of the most demanding part on it
    bool surely() const { return least >= needed; }
    bool perhaps() const { return most >= needed; }
};
/// Nets behind small resistors that parts are supplied from. `held`: by node, V of those that sources hold; others 0.
std::vector<SupplyFeed> feeds(const Circuit& circuit, std::span<const double> held);

}  // namespace voltsill
