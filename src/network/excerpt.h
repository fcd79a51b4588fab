#pragma once
/// A part of a netlist as a netlist of its own: nodes and parameters are renumbered as they are met.
#include <cstddef>
#include <vector>

#include "network/netlist.h"

namespace voltsill {

/// Local numbers of what was met so far, by number in the whole. One scratch serves many excerpts.
struct Renumbering {
    std::vector<int> local, met;  ///< -1: not met; and what was met, in order
    explicit Renumbering(std::size_t size) : local(size, -1) {}
    void note(int global, int here) {
        local[global] = here;
        met.push_back(global);
    }
    void forget() {
        for (int global : met) local[global] = -1;
        met.clear();
    }
};

class Excerpt {
  public:
    /// Copies of `from` go to `to`; all must outlive the excerpt.
    Excerpt(const Netlist& from, Netlist& to, Renumbering& nodes, Renumbering& parameters)
        : from_(from), to_(to), nodes_(nodes), parameters_(parameters) {}

    /// Each gives the number in the excerpt; nodes and parameters are copied once, when they are first met.
    Node node(Node global);
    ParamId parameter(ParamId global);
    DeviceId device(DeviceId global);
    StageId stage(StageId global);
    bool has(Node global) const { return nodes_.local[global] >= 0; }  ///< of any node but ground

  private:
    int table(int global) { return global < 0 ? -1 : to_.add_table(from_.tables[global]); }

    const Netlist& from_;
    Netlist& to_;
    Renumbering &nodes_, &parameters_;
};

/// Parameters with a range.
std::vector<ParamId> varying_parameters(const Netlist& net);

}  // namespace voltsill
