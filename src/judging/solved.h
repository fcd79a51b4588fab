#pragma once
/// An island solved at its nominal values for every combination of levels: what the checks of limits
/// and of outputs both start from.
#include "judging/inspection.h"

namespace voltsill {

struct SolvedIsland {
    const Scene& scene;
    const Island& island;
    std::vector<Combination> combos;
    std::vector<std::vector<double>> volts;  ///< by combination; empty: no solution was found
    std::string state(const Combination& c) const { return scene.words + "; " + c.words; }
};

/// Says so, at every pin it touches, of a combination that cannot be solved.
SolvedIsland solve_all(Inspection& inspection, const Scene& scene, const Island& island);

/// Contention and overload of the outputs of an island; adds what they carry to their parts.
void check_outputs(Inspection& inspection, const SolvedIsland& all);
/// Discrete parts of an island against their ratings, and those between rails.
void check_ratings(Inspection& inspection, const SolvedIsland& all);
void check_held_ratings(Inspection& inspection);
/// What all outputs of a part carry together against the maximum through its supply or ground pins.
void check_part_currents(Inspection& inspection);

}  // namespace voltsill
