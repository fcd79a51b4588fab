#include "wiring/timed.h"

#include "wiring/timing_steps.h"

namespace voltsill {

ParamId Timing::parameter(std::string name, const Span<double>& s, const Provenance& origin) {
    return net().add_parameter(std::move(name), s.lo, s.nominal, s.hi, origin);
}

void Timing::capacitor(const std::string& name, Node a, Node b, const Span<double>& farads,
                       const Provenance& origin) {
    if (a != b && farads.hi > 0.0)
        out.dynamics.capacitors.push_back({name, a, b, parameter(name, farads, origin)});
}

double Timing::volts_of(Node supply) const { return rail_volts(bench, out.circuit, supply); }

const PinSite* Timing::site_at(int part, Node node) const {
    for (std::size_t k = 0; k < wiring.parts[part].type->pins.size(); ++k)
        if (const PinSite& site = out.circuit.site(part, static_cast<int>(k)); site.node == node)
            return &site;
    return nullptr;
}

Span<double> scaled(const Span<double>& s, double by) { return {s.lo * by, s.nominal * by, s.hi * by}; }

TimedCircuit lower_timed(const Bench& bench, const Wiring& wiring) {
    Timing timing{bench, wiring, {}};
    timing.out.circuit = lower(bench, wiring);
    add_charge(timing);
    add_edges(timing);
    add_delays(timing);
    add_accelerators(timing);
    add_jumpers(timing);
    return std::move(timing.out);
}

}  // namespace voltsill
