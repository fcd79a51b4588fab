#pragma once
/// Where a part could go: holes that keep every half row on one net.
#include <functional>

#include "placement/layout.h"

namespace voltsill {

/// Pin 1 at the upper left, or `turned` by half a turn.
std::vector<Hole> dip_holes(const Layout& layout, int leads, int board, int top, bool turned);
/// Leads one below the other, the first on top or, `turned`, at the bottom; the outermost free column that
/// all rows have.
std::vector<Hole> row_holes(const Layout& layout, int leads, int board, int top, int side, bool turned);
/// Holes for a part with two leads, one of them in the half row: all that its leads reach and that are
/// free, best columns only. `lead`: which of the two.
std::vector<std::vector<Hole>> spots_at(const Layout& layout, int part, int lead, int half);

/// For a decoupling capacitor the lead that stands for the supply pin it belongs to.
struct Home {
    int part = -1, number = 0;  ///< of the package it decouples
};
/// By part of the wiring; none for all others. A capacitor between a rail and ground belongs to the pin
/// that its purpose names, else to a supply pin on its rail that has none yet.
std::vector<Home> homes_of(const Layout& layout);
/// The half row of that pin; -1 while the package is not placed.
int home_half(const Layout& layout, const Home& home);

}  // namespace voltsill
