#pragma once
/// Which nets a placement makes, as a key that is equal for equal nets: so that slips that change
/// nothing are dropped and alike ones judged once, and alike builds of learners (teaching) as well.
#include "wiring/placed_nodes.h"

namespace voltsill {

/// The plus of a supply is on the common ground, its 0 V on what it should feed.
bool is_reversed(const PlacedNodes& nodes, const Rail& rail);

class SlipNets {
  public:
    using Key = std::vector<int>;
    SlipNets(const Bench& bench, const Wiring& wiring) : bench_(bench), wiring_(wiring) {}
    /// By pin its net, named by its first pin, rail or ground; then by rail what it is shorted to.
    Key of(const Placement& placement) const;
    /// Then by supply of its own the node of its plus and of its 0 V; -1: wired to nothing.
    Key with_terminals(const Placement& placement) const;

  private:
    Key of(const PlacedNodes& nodes, bool terminals) const;

    const Bench& bench_;
    const Wiring& wiring_;
};

}  // namespace voltsill
