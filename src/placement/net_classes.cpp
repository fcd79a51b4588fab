#include "placement/net_classes.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <string>

namespace voltsill {
namespace {

std::string bus_name(const Wiring& wiring, NetId net) {
    if (net == unconnected) return "open";
    return wiring.nets[net].ground ? "ground" : wiring.nets[net].rail;
}

std::string pin_words(const Wiring& wiring, const WiredPart& part, std::size_t pin) {
    const Pin& at = part.type->pins[pin];
    std::string words = fmt::format("{} {} {}", part.type->name, to_word(at.role), part.value.value_or(0));
    for (std::size_t k = 0; k < part.type->pins.size(); ++k) {
        const bool supply = part.type->pins[k].role == PinRole::supply && part.type->pins[k].supply == at.supply;
        const bool other_lead = part.type->supplies.empty() && k != pin;
        if (supply || other_lead) words += " " + bus_name(wiring, part.net_of_pin[k]);
    }
    return words;
}

}  // namespace

std::vector<int> net_classes(const Wiring& wiring) {
    std::vector<std::vector<std::string>> pins(wiring.nets.size());
    for (const WiredPart& part : wiring.parts)
        for (std::size_t k = 0; k < part.net_of_pin.size(); ++k)
            if (const NetId net = part.net_of_pin[k]; net != unconnected)
                pins[net].push_back(pin_words(wiring, part, k));
    std::map<std::vector<std::string>, int> known;
    std::vector<int> classes;
    for (std::size_t n = 0; n < wiring.nets.size(); ++n) {
        const std::string bus = bus_name(wiring, static_cast<NetId>(n));
        if (!bus.empty()) pins[n] = {"bus " + bus};  // a rail is like no other net
        std::ranges::sort(pins[n]);
        classes.push_back(known.emplace(pins[n], static_cast<int>(known.size())).first->second);
    }
    return classes;
}

}  // namespace voltsill
