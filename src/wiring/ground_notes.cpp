#include "wiring/ground_notes.h"

#include <fmt/format.h>

#include <algorithm>

namespace voltsill {

std::vector<std::string> ground_notes(const Wiring& wiring) {
    std::vector<std::string> notes;
    for (const WiredPart& part : wiring.parts) {
        const PartType& type = *part.type;
        const bool supplied =
            std::ranges::any_of(type.pins, [](const Pin& pin) { return pin.role == PinRole::supply; });
        if (!supplied || type.ground_pin() >= 0) continue;
        notes.push_back(
            fmt::format("{}: no ground pin of {} is described, so no wire is laid to its 0 V. Join it to the common "
                        "ground, or write pins.GND = {{ is = \"ground\" }} into its type.",
                        part.name, type.name));
    }
    return notes;
}

}  // namespace voltsill
