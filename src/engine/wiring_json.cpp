/// A wiring as a document: the nets with their pins, the parts with their nets, every wire to lay.

#include "engine/json_pieces.h"

namespace voltsill {
namespace {

Json nets_json(const Wiring& wiring) {
    Json out = Json::array();
    for (size_t n = 0; n < wiring.nets.size(); ++n) {
        const Net& net = wiring.nets[n];
        Json pins = Json::array();
        for (const WiredPart& part : wiring.parts)
            for (size_t k = 0; k < part.net_of_pin.size(); ++k)
                if (part.net_of_pin[k] == static_cast<NetId>(n))
                    pins.push_back({{"part", part.name}, {"pin", part.type->pins[k].name}});
        out.push_back({{"name", net.name},
                       {"rail", name_or_null(net.rail)},
                       {"ground", net.ground},
                       {"pins", std::move(pins)}});
    }
    return out;
}

Json numbers_of_pin(const WiredPart& part, int pin) {
    Json out = Json::array();
    if (!part.package) return out;
    for (size_t n = 0; n < part.package->pin_of_number.size(); ++n)
        if (part.package->pin_of_number[n] == pin) out.push_back(n + 1);
    return out;
}

Json pins_json(const Wiring& wiring, const WiredPart& part) {
    Json out = Json::array();
    for (size_t k = 0; k < part.net_of_pin.size(); ++k) {
        const NetId net = part.net_of_pin[k];
        out.push_back({{"pin", part.type->pins[k].name},
                       {"numbers", numbers_of_pin(part, static_cast<int>(k))},
                       {"net", net == unconnected ? Json(nullptr) : Json(wiring.nets[net].name)}});
    }
    return out;
}

/// Channels of an added part that lead nowhere: their outputs are open.
Json spare_channels(const WiredPart& part) {
    Json out = Json::array();
    if (!part.added) return out;
    for (const Channel& channel : part.type->channels)
        if (channel.output >= 0 && part.net_of_pin[channel.output] == unconnected)
            out.push_back(channel.name);
    return out;
}

Json wired_part_json(const Wiring& wiring, const WiredPart& part) {
    return {{"name", part.name},
            {"type", part.type->name},
            {"package", part.package ? Json(part.package->name) : Json(nullptr)},
            {"value", value_json(*part.type, part.value)},
            {"tolerance", quantity_json(Dimension::ratio, part.tolerance)},
            {"pulls_removed", part.pulls_removed},
            {"added", part.added},
            {"purpose", part.purpose},
            {"for_link", name_or_null(part.for_link)},
            {"pins", pins_json(wiring, part)},
            {"spare_channels", spare_channels(part)}};
}

}  // namespace

Json wiring_json(const Wiring& wiring) {
    Json parts = Json::array(), wires = Json::array(), wanted = Json::array();
    for (const WiredPart& part : wiring.parts) parts.push_back(wired_part_json(wiring, part));
    for (const WireListEntry& wire : wire_list(wiring))
        wires.push_back({{"from", wire.from}, {"to", wire.to}, {"net", wire.net}, {"reason", wire.reason}});
    for (const PartsListEntry& entry : parts_list(wiring))
        wanted.push_back(
            {{"what", entry.what}, {"count", entry.count}, {"spares", entry.spares}, {"names", entry.names}});
    return {{"direct", wiring.direct},
            {"nets", nets_json(wiring)},
            {"parts", std::move(parts)},
            {"wires", std::move(wires)},
            {"parts_list", std::move(wanted)}};
}

}  // namespace voltsill
