#include "wiring/wiring.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <set>

namespace voltsill {

NetId Wiring::ground() const {
    for (size_t i = 0; i < nets.size(); ++i)
        if (nets[i].ground) return static_cast<NetId>(i);
    return unconnected;
}

NetId Wiring::rail(std::string_view name) const {
    for (size_t i = 0; i < nets.size(); ++i)
        if (!nets[i].rail.empty() && nets[i].rail == name) return static_cast<NetId>(i);
    return unconnected;
}

NetId Wiring::add_net(std::string name) {
    nets.push_back({.name = std::move(name)});
    return static_cast<NetId>(nets.size()) - 1;
}

int Wiring::part(std::string_view name) const {
    for (size_t i = 0; i < parts.size(); ++i)
        if (parts[i].name == name) return static_cast<int>(i);
    return -1;
}

NetId Wiring::net_at(std::string_view part_name, std::string_view pin) const {
    const int p = part(part_name);
    if (p < 0) return unconnected;
    const int k = parts[p].type->pin_index(pin);
    return k < 0 ? unconnected : parts[p].net_of_pin[k];
}

std::string Wiring::fresh_name(std::string_view prefix) const {
    std::set<int> taken;
    for (const WiredPart& p : parts) {
        if (!p.name.starts_with(prefix)) continue;
        const std::string_view number = std::string_view(p.name).substr(prefix.size());
        int n = 0;
        if (std::from_chars(number.begin(), number.end(), n).ptr == number.end()) taken.insert(n);
    }
    int n = 1;
    while (taken.contains(n)) ++n;
    return fmt::format("{}{}", prefix, n);
}

int Wiring::add_part(std::string_view prefix, std::shared_ptr<const PartType> type, std::string purpose) {
    WiredPart added;
    added.name = fresh_name(prefix);
    added.type = std::move(type);
    added.package = Catalogue::package_in(*added.type, added.type->name);
    added.net_of_pin.assign(added.type->pins.size(), unconnected);
    added.purpose = std::move(purpose);
    added.added = true;
    parts.push_back(std::move(added));
    return static_cast<int>(parts.size()) - 1;
}

void Wiring::connect(int part_index, std::string_view pin, NetId net) {
    WiredPart& p = parts[part_index];
    const int k = p.type->pin_index(pin);
    if (k < 0) return;
    if (p.net_of_pin[k] != unconnected && p.net_of_pin[k] != net)
        merge(net, p.net_of_pin[k]);
    else
        p.net_of_pin[k] = net;
}

void Wiring::merge(NetId kept, NetId gone) {
    if (kept == gone || gone == unconnected) return;
    // A rail or the ground keeps its identity whichever side it comes from.
    if ((nets[gone].ground || !nets[gone].rail.empty()) && !nets[kept].ground && nets[kept].rail.empty())
        std::swap(nets[kept], nets[gone]);
    for (WiredPart& p : parts)
        for (NetId& n : p.net_of_pin)
            if (n == gone) n = kept;
}

namespace {

WiredPart as_wired(const BenchPart& part) {
    WiredPart wired;
    wired.name = part.name;
    wired.type = part.type;
    wired.package = part.package;
    wired.net_of_pin.assign(part.type->pins.size(), unconnected);
    wired.value = part.value;
    wired.pulls_removed = part.pulls_removed;
    return wired;
}

void join_supplies(const Bench& bench, const BenchPart& part, Wiring& wiring, WiredPart& wired) {
    for (size_t k = 0; k < part.type->pins.size(); ++k) {
        const Pin& pin = part.type->pins[k];
        if (pin.role == PinRole::ground && part.grounded) wired.net_of_pin[k] = wiring.ground();
        if (pin.role != PinRole::supply || pin.supply < 0) continue;
        const std::string& port = part.type->supplies[pin.supply].name;
        for (const auto& [name, rail] : part.supplies)
            if (name == port) wired.net_of_pin[k] = wiring.rail(rail);
        for (const Rail& rail : bench.rails)
            if (rail.from == part.name + "." + port) wired.net_of_pin[k] = wiring.rail(rail.name);
    }
}

}  // namespace

Wiring wire_supplies(const Bench& bench) {
    Wiring wiring;
    wiring.nets.push_back({.name = "ground", .ground = true});
    for (const Rail& rail : bench.rails)
        wiring.nets.push_back({.name = "rail " + rail.name, .rail = rail.name});
    for (const BenchPart& part : bench.parts) {
        WiredPart wired = as_wired(part);
        join_supplies(bench, part, wiring, wired);
        wiring.parts.push_back(std::move(wired));
    }
    return wiring;
}

Wiring wire_directly(const Bench& bench) {
    Wiring wiring = wire_supplies(bench);
    wiring.direct = true;
    for (const Link& link : bench.links) {
        const NetId net = wiring.add_net(link.name);
        for (const auto* ends : {&link.from, &link.to})
            for (const PinRef& end : *ends) {
                const int p = wiring.part(end.part);
                if (p >= 0) wiring.connect(p, end.pin, net);
            }
    }
    return wiring;
}

}  // namespace voltsill
