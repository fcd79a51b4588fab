#pragma once
/// Part types built by hand, so that tests of wiring, judging and planning do not lean on the
/// catalogue. Figures are round numbers chosen for the arithmetic, not of any real part.
#include <cstddef>
#include <optional>

#include "bench/bench.h"
#include "judging/finding.h"

namespace voltsill::hand {

inline const Provenance sheet{Certainty::guaranteed, "made up for this test"};

inline Pin supply_pin(std::string name, int supply) {
    return {.name = std::move(name), .role = PinRole::supply, .supply = supply};
}
inline Pin ground_pin() { return {.name = "GND", .role = PinRole::ground}; }

inline SupplyPort port(std::string name, double lo, double hi, double max) {
    return {.name = std::move(name),
            .range = Span<Volts>::between(Volts{lo}, Volts{hi}),
            .max = Volts{max},
            .min = Volts{-0.5},
            .max_origin = sheet,
            .current = {Span<Amps>::exactly(Amps{1e-3}), sheet},
            .origin = sheet};
}

/// CMOS thresholds at 0.3 and 0.7 of the supply.
inline std::vector<ThresholdRow> cmos() {
    return {{.supply = Span<Volts>::between(Volts{1.5}, Volts{6}),
             .low = {0.3, {}},
             .high = {0.7, {}},
             .origin = sheet}};
}
/// 0.8 V and 2.0 V whatever the supply.
inline std::vector<ThresholdRow> ttl() {
    return {{.supply = Span<Volts>::between(Volts{2.7}, Volts{5.5}),
             .low = {0, Volts{0.8}},
             .high = {0, Volts{2.0}},
             .origin = sheet}};
}

inline Pin input(std::string name, std::vector<ThresholdRow> thresholds, bool tolerant) {
    Pin p{.name = std::move(name), .role = PinRole::input, .supply = 0};
    p.thresholds = std::move(thresholds);
    p.min = Level{0, Volts{-0.5}};
    p.max = tolerant ? Level{0, Volts{6.5}} : Level{1, Volts{0.3}};
    p.limits_origin = p.range_origin = sheet;
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
    if (pull_ohms > 0)
        p.pulls.push_back(
            {.up = true, .ohms = {Span<Ohms>::within(Ohms{pull_ohms}, 0.01), sheet}, .removable = true});
    return p;
}

inline std::shared_ptr<PartType> module(std::string name, std::vector<Pin> pins, double lo = 1.5,
                                        double hi = 6, double max = 7) {
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
inline const Rail five = rail("five", 4.75, 5.25), three = rail("three", 3.2, 3.4);

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

/// A part type of the built-in catalogue.
inline std::shared_ptr<const PartType> stock(std::string_view name) {
    for (const auto& type : Catalogue::built_in().types())
        if (type->name == name) return type;
    return nullptr;
}

/// A build written down wire by wire: parts get their supplies and grounds, the rest is joined by
/// ends in the words of a bench file ("D.OUT", "rail five", "ground").
struct Build {
    Bench bench;
    int values = 0;

    explicit Build(std::vector<Rail> rails) {
        bench.rails = std::move(rails);
        bench.catalogue = std::make_shared<Catalogue>();
        bench.wiring.emplace();
    }
    void join(const std::string& a, const std::string& b) { bench.wiring->wires.push_back({a, b, {}}); }
    /// `rails`: one for every supply of the type, or one for all; "" leaves a supply open.
    void supplied(const BenchPart& p, const std::vector<std::string>& rails) {
        for (size_t s = 0; s < p.type->supplies.size(); ++s) {
            const std::string& rail_name = rails[std::min(s, rails.size() - 1)];
            for (const Pin& pin : p.type->pins)
                if (pin.role == PinRole::supply && pin.supply == static_cast<int>(s) && !rail_name.empty())
                    join("rail " + rail_name, p.name + "." + pin.name);
        }
        for (const Pin& pin : p.type->pins)
            if (pin.role == PinRole::ground) join("ground", p.name + "." + pin.name);
    }
    /// A part of the bench: links may end at it.
    void part(const std::string& name, std::shared_ptr<const PartType> type,
              const std::vector<std::string>& rails) {
        bench.parts.push_back({.name = name, .type_name = type->name, .type = type});
        supplied(bench.parts.back(), rails);
    }
    void module(const std::string& name, std::vector<Pin> pins, const std::string& rail_name) {
        part(name, hand::module(name, std::move(pins)), {rail_name});
    }
    /// A part between: of an interface circuit.
    void added(const std::string& name, std::shared_ptr<const PartType> type,
               const std::vector<std::string>& rails = {""}) {
        bench.wiring->parts.push_back({.name = name,
                                       .type_name = type->name,
                                       .type = type,
                                       .package = Catalogue::package_in(*type, type->name)});
        supplied(bench.wiring->parts.back(), rails);
    }
    void resistor(double ohms, const std::string& a, const std::string& b, double tolerance = 0.05) {
        auto type = std::make_shared<PartType>(*hand::resistor());
        std::get<ResistorModel>(type->model).tolerance = tolerance;
        const std::string name = "R" + std::to_string(++values);
        added(name, type);
        bench.wiring->parts.back().value = ohms;
        join(name + ".1", a);
        join(name + ".2", b);
    }
    Link& link(const std::string& name, PinRef from, PinRef to, LinkKind kind = LinkKind::logic) {
        bench.links.push_back(hand::link(name, std::move(from), std::move(to)));
        bench.links.back().kind = kind;
        return bench.links.back();
    }
    Wiring wiring() const {
        Problems problems;
        return wire_as_given(bench, problems);
    }
    Judgement judge() const { return voltsill::judge(bench, wiring()); }
};

/// A copy of a finding, so that it outlives the judgement it was found in; compares with nullptr.
struct Found {
    std::optional<Finding> finding;
    const Finding* operator->() const { return &*finding; }
    bool operator==(std::nullptr_t) const { return !finding; }
    explicit operator bool() const { return finding.has_value(); }
};

inline Found find(const std::vector<Finding>& findings, std::string_view code, std::string_view state = {}) {
    for (const Finding& f : findings)
        if (f.code == code && f.state.find(state) != std::string::npos) return {f};
    return {};
}
inline Found find_at(const Judgement& judgement, std::string_view code, std::string_view part) {
    for (const Finding& f : judgement.findings)
        if (f.code == code && f.part == part) return {f};
    return {};
}

}  // namespace voltsill::hand
