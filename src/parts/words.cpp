#include "parts/words.h"

#include <algorithm>

namespace voltsill {
namespace {

template <class E>
std::string_view word_for(const Words<E>& words, E value) {
    const auto found = std::ranges::find(words, value, &std::pair<std::string, E>::second);
    return found == words.end() ? std::string_view() : std::string_view(found->first);
}

}  // namespace

const Words<PinRole>& role_words() {
    static const Words<PinRole> words = {
        {"supply", PinRole::supply},
        {"ground", PinRole::ground},
        {"input", PinRole::input},
        {"push-pull", PinRole::push_pull},
        {"three-state", PinRole::three_state},
        {"open-drain", PinRole::open_drain},
        {"open-source", PinRole::open_source},
        {"io", PinRole::io},
        {"open-drain io", PinRole::open_drain_io},
        {"analog input", PinRole::analog_input},
        {"analog output", PinRole::analog_output},
        {"load", PinRole::load},
        {"passive", PinRole::passive},
        {"no connect", PinRole::no_connect},
    };
    return words;
}

const Words<PartKind>& kind_words() {
    static const Words<PartKind> words = {
        {"module", PartKind::module},         {"logic", PartKind::logic},
        {"resistor", PartKind::resistor},     {"capacitor", PartKind::capacitor},
        {"diode", PartKind::diode},           {"bjt", PartKind::bjt},
        {"mosfet", PartKind::mosfet},         {"opto", PartKind::opto},
        {"comparator", PartKind::comparator}, {"op_amp", PartKind::op_amp},
        {"translator", PartKind::translator},
    };
    return words;
}

const Words<ChannelLogic>& logic_words() {
    static const Words<ChannelLogic> words = {
        {"buffer", ChannelLogic::buffer},
        {"inverter", ChannelLogic::inverter},
        {"and", ChannelLogic::and_},
        {"nand", ChannelLogic::nand},
        {"or", ChannelLogic::or_},
        {"nor", ChannelLogic::nor},
        {"xor", ChannelLogic::xor_},
        {"transceiver", ChannelLogic::transceiver},
        {"pass-gate", ChannelLogic::pass_gate},
        {"auto push-pull", ChannelLogic::auto_push_pull},
        {"auto open-drain", ChannelLogic::auto_open_drain},
        {"repeater", ChannelLogic::repeater},
    };
    return words;
}

const Words<Certainty>& certainty_words() {
    static const Words<Certainty> words = {
        {"guaranteed", Certainty::guaranteed},
        {"standard", Certainty::standard},
        {"measured", Certainty::measured},
        {"typical", Certainty::typical},
        {"common practice", Certainty::common_practice},
        {"assumed", Certainty::assumed},
    };
    return words;
}

std::string_view to_word(PinRole role) { return word_for(role_words(), role); }
std::string_view to_word(PartKind kind) { return word_for(kind_words(), kind); }

}  // namespace voltsill
