#pragma once
/// A piece of the network that can be looked at alone, and the worst case of a voltage in it.
///
/// Where rails are up they hold their nodes, and what hangs between rails falls into islands
/// that do not influence each other. An island is a netlist of its own with only the parameters
/// that matter to it, so the cost of a bench grows with the number of islands.
///
/// Worst case: the voltage of a node in a network of resistors, monotone tables and sources is
/// monotone in each parameter while the others rest (Tellegen; for two-terminal elements the
/// sign follows the current through them), so extremes lie at corners. `range_of` sets every
/// parameter to the end its sensitivity points to, and repeats at the corner found; with at most
/// `few` parameters it visits all corners and the bound is exact.
#include <functional>
#include <limits>
#include <memory>
#include <span>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "network/linearized.h"
#include "wiring/circuit.h"

namespace voltsill {

class SolutionMemory;
struct Leaks;

struct Island {
    /// What stands for everything else that hangs on a rail that is down.
    struct StandIn {
        int rail;
        ParamId param;
        bool lifted;
    };

    Netlist net;
    std::vector<Node> node_of;        ///< local -> node of the circuit
    std::vector<StageId> stage_of;    ///< local -> stage of the circuit
    std::vector<DeviceId> device_of;  ///< local -> device of the circuit
    std::vector<int> pins;            ///< sites whose node lies in the island (not held)
    std::vector<double> nominal;
    std::vector<ParamId> varying;                      ///< parameters with lo < hi
    std::vector<std::pair<Node, Node>> local_of_node;  ///< sorted (circuit node, local)
    std::vector<StandIn> stand_ins;
    Partition partition{Netlist{}, {}};
    mutable int shape = -1;  ///< among those a memory has met; -1: not asked yet

    Node local(Node circuit_node) const;   ///< -1: not here
    int local_stage(StageId stage) const;  ///< -1: not here
    DeviceId local_device(DeviceId device) const;
    void set_stand_in(const StandIn& stand_in, double value);
};

/// Islands of a circuit for the rails that are on.
std::vector<Island> islands_of(const Circuit& circuit, const Partition& partition,
                               const std::vector<bool>& source_on);

/// The branches that meet at rails which are down, each alone, for blocks whose first node is
/// `wanted`. A branch on such a rail comes twice: with the rest of the bench as a resistance that
/// loads the rail, and with the rest lifting it to a voltage (at first `lifted_volts`). What a pin
/// is above its rail is largest in the one, what it is above ground in the other.
std::vector<Island> branches_of(const Circuit& circuit, const std::vector<bool>& source_on,
                                const std::function<bool(Node)>& wanted, double lifted_volts);

/// A weighted sum of node voltages, in local nodes.
struct Functional {
    std::vector<std::pair<Node, double>> terms;
    double offset = 0;
};

/// Of one node alone.
inline Functional voltage_of(Node node) { return {.terms = {{node, 1.0}}}; }

double value_of(const Functional& functional, std::span<const double> volts);

struct Range {
    double lo = 0, nominal = 0, hi = 0;
    std::vector<double> at_lo, at_hi;  ///< parameter values of the corners
    bool exact = true;
    bool solved = true;
};

/// Counts solves; a name for what did not converge. A bench that has failed often is one of absurd
/// circuits: it is known to be in trouble, and later solves may take fewer steps.
struct Effort {
    SolutionMemory* memory = nullptr;  ///< of networks solved before (solution_memory.h)
    int solves = 0, failures = 0;
    /// Unknowns squared, summed over solves; beyond `most_work` nothing is solved any more.
    double work = 0, most_work = std::numeric_limits<double>::infinity();
    static constexpr int patient_failures = 20, hurried_iterations = 25;
    std::string trouble;
};

/// Levels by local stage.
using Levels = std::vector<Logic>;

/// `near`: volts of the island at its nominal values and these levels, where Newton begins instead of at 0 V.
bool solve(const Island& island, const Levels& levels, std::span<const double> values,
           std::vector<double>& volts, Effort& effort, std::span<const double> near = {});

/// The corners of one island at one set of levels. What several questions share is solved and linearised once.
/// The island must outlive it.
class Corners {
  public:
    struct Balance {
        std::vector<double> volts;
        Linearized linear;
        Balance(std::vector<double> v, Linearized l) : volts(std::move(v)), linear(std::move(l)) {}
    };
    Corners(const Island& island, Levels levels) : island_(island), levels_(std::move(levels)) {}

    /// `values`: each varying parameter at its nominal value or at an end. nullptr: no balance is found.
    const Balance* at(const std::vector<double>& values, Effort& effort);
    /// `leaks`: at the ends of the range they push it further, the nominal value has none of them.
    Range range_of(const Functional& functional, Effort& effort, const Leaks* leaks = nullptr);
    /// Resistance seen at each node at the nominal point, ohms.
    std::vector<double> ohms(Effort& effort);

  private:
    const Island& island_;
    Levels levels_;
    const Balance* nominal_ = nullptr;
    std::unordered_map<std::string, std::unique_ptr<Balance>> met_;  ///< by the end of each varying parameter
};

Range range_of(const Island& island, const Levels& levels, const Functional& functional, Effort& effort,
               const Leaks* leaks = nullptr);
/// Range of the current through a device (from its first node, or another), or out of a stage's pin.
Range device_range(const Island& island, const Levels& levels, DeviceId device, Effort& effort, int terminal = 0);
Range stage_range(const Island& island, const Levels& levels, int stage, Effort& effort);
/// Resistance seen at a node at the nominal point, ohms; above `open_ohms` nothing defines it.
double resistance_at(const Island& island, const Levels& levels, Node node, Effort& effort);
/// The same at a solution that is at hand.
double resistance_at(const Island& island, const Levels& levels, std::span<const double> values,
                     std::span<const double> volts, Node node);
/// The same of every node of the island.
std::vector<double> resistances(const Island& island, const Levels& levels, std::span<const double> values,
                                std::span<const double> volts);
inline constexpr double open_ohms = 2e7;

/// "usb 5.25 V, R1 low" for the parameters that differ from nominal at a corner.
std::string corner_words(const Island& island, std::span<const double> values);

}  // namespace voltsill
