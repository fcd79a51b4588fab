#pragma once
// A small bench with a judgement, made by hand: two rails, three parts, two links, five findings.
// All figures are invented.
#include <nlohmann/json.hpp>

#include "engine/engine.h"

namespace sample {

using namespace voltsill;

inline const Provenance printed{Certainty::guaranteed, "invented data sheet, table 1"};

inline std::shared_ptr<PartType> module(const std::string& name, PinRole role) {
    auto type = std::make_shared<PartType>();
    type->name = name;
    type->origin = printed;
    type->invented = true;
    type->supplies.push_back(
        {.name = "VCC", .range = Span<Volts>::between(Volts{3.0}, Volts{5.5}), .origin = printed});
    type->pins = {{.name = "VCC", .role = PinRole::supply, .supply = 0},
                  {.name = "GND", .role = PinRole::ground},
                  {.name = "SIG", .role = role, .supply = 0}};
    return type;
}

/// A buffer with two channels in a package of eight, and every member of a pin that can be stated.
inline std::shared_ptr<PartType> buffer() {
    auto type = module("demo buffer", PinRole::input);
    type->kind = PartKind::logic;
    type->family = "demo";
    type->function = "buffer";
    type->rate_max = Hertz{1e6};
    const Span<Volts> supply = Span<Volts>::between(Volts{3.0}, Volts{3.6});
    const Figure<Amps> amps{Span<Amps>::exactly(Amps{1e-3}), printed};
    const Figure<Ohms> ohms{Span<Ohms>::within(Ohms{10e3}, 0.3), {Certainty::typical, "invented", true}};
    const Figure<Volts> volts{Span<Volts>::exactly(Volts{0.7}), printed};
    Pin& in = type->pins[2];
    in.max = in.max_unpowered = in.range_max = Level{1.0, Volts{0.5}};
    in.min = in.range_min = Level{0.0, Volts{-0.5}};
    in.limits_origin = in.range_origin = in.delay_origin = in.static_low_origin = printed;
    in.thresholds = {{supply,
                      {0, Volts{0.8}},
                      {0, Volts{2.0}},
                      Span<Volts>::exactly(Volts{1.9}),
                      Span<Volts>::exactly(Volts{0.9}),
                      printed}};
    in.transition = {{supply, SecondsPerVolt{10e-9}, Seconds{500e-9}, printed}};
    in.capacitance = {Span<Farads>::exactly(Farads{5e-12}), printed};
    in.leakage = in.input_low = in.input_high = in.clamp_max = in.injection_allowed = in.drive_max = amps;
    in.pulls = {{.up = true, .ohms = ohms}};
    in.clamp_forward = volts;
    in.high = in.low = {{supply, Amps{4e-3}, {1.0, Volts{-0.5}}, printed}};
    in.delay_max = Seconds{10e-9};
    in.static_low = in.full_scale = Level{0.0, Volts{0.5}};
    in.analog_range = supply;
    in.output_ohms = in.source_ohms_max = ohms;
    in.load = LoadInput{true, volts, ohms, amps, amps, "nothing moves"};
    in.reset_state = "pull-up";
    in.note = "everything at once";
    type->pins.push_back({.name = "2A", .role = PinRole::input, .supply = 0});
    type->pins.push_back({.name = "1Y", .role = PinRole::push_pull, .supply = 0});
    type->pins.push_back({.name = "2Y", .role = PinRole::push_pull, .supply = 0});
    type->pins.push_back({.name = "/OE", .role = PinRole::input, .supply = 0});
    type->channels = {{ChannelLogic::buffer, {2}, 4, {6}, {false}, -1, "1"},
                      {ChannelLogic::buffer, {3}, 5, {6}, {false}, -1, "2"}};
    type->packages = {{"DIP-8", {6, 2, 3, 1, -1, 5, 4, 0}}};
    return type;
}

inline std::shared_ptr<PartType> resistor() {
    auto type = std::make_shared<PartType>();
    type->name = "resistor";
    type->kind = PartKind::resistor;
    type->model = ResistorModel{Span<Ohms>::between(Ohms{1}, Ohms{10e6}), 0.05, Watts{0.25}};
    type->pins = {{.name = "1"}, {.name = "2"}};
    return type;
}

inline Bench bench() {
    Bench b;
    b.title = "Two rails";
    b.rails = {{.name = "logic",
                .volts = {Span<Volts>::within(Volts{3.3}, 0.03), printed},
                .limit = Amps{0.3},
                .from = "",
                .place = {"benches/two rails.toml", 4, 1, 5}},
               {.name = "usb", .volts = {}, .place = {"benches/two rails.toml", 5, 1, 3}}};
    b.parts = {{.name = "gauge",
                .type_name = "gauge 5 V",
                .type = module("gauge 5 V", PinRole::push_pull),
                .supplies = {{"VCC", "usb"}},
                .place = {"benches/two rails.toml", 8, 1, 5}},
               {.name = "board",
                .type_name = "board 3.3 V",
                .type = module("board 3.3 V", PinRole::input),
                .supplies = {{"VCC", "logic"}},
                .place = {"benches/two rails.toml", 9, 1, 5}}};
    b.links = {{.name = "echo",
                .from = {{"gauge", "SIG"}},
                .to = {{"board", "SIG"}},
                .rate = Hertz{2000},
                .place = {"benches/two rails.toml", 12, 3, 4}},
               {.name = "quiet",
                .kind = LinkKind::analog,
                .from = {{"gauge", "SIG"}},
                .to = {{"board", "SIG"}},
                .place = {"benches/two rails.toml", 17, 1, 9}}};
    b.has_stock = true;
    b.stock = {{.name = "resistor E24", .span = Span<Ohms>::between(Ohms{1}, Ohms{10e6})},
               {.name = "demo buffer", .count = 2}};
    return b;
}

/// gauge and board, a buffer on the link with one channel in use, a pull-up.
inline Wiring wiring(const Bench& b) {
    Wiring w;
    w.nets = {{.name = "ground", .ground = true},
              {.name = "rail logic", .rail = "logic"},
              {.name = "rail usb", .rail = "usb"},
              {.name = "echo at gauge"},
              {.name = "echo at board"}};
    w.parts = {{.name = "gauge", .type = b.parts[0].type, .net_of_pin = {2, 0, 3}},
               {.name = "board", .type = b.parts[1].type, .net_of_pin = {1, 0, 4}}};
    WiredPart u1{.name = "U1",
                 .type = buffer(),
                 .net_of_pin = {1, 0, 3, 0, 4, unconnected, 0},
                 .added = true,
                 .purpose = "shifts echo",
                 .for_link = "echo"};
    u1.package = &u1.type->packages[0];
    w.parts.push_back(u1);
    w.parts.push_back({.name = "R1",
                       .type = resistor(),
                       .net_of_pin = {1, 4},
                       .value = 4700.0,
                       .tolerance = 0.01,
                       .added = true,
                       .purpose = "pull-up of echo",
                       .for_link = "echo"});
    return w;
}

inline Judgement judgement() {
    Judgement j;
    j.verdict = Verdict::harmful;
    j.findings = {
        {.code = "over-voltage",
         .verdict = Verdict::harmful,
         .link = "echo",
         .part = "board",
         .pin = "SIG",
         .net = "echo",
         .value = Evidence{5.25, printed, "highest voltage at board.SIG"},
         .limit = Evidence{3.6, printed, "absolute maximum of board.SIG"},
         .margin = -1.65,
         .state = "all rails up; gauge.SIG high",
         .corner = "usb 5.25 V",
         .sentence = "board.SIG gets up to 5.25 V.",
         .arithmetic = "5.25 V - 3.6 V = 1.65 V over",
         .advice = "Do not join these."},
        {.code = "threshold-unknown",
         .verdict = Verdict::unknown,
         .link = "quiet",
         .part = "board",
         .pin = "SIG"},
        {.code = "low-level", .verdict = Verdict::safe, .link = "echo", .part = "board", .pin = "SIG"},
        {.code = "missing-decoupling",
         .verdict = Verdict::thin,
         .net = "rail logic",
         .dimension = Dimension::ratio},
        {.code = "not-reached", .verdict = Verdict::unreadable, .part = "U9"}};
    j.links = {{.link = "echo",
                .verdict = Verdict::harmful,
                .findings = {0, 2},
                .levels = {{.point = "board.SIG",
                            .high = true,
                            .lo = 4.4,
                            .nominal = 5,
                            .hi = 5.25,
                            .threshold = 2.0,
                            .certainty = Certainty::typical}},
                .high_margin = 2.4},
               {.link = "quiet", .verdict = Verdict::unknown, .findings = {1}}};
    j.shared = {4, 3};
    j.states_solved = 12;
    return j;
}

inline CheckResult check_result() {
    CheckResult r;
    r.bench = bench();
    r.wiring = wiring(*r.bench);
    r.judgement = judgement();
    r.problems = {{.severity = Severity::warning,
                   .code = "unused-part",
                   .place = {"benches/two rails.toml", 9, 1, 5},
                   .message = "board is on no link"}};
    return r;
}

inline CheckResult refused() {
    CheckResult r;
    r.problems = {{.severity = Severity::error,
                   .code = "unknown-key",
                   .place = {"benches/two rails.toml", 3, 7, 4},
                   .message = "there is no key `vlts`",
                   .expected = "one of volts, limit",
                   .nearest = "volts",
                   .excerpt = "logic = { vlts = 3 }",
                   .other = {"benches/two rails.toml", 2, 1, 1},
                   .other_excerpt = "[rails]"},
                  {.severity = Severity::error,
                   .code = "not-toml",
                   .place = {"benches/two rails.toml", 0, 0, 1},
                   .message = "not TOML"}};
    return r;
}

inline PlanResult plan_result() {
    PlanResult r;
    r.bench = bench();
    r.plan.wiring = wiring(*r.bench);
    r.plan.judgement = r.plan.before = judgement();
    r.plan.links = {{.link = "echo",
                     .chosen = Candidate{.circuit = "buffer",
                                         .title = "buffer on 3.3 V",
                                         .verdict = Verdict::safe,
                                         .high_margin = 0.9,
                                         .parts = 1},
                     .rejected = {{.circuit = "direct",
                                   .title = "direct",
                                   .verdict = Verdict::harmful,
                                   .why_not = "5.25 V on 3.6 V"},
                                  {.circuit = "divider",
                                   .title = "2.2 kΩ over 3.3 kΩ",
                                   .cautions = {"loads the gauge"}}}},
                    {.link = "quiet"}};
    r.plan.notes = {"U1: 1 of 2 channels used, 1 spare."};
    return r;
}

inline ReadingsResult readings_result() {
    ReadingsResult r;
    r.bench = bench();
    r.wiring = wiring(*r.bench);
    r.planned = true;
    r.readings = {{.point = "board.SIG",
                   .net = "echo at board",
                   .state = "all rails up",
                   .lo = 3.1,
                   .nominal = 3.3,
                   .hi = 3.4,
                   .level = '1'},
                  {.point = "U1.2Y", .net = "", .state = "usb down", .level = 'Z'}};
    return r;
}

inline nlohmann::json parsed(const std::string& text) { return nlohmann::json::parse(text); }

}  // namespace sample
