#include "documents/sheets_ohms.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "quantity/print.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

struct Pair {
    OhmCheck check;
    NetId a, b;
};

/// With the hole of its lead where it is on a board.
std::string pin_words(const Wiring& wiring, int p, int pin, const Placement& placement) {
    const WiredPart& part = wiring.parts[p];
    const int lead = number_of(part, pin) - 1;
    const bool held = lead >= 0 && p < static_cast<int>(placement.parts.size()) &&
                      lead < static_cast<int>(placement.parts[p].holes.size());
    return pin_label(part, pin, held ? ", " + words(placement, placement.parts[p].holes[lead]) : "");
}

void rails(const Bench& bench, const Wiring& wiring, std::vector<Pair>& out) {
    std::vector<NetId> nets;
    for (const Rail& rail : bench.rails)
        if (const NetId net = wiring.rail(rail.name); net >= 0) nets.push_back(net);
    const NetId ground = wiring.ground();
    for (const NetId net : nets)
        if (ground >= 0)
            out.push_back({{OhmCheck::Kind::rail,
                            wiring.nets[net].name,
                            "ground",
                            {},
                            "Lower: a short, a wire in the wrong row, a package the wrong way round. Do not "
                            "power it."},
                           net,
                           ground});
    for (size_t a = 0; a < nets.size(); ++a)
        for (size_t b = a + 1; b < nets.size(); ++b)
            out.push_back({{OhmCheck::Kind::rail,
                            wiring.nets[nets[a]].name,
                            wiring.nets[nets[b]].name,
                            {},
                            "Lower: two rails joined through a wrong row or strip. Do not power it."},
                           nets[a],
                           nets[b]});
}

/// Pins that hang on a rail or on ground by a wire: supplies, grounds, straps.
void joined(const Wiring& wiring, const Placement& placement, std::vector<Pair>& out) {
    for (int p = 0; p < static_cast<int>(wiring.parts.size()); ++p) {
        const WiredPart& part = wiring.parts[p];
        const bool logic = part.added && !part.type->channels.empty();
        std::vector<NetId> nets;
        for (const NetId net : part.net_of_pin)
            if (net >= 0 && (wiring.nets[net].ground || !wiring.nets[net].rail.empty()) &&
                std::ranges::find(nets, net) == nets.end())
                nets.push_back(net);
        for (const NetId net : nets) {
            std::vector<std::string> pins;
            for (int k = 0; k < static_cast<int>(part.net_of_pin.size()); ++k) {
                const PinRole role = part.type->pins[k].role;
                const bool power = role == PinRole::supply || role == PinRole::ground;
                if (part.net_of_pin[k] == net && (power || logic))
                    pins.push_back(pin_words(wiring, p, k, placement));
            }
            if (!pins.empty())
                out.push_back({{OhmCheck::Kind::joined,
                                fmt::format("{}", fmt::join(pins, ", ")),
                                wiring.nets[net].name,
                                {},
                                "Open: a missing wire, a folded pin, a strip that is not bridged."},
                               net,
                               net});
        }
    }
}

void resistors(const Wiring& wiring, std::vector<Pair>& out) {
    for (const WiredPart& part : wiring.parts) {
        if (part.type->kind != PartKind::resistor || !part.value || part.net_of_pin.size() < 2) continue;
        const NetId a = part.net_of_pin[0], b = part.net_of_pin[1];
        if (a < 0 || b < 0 || a == b) continue;
        out.push_back({{OhmCheck::Kind::part,
                        fmt::format("{} ({})", part.name, print(Ohms{*part.value})),
                        "from end to end",
                        {},
                        "0 Ω: both leads in one row. Open: a lead beside its row. Else: another value."},
                       a,
                       b});
    }
}

}  // namespace

std::vector<OhmCheck> ohm_checks(const Bench& bench, const PlacedWiring& placed) {
    std::vector<Pair> pairs;
    rails(bench, placed.wiring, pairs);
    joined(placed.wiring, placed.placement, pairs);
    resistors(placed.wiring, pairs);
    std::vector<std::pair<NetId, NetId>> nets;
    for (const Pair& pair : pairs) nets.emplace_back(pair.a, pair.b);
    const std::vector<ResistanceWindow> windows = resistances(bench, placed.wiring, nets);
    std::vector<OhmCheck> out;
    for (size_t k = 0; k < pairs.size(); ++k) {
        pairs[k].check.window = windows[k];
        out.push_back(std::move(pairs[k].check));
    }
    return out;
}

std::string window_words(const OhmCheck& check) {
    if (check.kind == OhmCheck::Kind::joined) return "below 1 Ω";
    if (check.window.open()) return fmt::format("open: over {}", print(meter_open));
    const std::string lo = print(Ohms{check.window.lo}), hi = print(Ohms{check.window.hi});
    if (check.kind == OhmCheck::Kind::rail || check.window.hi >= meter_open.si()) return "over " + lo;
    return lo == hi ? lo : fmt::format("{} to {}", lo, hi);
}

}  // namespace voltsill
