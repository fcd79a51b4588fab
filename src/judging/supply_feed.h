#pragma once
/// Supplies behind a filter or a bad contact: a net that small resistors join to rails that are up,
///
///     V = (sum of V_rail / R - I) / (sum of 1 / R),  I: the most that the parts on the net draw
///
/// It is fed when V is enough for each of these parts. Else the network alone says what it gets, and its parts
/// count as without supply.
#include <span>
#include <utility>
#include <vector>

#include "wiring/circuit.h"

namespace voltsill {

/// What a part draws whose sheet is silent, where it hangs on its rail through some ohms (assumed).
inline constexpr Amps silent_draw{20e-3};

/// Nodes that are fed, each with its V. `held`: by node, V of those that sources hold; others 0.
std::vector<std::pair<Node, double>> fed_supplies(const Circuit& circuit, std::span<const double> held);

}  // namespace voltsill
