#include "parts/defaults.h"

namespace voltsill::defaults {

Clamps clamps_of(const Pin& pin) {
    switch (pin.role) {
        case PinRole::supply:
        case PinRole::ground:
        case PinRole::passive:
        case PinRole::load:
        case PinRole::no_connect:
            return Clamps::none;
        case PinRole::open_drain:
        case PinRole::open_drain_io:
            if (!pin.max) return Clamps::ground;
            break;
        default:
            break;
    }
    return pin.max && pin.max->ratio == 0.0 ? Clamps::ground : Clamps::both;
}

void complete(Pin& pin, bool clamps_stated) {
    if (!clamps_stated) {
        const Clamps clamps = clamps_of(pin);
        pin.clamp_to_supply = clamps == Clamps::both;
        pin.clamp_to_ground = clamps != Clamps::none;
    }
    if ((pin.clamp_to_supply || pin.clamp_to_ground) && !pin.clamp_forward.known())
        pin.clamp_forward = {clamp_forward, assumed};
}

void complete(PartType& type) {
    if (auto* bjt = std::get_if<BjtModel>(&type.model); bjt && !bjt->vbe.known())
        bjt->vbe = {base_emitter, practice};
    if (auto* mosfet = std::get_if<MosfetModel>(&type.model); mosfet && !mosfet->body_forward.known())
        mosfet->body_forward = {body_diode, practice};
}

}  // namespace voltsill::defaults
