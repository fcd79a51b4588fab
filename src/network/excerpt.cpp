#include "network/excerpt.h"

#include <utility>

#include "network/devices.h"

namespace voltsill {

Node Excerpt::node(Node global) {
    if (global == ground_node) return ground_node;
    if (nodes_.local[global] < 0) nodes_.note(global, to_.add_node(from_.node_names[global]));
    return nodes_.local[global];
}

ParamId Excerpt::parameter(ParamId global) {
    if (global == no_param) return no_param;
    if (parameters_.local[global] < 0) {
        const Parameter& q = from_.parameters[global];
        const ParamId own = to_.add_parameter(q.name, q.lo, q.nominal, q.hi, q.origin);
        to_.parameters[own].lo_origin = q.lo_origin, to_.parameters[own].hi_origin = q.hi_origin;
        parameters_.note(global, own);
    }
    return parameters_.local[global];
}

DeviceId Excerpt::device(DeviceId global) {
    Device copy = from_.devices[global];
    for (int k = 0; k < shape_of(copy.kind).terminals; ++k) copy.nodes[k] = node(copy.nodes[k]);
    for (ParamId& p : copy.params) p = parameter(p);
    copy.table = table(copy.table);
    return to_.add(std::move(copy));
}

StageId Excerpt::stage(StageId global) {
    Stage copy = from_.stages[global];
    for (Node* n : {&copy.pin, &copy.supply, &copy.ground}) *n = node(*n);
    copy.up_table = table(copy.up_table);
    copy.down_table = table(copy.down_table);
    copy.up_strong_table = table(copy.up_strong_table);
    copy.down_strong_table = table(copy.down_strong_table);
    copy.up_strength = parameter(copy.up_strength);
    copy.down_strength = parameter(copy.down_strength);
    return to_.add_stage(std::move(copy));
}

std::vector<ParamId> varying_parameters(const Netlist& net) {
    std::vector<ParamId> out;
    for (ParamId p = 0; p < static_cast<ParamId>(net.parameters.size()); ++p)
        if (net.parameters[p].lo < net.parameters[p].hi) out.push_back(p);
    return out;
}

}  // namespace voltsill
