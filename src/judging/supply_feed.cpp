#include "judging/supply_feed.h"

#include <algorithm>
#include <map>
#include <optional>

#include "judging/rail_currents.h"
#include "wiring/assumed.h"

namespace voltsill {
namespace {

double largest_draw(const Wiring& wiring, NetId net) {
    double sum = 0;
    for (const SupplyDraw& draw : supply_draws(wiring, net))
        sum += (draw.current.known() ? draw.current.span.hi : silent_draw).si();
    return sum;
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

std::vector<std::pair<Node, double>> fed_supplies(const Circuit& circuit, std::span<const double> held) {
    const Wiring& wiring = *circuit.wiring;
    struct Feed {
        double amps = 0, siemens = 0;
    };
    std::map<NetId, Feed> feeds;
    for (const WiredPart& part : wiring.parts) {
        if (!joins_supplies(part)) continue;
        for (const size_t k : {0u, 1u}) {
            const NetId net = part.net_of_pin[k], from = part.net_of_pin[1 - k];
            const double rail = held[circuit.node_of_net[from]];
            if (rail <= 0 || wiring.nets[net].ground || !wiring.nets[net].rail.empty()) continue;
            Feed& feed = feeds[net];
            feed.amps += rail / *part.value, feed.siemens += 1 / *part.value;
        }
    }
    std::vector<std::pair<Node, double>> out;
    for (const auto& [net, feed] : feeds) {
        const double volts = (feed.amps - largest_draw(wiring, net)) / feed.siemens;
        if (const auto least = least_needed(wiring, net); least && volts >= *least)
            out.emplace_back(circuit.node_of_net[net], volts);
    }
    return out;
}

}  // namespace voltsill
