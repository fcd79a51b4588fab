#include <fmt/format.h>

#include <algorithm>
#include <span>

#include "parts/defaults.h"
#include "parts/part_build.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

constexpr std::string_view supply_names[] = {"VCC", "VDD", "VCCA", "VCCB"};
constexpr std::string_view ground_names[] = {"GND", "VSS"};

bool among(std::span<const std::string_view> names, std::string_view name) {
    return std::ranges::find(names, name) != names.end();
}

bool holds(const PinList& list, std::string_view name) {
    return std::ranges::find(list.words, name, &Word::text) != list.words.end();
}

/// The nearest layer that gives the member; null if none does.
template <class Layers, class M>
const M* nearest(const Layers& layers, std::optional<M> FamilyPart::*member) {
    for (auto layer = layers.rbegin(); layer != layers.rend(); ++layer)
        if (layer->part->*member) return &*(layer->part->*member);
    return nullptr;
}

std::vector<std::string> names_of(const Functions& functions) {
    std::vector<std::string> names;
    for (const auto& [name, function] : functions) names.push_back(name);
    return names;
}

}  // namespace

const LogicBuilder::Skeleton& LogicBuilder::skeleton(const std::string& name,
                                                     const FunctionRecord& function) {
    const auto known = skeletons_.find(name);
    if (known != skeletons_.end()) return known->second;
    return skeletons_.emplace(name, make_skeleton(name, function)).first->second;
}

LogicBuilder::Skeleton LogicBuilder::make_skeleton(const std::string& name, const FunctionRecord& function) {
    Skeleton s;
    const std::size_t mistakes_before = mistakes_.count();
    s.type.function = name;
    if (function.packages.empty()) {
        s.good = false;
        return s;
    }
    for (const Word& word : function.packages.front().value.words) {
        if (word.text == "-" || std::ranges::find(s.type.pins, word.text, &Pin::name) != s.type.pins.end())
            continue;
        const PinRole role = among(supply_names, word.text)   ? PinRole::supply
                             : among(ground_names, word.text) ? PinRole::ground
                                                              : PinRole::passive;
        s.type.pins.push_back({.name = word.text, .role = role});
    }
    for (const auto& [names, place, list] : function.packages)
        for (const std::string& package : split_words(names))
            s.type.packages.push_back(make_package(package, list, s.type, mistakes_));
    s.type.channels = make_channels(function.channels, s.type, mistakes_);
    s.good = mistakes_.count() == mistakes_before;
    if (s.good) set_uses(s, function);
    return s;
}

/// What each pin is used for, from the channels that name it.
void LogicBuilder::set_uses(Skeleton& s, const FunctionRecord& function) {
    std::vector<bool> in(s.type.pins.size()), out(s.type.pins.size());
    const auto mark = [](std::vector<bool>& marks, int pin) {
        if (pin >= 0) marks[pin] = true;
    };
    for (const Channel& c : s.type.channels) {
        const bool two_way = c.logic == ChannelLogic::transceiver;
        for (int pin : c.inputs) mark(in, pin);
        for (int pin : c.enables) mark(in, pin);
        mark(in, c.direction);
        mark(out, c.output);
        if (two_way) mark(out, c.inputs[0]), mark(in, c.output);
    }
    const auto mark_list = [&](const PinList& list, std::vector<bool>& marks) {
        for (const Word& word : list.words) {
            const int pin = s.type.pin_index(word.text);
            mark(marks, pin);
            if (pin < 0)
                mistakes_.error(word.place, "unknown-pin",
                                "this function has no pin " + in_quotes(word.text));
        }
    };
    mark_list(function.controls, in);
    mark_list(function.outputs, out);
    for (std::size_t i = 0; i < s.type.pins.size(); ++i) {
        const PinRole role = s.type.pins[i].role;
        if (role == PinRole::passive && !in[i] && !out[i]) {
            s.good = false;
            mistakes_.error(
                function.place, "pin-without-use",
                "pin " + in_quotes(s.type.pins[i].name) + " is in no channel and not among the controls",
                "every pin in a channel, in controls or in outputs");
        }
        s.uses.push_back(role == PinRole::supply   ? Use::supply
                         : role == PinRole::ground ? Use::ground
                         : in[i] && out[i]         ? Use::both
                         : out[i]                  ? Use::output
                                                   : Use::input);
    }
}

Types LogicBuilder::build(const std::string& name, const FamilyRecord& family) {
    const Provenance origin = inherited(defaults::unstated, family);
    for (const auto& [functions, place, part] : family.exceptions)
        for (const std::string& function : split_words(functions))
            if (std::ranges::find(family.functions.words, function, &Word::text) ==
                family.functions.words.end())
                mistakes_.error(place, "unknown-function", "the family is not made as " + in_quotes(function),
                                "functions that the family lists");
    Types types;
    for (const Word& function : family.functions.words) {
        const auto known = functions_.find(function.text);
        if (known == functions_.end()) {
            mistakes_.unknown_name(function.place, "unknown-function",
                                   "there is no function " + in_quotes(function.text), function.text,
                                   names_of(functions_));
            continue;
        }
        if (!skeleton(function.text, *known->second).good) continue;
        std::vector<Layer> layers{{&family, origin}};
        for (const auto& [functions, place, part] : family.exceptions)
            if (const auto words = split_words(functions);
                std::ranges::find(words, function.text) != words.end())
                layers.push_back({&part, inherited(origin, part)});
        types.push_back(std::make_shared<const PartType>(build_one(name, layers, function)));
    }
    return types;
}

PartType LogicBuilder::build_one(const std::string& family, const std::vector<Layer>& layers,
                                 const Word& word) {
    const FunctionRecord& function = *functions_.find(word.text)->second;
    const Skeleton& s = skeleton(word.text, function);
    PartType type = s.type;
    type.name = family + " " + word.text;
    type.family = family;
    type.kind = PartKind::logic;
    type.origin = layers.back().origin;
    const std::string* title = nearest(layers, &FamilyPart::title);
    type.title = function.title + (title ? "; " + *title : "");
    const std::string* note = nearest(layers, &FamilyPart::note);
    type.note = function.note.value_or("") + (function.note && note ? "; " : "") + (note ? *note : "");
    if (const auto* rate = nearest(layers, &FamilyPart::rate_max)) type.rate_max = *rate;
    if (function.rate_max) type.rate_max = *function.rate_max;
    if (const auto* price = nearest(layers, &FamilyPart::price)) type.price = *price;
    for (const Layer& layer : layers)
        if (layer.part->package_current_max)
            type.supply_current_max = {*layer.part->package_current_max,
                                       inherited(layer.origin, *layer.part, "package_current_max")};
    if (!add_supplies(type, layers, word)) return type;

    for (std::size_t i = 0; i < type.pins.size(); ++i) {
        Pin& pin = type.pins[i];
        const bool on_b = holds(function.side_b, pin.name);
        if (s.uses[i] == Use::supply) {
            pin.supply = type.supply_index(pin.name);
        } else if (s.uses[i] != Use::ground) {
            pin.supply = on_b ? type.supply_index("VCCB") : 0;
            const Pin input = input_pin(layers, function.schmitt, pin, type);
            if (s.uses[i] == Use::input) {
                pin = input;
                continue;
            }
            pin = output_pin(layers, function.output, s.uses[i] == Use::both ? input : pin, type);
            if (s.uses[i] != Use::both || pin.clamp_to_supply) continue;
            // While it listens, a pin without a diode to its supply bears what an input bears.
            pin.max = input.max, pin.max_unpowered = input.max_unpowered;
            pin.range_min = input.range_min, pin.range_max = input.range_max;
            pin.limits_origin = input.limits_origin, pin.range_origin = input.range_origin;
        }
    }
    for (const Channel& channel : type.channels)
        if (!channel.enables.empty() && type.pins[channel.output].role == PinRole::push_pull)
            type.pins[channel.output].role = PinRole::three_state;
    keep_packages(type, layers, word);
    return type;
}

bool LogicBuilder::add_supplies(PartType& type, const std::vector<Layer>& layers, const Word& function) {
    using Member = std::optional<SupplyRecord> FamilyPart::*;
    const auto add = [&](const std::string& name, Member member) {
        if (type.pin_index(name) < 0) return;
        SupplyPort port{.name = name};
        for (const Layer& layer : layers)
            if (layer.part->*member) lay_supply(port, *(layer.part->*member), layer.origin);
        if (nearest(layers, member)) type.supplies.push_back(std::move(port));
    };
    add("VCC", &FamilyPart::supply);
    add("VDD", &FamilyPart::supply);
    add("VCCA", &FamilyPart::supply_a);
    add("VCCB", &FamilyPart::supply_b);
    for (const Pin& pin : type.pins) {
        if (pin.role != PinRole::supply || type.supply_index(pin.name) >= 0) continue;
        mistakes_.error(function.place, "supply-missing",
                        fmt::format("{} has a pin {}, and the family says nothing about this supply",
                                    function.text, pin.name),
                        "supply, or supply_a and supply_b for VCCA and VCCB");
        return false;
    }
    return true;
}

Pin LogicBuilder::input_pin(const std::vector<Layer>& layers, bool schmitt, const Pin& start,
                            const PartType& type) {
    PinLayers inputs, bands;
    for (const Layer& layer : layers) {
        if (layer.part->input) pins_.collect(*layer.part->input, layer.origin, inputs);
        if (schmitt && layer.part->schmitt) pins_.collect(*layer.part->schmitt, layer.origin, bands);
    }
    Pin pin = start;
    pin.role = PinRole::input;
    pin = pins_.build(pin, inputs, type.supplies);
    if (bands.empty()) return pin;
    pin.thresholds.clear();
    pin.transition.clear();
    return pins_.build(pin, bands, type.supplies);
}

Pin LogicBuilder::output_pin(const std::vector<Layer>& layers, OutputGroup group, Pin start,
                             const PartType& type) {
    struct Choice {
        PinRole role;
        std::optional<PinRecord> FamilyPart::*member;
    };
    const Choice choice = group == OutputGroup::bus ? Choice{PinRole::three_state, &FamilyPart::bus}
                          : group == OutputGroup::open_drain
                              ? Choice{PinRole::open_drain, &FamilyPart::open_drain}
                              : Choice{PinRole::push_pull, nullptr};
    PinLayers outputs;
    for (const Layer& layer : layers) {
        if (layer.part->output) pins_.collect(*layer.part->output, layer.origin, outputs);
        if (choice.member && layer.part->*choice.member)
            pins_.collect(*(layer.part->*choice.member), layer.origin, outputs);
    }
    start.role = choice.role;
    Pin pin = pins_.build(std::move(start), outputs, type.supplies);
    if (pin.role == PinRole::push_pull) pin.role = choice.role;
    if (pin.role == PinRole::open_drain) pin.high.clear();
    return pin;
}

void LogicBuilder::keep_packages(PartType& type, const std::vector<Layer>& layers, const Word& function) {
    const WordList* kinds = nearest(layers, &FamilyPart::packages);
    if (!kinds) return;
    std::erase_if(type.packages, [&](const Package& package) {
        return std::ranges::none_of(kinds->words, [&](const Word& kind) {
            return kind.text == package.name || kind.text == package_kind(package.name);
        });
    });
    if (type.packages.empty())
        mistakes_.error(
            function.place, "no-package",
            fmt::format("none of the packages of {} is a kind that the family lists", function.text));
}

}  // namespace voltsill
