/// A part type as a document. What a part does not state is left out, so that a reader can tell
/// "not stated" from zero.
#include <algorithm>

#include "engine/json_pieces.h"
#include "parts/words.h"

namespace voltsill {
namespace {

Json provenance_json(const Provenance& origin) {
    Json out = Json::object();
    append_provenance(out, origin);
    return out;
}

Json supply_json(const SupplyPort& port) {
    Json out = {{"name", port.name},
                {"range", json_of(port.range)},
                {"max", json_of(port.max)},
                {"min", json_of(port.min)},
                {"current", json_of(port.current)},
                {"needs_decoupling", port.needs_decoupling},
                {"provides", port.provides ? json_of(*port.provides) : Json(nullptr)},
                {"needs_at_most", name_or_null(port.needs_at_most)}};
    if (port.provides) out["provides_limit"] = json_of(port.provides_limit);
    if (port.max > Volts{}) out["max_origin"] = provenance_json(port.max_origin);
    out["origin"] = provenance_json(port.origin);
    return out;
}

std::string_view logic_word(ChannelLogic logic) {
    for (const auto& [word, meaning] : logic_words())
        if (meaning == logic) return word;
    return {};
}

Json channel_json(const PartType& type, const Channel& channel) {
    const auto pin_name = [&](int pin) { return pin < 0 ? Json(nullptr) : Json(type.pins[pin].name); };
    Json inputs = Json::array(), enables = Json::array();
    for (int pin : channel.inputs) inputs.push_back(pin_name(pin));
    for (size_t k = 0; k < channel.enables.size(); ++k)
        enables.push_back(
            {{"pin", pin_name(channel.enables[k])}, {"active", channel.enable_high[k] ? "high" : "low"}});
    return {{"name", channel.name},          {"logic", logic_word(channel.logic)},
            {"inputs", std::move(inputs)},   {"output", pin_name(channel.output)},
            {"enables", std::move(enables)}, {"direction", pin_name(channel.direction)}};
}

Json package_json(const PartType& type, const Package& package) {
    Json pins = Json::array();
    for (int pin : package.pin_of_number) pins.push_back(pin < 0 ? Json(nullptr) : Json(type.pins[pin].name));
    return {{"name", package.name}, {"pins", std::move(pins)}, {"fits_board", package.fits_board}};
}

}  // namespace

Json part_json(const PartType& type) {
    Json supplies = Json::array(), pins = Json::array(), channels = Json::array(), packages = Json::array();
    for (const SupplyPort& port : type.supplies) supplies.push_back(supply_json(port));
    for (const Pin& pin : type.pins) pins.push_back(pin_json(type, pin));
    for (const Channel& channel : type.channels) channels.push_back(channel_json(type, channel));
    for (const Package& package : type.packages) packages.push_back(package_json(type, package));
    const bool rated = type.rate_max.si() > 0;
    return {{"name", type.name},
            {"title", type.title},
            {"kind", to_word(type.kind)},
            {"family", name_or_null(type.family)},
            {"function", name_or_null(type.function)},
            {"supplies", std::move(supplies)},
            {"pins", std::move(pins)},
            {"channels", std::move(channels)},
            {"packages", std::move(packages)},
            {"model", model_json(type.model)},
            {"rate_max", rated ? json_of(type.rate_max) : Json(nullptr)},
            {"supply_current_max", json_of(type.supply_current_max)},
            {"price", type.price},
            {"invented", type.invented},
            {"note", type.note},
            {"origin", provenance_json(type.origin)}};
}

Json pin_trait_json(const PinTrait& trait) {
    return {{"name", trait.name},
            {"like", name_or_null(trait.like)},
            {"pin", pin_json(trait.part, trait.pin())},
            {"origin", provenance_json(trait.part.origin)}};
}

}  // namespace voltsill
