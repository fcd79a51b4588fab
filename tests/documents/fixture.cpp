#include "documents/fixture.h"

namespace voltsill::fixture {
namespace {

using namespace literals;

const Provenance sheet{Certainty::guaranteed, "invented sheet 1, table 2", false};
const Provenance remembered{Certainty::guaranteed, "invented sheet 3, table 1", true};
const Provenance guess{Certainty::assumed, "nobody has measured it", false};

std::shared_ptr<const PartType> module(std::string name, std::vector<std::string> pins, PinRole role) {
    auto type = std::make_shared<PartType>();
    type->name = std::move(name);
    type->invented = true;
    type->supplies.push_back({.name = "VCC",
                              .range = Span<Volts>::within(5.0_V, 0.1),
                              .max = 6.0_V,
                              .max_origin = sheet,
                              .origin = sheet});
    type->pins.push_back({.name = "VCC", .role = PinRole::supply});
    type->pins.push_back({.name = "GND", .role = PinRole::ground});
    for (std::string& pin : pins) type->pins.push_back({.name = std::move(pin), .role = role, .supply = 0});
    return type;
}

std::shared_ptr<const PartType> resistor() {
    auto type = std::make_shared<PartType>();
    type->name = "resistor";
    type->kind = PartKind::resistor;
    type->pins = {{.name = "1"}, {.name = "2"}};
    type->model = ResistorModel{};
    return type;
}

LevelBand band(std::string point, bool high, double lo, double nominal, double hi) {
    return {.point = std::move(point),
            .high = high,
            .lo = lo,
            .nominal = nominal,
            .hi = hi,
            .certainty = Certainty::guaranteed};
}

LevelBand read_band(LevelBand b, double threshold, double limit) {
    b.threshold = threshold;
    b.limit_max = limit;
    b.limit_min = -0.3;
    return b;
}

Finding over_voltage() {
    Finding f{.code = "over-voltage",
              .verdict = Verdict::harmful,
              .link = "tank echo",
              .part = "controller",
              .pin = "D4"};
    f.value = Evidence{5.25, sheet, "highest voltage at controller.D4"};
    f.limit = Evidence{3.6, sheet, "absolute maximum of controller.D4"};
    f.margin = -1.65;
    f.state = "all rails up; gauge.ECHO high";
    f.corner = "usb 5.25 V, logic 3.2 V";
    f.sentence =
        "controller.D4 gets up to 5.25 V, but stands no more than 3.6 V; its protection diode carries 18 mA.";
    f.arithmetic = "5.25 V - 3.6 V = 1.65 V over; its protection diode carries 18 mA";
    f.advice = "Do not join these; put an interface circuit between.";
    return f;
}

Finding level(const char* link, const char* part, const char* pin, bool high, double value, double limit,
              Verdict verdict, const Provenance& origin) {
    Finding f{.code = high ? "high-level" : "low-level",
              .verdict = verdict,
              .link = link,
              .part = part,
              .pin = pin};
    const std::string at = std::string(part) + "." + pin;
    f.value = Evidence{value, sheet, std::string(high ? "lowest high at " : "highest low at ") + at};
    f.limit = Evidence{limit, origin, std::string(high ? "VIH min of " : "VIL max of ") + at};
    f.margin = high ? value - limit : limit - value;
    f.state = "all rails up";
    return f;
}

Finding thin_high() {
    Finding f = level("strip data", "strip", "DIN", true, 3.0, 2.7, Verdict::thin, guess);
    f.corner = "logic 3.2 V";
    f.bound_exact = false;
    f.sentence = "A high arrives at strip.DIN as 3 V at worst and is read from 2.7 V: 300 mV to spare.";
    f.arithmetic = "3 V - 2.7 V = 300 mV";
    f.advice = "400 mV is wanted: measure the high at strip.DIN in the built circuit.";
    return f;
}

Finding safe_level(const char* link, const char* part, const char* pin, bool high, double value, double limit,
                   std::string arithmetic, const Provenance& origin) {
    Finding f = level(link, part, pin, high, value, limit, Verdict::safe, origin);
    f.arithmetic = std::move(arithmetic);
    return f;
}

LinkJudgement strip(int thin, int safe) {
    return {.link = "strip data",
            .verdict = Verdict::thin,
            .findings = {thin, safe},
            .levels = {band("controller.D9", true, 3.0, 3.3, 3.4), band("controller.D9", false, 0, 0, 0.2),
                       read_band(band("strip.DIN", true, 3.0, 3.3, 3.4), 2.7, 5.3),
                       read_band(band("strip.DIN", false, 0, 0, 0.2), 1.5, 5.3)},
            .high_margin = 0.3,
            .low_margin = 1.3};
}

LinkJudgement key(int first) {
    return {.link = "key",
            .verdict = Verdict::safe,
            .findings = {first},
            .levels = {band("pad.KEY", true, 3.2, 3.3, 3.4), band("pad.KEY", false, 0, 0, 0.1),
                       read_band(band("controller.D5", true, 3.2, 3.3, 3.4), 2.0, 3.6),
                       read_band(band("controller.D5", false, 0, 0, 0.1), 0.8, 3.6)},
            .high_margin = 1.2,
            .low_margin = 0.7};
}

Finding no_decoupling() {
    Finding f{.code = "decoupling",
              .verdict = Verdict::thin,
              .part = "strip",
              .sentence = "No capacitor stands at the supply of strip.",
              .advice = "Put 100 nF beside it (common practice)."};
    f.state = "all rails up";
    return f;
}

}  // namespace

Bench bench() {
    Bench b;
    b.title = "the garden station";
    b.rails = {{.name = "logic", .volts = {Span<Volts>::within(3.3_V, 0.03), sheet}},
               {.name = "usb", .volts = {{4.75_V, 5.0_V, 5.25_V}, sheet}}};
    const auto part = [&](const char* name, std::shared_ptr<const PartType> type, const char* rail) {
        b.parts.push_back({.name = name, .type_name = type->name, .type = type, .supplies = {{"VCC", rail}}});
    };
    part("controller", module("controller-3v3", {"D4", "D5", "D9"}, PinRole::io), "logic");
    part("gauge", module("tank-gauge-5v", {"ECHO"}, PinRole::push_pull), "usb");
    part("strip", module("light-strip-5v", {"DIN"}, PinRole::input), "usb");
    part("pad", module("key-pad-3v3", {"KEY"}, PinRole::push_pull), "logic");
    b.links = {{.name = "key", .from = {{"pad", "KEY", {}}}, .to = {{"controller", "D5", {}}}},
               {.name = "tank echo",
                .from = {{"gauge", "ECHO", {}}},
                .to = {{"controller", "D4", {}}},
                .rate = 2_kHz},
               {.name = "strip data",
                .from = {{"controller", "D9", {}}},
                .to = {{"strip", "DIN", {}}},
                .rate = 800_kHz}};
    return b;
}

Judgement direct() {
    Judgement j;
    j.verdict = Verdict::harmful;
    j.findings = {over_voltage(), thin_high(),
                  safe_level("strip data", "strip", "DIN", false, 0.2, 1.5, "1.5 V - 200 mV = 1.3 V", guess),
                  safe_level("key", "controller", "D5", true, 3.2, 2.0, "3.2 V - 2 V = 1.2 V", remembered),
                  no_decoupling()};
    LinkJudgement echo{.link = "tank echo",
                       .verdict = Verdict::harmful,
                       .findings = {0},
                       .high_margin = 2.4,
                       .low_margin = 0.4};
    echo.levels = {band("gauge.ECHO", true, 4.4, 5.0, 5.25), band("gauge.ECHO", false, 0, 0.1, 0.4),
                   read_band(band("controller.D4", true, 4.4, 5.0, 5.25), 2.0, 3.6),
                   read_band(band("controller.D4", false, 0, 0.1, 0.4), 0.8, 3.6)};
    j.links = {key(3), echo, strip(1, 2)};
    j.shared = {4};
    j.states_solved = 312;
    return j;
}

Plan plan() {
    Plan p;
    p.before = direct();
    Judgement& now = p.judgement;
    now.verdict = Verdict::thin;
    now.findings = {
        thin_high(),
        safe_level("strip data", "strip", "DIN", false, 0.2, 1.5, "1.5 V - 200 mV = 1.3 V", guess),
        safe_level("key", "controller", "D5", true, 3.2, 2.0, "3.2 V - 2 V = 1.2 V", remembered),
        safe_level("tank echo", "controller", "D4", true, 2.6, 2.0, "2.6 V - 2 V = 600 mV", sheet),
        safe_level("tank echo", "controller", "D4", false, 0.25, 0.8, "800 mV - 250 mV = 550 mV", sheet)};
    LinkJudgement echo{.link = "tank echo",
                       .verdict = Verdict::safe,
                       .findings = {3, 4},
                       .high_margin = 0.6,
                       .low_margin = 0.55};
    echo.levels = {band("gauge.ECHO", true, 4.4, 5.0, 5.25), band("gauge.ECHO", false, 0, 0.1, 0.4),
                   read_band(band("controller.D4", true, 2.6, 3.0, 3.3), 2.0, 3.6),
                   read_band(band("controller.D4", false, 0, 0.06, 0.25), 0.8, 3.6)};
    now.links = {key(2), echo, strip(0, 1)};
    now.states_solved = 340;

    Candidate direct{.circuit = "direct",
                     .title = "a wire",
                     .verdict = Verdict::safe,
                     .high_margin = 1.2,
                     .low_margin = 0.7};
    Candidate divider{.circuit = "divider",
                      .title = "divider 2.2 kΩ over 3.3 kΩ",
                      .verdict = Verdict::safe,
                      .high_margin = 0.6,
                      .low_margin = 0.55,
                      .parts = 2,
                      .how_sized = "ratio 0.600 <= 3.3 V / 5.25 V = 0.629",
                      .cautions = {"Edges slow down with long wires: keep it beside the receiver."}};
    Candidate joined{.circuit = "direct",
                     .title = "a wire",
                     .verdict = Verdict::harmful,
                     .why_not = "5.25 V - 3.6 V = 1.65 V over the absolute maximum"};
    Candidate buffer{.circuit = "buffer",
                     .title = "LVC 125",
                     .verdict = Verdict::safe,
                     .high_margin = 1.1,
                     .low_margin = 0.5,
                     .in_stock = false};
    Candidate thin = direct;
    thin.verdict = Verdict::thin;
    thin.high_margin = 0.3;
    thin.low_margin = 1.3;
    p.links = {{"key", direct, {}}, {"tank echo", divider, {buffer, joined}}, {"strip data", thin, {}}};

    Wiring& w = p.wiring;
    w.nets = {{"ground", "", true},
              {"rail logic", "logic", false},
              {"rail usb", "usb", false},
              {"tank echo at gauge", "", false},
              {"tank echo at controller", "", false}};
    const Bench b = bench();
    for (const BenchPart& part : b.parts)
        w.parts.push_back({.name = part.name,
                           .type = part.type,
                           .net_of_pin = std::vector<NetId>(part.type->pins.size(), unconnected)});
    const auto join = [&](int part, int pin, NetId net) { w.parts[part].net_of_pin[pin] = net; };
    for (int k = 0; k < 4; ++k) join(k, 1, 0), join(k, 0, k == 1 || k == 2 ? 2 : 1);
    join(1, 2, 3);
    join(0, 2, 4);
    w.parts.push_back({.name = "R1",
                       .type = resistor(),
                       .net_of_pin = {3, 4},
                       .value = 2200,
                       .added = true,
                       .purpose = "upper resistor of tank echo"});
    w.parts.push_back({.name = "R2",
                       .type = resistor(),
                       .net_of_pin = {4, 0},
                       .value = 3300,
                       .added = true,
                       .purpose = "lower resistor of tank echo"});
    p.notes = {"No channel is left over."};
    return p;
}

PartType part() {
    PartType t;
    t.name = "gate X1";
    t.title = "two buffers, 5 V";
    t.kind = PartKind::logic;
    t.origin = sheet;
    t.supplies.push_back({.name = "VCC",
                          .range = {4.5_V, 5.0_V, 5.5_V},
                          .max = 7.0_V,
                          .min = -0.5_V,
                          .max_origin = sheet,
                          .origin = sheet});
    t.pins.push_back({.name = "VCC", .role = PinRole::supply});
    t.pins.push_back({.name = "GND", .role = PinRole::ground});
    Pin input{.name = "A1", .role = PinRole::input, .supply = 0};
    input.max = Level{1.0, 0.5_V};
    input.limits_origin = sheet;
    input.thresholds = {
        {.supply = {4.5_V, 5.0_V, 5.5_V}, .low = {0, 0.8_V}, .high = {0, 2.0_V}, .origin = remembered}};
    input.must_be_tied = true;
    Pin output{.name = "Y1", .role = PinRole::push_pull, .supply = 0};
    output.max = Level{1.0, 0.5_V};
    output.min = Level{0, -0.5_V};
    output.limits_origin = sheet;
    output.high = {
        {.supply = Span<Volts>::exactly(4.5_V), .at = 4_mA, .level = {0, 3.84_V}, .origin = sheet}};
    t.pins.push_back(input);
    t.pins.push_back(output);
    input.name = "A2", output.name = "Y2";
    t.pins.push_back(input);
    t.pins.push_back(output);
    t.channels = {{.logic = ChannelLogic::buffer, .inputs = {2}, .output = 3, .name = "1"},
                  {.logic = ChannelLogic::buffer, .inputs = {4}, .output = 5, .name = "2"}};
    t.packages = {{.name = "DIP-6", .pin_of_number = {2, 3, 1, 5, 4, 0}}};
    return t;
}

}  // namespace voltsill::fixture
