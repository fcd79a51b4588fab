/// Pins and traits as written, and the rules inside their rows.
#include "parts/row_checks.h"
#include "parts/shape_tools.h"

namespace voltsill {
namespace {

/// Edges and delays of what stands on a solderless board.
constexpr Likely edge_likely{.least = 1e-12, .most = 20e-3};

const Shape<ThresholdRecord>& threshold_shape() {
    static const auto shape = [] {
        Shape<ThresholdRecord> s("threshold row", "Input thresholds at a supply voltage");
        s.required("supply", &ThresholdRecord::supply, "supply range the row holds for", "\"3.0..3.6 V\"",
                   likely<Span<Volts>>(supply_volts_likely));
        s.optional("low", &ThresholdRecord::low, "VIL: read as low at and below", "\"0.8 V\"");
        s.optional("high", &ThresholdRecord::high, "VIH: read as high at and above", "\"0.7 supply\"");
        s.optional("rising", &ThresholdRecord::rising, "VT+ of a Schmitt input", "\"1.3..2.0 V\"",
                   likely<Span<Volts>>({.most = 100}));
        s.optional("falling", &ThresholdRecord::falling, "VT- of a Schmitt input", "\"0.8..1.3 V\"",
                   likely<Span<Volts>>({.most = 100}));
        add_origin(s);
        return s.check(&check_threshold);
    }();
    return shape;
}

const Shape<TransitionRecord>& transition_shape() {
    static const auto shape = [] {
        Shape<TransitionRecord> s("transition row", "Slowest edge an input takes");
        s.required("supply", &TransitionRecord::supply, "supply range the row holds for", "\"3.0..3.6 V\"",
                   likely<Span<Volts>>(supply_volts_likely));
        s.optional("per_volt", &TransitionRecord::per_volt, "time per volt", "\"10 ns/V\"",
                   likely<SecondsPerVolt>({.least = 1e-12, .most = 1e-2}));
        s.optional("total", &TransitionRecord::total, "time of a whole edge", "\"500 ns\"",
                   likely<Seconds>(edge_likely));
        add_origin(s);
        return s.check([](const Value& table, TransitionRecord& row, Reader& reader) {
            if (row.per_volt.has_value() != row.total.has_value()) return;
            if (!row.per_volt) row.per_volt = SecondsPerVolt{};
            if (table.damaged) return;
            reader.error(table.spot, "incomplete-transition", "this row needs one limit",
                         "per_volt or total");
        });
    }();
    return shape;
}

const Shape<DriveRecord>& drive_shape() {
    static const auto shape = [] {
        Shape<DriveRecord> s("drive row", "Output level at a load current");
        s.required("supply", &DriveRecord::supply, "supply range the row holds for", "\"4.5 V\"",
                   likely<Span<Volts>>(supply_volts_likely));
        s.required("at", &DriveRecord::at, "load current, without sign", "\"4 mA\"",
                   likely<Amps>({.most = 50, .negative = true, .zero = false}));
        s.required("level", &DriveRecord::level, "VOH at least, or VOL at most", "\"3.84 V\"");
        add_origin(s);
        return s.check([](const Value& table, DriveRecord& row, Reader& reader) {
            if (row.at.si() >= 0) return;
            row.at = -row.at;
            reader.error(spot_of(table, "at"), "negative", "a load current is given without sign",
                         "\"4 mA\"");
        });
    }();
    return shape;
}

const Shape<PullRecord>& pull_shape() {
    static const auto shape = [] {
        Shape<PullRecord> s("pull", "A resistor inside the part");
        s.required("to", &PullRecord::up, "what it pulls to", "\"supply\"", toward_supply());
        s.required("ohms", &PullRecord::ohms, "its resistance", "\"20..50 kΩ\"",
                   likely<Span<Ohms>>({.least = 10, .most = 1e9, .zero = false}));
        s.optional("removable", &PullRecord::removable, "can be taken off or set by software", "true");
        s.optional("at_reset", &PullRecord::at_reset, "only active until software changes it", "true");
        add_origin(s);
        return s;
    }();
    return shape;
}

/// What no network can be made of.
void check_load(const Value& table, LoadRecord& load, Reader& reader) {
    if (load.ohms.lo.si() <= 0)
        reader.error(spot_of(table, "ohms"), "not-positive", "a load without resistance would take any current",
                     "above zero: its volts over its amps");
    if (load.forward && load.forward->lo.si() < 0)
        reader.error(spot_of(table, "forward"), "negative", "a diode drop is given without sign",
                     "0 V or more, or no `forward` at all");
}

const Shape<LoadRecord>& load_shape() {
    static const auto shape = [] {
        Shape<LoadRecord> s("load",
                            "A resistance, with diodes before it or without, between the pin and supply or ground");
        s.required("to", &LoadRecord::to_supply, "the other end", "\"supply\"", toward_supply());
        s.optional("forward", &LoadRecord::forward, "sum of the diode drops; without it a resistance alone",
                   "\"1.1..1.3 V\"", likely<Span<Volts>>({.most = 100}));
        s.required("ohms", &LoadRecord::ohms, "resistance of the load", "\"1 kΩ ± 5 %\"",
                   likely<Span<Ohms>>({.least = 0.1, .most = 1e7}));
        s.optional("on_above", &LoadRecord::on_above, "surely on above this current", "\"2 mA\"",
                   likely<Span<Amps>>({.most = 50}));
        s.optional("off_below", &LoadRecord::off_below, "surely off below this current", "\"0.1 mA\"",
                   likely<Span<Amps>>({.most = 50}));
        s.optional("consequence", &LoadRecord::consequence, "what happens when it is on",
                   "\"relay pulls in\"");
        s.optional("inductive", &LoadRecord::inductive,
                   "a motor, relay or solenoid: its current goes on when switched off", "true");
        add_origin(s);
        return s.check(&check_load);
    }();
    return shape;
}

Type<std::string> clamp_words() {
    return choice<std::string>({{"both", "both"}, {"ground", "ground"}, {"none", "none"}});
}

Type<std::string> reset_words() {
    return choice<std::string>(
        {{"high", "high"}, {"low", "low"}, {"pull-up", "pull-up"}, {"pull-down", "pull-down"}});
}

/// A rating of a pin, in volts of its own or beyond its supply.
Type<Level> rating(bool lower) {
    Type<Level> level = TypeOf<Level>::get();
    return {level.noun,
            [read = level.read, lower](const Value& value, Level& out, Reader& reader) {
                if (!read(value, out, reader)) return false;
                const double volts = out.offset.si();
                const double least = out.ratio == 0 ? 0.05 : 0.0;
                doubt(value, Dimension::voltage, volts, volts, {.least = least, .most = 100, .negative = true}, reader);
                if (!lower || out.ratio != 0 || volts <= 0) return true;
                Problem problem = reader.source().problem(
                    value.spot, "minimum-above-ground", "a pin that may not be at 0 V: the minus may be missing",
                    "an absolute minimum at or below ground");
                problem.severity = Severity::warning;
                problem.nearest = "-" + value.text;
                reader.add(std::move(problem));
                return true;
            },
            level.schema};
}

void add_limits(Shape<PinRecord>& s) {
    s.optional("max", &PinRecord::max, "absolute maximum voltage", "\"supply + 0.5 V\"", rating(false));
    s.optional("min", &PinRecord::min, "absolute minimum voltage", "\"-0.5 V\"", rating(true));
    s.optional("max_unpowered", &PinRecord::max_unpowered, "absolute maximum while the supply is at 0 V",
               "\"6.5 V\"", rating(false));
    s.optional("range", &PinRecord::range, "recommended operating range", "\"0 V .. supply\"");
    s.optional("clamps", &PinRecord::clamps, "protection diodes: to both rails, to ground, or none",
               "\"both\"", clamp_words());
    s.optional("clamp_forward", &PinRecord::clamp_forward, "drop of a protection diode at 1 mA",
               "\"0.5..0.9 V\"",
                   likely<Span<Volts>>({.least = 0.1, .most = 3, .zero = false}));
    s.optional("clamp_max", &PinRecord::clamp_max, "absolute maximum current through a diode", "\"20 mA\"",
                   likely<Span<Amps>>({.least = 1e-6, .most = 5, .zero = false}));
    s.optional("injection", &PinRecord::injection, "current through a diode that is permitted in operation",
               "\"1 mA\"",
                   likely<Span<Amps>>({.most = 5}));
}

void add_input(Shape<PinRecord>& s) {
    s.optional("thresholds", &PinRecord::thresholds, "input thresholds by supply",
               R"([{ "supply": "3.0..3.6 V", "low": "0.8 V", "high": "2.0 V" }])",
               list(record(threshold_shape())));
    s.optional("schmitt", &PinRecord::schmitt, "has hysteresis", "true");
    s.optional("transition", &PinRecord::transition, "slowest edge by supply",
               R"([{ "supply": "3.0..3.6 V", "per_volt": "10 ns/V" }])", list(record(transition_shape())));
    s.optional("capacitance", &PinRecord::capacitance, "capacitance of the pin", "\"3..10 pF\"",
                   likely<Span<Farads>>({.least = 1e-14, .most = 10e-9}));
    s.optional("leakage", &PinRecord::leakage, "input or off-state current", "\"1 µA\"",
                   likely<Span<Amps>>({.most = 10e-3}));
    s.optional("input_low", &PinRecord::input_low, "IIL: current out of a bipolar input while it is low", "\"0.4 mA\"",
                   likely<Span<Amps>>({.most = 10e-3}));
    s.optional("input_high", &PinRecord::input_high, "IIH: current into a bipolar input while it is high",
               "\"20 µA\"",
                   likely<Span<Amps>>({.most = 10e-3}));
    s.optional("pulls", &PinRecord::pulls, "resistors inside the part",
               R"([{ "to": "supply", "ohms": "20..50 kΩ" }])", list(record(pull_shape())));
    s.optional("must_be_tied", &PinRecord::must_be_tied, "must not be left open even when unused", "true");
    s.optional("full_scale", &PinRecord::full_scale, "full scale of an analogue input", "\"supply\"");
    s.optional("source_ohms_max", &PinRecord::source_ohms_max, "highest source resistance", "\"10 kΩ\"",
                   likely<Span<Ohms>>({.least = 1, .most = 1e9}));
    s.optional("load", &PinRecord::load, "a load in place of an input",
               R"({ "to": "supply", "forward": "1.1..1.3 V", "ohms": "1 kΩ ± 5 %" })", record(load_shape()));
}

void add_output(Shape<PinRecord>& s) {
    const std::string row = R"([{ "supply": "4.5 V", "at": "4 mA", "level": )";
    s.optional("high", &PinRecord::high, "VOH by load current and supply", row + "\"3.84 V\" }]",
               list(record(drive_shape())));
    s.optional("low", &PinRecord::low, "VOL by load current and supply", row + "\"0.33 V\" }]",
               list(record(drive_shape())));
    s.optional("drive_max", &PinRecord::drive_max, "absolute maximum output current", "\"25 mA\"",
                   likely<Span<Amps>>({.least = 1e-6, .most = 50}));
    s.optional("flyback", &PinRecord::flyback, "pin that a diode inside leads to from this one", "\"COM\"");
    s.optional("static_low", &PinRecord::static_low, "low that is held at a level", "\"0.5 V\"");
    s.optional("high_below_supply", &PinRecord::high_below_supply,
               "how far a high stays below the supply even without load", "\"1.0..1.6..2.0 V\"");
    s.optional("low_above_ground", &PinRecord::low_above_ground,
               "how far a low stays above ground even without load", "\"0.5..0.65..0.9 V\"");
    s.optional("delay", &PinRecord::delay, "slowest propagation delay to this output", "\"25 ns\"",
                   likely<Seconds>(edge_likely));
    s.optional("rise_time", &PinRecord::rise_time, "10 to 90 % of a rising edge, nothing connected",
               "\"0.4..1.2 ns\"", likely<Span<Seconds>>(edge_likely));
    s.optional("fall_time", &PinRecord::fall_time, "10 to 90 % of a falling edge, nothing connected",
               "\"0.4..1.2 ns\"", likely<Span<Seconds>>(edge_likely));
    s.optional("curves", &PinRecord::curves, "current over voltage and switching of an output, by corner", "",
               record(curves_shape()));
    s.optional("analog_range", &PinRecord::analog_range, "voltages of an analogue output", "\"0..4.5 V\"",
                   likely<Span<Volts>>({.most = 100, .negative = true}));
    s.optional("output_ohms", &PinRecord::output_ohms, "resistance of an analogue output", "\"50..500 Ω\"",
                   likely<Span<Ohms>>({.most = 1e9}));
    s.optional("reset", &PinRecord::reset, "what an io pin does until software runs", "\"pull-up\"",
               reset_words());
}

}  // namespace

Type<bool> toward_supply() { return choice<bool>({{"supply", true}, {"ground", false}}); }

const Shape<PinRecord>& pin_shape() {
    static const auto shape = [] {
        Shape<PinRecord> s("pin", "How a pin behaves: a pin of a part, a trait, or a pin group of a family");
        s.place(&PinRecord::place).places(&PinRecord::keys);
        s.optional("like", &PinRecord::like, "trait it builds on", "\"push-pull output, 5 V\"");
        s.optional("is", &PinRecord::is, "its role", "\"input\"", choice(role_words()));
        s.optional("supply", &PinRecord::supply, "supply its levels follow", "\"VCC\"");
        add_limits(s);
        add_input(s);
        add_output(s);
        s.optional("note", &PinRecord::note, "shown with the pin", "\"5 V tolerant\"");
        add_origin(s);
        return s.check(&check_pin_rows);
    }();
    return shape;
}

}  // namespace voltsill
