#pragma once
/// What is one node, for holding a build against the wanted one.
///
/// Joints are all pins of the wiring, then the ground and the rails of the bench as their sources hold them,
/// then plus and 0 V of each supply of its own. With P distinct pairs (wanted net, made net) over all joints
///
///     joins missing = P - wanted nets,   wrong joins = P - made nets
///
/// and two builds make the same nets when both are 0.
#include <vector>

#include "placement/slip_nets.h"

namespace voltsill {

/// By joint the number of its net; joints of one number are one node.
using JointNets = std::vector<int>;

class Joints {
  public:
    Joints(const Bench& bench, const Wiring& wiring);
    int count() const { return rail(rails_) + terminals_; }
    int pin(int part, int pin) const { return first_[part] + pin; }
    int ground() const { return pins_; }
    int rail(int index) const { return pins_ + 1 + index; }
    /// The ground and the rails: what a source or most grounds hold, not a place of its own.
    bool is_held(int joint) const { return joint >= pins_ && joint < rail(rails_); }
    int terminal(int index) const { return rail(rails_) + index; }
    int terminals() const { return terminals_; }
    /// Plus of a rail's own supply, its 0 V behind it; -1: a part makes this rail.
    int plus_of(int rail) const { return plus_[rail]; }
    bool is_pin(int joint) const { return joint < pins_; }
    int part_of(int joint) const { return part_of_[joint]; }
    int pin_of(int joint) const { return joint - first_[part_of_[joint]]; }

    JointNets of(const SlipNets::Key& key) const;  ///< a key with terminals
    /// A wiring with these nets: a rail joined to the ground or to an earlier one has no net of its own, and
    /// what its supply feeds is on it while the 0 V of that supply is on the ground.
    Wiring wiring(const Bench& bench, const Wiring& names, const JointNets& nets) const;

  private:
    std::vector<int> first_, part_of_, plus_;
    int pins_ = 0, rails_ = 0, terminals_ = 0;
};

/// The wanted nets and what hangs on them.
struct WantedNets {
    JointNets net;                         ///< from 0
    std::vector<std::vector<int>> joints;  ///< by net
    explicit WantedNets(const JointNets& nets);
    WantedNets() = default;
};

struct NetsApart {
    int missing = 0, wrong = 0;  ///< joins
    int both() const { return missing + wrong; }
    bool operator==(const NetsApart&) const = default;
};
NetsApart apart(const WantedNets& wanted, const JointNets& made);

/// Joints that can stand for those of another unit, place by place: channels of one kind, parts of one
/// value; or the two sides of one unit.
struct EqualUnits {
    std::vector<std::pair<std::vector<int>, std::vector<int>>> exchanges;
};
/// Of parts that the bench's links do not name.
EqualUnits equal_units(const Bench& bench, const Wiring& wiring, const Joints& joints);
/// Exchanges equal units as long as the made nets come closer to the wanted ones. True: some were.
bool exchange_equals(const WantedNets& wanted, const EqualUnits& units, JointNets& made);

}  // namespace voltsill
