/// Types and the tables of discrete parts as written.
#include <algorithm>

#include "parts/shape_tools.h"
#include "quantity/print.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

/// Voltages that a part alone stands: an absolute maximum.
constexpr Likely rating_likely{.least = 0.5, .most = 2000, .zero = false};

const Shape<ResistorRecord>& resistor_shape() {
    static const auto shape = [] {
        Shape<ResistorRecord> s("resistor", "A resistor whose value the bench gives");
        s.optional("tolerance", &ResistorRecord::tolerance, "tolerance of its value", "\"5 %\"",
               likely<double>({.most = 0.5}, from_text<double>("a tolerance such as \"5 %\"", "", &parse_ratio)));
        s.optional("power", &ResistorRecord::power, "rated power", "\"0.25 W\"",
               likely<Watts>({.least = 1e-3, .most = 100, .zero = false}));
        add_origin(s);
        return s;
    }();
    return shape;
}

const Shape<CapacitorRecord>& capacitor_shape() {
    static const auto shape = [] {
        Shape<CapacitorRecord> s("capacitor", "A capacitor whose value the bench gives");
        add_origin(s);
        return s;
    }();
    return shape;
}

const Shape<DiodeRecord>& diode_shape() {
    static const auto shape = [] {
        Shape<DiodeRecord> s("diode", "A diode or a light-emitting diode");
        s.required("forward", &DiodeRecord::forward, "forward drop", "\"0.5..0.7 V\"",
               likely<Span<Volts>>({.least = 0.05, .most = 50}));
        s.optional("at", &DiodeRecord::at, "current of that drop", "\"1 mA\"",
               likely<Amps>({.least = 1e-9, .most = 100, .zero = false}));
        s.optional("current_max", &DiodeRecord::current_max, "absolute maximum current", "\"150 mA\"",
               likely<Span<Amps>>({.least = 1e-6, .most = 100, .zero = false}));
        s.optional("reverse_max", &DiodeRecord::reverse_max, "absolute maximum reverse voltage", "\"75 V\"",
               likely<Volts>(rating_likely));
        s.optional("led", &DiodeRecord::led, "gives light", "true");
        add_origin(s);
        return s;
    }();
    return shape;
}

const Shape<BjtRecord>& bjt_shape() {
    static const auto shape = [] {
        Shape<BjtRecord> s("bjt", "A bipolar transistor");
        s.required("polarity", &BjtRecord::pnp, "npn or pnp", "\"npn\"",
                   choice<bool>({{"npn", false}, {"pnp", true}}));
        s.required("beta", &BjtRecord::beta, "current gain", "\"100..300\"",
               likely<Span<double>>({.least = 2, .most = 1e5, .zero = false}, ratio_range()));
        s.optional("vbe", &BjtRecord::vbe, "base-emitter drop", "\"0.55..0.85 V\"",
               likely<Span<Volts>>({.least = 0.2, .most = 3}));
        s.optional("current_max", &BjtRecord::current_max, "absolute maximum collector current",
                   "\"200 mA\"",
               likely<Span<Amps>>({.least = 1e-6, .most = 100, .zero = false}));
        s.optional("vce_max", &BjtRecord::vce_max, "absolute maximum collector voltage", "\"40 V\"",
               likely<Volts>(rating_likely));
        add_origin(s);
        return s;
    }();
    return shape;
}

const Shape<MosfetRecord>& mosfet_shape() {
    static const auto shape = [] {
        Shape<MosfetRecord> s("mosfet", "A MOSFET of the enhancement type");
        s.required("polarity", &MosfetRecord::p_channel, "n or p", "\"n\"",
                   choice<bool>({{"n", false}, {"p", true}}));
        s.required("vth", &MosfetRecord::vth, "gate threshold, without sign", "\"0.8..1.5 V\"",
               likely<Span<Volts>>({.least = 0.05, .most = 20}));
        s.required("rds", &MosfetRecord::rds, "on-resistance", "\"0.5..6 Ω\"",
               likely<Span<Ohms>>({.least = 1e-4, .most = 1e3}));
        s.required("rds_at", &MosfetRecord::rds_at, "gate voltage of that resistance", "\"4.5 V\"",
               likely<Volts>({.least = 0.3, .most = 30, .zero = false}));
        s.optional("body_forward", &MosfetRecord::body_forward, "drop of the body diode", "\"0.5..1.0 V\"",
               likely<Span<Volts>>({.least = 0.1, .most = 3, .zero = false}));
        s.optional("current_max", &MosfetRecord::current_max, "absolute maximum drain current", "\"200 mA\"",
               likely<Span<Amps>>({.least = 1e-6, .most = 500, .zero = false}));
        s.optional("vds_max", &MosfetRecord::vds_max, "absolute maximum drain voltage", "\"50 V\"",
               likely<Volts>(rating_likely));
        s.optional("vgs_max", &MosfetRecord::vgs_max, "absolute maximum gate voltage", "\"20 V\"",
               likely<Volts>(rating_likely));
        s.optional("gate_capacitance", &MosfetRecord::gate_capacitance, "input capacitance", "\"27 pF\"",
               likely<Span<Farads>>({.least = 1e-13, .most = 1e-6}));
        add_origin(s);
        return s.check([](const Value& table, MosfetRecord& fet, Reader& reader) {
            if (table.damaged || fet.rds_at > fet.vth.hi) return;
            reader.warning(spot_of(table, "rds_at"), "closed-gate",
                           "an on-resistance at a gate voltage that need not open the channel",
                           "above the gate threshold, " + print(fet.vth.hi));
        });
    }();
    return shape;
}

const Shape<OptoRecord>& opto_shape() {
    static const auto shape = [] {
        Shape<OptoRecord> s("opto", "An optocoupler with a transistor");
        s.required("forward", &OptoRecord::forward, "drop of its LED", "\"1.0..1.4 V\"",
               likely<Span<Volts>>({.least = 0.5, .most = 5, .zero = false}));
        s.required("ctr", &OptoRecord::ctr, "current transfer ratio", "\"50..600 %\"",
               likely<Span<double>>({.least = 0.01, .most = 100, .zero = false}, ratio_range()));
        s.optional("led_max", &OptoRecord::led_max, "absolute maximum LED current", "\"50 mA\"",
               likely<Span<Amps>>({.least = 1e-6, .most = 10, .zero = false}));
        s.optional("turn_off", &OptoRecord::turn_off, "slowest turn-off", "\"50 µs\"",
               likely<Seconds>({.least = 1e-9, .most = 20e-3, .zero = false}));
        s.optional("vce_max", &OptoRecord::vce_max, "absolute maximum collector voltage", "\"35 V\"",
               likely<Volts>(rating_likely));
        add_origin(s);
        return s;
    }();
    return shape;
}

const Shape<AmplifierRecord>& amplifier_shape() {
    static const auto shape = [] {
        Shape<AmplifierRecord> s("amplifier", "A comparator or an operational amplifier");
        s.optional("headroom_top", &AmplifierRecord::headroom_top, "output stays this far below the supply",
                   "\"1.5 V\"");
        s.optional("headroom_bottom", &AmplifierRecord::headroom_bottom, "output stays this far above ground",
                   "\"20 mV\"");
        s.optional("open_collector", &AmplifierRecord::open_collector, "output only sinks", "true");
        add_origin(s);
        return s;
    }();
    return shape;
}

const Shape<PassGateRecord>& pass_gate_shape() {
    static const auto shape = [] {
        Shape<PassGateRecord> s("pass gate", "A FET between both sides of each channel");
        s.required("vth", &PassGateRecord::vth, "gate threshold", "\"0.5..1.0 V\"");
        s.required("on", &PassGateRecord::on, "on-resistance", "\"3..10 Ω\"");
        s.optional("pull_a", &PassGateRecord::pull_a, "its own pull-up on the from side", "\"10 kΩ\"");
        s.optional("pull_b", &PassGateRecord::pull_b, "its own pull-up on the to side", "\"10 kΩ\"");
        add_origin(s);
        return s;
    }();
    return shape;
}

const Shape<KeeperRecord>& keeper_shape() {
    static const auto shape = [] {
        Shape<KeeperRecord> s("keeper", "What holds each side of an edge-sensing translator");
        s.required("ohms", &KeeperRecord::ohms, "output resistance while nothing switches", "\"4 kΩ\"");
        add_origin(s);
        return s;
    }();
    return shape;
}

/// A voltage alone stands in its range; the others are an example.
std::string supply_form(const Value& value) {
    const bool volts = value.is(ValueKind::string) && parse<Volts>(value.text);
    const auto span = volts ? parse<Volts>(value.text) : std::unexpected(ParseTrouble{});
    const bool range = span && span->lo < span->hi;
    return "{ range = " + (range ? in_quotes(value.text) : std::string("\"4.5..5.5 V\"")) + " }";
}

std::string pin_form(const Value& value) {
    const bool role = value.is(ValueKind::string) &&
                      std::ranges::any_of(role_words(), [&](const auto& word) { return word.first == value.text; });
    if (role) return "{ is = " + in_quotes(value.text) + " }";
    return "{ is = \"input\" }, or { like = \"TTL input, 5 V\" }";
}

void add_models(Shape<TypeRecord>& s) {
    s.optional("resistor", &TypeRecord::resistor, "of kind resistor", "", record(resistor_shape()));
    s.optional("capacitor", &TypeRecord::capacitor, "of kind capacitor", "", record(capacitor_shape()));
    s.optional("diode", &TypeRecord::diode, "of kind diode", "", record(diode_shape()));
    s.optional("bjt", &TypeRecord::bjt, "of kind bjt", "", record(bjt_shape()));
    s.optional("mosfet", &TypeRecord::mosfet, "of kind mosfet", "", record(mosfet_shape()));
    s.optional("opto", &TypeRecord::opto, "of kind opto", "", record(opto_shape()));
    s.optional("comparator", &TypeRecord::comparator, "of kind comparator", "", record(amplifier_shape()));
    s.optional("op_amp", &TypeRecord::op_amp, "of kind op_amp", "", record(amplifier_shape()));
    s.optional("pass_gate", &TypeRecord::pass_gate, "of a translator", "", record(pass_gate_shape()));
    s.optional("keeper", &TypeRecord::keeper, "of a translator", "", record(keeper_shape()));
}

}  // namespace

Type<Span<double>> ratio_range() {
    return from_text<Span<double>>("a number or a share such as \"100..300\" or \"50 %\"", "",
                                   [](std::string_view text) { return parse_span(Dimension::ratio, text); });
}

const Shape<TypeRecord>& type_shape() {
    static const auto shape = [] {
        Shape<TypeRecord> s("type", "A whole part");
        s.place(&TypeRecord::place).places(&TypeRecord::keys);
        s.optional("like", &TypeRecord::like, "type it builds on", "\"controller-3v3\"");
        s.optional("title", &TypeRecord::title, "what it is", "\"ultrasonic tank gauge, 5 V\"");
        s.optional("kind", &TypeRecord::kind, "kind of part", "\"module\"", choice(kind_words()));
        s.optional("note", &TypeRecord::note, "shown with the part", "\"slow below 3 V\"");
        s.optional("invented", &TypeRecord::invented, "figures made up for an example", "true");
        s.optional("rate_max", &TypeRecord::rate_max, "highest useful data rate", "\"10 kHz\"");
        s.optional("price", &TypeRecord::price, "relative price", "3", number(0.0));
        s.optional("package_current_max", &TypeRecord::package_current_max,
                   "absolute maximum current through supply or ground pins", "\"50 mA\"");
        s.optional("supplies", &TypeRecord::supplies, "its supplies by name", "",
                   named(record_written(supply_shape(), &supply_form)));
        s.optional("pins", &TypeRecord::pins, "its pins by name", "", named(record_written(pin_shape(), &pin_form)));
        s.optional("packages", &TypeRecord::packages, "pin names in the order of their numbers");
        s.optional("channels", &TypeRecord::channels, "paths through the part", "",
                   list(record(channel_shape())));
        add_models(s);
        add_origin(s);
        return s;
    }();
    return shape;
}

}  // namespace voltsill
