#pragma once
/// What a meter reads with all rails up, once certain drivers are told a level and everyone else rests:
/// the logic fixed point of the network (network/dc.h, `settle`), and the range over tolerances there.
///
/// Free outputs that are told nothing let go where they can; push-pull outputs that nobody tells are low. A
/// part whose supply is missing is followed too: to what its diodes lift it.
#include <vector>

#include "judging/island.h"

namespace voltsill {

struct Told {
    std::string part, pin;
    bool high = false;
};

struct MeterReading {
    double lo = 0, nominal = 0, hi = 0;  ///< V against ground
    bool floats = false;                 ///< nothing but leakage defines it: a meter shows anything
    bool solved = true;                  ///< false: no steady state was found
};

class SettledLevels {
  public:
    /// Bench and wiring must outlive it.
    SettledLevels(const Bench& bench, const Wiring& wiring);
    /// Readings are of the levels told last; before that of none.
    void tell(const std::vector<Told>& told);
    /// Pin by index of the wiring.
    MeterReading at(int part, int pin) const;
    /// Unknown voltages of the largest network that hangs together: the cost of a reading.
    std::size_t largest() const;

    const Circuit& circuit() const { return circuit_; }
    const std::vector<Island>& islands() const { return islands_; }
    /// Levels an island may rest at: several where a stage is not defined.
    std::vector<Levels> levels_in(const Island& island) const;

  private:
    MeterReading over(const Island& island, Node node) const;

    const Bench& bench_;
    Circuit circuit_;
    Partition partition_;
    std::vector<Island> islands_;
    std::vector<Logic> levels_;
    bool solved_ = true;
    mutable Effort effort_;
};

}  // namespace voltsill
