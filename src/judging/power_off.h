#pragma once
/// What an ohmmeter shows before anything is powered.
///
/// Resistance between two nets with every source off and every output silent, at 0 V: what a meter
/// that tests below a diode's drop sees. By Rayleigh's monotonicity law the resistance between two
/// points rises with every resistance of the network (P. G. Doyle, J. L. Snell, Random Walks and
/// Electric Networks, 1984, section 2.2, from memory), so the ends of the window are those of all
/// tolerances together. Only what the catalogue and the bench file say of parts is in it: supply
/// inputs of modules draw what nobody states.
#include <span>
#include <utility>

#include "wiring/wiring.h"

namespace voltsill {

/// A meter shows "open" above this (common practice: the 20 MΩ range of a hand-held meter).
inline constexpr Ohms meter_open{20e6};

struct ResistanceWindow {
    double lo = 0, nominal = 0, hi = 0;  ///< Ω
    bool open() const { return lo >= meter_open.si(); }
};

/// One window for each pair of nets; a net with itself reads 0.
std::vector<ResistanceWindow> resistances(const Bench& bench, const Wiring& wiring,
                                          std::span<const std::pair<NetId, NetId>> pairs);

}  // namespace voltsill
