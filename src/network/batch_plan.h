#pragma once
/// The plan of a batch: slots, matrix pattern, elimination tape and where every parameter goes.
#include <optional>
#include <vector>

#include "network/batch_tape.h"
#include "network/dc.h"
#include "network/elimination.h"

namespace voltsill::batch {

/// A device or one arm of a stage, and its coefficients' place. `up` concerns stages.
struct Element {
    enum class What : unsigned char { device, stage } what{};
    int id = -1;
    bool up = false, strong = false;  ///< of a stage: its side, and whether the shape it has at its strongest
    int coefficient = 0, count = 0;
};

struct Plan {
    std::vector<int> slot_of;   ///< by node
    std::vector<Node> node_of;  ///< by slot
    int unknowns = 0;
    std::vector<double> free;  ///< by slot: 1 unknown, 0 held

    std::vector<Linear> linear;
    std::vector<Diode> diodes;
    std::vector<Curve> curves;
    std::vector<Bend> bends;
    std::vector<Fet> fets;
    EliminationTape lu;
    int entries = 0;

    std::vector<Element> elements;
    int coefficients = 0;
    std::vector<std::vector<int>> users;  ///< elements by parameter
    std::vector<int> follow_state;        ///< stages and switches
    std::vector<bool> moves_held;         ///< by parameter: an ideal source's volts

    Tape tape() const;
};

/// Nothing if the network has a device without lane form, or cannot be solved at all.
std::optional<Plan> make_plan(const Netlist& netlist, const Partition& partition,
                              const std::vector<bool>& source_on);

}  // namespace voltsill::batch
