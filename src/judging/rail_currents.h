#pragma once
/// What each supply has to deliver with all rails up: a window for the first power-up.
///
///     I(rail) = sum of the parts' own supply currents + what the network takes from the rail
///
/// over all that outputs can say: `lo` and `hi` at worst corners, `nominal` with every link at rest. A rail
/// made by a part is drawn from the rail that feeds its maker, one for one, as a linear regulator does; a
/// switching one takes less (common practice).
#include "judging/scene.h"

namespace voltsill {

/// Sheets print the current a part may draw; what it surely draws is taken as this share (assumed).
inline constexpr double surely_drawn = 0.1;

/// A supply pin of a part on a net, and what its sheet says it draws.
struct SupplyDraw {
    std::string part;
    Figure<Amps> current;  ///< not known: the sheet is silent
};
/// Each supply of each part once, without those that make a rail.
std::vector<SupplyDraw> supply_draws(const Wiring& wiring, NetId net);

struct CurrentShare {
    std::string what;                    ///< "controller", "network", "rail logic"
    double lo = 0, nominal = 0, hi = 0;  ///< A
};

/// What resistors between this rail and others or ground take: they lie in no island.
CurrentShare held_share(const Circuit& circuit, const Scene& scene, const RailSite& rail);

struct RailCurrent {
    std::string rail;
    bool source = false;                 ///< a supply of its own: one a limit can be set on
    double lo = 0, nominal = 0, hi = 0;  ///< A
    std::vector<CurrentShare> shares;    ///< that add up to it
    std::vector<std::string> silent;     ///< parts on it whose sheet states no current: not counted
};
/// A, of the supply of a rail: half as much again as it gives at most and 20 mA (common practice, no source), which
/// lets the bench start and stops a short; no more than the supply can.
double limit_to_set(const RailCurrent& current, const Rail& rail);
/// By rail of the bench; empty when the network has no solution.
std::vector<RailCurrent> rail_currents(const Bench& bench, const Wiring& wiring);

}  // namespace voltsill
