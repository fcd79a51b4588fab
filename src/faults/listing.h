#pragma once
/// How the list of faults is gathered: each family of faults adds what it finds on a build, and where.
/// Used inside the room only.
#include "faults/fault.h"

namespace voltsill {

/// A fault with its place: the variants of one place share its weight.
struct FaultDraft {
    Fault fault;
    std::string place;
};

class FaultListing {
  public:
    FaultListing(const Bench& bench, const PlacedWiring& build) : bench_(bench), build_(build) {}

    void slips_and_wires();  ///< needs a placement
    void open_pins();
    void parts_of_near_names();
    void wrong_values();
    void turned_parts();
    void controls();
    void outputs_and_clamps();
    void pulls();
    void capacitors();
    void supplies();
    std::vector<FaultDraft> take() { return std::move(drafts_); }

  private:
    void add(Fault fault, std::string place);
    const Wiring& wiring() const { return build_.wiring; }
    const WiredPart& part(int p) const { return build_.wiring.parts[p]; }
    int parts() const { return static_cast<int>(build_.wiring.parts.size()); }

    const Bench& bench_;
    const PlacedWiring& build_;
    std::vector<FaultDraft> drafts_;
};

/// What a part behind those of the plan is there for.
inline constexpr std::string_view unplanned_purpose = "a fault";

/// Whether the build is on boards, so that wires and holes are known.
bool is_placed(const PlacedWiring& build);
/// Enables and directions of channels.
std::vector<int> control_pins(const PartType& type);
/// The net of a supply port; unconnected where it is on none.
NetId supply_net(const Wiring& wiring, int part, int port);
/// What a pin's levels follow; of a pass-gate, whose pins follow nothing, the supply of its side.
NetId own_supply(const Wiring& wiring, int part, int pin);
/// How many pins are on a net.
int pins_on(const Wiring& wiring, NetId net);
bool is_held(const Wiring& wiring, NetId net);  ///< a rail or the ground

/// What a hand takes from a drawer in place of a part: same leads, a name that is near.
struct Namesake {
    std::shared_ptr<const PartType> type;
    int package = 0;  ///< index into its packages
};
std::vector<Namesake> namesakes_of(const Catalogue& catalogue, const WiredPart& part);
/// The part in the holes of another: nets go by number of the lead.
WiredPart in_place_of(const WiredPart& part, const Namesake& other);

/// A resistor that is taken for another: ohms, and in what it differs: "a decade higher", "red read as orange".
struct Misreading {
    double ohms = 0;
    std::string how;
};
std::vector<Misreading> misreadings_of(double ohms, double tolerance);

}  // namespace voltsill
