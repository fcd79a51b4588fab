#include "judging/supply_feed.h"

#include <algorithm>
#include <map>
#include <optional>

#include "judging/rail_currents.h"
#include "wiring/assumed.h"

namespace voltsill {
namespace {

/// A, the smallest and the largest; of a silent sheet anything from none.
std::pair<double, double> draw_of(const Wiring& wiring, NetId net) {
    double least = 0, most = 0;
    for (const SupplyDraw& draw : supply_draws(wiring, net)) {
        least += draw.current.known() ? draw.current.span.lo.si() : 0;
        most += (draw.current.known() ? draw.current.span.hi : silent_draw).si();
    }
    return {least, most};
}

/// What the most demanding part on a net needs at least, V; nothing: no part is supplied from it.
std::optional<double> least_needed(const Wiring& wiring, NetId net) {
    std::optional<double> out;
    for (const WiredPart& part : wiring.parts)
        for (size_t k = 0; k < part.net_of_pin.size(); ++k) {
            const Pin& pin = part.type->pins[k];
            if (part.net_of_pin[k] != net || pin.role != PinRole::supply || pin.supply < 0) continue;
            out = std::max(out.value_or(0.0), part.type->supplies[pin.supply].range.lo.si());
        }
    return out;
}

bool joins_supplies(const WiredPart& part) {
    return part.type->kind == PartKind::resistor && part.net_of_pin.size() == 2 && part.net_of_pin[0] >= 0 &&
           part.net_of_pin[1] >= 0 && part.value && *part.value > 0 && *part.value <= assumed::supply_ohms.si();
}

}  // namespace

std::vector<SupplyFeed> feeds(const Circuit& circuit, std::span<const double> held) {
    const Wiring& wiring = *circuit.wiring;
    struct Sum {
        double amps = 0, siemens = 0;
    };
    std::map<NetId, Sum> sums;
    for (const WiredPart& part : wiring.parts) {
        if (!joins_supplies(part)) continue;
        for (const size_t k : {0u, 1u}) {
            const NetId net = part.net_of_pin[k], from = part.net_of_pin[1 - k];
            const double rail = held[circuit.node_of_net[from]];
            if (rail <= 0 || wiring.nets[net].ground || !wiring.nets[net].rail.empty()) continue;
            Sum& sum = sums[net];
            sum.amps += rail / *part.value, sum.siemens += 1 / *part.value;
        }
    }
    std::vector<SupplyFeed> out;
    for (const auto& [net, sum] : sums)
        if (const auto needed = least_needed(wiring, net)) {
            const auto [least, most] = draw_of(wiring, net);
            out.push_back(
                {circuit.node_of_net[net], (sum.amps - most) / sum.siemens, (sum.amps - least) / sum.siemens, *needed});
        }
    return out;
}

}  // namespace voltsill
