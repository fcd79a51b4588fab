#pragma once
/// What a meter reads once certain drivers are told a level and everyone else rests: the logic fixed point
/// of the network (network/dc.h, `settle`), and the range over tolerances there. Rails are up but those named.
///
/// Free outputs that are told nothing let go where they can; push-pull outputs that nobody tells are low. A
/// part whose supply is missing is followed too: to what its diodes lift it. One that gets its supply through
/// some ohms, as of a bad contact, speaks like the others; one that would get it only from what it says itself
/// does not. An input that floats reads nothing, so that what follows it may be at either level: the reading then
/// lies in one of two windows.
#include <memory>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "judging/leaks.h"
#include "judging/solution_memory.h"
#include "network/settle.h"

namespace voltsill {

struct Told {
    std::string part, pin;
    bool high = false;
};

struct MeterReading {
    double lo = 0, nominal = 0, hi = 0;  ///< V against ground
    bool floats = false;                 ///< nothing but leakage defines it: a meter shows anything
    bool may_hold = false;               ///< it floats at some of the levels only: lo .. hi are of the others
    bool solved = true;                  ///< false: no steady state was found
    bool searched = true;                ///< false: solved at nominal values; lo .. hi is what tolerances usually give
    /// It lies outside of this: at or below `gap_lo`, or at or above `gap_hi`. Both equal: no gap.
    double gap_lo = 0, gap_hi = 0;
};

/// Readings of networks met before, as solution_memory.h has it of their solutions: the same to the last bit.
/// For one thread.
class ReadingMemory {
  public:
    /// All that the readings of an island depend on.
    std::string key_of(const Island& island, const Levels& levels, const Leaks& leaks);
    struct OfIsland {
        std::vector<std::optional<MeterReading>> readings;  ///< by node, filled as they are asked for
        std::vector<double> ohms;                           ///< by node; empty: not asked for yet
        explicit OfIsland(std::size_t nodes) : readings(nodes) {}
    };
    /// Kept by whoever asked for it when the memory forgets.
    std::shared_ptr<OfIsland> of(const std::string& key, std::size_t nodes);
    int solved = 0;  ///< readings that were not met before
    SolutionMemory solutions;

  private:
    static constexpr std::size_t most_bytes = 64u << 20;
    std::unordered_map<std::string, std::shared_ptr<OfIsland>> islands_;
    std::size_t bytes_ = 0;
};

class SettledLevels {
  public:
    /// Bench, wiring and memory must outlive it. `down`: names of rails that are off.
    SettledLevels(const Bench& bench, const Wiring& wiring, const std::vector<std::string>& down = {},
                  ReadingMemory* memory = nullptr);
    /// Islands of more unknowns are read at their nominal values only (lo = nominal = hi): a ground or supply
    /// that many parts miss, where tolerances say little.
    void range_up_to(std::size_t unknowns) {
        most_ranged_ = unknowns;
        if (starved_) starved_->range_up_to(unknowns);
    }
    /// Readings are of the levels told last; before that of none.
    void tell(const std::vector<Told>& told);
    /// Pin by index of the wiring.
    MeterReading at(int part, int pin) const;
    /// Unknown voltages of the largest network that hangs together: the cost of a reading.
    std::size_t largest() const;

    /// How many outputs came to rest at no definite level: what it takes to find levels grows with them.
    int undefined() const;
    /// Largest current an output of each part carries at its nominal values, A, by part.
    std::vector<double> output_amps() const;

    const Circuit& circuit() const { return circuit_; }
    const std::vector<Island>& islands() const { return islands_; }
    /// Levels an island may rest at: several where a stage is not defined.
    std::vector<Levels> levels_in(const Island& island) const;

  private:
    SettledLevels(const Bench& bench, const Wiring& wiring, const std::vector<std::string>& down, ReadingMemory* memory,
                  bool starved);
    static MeterReading either(const MeterReading& a, const MeterReading& b);
    void silence_unpowered();
    void undefine_floating();
    bool reads_nothing(Node node, const std::vector<bool>& driven) const;
    double nominal_volts(Node node) const;
    static MeterReading joined(std::vector<MeterReading> readings);
    MeterReading here(int part, int pin) const;
    MeterReading over(const Island& island, Node node) const;

    const Bench& bench_;
    ReadingMemory* memory_;
    Circuit circuit_;
    std::vector<bool> on_;  ///< by source
    Partition partition_;
    Partition settling_{Netlist{}, {}};  ///< without the analogue outputs that drive nothing
    VoltsMet met_;                       ///< while settling
    std::vector<Island> islands_;
    std::vector<Logic> levels_;
    std::vector<bool> fed_;     ///< by node: a rail that is up holds it, or feeds it (supply_feed.h)
    std::vector<double> least_;  ///< V by node, of those that are fed, when most is drawn; others: infinity
    std::unique_ptr<SettledLevels> starved_;  ///< the same without feeds that may not be enough
    std::vector<double> held_;  ///< V by node, of held nodes
    bool solved_ = true;
    std::size_t most_ranged_ = std::numeric_limits<std::size_t>::max();
    mutable Effort effort_;
    mutable Effort ranging_;  ///< of corners: whole readings are remembered, not these
    struct Choice {
        Levels levels;
        Leaks leaks;
        std::shared_ptr<ReadingMemory::OfIsland> known;
        std::unique_ptr<Corners> corners;  ///< while readings are asked for that are not known
    };
    std::vector<Choice>& choices(const Island& island) const;
    Corners& corners(const Island& island, Choice& choice) const;
    Leaks leaks_of(const Island& island, const Levels& levels) const;
    bool open_at(const Island& island, Choice& choice, Node node) const;
    MeterReading reading(const Island& island, Choice& choice, Node node) const;
    mutable std::vector<std::vector<Choice>> choices_;  ///< by island, for the levels told last
};

}  // namespace voltsill
