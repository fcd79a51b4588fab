#include "planning/assembly.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "wiring/decoupling.h"

namespace voltsill {
namespace {

NetId rail_of_supply(const WiredPart& part, int supply) {
    for (size_t k = 0; k < part.type->pins.size(); ++k)
        if (part.type->pins[k].role == PinRole::supply && part.type->pins[k].supply == supply)
            return part.net_of_pin[k];
    return unconnected;
}

/// Enable and second reference joined and fed through 200 kΩ from the higher rail (PCA9306 class).
void bias_pass_gate(const Bench& bench, Wiring& w, int index, const std::string& high_rail) {
    const NetId bias = w.add_net(w.parts[index].name + " bias");
    const auto type = w.parts[index].type;
    for (size_t k = 0; k < type->pins.size(); ++k)
        if (type->pins[k].role == PinRole::supply && type->pins[k].supply == 1)
            w.parts[index].net_of_pin[k] = bias;
    for (int pin : type->channels[0].enables) w.parts[index].net_of_pin[pin] = bias;
    add_resistor(bench, w, 200e3, w.rail(high_rail), bias, "bias of " + w.parts[index].name);
}

void strap_controls(Wiring& w, int index, bool b_to_a) {
    WiredPart& part = w.parts[index];
    for (const Channel& c : part.type->channels) {
        for (size_t e = 0; e < c.enables.size(); ++e)
            if (part.net_of_pin[c.enables[e]] == unconnected)
                part.net_of_pin[c.enables[e]] =
                    c.enable_high[e] ? rail_of_supply(part, part.type->pins[c.enables[e]].supply)
                                     : w.ground();
        if (c.direction >= 0 && part.net_of_pin[c.direction] == unconnected)
            part.net_of_pin[c.direction] =
                b_to_a ? w.ground() : rail_of_supply(part, part.type->pins[c.direction].supply);
    }
}

}  // namespace

int add_ic(const Bench& bench, Wiring& w, const Recipe& recipe) {
    const int index = w.add_part("U", recipe.ic, recipe.ic->title);
    for (const Package& package : recipe.ic->packages)
        if (package.fits_board) {
            w.parts[index].package = &package;
            break;
        }
    for (size_t k = 0; k < recipe.ic->pins.size(); ++k) {
        const Pin& pin = recipe.ic->pins[k];
        if (pin.role == PinRole::ground) w.parts[index].net_of_pin[k] = w.ground();
        if (pin.role == PinRole::supply)
            for (const auto& [port, rail] : recipe.ic_rails)
                if (recipe.ic->supplies[pin.supply].name == port) w.parts[index].net_of_pin[k] = w.rail(rail);
    }
    if (recipe.ic->channels[0].logic == ChannelLogic::pass_gate)
        bias_pass_gate(bench, w, index, recipe.ic_rails.back().second);
    strap_controls(w, index, recipe.b_to_a);
    return index;
}

void apply(Wiring& w, const Recipe& recipe, NetId driver, NetId receiver, ChannelSlot slot) {
    for (const std::string& pull : recipe.pulls_removed) {
        const size_t dot = pull.find('.');
        w.parts[w.part(pull.substr(0, dot))].pulls_removed.push_back(pull.substr(dot + 1));
    }
    if (slot.part >= 0) {
        const Channel& c = w.parts[slot.part].type->channels[slot.channel];
        w.parts[slot.part].net_of_pin[c.inputs[0]] = recipe.b_to_a ? receiver : driver;
        w.parts[slot.part].net_of_pin[c.output] = recipe.b_to_a ? driver : receiver;
    }
    if (recipe.assemble) recipe.assemble(w, driver, receiver);
}

void finish_ic(const Bench& bench, Wiring& w, int index) {
    const auto type = w.parts[index].type;
    const bool backwards = type->channels[0].direction >= 0 &&
                           w.parts[index].net_of_pin[type->channels[0].direction] == w.ground();
    for (const Channel& c : type->channels) {
        auto& nets = w.parts[index].net_of_pin;
        if (type->kind == PartKind::op_amp) {
            if (nets[c.inputs[0]] == unconnected) nets[c.inputs[0]] = w.ground();
            if (nets[c.output] == unconnected)
                nets[c.output] = w.add_net(fmt::format("{} spare {}", w.parts[index].name, c.name));
            if (nets[c.inputs[1]] == unconnected) nets[c.inputs[1]] = nets[c.output];
        } else if (backwards) {
            if (nets[c.output] == unconnected) nets[c.output] = w.ground();
        } else if (c.logic != ChannelLogic::pass_gate && c.logic != ChannelLogic::auto_open_drain &&
                   c.logic != ChannelLogic::repeater) {
            for (int pin : c.inputs)
                if (nets[pin] == unconnected) nets[pin] = w.ground();
        }
    }
    for (int s = 0; s < static_cast<int>(type->supplies.size()); ++s) {
        const NetId rail = rail_of_supply(w.parts[index], s);
        if (!type->supplies[s].needs_decoupling || rail == unconnected || w.nets[rail].rail.empty()) continue;
        const auto capacitors = types_of(bench, PartKind::capacitor);
        if (capacitors.empty()) return;  // hidden by a type of the bench
        const int c =
            w.add_part("C", capacitors.front(), decoupling_purpose(w.parts[index].name, type->supplies[s].name));
        w.parts[c].value = 100e-9;
        w.parts[c].net_of_pin = {rail, w.ground()};
    }
}

namespace {

Side side_of(const Bench& bench, const PinRef& ref) {
    Side side;
    for (size_t p = 0; p < bench.parts.size(); ++p)
        if (bench.parts[p].name == ref.part) side.part = static_cast<int>(p);
    side.bench_part = &bench.parts[side.part];
    const PartType& type = *side.bench_part->type;
    side.pin = type.pin_index(ref.pin);
    side.facts = &type.pins[side.pin];
    if (side.facts->supply < 0) return side;
    const SupplyPort& port = type.supplies[side.facts->supply];
    for (const auto& [name, rail] : side.bench_part->supplies)
        if (name == port.name) side.rail = rail;
    for (const Rail& rail : bench.rails)  // a rail the part makes itself
        if (rail.from == side.bench_part->name + "." + port.name) side.rail = rail.name;
    if (const Rail* rail = bench.rail(side.rail)) side.volts = rail->volts.span;
    return side;
}

/// Ends of a bus on the driver's own rail share its net, and its pull-ups, when other ends are elsewhere.
void join_beside(std::vector<Side>& from, std::vector<Side>& others) {
    const auto beside = [&](const Side& s) { return s.rail == from.front().rail; };
    if (std::ranges::all_of(others, beside)) return;
    for (Side& s : others)
        if (beside(s)) from.push_back(s);
    std::erase_if(others, beside);
}

bool pushes_high(const Side& s) {
    return s.facts->role == PinRole::push_pull || s.facts->role == PinRole::three_state ||
           s.facts->role == PinRole::io;
}

/// Drivers that push high from another rail than the others: joined, each would feed the other's rail, and a
/// buffer with its enable strapped would speak while the other does. Those on the receivers' rail stay,
/// else those on the first driver's.
std::vector<Side> take_foreign(std::vector<Side>& from, const std::vector<Side>& others) {
    const auto on = [](const std::string& rail) { return [&rail](const Side& s) { return s.rail == rail; }; };
    const bool beside = std::ranges::any_of(from, on(others.front().rail));
    const std::string home = beside ? others.front().rail : from.front().rail;
    const auto foreign = [&](const Side& s) { return pushes_high(s) && s.rail != home; };
    std::vector<Side> taken;
    std::ranges::copy_if(from, std::back_inserter(taken), foreign);
    std::erase_if(from, foreign);
    return taken;
}

}  // namespace

std::vector<Crossing> crossings_of(const Bench& bench) {
    std::vector<Crossing> out;
    for (const Link& link : bench.links) {
        std::vector<Side> from, others;
        for (const PinRef& ref : link.from) {
            Side side = side_of(bench, ref);
            const bool joins = from.empty() || side.rail == from.front().rail || link.kind == LinkKind::logic;
            (joins ? from : others).push_back(std::move(side));
        }
        for (const PinRef& ref : link.to) others.push_back(side_of(bench, ref));
        if (link.kind == LinkKind::open_drain) join_beside(from, others);
        const std::vector<Side> foreign =
            link.kind == LinkKind::logic ? take_foreign(from, others) : std::vector<Side>{};
        for (const Side& s : foreign)
            out.push_back({.bench = &bench,
                           .link = &link,
                           .from = {s},
                           .to = others,
                           .refusal = fmt::format("two drivers on rails {} and {}: give the one on {} a "
                                                  "buffer that is released while the other speaks",
                                                  from.front().rail, s.rail, s.rail)});
        std::vector<std::string> rails;
        for (const Side& s : others)
            if (std::ranges::find(rails, s.rail) == rails.end()) rails.push_back(s.rail);
        for (const std::string& rail : rails) {
            Crossing c{.bench = &bench, .link = &link, .from = from};
            for (const Side& s : others)
                if (s.rail == rail) c.to.push_back(s);
            out.push_back(std::move(c));
        }
    }
    return out;
}

NetId net_for(Wiring& w, const std::vector<Side>& sides, const std::string& name) {
    NetId net = unconnected;
    for (const Side& s : sides) {
        const int p = w.part(s.bench_part->name);
        if (const NetId there = w.parts[p].net_of_pin[s.pin]; there != unconnected) net = there;
    }
    if (net == unconnected) net = w.add_net(name);
    for (const Side& s : sides) {
        const int p = w.part(s.bench_part->name);
        if (w.parts[p].net_of_pin[s.pin] != net) {
            if (w.parts[p].net_of_pin[s.pin] != unconnected) w.merge(net, w.parts[p].net_of_pin[s.pin]);
            w.parts[p].net_of_pin[s.pin] = net;
        }
    }
    return net;
}

}  // namespace voltsill
