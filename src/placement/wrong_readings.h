#pragma once
/// What a wrong reading means: for a pin of a build in a known state, what a meter would show after each
/// likely single mistake that can move it, alike ones together.
///
///     reading(mistake) = reading of the network of nets_of_holes(placement with the mistake)
///
/// Likely are wires left out (so also a chip without power or a missing strap) and ends one row off or on
/// the next pin of a header. A ground or a supply that many parts miss is left to the check of supplies.
/// Mistakes that read as the good value does are not told by a meter here.
#include "judging/settled_levels.h"
#include "placement/slips.h"

namespace voltsill {

/// A pin with a meter on it, all rails up, while these drivers are told these levels.
struct Checkpoint {
    int part = -1, pin = -1;  ///< indices of the wiring
    std::vector<Told> told;
};

struct WrongReading {
    MeterReading reading;             ///< over all its causes; `floats`: it drifts when touched
    std::vector<std::string> causes;  ///< "wire 12 left out (strap of U1: enable)", likeliest first
    bool possibly_harmful = false;    ///< one of them could harm: switch off before looking
};

struct CheckpointReading {
    MeterReading good;
    std::vector<WrongReading> wrong;  ///< by rising volts; what floats comes last
};

/// One for each checkpoint, in order.
std::vector<CheckpointReading> what_wrong_readings_mean(const Bench& bench, const Wiring& wiring,
                                                        const Placement& placement,
                                                        const std::vector<Checkpoint>& checkpoints);

}  // namespace voltsill
