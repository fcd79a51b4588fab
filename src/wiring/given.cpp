/// The build written down in [wiring]: ends of wires become nets.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "wiring/wiring.h"

namespace voltsill {
namespace {

struct End {
    NetId net = unconnected;  ///< a rail, or ground
    int part = -1, pin = -1;
    bool found = false;
};

int pin_of(const WiredPart& part, std::string_view pin) {
    const int by_name = part.type->pin_index(pin);
    if (by_name >= 0) return by_name;
    int number = 0;
    const auto [end, error] = std::from_chars(pin.data(), pin.data() + pin.size(), number);
    if (error != std::errc{} || end != pin.data() + pin.size() || !part.package) return -1;
    const auto& numbers = part.package->pin_of_number;
    return number >= 1 && number <= static_cast<int>(numbers.size()) ? numbers[number - 1] : -1;
}

Problem trouble(const Wire& wire, std::string message, std::string expected, std::string nearest = {}) {
    return {.code = "bad-wire-end",
            .place = wire.place,
            .message = std::move(message),
            .expected = std::move(expected),
            .nearest = std::move(nearest)};
}

End find_end(const Wiring& wiring, const Wire& wire, const std::string& text, Problems& problems) {
    End end;
    if (text == "ground") return {.net = wiring.ground(), .found = true};
    if (text.starts_with("rail ")) {
        end.net = wiring.rail(std::string_view(text).substr(5));
        end.found = end.net != unconnected;
        if (!end.found) {
            std::vector<std::string> names;
            for (const Net& net : wiring.nets)
                if (!net.rail.empty()) names.push_back("rail " + net.rail);
            problems.push_back(trouble(wire, fmt::format("there is no \"{}\"", text), "a rail of the bench",
                                       nearest_name(text, names)));
        }
        return end;
    }
    const size_t dot = text.find('.');
    const std::string name = text.substr(0, dot);
    end.part = wiring.part(name);
    if (dot == std::string::npos || end.part < 0) {
        std::vector<std::string> names;
        for (const WiredPart& p : wiring.parts) names.push_back(p.name);
        problems.push_back(trouble(wire, fmt::format("\"{}\" is no end of a wire", text),
                                   "\"part.PIN\", \"rail NAME\" or \"ground\"", nearest_name(name, names)));
        return end;
    }
    const WiredPart& part = wiring.parts[end.part];
    end.pin = pin_of(part, std::string_view(text).substr(dot + 1));
    end.found = end.pin >= 0;
    if (!end.found) {
        std::vector<std::string> names;
        for (const Pin& pin : part.type->pins) names.push_back(pin.name);
        problems.push_back(trouble(wire, fmt::format("{} has no pin \"{}\"", name, text.substr(dot + 1)),
                                   fmt::format("a pin of {}", part.type->name),
                                   nearest_name(text.substr(dot + 1), names)));
    }
    return end;
}

bool two_rails(const Wiring& wiring, NetId a, NetId b) {
    const auto fixed = [&](NetId n) { return wiring.nets[n].ground || !wiring.nets[n].rail.empty(); };
    return a != b && fixed(a) && fixed(b);
}

}  // namespace

Wiring wire_as_given(const Bench& bench, Problems& problems) {
    // Supplies come from the wires as well: a build is only what is written down.
    Wiring wiring = wire_supplies(bench);
    if (!bench.wiring) return wire_directly(bench);
    for (WiredPart& part : wiring.parts) std::ranges::fill(part.net_of_pin, unconnected);
    for (const BenchPart& part : bench.wiring->parts) {
        WiredPart wired{.name = part.name, .type = part.type, .package = part.package};
        wired.net_of_pin.assign(part.type->pins.size(), unconnected);
        wired.value = part.value;
        wired.pulls_removed = part.pulls_removed;
        wired.added = true;
        wiring.parts.push_back(std::move(wired));
    }
    for (const Wire& wire : bench.wiring->wires) {
        const End a = find_end(wiring, wire, wire.from, problems),
                  b = find_end(wiring, wire, wire.to, problems);
        if (!a.found || !b.found) continue;
        const auto net_of = [&](const End& e) {
            return e.part < 0 ? e.net : wiring.parts[e.part].net_of_pin[e.pin];
        };
        NetId na = net_of(a), nb = net_of(b);
        if (na == unconnected && nb == unconnected)
            na = nb = wiring.add_net(fmt::format("at {}", wire.from));
        else if (na == unconnected)
            na = nb;
        else if (nb == unconnected)
            nb = na;
        else if (two_rails(wiring, na, nb)) {
            problems.push_back({.code = "rails-joined",
                                .place = wire.place,
                                .message = fmt::format("this wire joins {} and {}: a short circuit",
                                                       wiring.nets[na].name, wiring.nets[nb].name),
                                .expected = "two ends that may be one net"});
            continue;
        } else {
            wiring.merge(na, nb);
        }
        if (a.part >= 0) wiring.parts[a.part].net_of_pin[a.pin] = na;
        if (b.part >= 0) wiring.parts[b.part].net_of_pin[b.pin] = na;
    }
    return wiring;
}

}  // namespace voltsill
