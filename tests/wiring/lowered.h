#pragma once
/// Builds as the network they become, and what is found in it by name.
#include <gtest/gtest.h>

#include <algorithm>

#include "support/hand_parts.h"
#include "wiring/circuit.h"
#include "wiring/timed.h"

namespace voltsill::hand {

struct Lowered {
    Build build;
    Wiring wiring;
    Circuit circuit;
    explicit Lowered(Build b) : build(std::move(b)), wiring(build.wiring()), circuit(lower(build.bench, wiring)) {}

    int devices(DeviceKind kind, std::string_view of) const {
        return static_cast<int>(std::ranges::count_if(
            circuit.netlist.devices, [&](const Device& d) { return d.kind == kind && d.name.starts_with(of); }));
    }
    const PinSite& site(std::string_view part, std::string_view pin) const {
        const int p = wiring.part(part);
        return circuit.site(p, wiring.parts[p].type->pin_index(pin));
    }
};

/// What bears a name among parameters, devices, capacitors, stages or nets.
template <class T>
const T& by_name(const std::vector<T>& all, std::string_view name) {
    static const T none{};
    const auto at = std::ranges::find(all, name, &T::name);
    EXPECT_NE(at, all.end()) << name;
    return at == all.end() ? none : *at;
}
inline const Parameter& parameter(const Netlist& net, std::string_view name) { return by_name(net.parameters, name); }

/// The three values of a parameter, within a billionth.
inline void expect_span(const Parameter& p, double lo, double nominal, double hi) {
    EXPECT_NEAR(p.lo, lo, 1e-9 * std::abs(lo)) << p.name;
    EXPECT_NEAR(p.nominal, nominal, 1e-9 * std::abs(nominal)) << p.name;
    EXPECT_NEAR(p.hi, hi, 1e-9 * std::abs(hi)) << p.name;
}

/// A part of nothing but its model; figures of tests are round numbers.
inline std::shared_ptr<PartType> discrete(PartKind kind, std::initializer_list<const char*> pins, Model model) {
    auto type = std::make_shared<PartType>();
    type->name = "made up";
    type->kind = kind;
    for (const char* pin : pins) type->pins.push_back({.name = pin});
    type->model = std::move(model);
    type->origin = sheet;
    return type;
}

/// A module of two supplies with pins A (follows the first) and B (follows the second), and one channel between them.
inline std::shared_ptr<PartType> between(ChannelLogic logic, Model model) {
    auto type = module(
        "between", {{.name = "A", .role = PinRole::io, .supply = 0}, {.name = "B", .role = PinRole::io, .supply = 1}});
    type->supplies.push_back(port("VCCB", 1.5, 6, 7));
    type->pins.push_back(supply_pin("VCCB", 1));
    type->channels = {{.logic = logic, .inputs = {0}, .output = 1, .name = "A-B"}};
    type->model = std::move(model);
    return type;
}

/// That part as X, its A at a driver on the first rail (three) and its B at a receiver on the second (five).
inline Build bridged(std::shared_ptr<const PartType> type) {
    Build b({three, five});
    b.module("D", {output("OUT")}, "three");
    b.module("R", {input("IN", ttl(), true)}, "five");
    b.added("X", std::move(type), {"three", "five"});
    b.join("X.A", "D.OUT");
    b.join("X.B", "R.IN");
    return b;
}

}  // namespace voltsill::hand
