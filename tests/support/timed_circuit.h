#pragma once
/// A circuit over time, put together by hand for a test.
#include <string>
#include <utility>

#include "network/transient.h"

namespace voltsill::testing {

struct TimedCircuit {
    std::string name;
    Netlist net;
    Dynamics dynamics;
    TransientProblem problem;  ///< `netlist` and `dynamics` are set by `use`
    std::vector<Node> watched;

    TransientProblem use() const {
        TransientProblem p = problem;
        p.netlist = &net;
        p.dynamics = &dynamics;
        p.probes = watched;
        return p;
    }
    ParamId spread(const std::string& name_of, double nominal, double share) {
        return net.add_parameter(name_of, nominal * (1 - share), nominal, nominal * (1 + share));
    }
    Node rail(const std::string& name_of, double volts) {
        const Node n = net.add_node(name_of);
        net.source(name_of, n, ground_node, spread(name_of, volts, 0.05));
        return n;
    }
    /// Without spread.
    Node fixed_rail(const std::string& name_of, double volts) {
        const Node n = net.add_node(name_of);
        net.source(name_of, n, ground_node, net.add_constant(volts));
        return n;
    }
    StageId plain_stage(const std::string& name_of, Node pin, Node supply, Table up, Table down,
                        double edge) {
        const StageId id = stage(name_of, pin, supply, std::move(up), std::move(down), edge);
        net.stages[id].up_strength = net.stages[id].down_strength = no_param;
        return id;
    }
    void r(const std::string& name_of, Node a, Node b, double ohms) {
        net.resistor(name_of, a, b, spread(name_of, ohms, 0.05));
    }
    void c(const std::string& name_of, Node a, double farads, Node b = ground_node) {
        dynamics.capacitors.push_back({name_of, a, b, spread(name_of, farads, 0.20)});
    }
    StageId stage(const std::string& name_of, Node pin, Node supply, Table up, Table down, double edge) {
        Stage s{.name = name_of, .pin = pin, .supply = supply, .ground = ground_node};
        if (!up.volts.empty()) s.up_table = net.add_table(std::move(up));
        if (!down.volts.empty()) s.down_table = net.add_table(std::move(down));
        s.up_strength = spread(name_of + " high", 1.0, 0.2);
        s.down_strength = spread(name_of + " low", 1.0, 0.2);
        const StageId id = net.add_stage(std::move(s));
        dynamics.stages.resize(id + 1);
        const ParamId time = net.add_constant(edge);
        dynamics.stages[id] = {.rise = time, .fall = time};
        problem.start.levels.resize(id + 1, Logic::Z);
        return id;
    }
};

}  // namespace voltsill::testing
