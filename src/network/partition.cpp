#include <fmt/format.h>

#include <algorithm>
#include <numeric>

#include "network/dc.h"
#include "network/devices.h"

namespace voltsill {
namespace {

class UnionFind {
  public:
    explicit UnionFind(std::size_t size) : parent_(size) { std::iota(parent_.begin(), parent_.end(), 0); }
    int find(int x) {
        while (parent_[x] != x) x = parent_[x] = parent_[parent_[x]];
        return x;
    }
    /// False if they were one set already.
    bool join(int a, int b) {
        a = find(a), b = find(b);
        parent_[std::max(a, b)] = std::min(a, b);  // ground stays the root of its set
        return a != b;
    }

  private:
    std::vector<int> parent_;
};

std::string first_shape_refusal(const Netlist& netlist) {
    for (const Table& table : netlist.tables)
        if (auto why = shape_refusal(table); !why.empty()) return why;
    for (const Device& device : netlist.devices)
        if (auto why = shape_refusal(netlist, device); !why.empty()) return why;
    for (const Stage& stage : netlist.stages)
        if (auto why = shape_refusal(netlist, stage); !why.empty()) return why;
    return {};
}

}  // namespace

Partition::Partition(const Netlist& netlist, const std::vector<bool>& source_on) {
    const std::size_t nodes = netlist.node_names.size();
    block_of_.assign(nodes, -1);
    local_of_.assign(nodes, -1);
    trouble_ = first_shape_refusal(netlist);
    if (trouble_.empty() && !source_on.empty() && static_cast<int>(source_on.size()) < netlist.sources)
        trouble_ = "the state does not say of every source whether it is on";
    if (!trouble_.empty()) return;
    const auto off = [&](const Device& d) {
        return d.kind == DeviceKind::source && !source_on.empty() && !source_on[d.index];
    };

    // Ideal sources tie nodes together; a source that closes a ring of them is a contradiction.
    UnionFind tied(nodes);
    std::vector<DeviceId> ideal;
    for (DeviceId id = 0; id < static_cast<DeviceId>(netlist.devices.size()); ++id) {
        const Device& d = netlist.devices[id];
        if (!ideal_source(d) || off(d)) continue;
        ideal.push_back(id);
        if (!tied.join(d.nodes[0], d.nodes[1]) && trouble_.empty())
            trouble_ = fmt::format("node {}: {} closes a ring of ideal sources",
                                   netlist.node_names[d.nodes[0]], d.name);
    }
    order_ties(netlist, ideal);
    std::vector<bool> is_held(nodes);
    for (Node n = 0; n < static_cast<Node>(nodes); ++n) is_held[n] = tied.find(n) == ground_node;

    UnionFind joined(nodes);
    const auto join_free = [&](std::span<const Node> terminals) {
        Node first = -1;
        for (Node n : terminals) {
            if (is_held[n]) continue;
            if (first >= 0) joined.join(first, n);
            first = n;
        }
        return first;
    };
    const auto terminals_of = [&](const Device& d) {
        return std::span<const Node>(d.nodes).first(shape_of(d.kind).terminals);
    };
    for (const Device& d : netlist.devices)
        if (!off(d)) join_free(terminals_of(d));
    for (const Stage& s : netlist.stages) join_free(std::array{s.pin, s.supply, s.ground});

    for (Node n = 0; n < static_cast<Node>(nodes); ++n) {
        if (is_held[n]) continue;
        const Node root = joined.find(n);
        if (root == n) {
            block_of_[n] = static_cast<int>(blocks_.size());
            blocks_.emplace_back();
        }
        block_of_[n] = block_of_[root];
        local_of_[n] = static_cast<int>(blocks_[block_of_[n]].nodes.size());
        blocks_[block_of_[n]].nodes.push_back(n);
    }
    for (DeviceId id = 0; id < static_cast<DeviceId>(netlist.devices.size()); ++id) {
        const Device& d = netlist.devices[id];
        const Node any = off(d) ? -1 : join_free(terminals_of(d));
        if (any < 0) continue;
        blocks_[block_of_[any]].devices.push_back(id);
        if (ideal_source(d)) ++blocks_[block_of_[any]].branches;
    }
    for (StageId id = 0; id < static_cast<StageId>(netlist.stages.size()); ++id) {
        const Stage& s = netlist.stages[id];
        const Node any = join_free(std::array{s.pin, s.supply, s.ground});
        if (any >= 0) blocks_[block_of_[any]].stages.push_back(id);
    }
}

void Partition::order_ties(const Netlist& netlist, std::span<const DeviceId> ideal) {
    std::vector<bool> known(netlist.node_names.size());
    known[ground_node] = true;
    for (bool grew = true; grew;) {
        grew = false;
        for (DeviceId id : ideal) {
            const auto [plus, minus] = std::array{netlist.devices[id].nodes[0], netlist.devices[id].nodes[1]};
            if (known[plus] == known[minus]) continue;
            const bool new_is_plus = known[minus];
            ties_.push_back({new_is_plus ? plus : minus, new_is_plus ? minus : plus, id, new_is_plus});
            known[ties_.back().node] = grew = true;
        }
    }
}

void Partition::fill_held(const Netlist& netlist, std::span<const double> values,
                          std::span<double> volts) const {
    volts[ground_node] = 0.0;
    for (const Tie& tie : ties_) {
        const double step = values[netlist.devices[tie.source].params[0]];
        volts[tie.node] = volts[tie.from] + (tie.plus ? step : -step);
    }
}

}  // namespace voltsill
