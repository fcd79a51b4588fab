#include "faults/supply_dips.h"

#include "faults/listing.h"
#include "faults/symptoms.h"
#include "judging/supply_feed.h"
#include "wiring/decoupling.h"

namespace voltsill {
namespace {

constexpr double noticed_share = 0.1;
constexpr double surely = 1 - missed_by_eye, perhaps = 0.5;

bool carries_supply(const Pin& pin) { return pin.role == PinRole::supply || pin.role == PinRole::ground; }

/// Ω from a net to rails or ground through resistors alone; nothing: it is held itself, or hangs in the air.
std::optional<double> ohms_to_supply(const Wiring& wiring, NetId net) {
    if (net == unconnected || is_held(wiring, net)) return std::nullopt;
    double siemens = 0;
    for (const WiredPart& part : wiring.parts) {
        if (part.type->kind != PartKind::resistor || part.net_of_pin.size() != 2 || !part.value || *part.value <= 0)
            continue;
        for (const size_t k : {0u, 1u})
            if (part.net_of_pin[k] == net && part.net_of_pin[1 - k] != unconnected &&
                is_held(wiring, part.net_of_pin[1 - k]))
                siemens += 1 / *part.value;
    }
    return siemens > 0 ? std::optional(1 / siemens) : std::nullopt;
}

/// A that all parts with a power pin on a net draw at most; of those whose sheet is silent what is assumed of such.
double most_drawn(const Wiring& wiring, NetId net) {
    double sum = 0;
    for (const WiredPart& part : wiring.parts)
        for (std::size_t k = 0; k < part.net_of_pin.size(); ++k) {
            if (part.net_of_pin[k] != net || !carries_supply(part.type->pins[k])) continue;
            for (const SupplyPort& port : part.type->supplies)
                sum += (port.current.known() ? port.current.span.hi : silent_draw).si();
            break;
        }
    return sum;
}

/// Share of its supply that a part loses in the contacts before its power pins.
double lost_share(const Bench& bench, const Wiring& made, const Wiring& planned, int part) {
    double lost = 0, supply = 0;
    const WiredPart& wired = made.parts[part];
    for (std::size_t k = 0; k < wired.net_of_pin.size(); ++k) {
        if (!carries_supply(wired.type->pins[k])) continue;
        const NetId meant = planned.parts[part].net_of_pin[k];
        if (const Rail* rail = meant < 0 ? nullptr : bench.rail(planned.nets[meant].rail))
            supply = std::max(supply, rail->volts.span.nominal.si());
        if (const auto ohms = ohms_to_supply(made, wired.net_of_pin[k]))
            lost = std::max(lost, *ohms * most_drawn(made, wired.net_of_pin[k]));
    }
    return supply > 0 ? lost / supply : 0;
}

/// A capacitor no longer shares each net with the part that it shared in the build as planned.
bool left_pins_of(const Wiring& planned, const Wiring& made, int capacitor, int part) {
    const auto &c = planned.parts[capacitor].net_of_pin, &p = planned.parts[part].net_of_pin;
    const auto &now_c = made.parts[capacitor].net_of_pin, &now_p = made.parts[part].net_of_pin;
    if (c.size() != now_c.size() || p.size() != now_p.size()) return true;
    for (std::size_t k = 0; k < c.size(); ++k)
        for (std::size_t j = 0; j < p.size(); ++j)
            if (c[k] != unconnected && c[k] == p[j] && (now_c[k] == unconnected || now_c[k] != now_p[j])) return true;
    return false;
}

}  // namespace

double chance_of_dips(const PlannedBuild& planned, const Fault& fault, int part,
                      const std::function<bool(int pin)>& moves) {
    const Wiring& wiring = planned.wiring;
    const auto moves_any = [&](int p) {
        for (std::size_t k = 0; k < wiring.parts[p].net_of_pin.size(); ++k)
            if (moves(planned.pin(p, static_cast<int>(k)))) return true;
        return false;
    };
    std::vector<int> capacitors;
    for (std::size_t c = 0; c < wiring.parts.size(); ++c)
        if (is_decoupling_of(wiring.parts[c], wiring.parts[part].name)) capacitors.push_back(static_cast<int>(c));
    bool concerned = false;
    const WiredPart& wired = wiring.parts[part];
    for (std::size_t k = 0; k < wired.net_of_pin.size(); ++k) {
        if (!carries_supply(wired.type->pins[k]) || wired.net_of_pin[k] == unconnected) continue;
        const bool its_rail = !fault.rail.empty() && wiring.nets[wired.net_of_pin[k]].rail == fault.rail;
        if (fault.kind == FaultKind::supply_low && its_rail) return perhaps;
        concerned |= moves(planned.pin(part, static_cast<int>(k)));
    }
    if (!concerned && std::ranges::none_of(capacitors, moves_any)) return seen_wrongly;
    const FaultyBuild made = with_fault(planned.bench, planned.build, fault);
    for (const int c : capacitors)
        if (left_pins_of(wiring, made.wiring, c, part)) return surely;
    if (fault.kind != FaultKind::contact_resistance) return seen_wrongly;
    return lost_share(made.bench, made.wiring, wiring, part) > noticed_share ? surely : seen_wrongly;
}

}  // namespace voltsill
