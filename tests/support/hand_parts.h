#pragma once
/// Part types built by hand, so that tests of wiring, judging and planning do not lean on the
/// catalogue. Figures are round numbers chosen for the arithmetic, not of any real part.
#include "bench/bench.h"
#include "judging/finding.h"

namespace voltsill::hand {

inline const Provenance sheet{Certainty::guaranteed, "made up for this test"};

inline Pin supply_pin(std::string name, int supply) { return {.name = std::move(name), .role = PinRole::supply, .supply = supply}; }
inline Pin ground_pin() { return {.name = "GND", .role = PinRole::ground}; }

inline SupplyPort port(std::string name, double lo, double hi, double max) {
    return {.name = std::move(name), .range = Span<Volts>::between(Volts{lo}, Volts{hi}), .max = Volts{max}, .min = Volts{-0.5},
            .current = {Span<Amps>::exactly(Amps{1e-3}), sheet}, .origin = sheet};
}

/// CMOS thresholds at 0.3 and 0.7 of the supply.
inline std::vector<ThresholdRow> cmos() {
    return {{.supply = Span<Volts>::between(Volts{1.5}, Volts{6}), .low = {0.3, {}}, .high = {0.7, {}}, .origin = sheet}};
}
/// 0.8 V and 2.0 V whatever the supply.
inline std::vector<ThresholdRow> ttl() {
    return {{.supply = Span<Volts>::between(Volts{2.7}, Volts{5.5}), .low = {0, Volts{0.8}}, .high = {0, Volts{2.0}}, .origin = sheet}};
}

inline Pin input(std::string name, std::vector<ThresholdRow> thresholds, bool tolerant) {
    Pin p{.name = std::move(name), .role = PinRole::input, .supply = 0};
    p.thresholds = std::move(thresholds);
    p.min = Level{0, Volts{-0.5}};
    p.max = tolerant ? Level{0, Volts{6.5}} : Level{1, Volts{0.3}};
    p.limits_origin = sheet;
    p.clamp_to_ground = true;
    p.clamp_to_supply = !tolerant;
    p.clamp_forward = {{Volts{0.5}, Volts{0.6}, Volts{0.7}}, sheet};
    p.capacitance = {Span<Farads>::exactly(Farads{5e-12}), sheet};
    return p;
}

/// Loses `drop` at 4 mA at most; 40 mA absolute maximum.
inline Pin output(std::string name, double drop = 0.4) {
    Pin p{.name = std::move(name), .role = PinRole::push_pull, .supply = 0};
    const Span<Volts> any = Span<Volts>::between(Volts{1.5}, Volts{6});
    p.high = {{any, Amps{4e-3}, {1, Volts{-drop}}, sheet}};
    p.low = {{any, Amps{4e-3}, {0, Volts{drop}}, sheet}};
    p.drive_max = {Span<Amps>::exactly(Amps{40e-3}), sheet};
    return p;
}

inline Pin open_drain(std::string name, double pull_ohms = 0) {
    Pin p = output(std::move(name));
    p.role = PinRole::open_drain;
    p.high.clear();
    if (pull_ohms > 0) p.pulls.push_back({.up = true, .ohms = {Span<Ohms>::within(Ohms{pull_ohms}, 0.01), sheet}, .removable = true});
    return p;
}

inline std::shared_ptr<PartType> module(std::string name, std::vector<Pin> pins, double lo = 1.5, double hi = 6, double max = 7) {
    auto type = std::make_shared<PartType>();
    type->name = type->title = std::move(name);
    type->supplies = {port("VCC", lo, hi, max)};
    type->pins = std::move(pins);
    type->pins.push_back(supply_pin("VCC", 0));
    type->pins.push_back(ground_pin());
    type->origin = sheet;
    return type;
}

inline std::shared_ptr<PartType> resistor() {
    auto type = std::make_shared<PartType>();
    type->name = "resistor";
    type->kind = PartKind::resistor;
    type->pins = {{.name = "1"}, {.name = "2"}};
    type->model = ResistorModel{.tolerance = 0.05};
    type->origin = sheet;
    return type;
}

inline Rail rail(std::string name, double lo, double hi) {
    return {.name = std::move(name), .volts = {Span<Volts>::between(Volts{lo}, Volts{hi}), sheet}};
}

inline BenchPart part(std::string name, std::shared_ptr<const PartType> type, std::string rail_name) {
    BenchPart p{.name = std::move(name), .type_name = type->name, .type = type};
    for (const SupplyPort& s : type->supplies) p.supplies.emplace_back(s.name, rail_name);
    return p;
}

inline Link link(std::string name, PinRef from, PinRef to) {
    Link l{.name = std::move(name)};
    l.from = {std::move(from)};
    l.to = {std::move(to)};
    return l;
}

/// Two rails, a driver D.OUT and a receiver R.IN joined by the link "signal".
inline Bench pair(Rail a, Pin out, Rail b, Pin in) {
    Bench bench;
    bench.rails = {a, b};
    if (a.name == b.name) bench.rails.pop_back();
    out.name = "OUT";
    in.name = "IN";
    bench.parts = {part("D", module("driver", {out}), a.name), part("R", module("receiver", {in}), b.name)};
    bench.links = {link("signal", {"D", "OUT", {}}, {"R", "IN", {}})};
    bench.catalogue = std::make_shared<Catalogue>();
    return bench;
}

inline const Finding* find(const std::vector<Finding>& findings, std::string_view code, std::string_view state = {}) {
    for (const Finding& f : findings)
        if (f.code == code && f.state.find(state) != std::string::npos) return &f;
    return nullptr;
}

}  // namespace voltsill::hand
