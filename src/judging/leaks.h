#pragma once
/// What pins push into a line or take from it, and how far that moves a voltage.
///
///     dV = sum of R(line, node) * I(node),   each I at the end of its range that moves it most
///
/// by superposition: R is the volts of the line per ampere into a node (network/linearized.h), ohms where an output
/// drives and kilohms behind resistors. A pin takes its current from its own supply or ground, so that no line is
/// lifted above the highest of these supplies nor pulled below ground. A line that nothing defines floats instead.
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "judging/island.h"

namespace voltsill {

/// Into a local node, A: anywhere from `lo` to `hi`.
struct Inflow {
    Node node = -1;
    double lo = 0, hi = 0;
    Provenance origin{};
    bool bipolar = false;  ///< of inputs whose IIL and IIH are given
    double top = 0;        ///< V of the supply it comes from
};

struct Leaks {
    Node at = -1;  ///< the line asked about
    std::vector<Inflow> inflows;
    double bottom = 0;  ///< V

    /// This at another line of the same island.
    Leaks seen_at(Node node) const {
        Leaks out = *this;
        out.at = node;
        return out;
    }
    /// V by which a sum of voltages grows (`up`) or falls at most. `per_amp`: its volts by node.
    double shift(std::span<const double> per_amp, std::span<const double> volts, bool up) const;
    /// The sum with leaks, of the network itself and not to first order; nothing where it is not solved.
    std::optional<double> pushed(const Island& island, const Levels& levels, const Functional& sum,
                                 std::vector<double> values, std::span<const double> per_amp,
                                 std::span<const double> volts, bool up, Effort& effort) const;
    /// V above which those do not lift it that reach it.
    double top(std::span<const double> per_amp) const;
    /// A by node: the ends that move it most.
    std::vector<double> amps(std::span<const double> per_amp, bool up) const;
};

/// What has to be known of supplies.
struct LeakSupplies {
    std::function<bool(Node)> works;
    std::function<double(Node)> highest;  ///< V at most
};

/// V of a rail at its highest; of another held node as `held` has it.
double highest_volts(const Bench& bench, const Circuit& circuit, std::span<const double> held, Node node);

/// Of all pins of an island that have a supply and do not drive. `nominal_volts`: called where an input's current hangs
/// on what it reads; empty: not known.
Leaks leaks_in(const Circuit& circuit, const Island& island, const Levels& levels, const LeakSupplies& supplies,
               const std::function<std::vector<double>()>& nominal_volts);

/// How the volts of a line come about at the end of a range.
struct LeakWords {
    std::string sum;         ///< "3.2 V - 6 µA of leakage * 101 kΩ = 2.594 V"; empty: it does not show in millivolts
    Provenance origin{};     ///< of the least certain current in it
};
/// `volts`: without leaks, at these values; `shifted`: of the line, with them.
LeakWords leak_words(const Island& island, const Levels& levels, std::span<const double> values,
                     std::span<const double> volts, const Leaks& leaks, double shifted);

}  // namespace voltsill
