#include "network/netlist.h"

#include <utility>

namespace voltsill {

char to_char(Logic level) {
    switch (level) {
        case Logic::zero:
            return '0';
        case Logic::one:
            return '1';
        case Logic::X:
            return 'X';
        case Logic::Z:
            return 'Z';
    }
    return '?';
}

Node Netlist::add_node(std::string name) {
    node_names.push_back(std::move(name));
    return static_cast<Node>(node_names.size()) - 1;
}

ParamId Netlist::add_parameter(std::string name, double lo, double nominal, double hi, Provenance origin) {
    parameters.push_back({std::move(name), lo, nominal, hi, std::move(origin)});
    return static_cast<ParamId>(parameters.size()) - 1;
}

ParamId Netlist::add_constant(double value) { return add_parameter("constant", value, value, value); }

int Netlist::add_table(Table table) {
    tables.push_back(std::move(table));
    return static_cast<int>(tables.size()) - 1;
}

DeviceId Netlist::add(Device device) {
    if (device.kind == DeviceKind::source) device.index = sources++;
    if (device.kind == DeviceKind::switch_) device.index = switches++;
    devices.push_back(std::move(device));
    return static_cast<DeviceId>(devices.size()) - 1;
}

StageId Netlist::add_stage(Stage stage) {
    stages.push_back(std::move(stage));
    return static_cast<StageId>(stages.size()) - 1;
}

DeviceId Netlist::resistor(std::string name, Node a, Node b, ParamId ohms) {
    return add({.kind = DeviceKind::resistor,
                .nodes = {a, b},
                .params = {ohms, no_param, no_param, no_param},
                .name = std::move(name)});
}

DeviceId Netlist::source(std::string name, Node plus, Node minus, ParamId volts, ParamId ohms) {
    return add({.kind = DeviceKind::source,
                .nodes = {plus, minus},
                .params = {volts, ohms, no_param, no_param},
                .name = std::move(name)});
}

DeviceId Netlist::diode(std::string name, Node anode, Node cathode, ParamId forward_volts) {
    const ParamId reference = add_constant(1e-3), emission = add_constant(0.035);
    return add({.kind = DeviceKind::diode,
                .nodes = {anode, cathode},
                .params = {forward_volts, reference, emission, no_param},
                .name = std::move(name)});
}

DeviceId Netlist::mosfet(std::string name, Node d, Node g, Node s, ParamId vth, ParamId k, bool p_channel) {
    return add({.kind = DeviceKind::mosfet,
                .nodes = {d, g, s},
                .params = {vth, k, no_param, no_param},
                .reversed_polarity = p_channel,
                .name = std::move(name)});
}

std::vector<double> Netlist::nominal_values() const {
    std::vector<double> values;
    values.reserve(parameters.size());
    for (const Parameter& p : parameters) values.push_back(p.nominal);
    return values;
}

}  // namespace voltsill
