#pragma once
/// What is one node by holes, wires and the insides of boards: disjoint sets (R. E. Tarjan, J. ACM 22,
/// 1975) over tie points, pins beside the boards and terminals of supplies.
#include <map>
#include <utility>
#include <vector>

#include "wiring/placement.h"

namespace voltsill {

class PlacedNodes {
  public:
    using PinAt = std::pair<int, int>;  ///< part and pin, indices of the wiring

    PlacedNodes(const Bench& bench, const Wiring& wiring, const Placement& placement);

    /// The node that is 0 V: where most supplies have their 0 V, then where most ground pins are. -1: none.
    int ground_root() const { return ground_; }
    /// The node that a rail's supply or maker holds; -1 when that is wired to nothing. A supply whose 0 V
    /// is not on the ground holds nothing: no current returns to it.
    int rail_root(const Rail& rail) const;
    /// The node an end of a wire is on; -1: no such place.
    int root_of(const WireEnd& end) const;
    /// Pins of all parts by node, each in the order of the wiring, nodes by their first pin.
    const std::vector<std::pair<int, std::vector<PinAt>>>& pins_by_root() const { return pins_; }

  private:
    int find(int element) const;
    void join(int a, int b);
    int element(const Hole& hole) const;  ///< -1: no such hole
    int element(const WireEnd& end) const;
    void join_leads(const Wiring& wiring, const Placement& placement);
    void find_ground(const Bench& bench, const Wiring& wiring);

    const Placement& placement_;
    mutable std::vector<int> above_;
    std::vector<int> board_first_;
    std::vector<std::vector<int>> pin_element_;  ///< by part and pin
    std::map<std::string, int> supply_, zero_;   ///< terminals by rail
    std::map<std::string, int> made_;            ///< rail made by a part: its pin
    std::vector<std::pair<int, std::vector<PinAt>>> pins_;
    int ground_ = -1;
};

}  // namespace voltsill
