#pragma once
/// What to measure before any power: resistance between two points, with the window that the wiring's
/// own parts allow.
#include <string>
#include <vector>

#include "judging/power_off.h"
#include "placement/place.h"

namespace voltsill {

struct OhmCheck {
    enum class Kind { rail, joined, part, apart } kind = Kind::rail;
    std::string from, to;  ///< "rail usb", "U1.20 (VCC)", "R1 from end to end"
    ResistanceWindow window;
    std::string wrong;  ///< what a reading outside means
};

/// Rails against ground and each other; supply and ground pins on their rails; straps; every added
/// resistor from end to end.
std::vector<OhmCheck> ohm_checks(const Bench& bench, const PlacedWiring& placed);

/// "below 1 Ω", "open: over 20 MΩ", "9.5 kΩ to 10.5 kΩ", "over 1 MΩ"
std::string window_words(const OhmCheck& check);

}  // namespace voltsill
