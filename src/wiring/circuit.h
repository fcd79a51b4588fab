#pragma once
/// A wiring as a network, with the way back: which pin is which node, which stage is whose.
///
/// Lowering adds nothing of its own: rails become ideal sources, output stages become tables
/// through the printed (current, voltage) points, clamps diodes, pulls resistors, logic
/// functions units. A figure that is not known becomes a range marked assumed.
#include "network/netlist.h"
#include "wiring/wiring.h"

namespace voltsill {

struct PinSite {
    int part = -1, pin = -1;
    Node node = -1;                 ///< -1: pin is open and electrically alone
    Node supply = -1, ground = -1;  ///< nodes its levels follow
    StageId stage = -1;             ///< output stage at this pin
    DeviceId amplifier = -1;        ///< of a comparator or op amp: what drives this pin in place of a stage
    DeviceId clamp_up = -1, clamp_down = -1, flyback = -1, load = -1, analog_source = -1;
    std::vector<DeviceId> pulls;
    int input_of_unit = -1;  ///< a unit reads this pin
};

struct StageSite {
    int part = -1, pin = -1;
    Node supply = -1;          ///< what powers it; its pull-up may hang on a node below that
    int unit = -1;             ///< logic unit that sets it; -1: free (firmware, a sensor ...)
    bool can_release = false;  ///< may be Z while powered
    bool can_pull_up = true, can_pull_down = true;
    int channel = -1;
};

struct UnitSite {
    int part = -1, channel = -1;
};

struct RailSite {
    std::string name, switch_group;
    Node node = -1;
    DeviceId source = -1;
    NetId net = -1;
};

struct Circuit {
    const Wiring* wiring = nullptr;
    Netlist netlist;
    std::vector<Node> node_of_net;
    std::vector<PinSite> pins;
    std::vector<std::vector<int>> site_of;  ///< [part][pin] -> index into pins
    std::vector<StageSite> stages;          ///< by StageId
    std::vector<UnitSite> units;            ///< by unit index
    std::vector<RailSite> rails;

    const PinSite& site(int part, int pin) const { return pins[site_of[part][pin]]; }
    const Pin& pin(const PinSite& s) const { return wiring->parts[s.part].type->pins[s.pin]; }
    std::string label(const PinSite& s) const;  ///< "gauge.ECHO", "U1.18 (Y1)"
};

/// Nominal voltage of the rail at a node, V; 0: no rail is there.
double rail_volts(const Bench& bench, const Circuit& circuit, Node node);

/// `wiring` must outlive the circuit.
Circuit lower(const Bench& bench, const Wiring& wiring);

}  // namespace voltsill
