#pragma once
/// What a meter reads in a build with a fault: of the pins that the fault can move, in the states that matter
/// to them. Everywhere else, and in every other state, it reads what it reads in the build as planned.
///
/// Pins go by the number they have in the build as planned (`PlannedBuild::pin`).
#include <span>

#include "faults/fault.h"
#include "faults/observation.h"
#include "judging/cut.h"
#include "judging/power_off.h"

namespace voltsill {

/// The build as planned, to hold others against. For one thread.
class PlannedBuild {
  public:
    /// `down`: rails that are off in all states that are asked for.
    PlannedBuild(const Bench& bench, const PlacedWiring& build, std::vector<std::string> down = {});
    PlannedBuild(const PlannedBuild&) = delete;

    const Bench& bench;
    const PlacedWiring& build;
    const Wiring wiring;  ///< of the holes, where there are some
    const std::vector<std::string> down;
    const WiringCutter cutter;

    int pin(int part, int pin_index) const { return cutter.pin(part, pin_index); }
    int part_of(int pin) const { return part_of_pin_[pin]; }
    int index_of(int pin) const { return pin - first_of_part_[part_of_pin_[pin]]; }
    int pins() const { return static_cast<int>(part_of_pin_.size()); }
    int pin_of(const Told& told) const;  ///< -1: not there

  private:
    std::vector<int> part_of_pin_, first_of_part_;
};

/// Resistances of a network with everything off, between nodes: bounds by Rayleigh's monotonicity (P. G. Doyle,
/// J. L. Snell, Random Walks and Electric Networks, 1984, ch. 4, from memory). At most: the shortest chain of
/// resistors. At least: what leads away from a node, followed as a tree of a few resistors, with all beyond at the
/// other lead; a tree of a network conducts no less than the network, and what ends nowhere does not conduct.
/// Between supply and ground of a part without power lies something that nobody states, at least `silent_part`.
class OhmBounds {
  public:
    /// What a meter that tests with some milliamps meets in a part between its supply and its ground: hundreds of
    /// ohms to megohms (common practice, no source).
    static constexpr Ohms silent_part{100};
    explicit OhmBounds(const Circuit& circuit);
    OhmBounds() = default;
    /// Of two different nodes; -1: a pin on nothing.
    ResistanceWindow between(Node a, Node b) const;

  private:
    struct Edge {
        Node to;
        DeviceId by;  ///< below -1: a part without power
        double lo, hi;
    };
    static constexpr int furthest = 3;  ///< resistors in a row that are followed
    std::span<const Edge> at(Node node) const;
    double least(Node node, Node to, DeviceId by, int further) const;
    double most(Node node, Node to, DeviceId by, int further) const;

    std::vector<int> first_;     ///< by node, into `edges_`
    std::vector<Edge> edges_;    ///< by the node they lead away from
    std::vector<bool> unclear_;  ///< by node: it has devices that are more than a resistance at rest
};

class FaultReadings {
  public:
    /// `states`: those that can be asked for. A network beyond `most_unknowns`, as where a ground is missing,
    /// is solved at its nominal values, and where more outputs than `most_undefined` are at no level at rest
    /// only: in other states it is known where it reads at rest as the build as planned does.
    FaultReadings(const PlannedBuild& planned, const FaultyBuild& made, std::span<const BenchState> states,
                  ReadingMemory& memory);
    static constexpr std::size_t most_unknowns = 12;
    static constexpr int most_undefined = 2;
    /// The build as planned, at every pin.
    FaultReadings(const PlannedBuild& planned, std::span<const BenchState> states, ReadingMemory& memory);

    /// By number; a state that came later is one it knows nothing of.
    bool moves(int pin) const { return slot_of(pin) >= 0; }
    const std::vector<int>& moved() const { return moved_; }
    /// Of a moved pin. Not solved: it could not be, or was not tried.
    MeterReading at(int pin, int state) const;
    bool tried(int state) const { return state < states() && column_of_state_[state] >= 0; }
    /// Whether it reads otherwise in this state than at rest, as far as it knows.
    bool depends_on(int state) const;
    /// Ohms between two places, each a moved pin, or (-1 - rail), or `ground` for the common ground, or
    /// `elsewhere` for what no fault got to. Nothing: as planned.
    static constexpr int ground = -1000000, elsewhere = -1000001;
    ResistanceWindow ohms(int a, int b, bool& joined) const;
    /// A supply holds this rail, by number.
    bool has_rail(int rail) const { return rail >= 0 && node_of_rail_[rail] >= 0; }
    /// Largest current of an output or protection diode of a part in any state, A.
    double amps(int part) const;
    /// How many states there were.
    int states() const { return static_cast<int>(column_of_state_.size()); }

  private:
    void read(const PlannedBuild& planned, const Bench& bench, const Wiring& made, const WiringCut& cut,
              std::span<const BenchState> states, ReadingMemory& memory);
    void find_slots(const PlannedBuild& planned, const Wiring& made, const WiringCut& cut,
                    const Circuit& circuit, std::vector<std::pair<int, int>>& pin_of_slot);
    void find_rails(const Bench& bench, const Circuit& circuit);
    int slot_of(int pin) const;
    Node node_of(int place) const;

    std::vector<int> moved_, slot_;                ///< sorted pins, and their slots
    std::vector<int> column_of_state_;             ///< -1: not solved
    std::vector<std::vector<MeterReading>> column_;  ///< by column, then slot; the first is at rest
    std::vector<Node> node_of_slot_;
    std::vector<Node> node_of_rail_;
    std::vector<std::pair<int, double>> amps_;  ///< by part
    OhmBounds bounds_;
};

}  // namespace voltsill
