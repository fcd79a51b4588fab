#include "engine/finding_codes.h"

namespace voltsill {

std::span<const FindingCode> finding_codes() {
    static constexpr FindingCode codes[] = {
        {"over-voltage", "thin, harmful",
         "A pin gets more than its absolute maximum; thin when the current through its protection diode is "
         "permitted."},
        {"over-voltage-unpowered", "thin, harmful", "The same while the part's own supply is off."},
        {"above-recommended", "thin",
         "A pin is above its recommended operating range, though not above its absolute maximum."},
        {"rating-unknown", "unknown", "A pin gets more than its supply and nobody has said what it stands."},
        {"under-voltage", "harmful", "A pin is pulled below its absolute minimum."},
        {"contention", "harmful",
         "Two outputs on one net can say opposite things; the current that flows between them."},
        {"output-overload", "harmful", "An output carries more than its absolute maximum current."},
        {"threshold-unknown", "unknown", "Nobody has said which voltages an input reads as high and low."},
        {"high-level", "safe, thin, unreadable", "Lowest high level at an input against its VIH."},
        {"low-level", "safe, thin, unreadable", "Highest low level at an input against its VIL."},
        {"missing-pull-up", "unreadable", "An open-drain output lets go of a net that nothing pulls high."},
        {"no-swing", "unreadable", "A pin stays at one voltage whatever the driver says."},
        {"part-overload", "safe, thin, harmful", "All outputs of a part together against what its supply pins stand."},
        {"oscillates", "unreadable", "A loop of logic has no level at which it rests."},
        {"not-solved", "unknown", "A state of the network has no solution that could be found."},
        {"floats-between-drivers", "thin", "A line shared by outputs that take turns floats while none is selected."},
        {"not-reached", "unreadable", "The signal has no path to an end of the link."},
        {"inverted", "unreadable", "The signal arrives upside down and the link does not allow it."},
        {"back-powering", "thin, harmful", "Signals lift a rail that is off; harmful above what a part on it stands."},
        {"rail-pumped", "harmful", "Protection diodes feed more into a rail than its parts surely draw."},
        {"fet-threshold", "safe, thin, unreadable",
         "Gate drive left to the FET of a two-way shifter, over its body diode, against its threshold."},
        {"bus-rise-time", "safe, thin, unreadable",
         "Rise time of a bus with its pull-ups against the standard of the bus."},
        {"bus-capacitance", "unreadable", "A bus has more capacitance than its standard allows."},
        {"sink-current", "safe, thin, unreadable",
         "What an open-drain output must sink from all pull-ups together."},
        {"edge-rate", "safe, thin, unreadable", "Slowest edge at an input against its transition limit."},
        {"bit-time", "safe, thin, unreadable", "Time of an edge against the time of a bit."},
        {"too-fast", "unreadable", "The rate of the link is above that of an added part."},
        {"adc-range", "safe, thin, unreadable",
         "Highest voltage at a converter's input against its full scale."},
        {"adc-source", "safe, thin", "Resistance of the source against what the converter wants."},
        {"load-never-off", "safe, unreadable", "What still flows through a load when it is told to be off."},
        {"load-never-on", "safe, unreadable", "What flows through a load when it is told to be on."},
        {"load-at-reset", "safe, thin", "What flows through a load before software runs."},
        {"supply-too-high", "harmful", "A rail is above what a part is made for."},
        {"supply-too-low", "unreadable", "A rail is below what a part needs."},
        {"supply-order", "harmful", "One supply of a part is above another that it may not exceed."},
        {"rail-budget", "safe, thin, unreadable",
         "Current drawn from a rail against what its source delivers."},
        {"no-common-ground", "unreadable", "A part's ground is not joined to the common ground."},
        {"no-supply", "unreadable", "A supply pin is on no rail."},
        {"missing-decoupling", "thin", "A rail has fewer decoupling capacitors than integrated circuits."},
        {"control-open", "unreadable", "An enable or direction pin in use is open."},
        {"input-open", "thin", "An input is open."},
        {"strap-off", "unreadable", "A strap keeps a channel off that is in use."},
        {"strap-level", "unreadable", "A strap is on a level that is neither high nor low."},
    };
    return codes;
}

}  // namespace voltsill
