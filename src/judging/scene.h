#pragma once
/// The states of a wired bench: which rails are up, and what each driver can say then.
#include "judging/island.h"

namespace voltsill {

/// Levels a stage can take, as bits.
using LevelSet = unsigned char;
inline constexpr LevelSet can_zero = 1, can_one = 2, can_x = 4, can_z = 8;
inline LevelSet bit(Logic level) { return static_cast<LevelSet>(1u << static_cast<unsigned>(level)); }

/// One pattern of rails up and down, with everything that follows from it.
struct Scene {
    std::string words;  ///< "all rails up", "usb down"
    bool all_up = true;
    std::vector<bool> source_on;  ///< by source of the netlist
    std::vector<bool> rail_up;    ///< by circuit rail
    std::vector<Island> islands;
    std::vector<bool> apart;          ///< by island: many drivers on a rail that is down
    std::vector<Island> branches;     ///< of the islands that are taken apart
    std::vector<int> island_of_node;  ///< -1: held
    std::vector<LevelSet> reach;      ///< by stage of the circuit
    std::vector<double> held;         ///< volts of held nodes (nominal), and of supplies that are fed (supply_feed.h)

    /// What is looked at pin by pin: islands, and branches of those taken apart.
    std::vector<const Island*> pieces() const;
    bool powered(Node supply) const;  ///< supply node held by a rail that is up, or fed from one
    /// Powered, or in no need of it: a push-button, a Darlington array.
    bool works(Node supply) const { return supply == ground_node || powered(supply); }
};

std::vector<Scene> scenes_of(const Bench& bench, const Circuit& circuit, Effort& effort);

/// Level combinations worth looking at in an island: always-on drivers in every combination,
/// drivers that take turns one at a time, open-drain outputs in every combination; when there
/// are too many, all low, all high and single deviations from these.
struct Combination {
    Levels levels;
    std::string words;  ///< "gauge.ECHO high"
};
std::vector<Combination> combinations(const Circuit& circuit, const Scene& scene, const Island& island);
Combination combination_of(const Circuit& circuit, const Island& island, const Levels& levels);

/// What an input reads at a voltage, by the limits of its supply voltage.
Logic read_level(const Pin& pin, Volts pin_volts, Volts supply);

}  // namespace voltsill
