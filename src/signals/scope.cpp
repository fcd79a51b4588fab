#include "signals/scope.h"

#include <algorithm>
#include <deque>

#include "network/devices.h"
#include "network/excerpt.h"

namespace voltsill {
namespace {

/// Blocks of the partition that belong to the scope.
class Reach {
  public:
    Reach(const TimedCircuit& timed, const Partition& partition)
        : net_(timed.circuit.netlist), timed_(timed), partition_(partition), in_(partition.blocks().size()) {
        unit_of_stage_.resize(net_.stages.size(), -1);
        for (std::size_t u = 0; u < net_.units.size(); ++u)
            for (StageId s : net_.units[u].outputs) unit_of_stage_[s] = static_cast<int>(u);
    }
    void spread(std::span<const Node> seeds) {
        for (Node n : seeds) want(n);
        while (!queue_.empty()) {
            const int block = queue_.front();
            queue_.pop_front();
            for (std::size_t u = 0; u < net_.units.size(); ++u) {
                const auto& inputs = net_.units[u].inputs;
                if (std::ranges::any_of(
                        inputs, [&](const LogicInput& i) { return partition_.block_of(i.pin) == block; }))
                    take_unit(static_cast<int>(u));
            }
            for (StageId s : partition_.blocks()[block].stages)
                if (unit_of_stage_[s] >= 0) take_unit(unit_of_stage_[s]);
            for (const Accelerator& a : timed_.dynamics.accelerators)
                if (partition_.block_of(a.pin) == block) want(net_.stages[a.stage].pin);
        }
    }
    bool holds(int block) const { return block >= 0 && in_[block]; }
    bool holds_unit(std::size_t u) const {
        return std::ranges::any_of(net_.units[u].outputs,
                                   [&](StageId s) { return holds(partition_.block_of(net_.stages[s].pin)); });
    }

  private:
    void want(Node node) {
        const int block = partition_.block_of(node);
        if (block < 0 || in_[block]) return;
        in_[block] = true;
        queue_.push_back(block);
    }
    void take_unit(int unit) {
        for (const LogicInput& input : net_.units[unit].inputs) want(input.pin);
        for (StageId s : net_.units[unit].outputs) want(net_.stages[s].pin);
    }
    const Netlist& net_;
    const TimedCircuit& timed_;
    const Partition& partition_;
    std::vector<bool> in_;
    std::vector<int> unit_of_stage_;
    std::deque<int> queue_;
};

/// Copies what the scope holds: netlist and dynamics.
class Copy {
  public:
    Copy(const TimedCircuit& timed, const Partition& partition, const Reach& reach)
        : from_(timed.circuit.netlist),
          timed_(timed),
          partition_(partition),
          reach_(reach),
          nodes_(from_.node_names.size()),
          parameters_(from_.parameters.size()),
          copy_(from_, out_.net, nodes_, parameters_) {
        nodes_.local[ground_node] = ground_node;
        out_.local_of_stage.assign(from_.stages.size(), -1);
        out_.local_of_device.assign(from_.devices.size(), -1);
    }
    Scope run() {
        for (DeviceId d = 0; d < static_cast<DeviceId>(from_.devices.size()); ++d)
            if (const Device& device = from_.devices[d]; !ideal_source(device) && touches(device))
                out_.local_of_device[d] = copy_.device(d);
        for (StageId s = 0; s < static_cast<StageId>(from_.stages.size()); ++s)
            if (reach_.holds(partition_.block_of(from_.stages[s].pin))) {
                out_.local_of_stage[s] = copy_.stage(s);
                out_.stage_of.push_back(s);
            }
        for (std::size_t u = 0; u < from_.units.size(); ++u)
            if (reach_.holds_unit(u)) copy_unit(u);
        copy_dynamics();
        for (DeviceId d = 0; d < static_cast<DeviceId>(from_.devices.size()); ++d)  // rails, now all are met
            if (const Device& device = from_.devices[d];
                ideal_source(device) && (met(device.nodes[0]) || met(device.nodes[1])))
                out_.local_of_device[d] = copy_.device(d);
        out_.varying = varying_parameters(out_.net);
        out_.local_of_node = std::move(nodes_.local);
        return std::move(out_);
    }

  private:
    bool met(Node n) const { return n != ground_node && copy_.has(n); }
    bool touches(const Device& device) const {
        for (int k = 0; k < shape_of(device.kind).terminals; ++k)
            if (reach_.holds(partition_.block_of(device.nodes[k]))) return true;
        return false;
    }
    Node node(Node n) { return copy_.node(n); }
    ParamId param(ParamId p) { return copy_.parameter(p); }
    SwitchPoint point(const SwitchPoint& p) { return {param(p.rises), param(p.falls)}; }

    void copy_unit(std::size_t u) {
        LogicUnit copy = from_.units[u];
        for (LogicInput& input : copy.inputs)
            input = {node(input.pin), param(input.vil), param(input.vih), input.schmitt};
        for (StageId& s : copy.outputs) s = out_.local_of_stage[s];
        copy.supply = node(copy.supply);
        copy.ground = node(copy.ground);
        copy.min_supply = param(copy.min_supply);
        out_.net.units.push_back(std::move(copy));
        out_.units_of.push_back(static_cast<int>(u));
        UnitTiming timing = timed_.dynamics.units[u];
        for (SwitchPoint& p : timing.inputs) p = point(p);
        for (ParamId* p : {&timing.to_high, &timing.to_low, &timing.to_off}) *p = param(*p);
        out_.dynamics.units.push_back(std::move(timing));
    }
    void copy_dynamics() {
        const Dynamics& from = timed_.dynamics;
        out_.dynamics.curves = from.curves;
        for (const Capacitor& c : from.capacitors)
            if (reach_.holds(partition_.block_of(c.a)) || reach_.holds(partition_.block_of(c.b)))
                out_.dynamics.capacitors.push_back({c.name, node(c.a), node(c.b), param(c.farads)});
        for (const Inductor& l : from.inductors)
            if (out_.local_of_device[l.resistor] >= 0)
                out_.dynamics.inductors.push_back({out_.local_of_device[l.resistor], param(l.henries)});
        for (const StageId s : out_.stage_of) {
            Switching how = from.stages[s];
            how.rise = param(how.rise);
            how.fall = param(how.fall);
            out_.dynamics.stages.push_back(how);
        }
        for (const Accelerator& a : from.accelerators) {
            if (!reach_.holds(partition_.block_of(a.pin)) || out_.local_of_stage[a.stage] < 0) continue;
            Accelerator copy = a;
            copy.pin = node(a.pin);
            copy.ground = node(a.ground);
            copy.point = point(a.point);
            copy.stage = out_.local_of_stage[a.stage];
            copy.delay = param(a.delay);
            copy.lasts = param(a.lasts);
            out_.dynamics.accelerators.push_back(std::move(copy));
        }
    }

    const Netlist& from_;
    const TimedCircuit& timed_;
    const Partition& partition_;
    const Reach& reach_;
    Scope out_;
    Renumbering nodes_, parameters_;
    Excerpt copy_;
};

}  // namespace

Scope scope_of(const TimedCircuit& timed, const Partition& partition, std::span<const Node> seeds) {
    Reach reach(timed, partition);
    reach.spread(seeds);
    return Copy(timed, partition, reach).run();
}

}  // namespace voltsill
