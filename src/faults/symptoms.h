#pragma once
/// How likely people see a bench behave as it would with a fault: from its readings, not from a list.
///
/// A link works when each of its receivers reads what it reads in the build as planned, by its thresholds at
/// the supply it has then. It works when touched if something on its way floats, or a contact is bad; an
/// analyser, which decides at one voltage near 1.4..1.65 V (common practice), shows a link clean whose levels
/// lie on either side of that but not of its receiver's; a part gets hot whose output fights.
#include <functional>

#include "faults/fault_readings.h"

namespace voltsill {

/// Chances that are left to people seeing wrongly (common practice, no source).
inline constexpr double seen_wrongly = 0.04, missed_by_eye = 0.1;
/// Chance that a look misses what is there to see: more where it takes in many things, or where only what is
/// printed on a part shows it (common practice, no source).
inline constexpr double missed(bool around, bool by_print) {
    return missed_by_eye * (by_print ? 3 : 1) + (around ? 0.5 * missed_by_eye : 0);
}

class Symptoms {
  public:
    /// `reading(fault, pin, state)`: fault -1 is the build as planned. All must outlive it.
    using ReadPin = std::function<MeterReading(int fault, int pin, int state)>;
    Symptoms(const PlannedBuild& planned, const Questions& questions, ReadPin reading);

    /// Share of the link's receivers' levels that are right, each 0..1, multiplied; nothing: nobody can say,
    /// since it cannot be driven or is not clean as planned.
    std::optional<double> works(int fault, int link) const;
    bool anything_floats(int fault, int link) const;
    bool clean_on_analyser(int fault, int link) const;
    bool hears_others(int fault, int link) const;
    /// Pins a link's level is on, in the build as planned.
    const std::vector<int>& way(int link) const { return links_[link].way; }

  private:
    struct Receiver {
        int pin = -1, supply = -1;
        bool high_reads = false;  ///< what it reads in the build as planned for a high of the driver
    };
    struct Way {
        int low = -1, high = -1;  ///< states
        bool analog = false, clear = false;
        std::vector<Receiver> receivers;
        std::vector<int> way;
    };
    double arrives(int fault, const Way& link, const Receiver& receiver, bool high) const;
    void lay(int link);

    const PlannedBuild& planned_;
    const Questions& questions_;
    ReadPin reading_;
    std::vector<Way> links_;
};

}  // namespace voltsill
