#pragma once
/// An island solved at its nominal values for every combination of levels: what the checks of limits
/// and of outputs both start from.
#include <cmath>
#include <optional>

#include "judging/inspection.h"

namespace voltsill {

struct SolvedIsland {
    const Scene& scene;
    const Island& island;
    std::vector<Combination> combos;
    std::vector<std::vector<double>> volts;  ///< by combination; empty: no solution was found
    std::string state(const Combination& c) const { return scene.words + "; " + c.words; }
};

/// The combination in which most flows at nominal values, by size.
struct Hardest {
    size_t at = 0;
    double amps = 0;
};
/// `amps(c)`: current in combination c, A. Nothing: none is solved, or nothing flows in any.
template <class Amps>
std::optional<Hardest> hardest(const SolvedIsland& all, Amps amps) {
    std::optional<Hardest> out;
    for (size_t c = 0; c < all.combos.size(); ++c) {
        if (all.volts[c].empty()) continue;
        const double now = std::abs(amps(c));
        if (now > (out ? out->amps : 0)) out = {c, now};
    }
    return out;
}
/// The same of the current through a device.
inline std::optional<Hardest> hardest_on(const SolvedIsland& all, DeviceId local) {
    return hardest(all, [&](size_t c) {
        return device_current(all.island.net, all.island.nominal, State{.levels = all.combos[c].levels}, all.volts[c],
                              local);
    });
}

/// Says so, at every pin it touches, of a combination that cannot be solved.
SolvedIsland solve_all(Inspection& inspection, const Scene& scene, const Island& island);

/// Contention and overload of the outputs of an island; adds what they carry to their parts.
void check_outputs(Inspection& inspection, const SolvedIsland& all);
/// Discrete parts of an island against their ratings, and those between rails.
void check_ratings(Inspection& inspection, const SolvedIsland& all);
void check_held_ratings(Inspection& inspection);
/// What the island takes from each rail, for the budget of a rail that has a limit.
void add_rail_draws(Inspection& inspection, const SolvedIsland& all);
/// What all outputs of a part carry together against the maximum through its supply or ground pins.
void check_part_currents(Inspection& inspection);

}  // namespace voltsill
