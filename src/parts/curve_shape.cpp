/// Curves of outputs as written: I-V tables and switching curves, corner by corner.
#include <algorithm>
#include <functional>

#include "parts/shape_tools.h"

namespace voltsill {
namespace {

constexpr std::size_t most_points = 200;

void check_iv(const Value& table, IvRecord& curve, Reader& reader) {
    if (table.damaged) return;
    const auto refuse = [&](std::string_view key, std::string message, std::string expected) {
        reader.error(spot_of(table, key), "not-a-curve", std::move(message), std::move(expected));
        curve = {};
    };
    const std::size_t n = curve.volts.size();
    if (n < 2 || n > most_points || n != curve.milliamps.size())
        refuse("volts", "a curve needs as many volts as milliamps", "2 to 200 of each");
    else if (std::ranges::adjacent_find(curve.volts, std::greater_equal<>{}) != curve.volts.end())
        refuse("volts", "the volts of a curve must rise", "each value above the one before");
    else if (std::ranges::adjacent_find(curve.milliamps, std::greater<>{}) != curve.milliamps.end())
        refuse("milliamps", "the current of a curve must not fall as the voltage rises",
               "each value at least the one before");
}

void check_switching(const Value& table, SwitchingRecord& curve, Reader& reader) {
    if (table.damaged) return;
    const std::size_t n = curve.up.size();
    if (n >= 2 && n <= most_points && n == curve.down.size() && curve.duration > Seconds{}) return;
    reader.error(table.spot, "not-a-curve",
                 "a switching curve needs a duration and as many points up as down",
                 "duration above zero, 2 to 200 points of each");
    curve = {Seconds{1e-9}, {0, 1}, {1, 0}};
}

const Shape<IvRecord>& iv_shape() {
    static const auto shape = [] {
        Shape<IvRecord> s("I-V table", "Current over voltage; the volts rise, the current never falls");
        s.required("volts", &IvRecord::volts, "voltages in V", "[0.0, 1.0]");
        s.required("milliamps", &IvRecord::milliamps, "currents in mA", "[0.0, 8.5]");
        return s.check(&check_iv);
    }();
    return shape;
}

const Shape<SwitchingRecord>& switching_shape() {
    static const auto shape = [] {
        Shape<SwitchingRecord> s("switching curve", "How far each side conducts during an edge, 0 to 1");
        s.required("duration", &SwitchingRecord::duration, "from the first point to the last", "\"2 ns\"");
        s.required("up", &SwitchingRecord::up, "the pull-up, points evenly spaced in time", "[0.0, 0.5, 1.0]",
                   list(number(0.0, 1.5)));
        s.required("down", &SwitchingRecord::down, "the pull-down at the same times", "[1.0, 0.5, 0.0]",
                   list(number(0.0, 1.5)));
        return s.check(&check_switching);
    }();
    return shape;
}

const Shape<CornerRecord>& corner_shape() {
    static const auto shape = [] {
        Shape<CornerRecord> s("output corner", "Curves of an output at one corner");
        s.required("supply", &CornerRecord::supply, "supply voltage they hold for", "\"3.3 V\"");
        s.optional("pull_up", &CornerRecord::pull_up,
                   "current from the supply to the pin over the voltage between them", "",
                   record(iv_shape()));
        s.optional("pull_down", &CornerRecord::pull_down, "current from the pin to ground over its voltage",
                   "", record(iv_shape()));
        s.optional("supply_clamp", &CornerRecord::supply_clamp,
                   "current into the pin over how far it is above the supply", "", record(iv_shape()));
        s.optional("ground_clamp", &CornerRecord::ground_clamp,
                   "current into the pin over its voltage, negative below ground", "", record(iv_shape()));
        s.optional("rising", &CornerRecord::rising, "switching of a rising edge", "",
                   record(switching_shape()));
        s.optional("falling", &CornerRecord::falling, "switching of a falling edge", "",
                   record(switching_shape()));
        return s;
    }();
    return shape;
}

IvCurve iv_curve(const std::optional<IvRecord>& record) {
    if (!record) return {};
    IvCurve curve{record->volts, record->milliamps};
    for (double& i : curve.amps) i *= 1e-3;
    return curve;
}

std::optional<SwitchingCurve> switching_curve(const std::optional<SwitchingRecord>& record) {
    if (!record) return std::nullopt;
    return SwitchingCurve{record->duration.si(), record->up, record->down};
}

OutputCorner output_corner(const CornerRecord& r) {
    return {r.supply,
            iv_curve(r.pull_up),
            iv_curve(r.pull_down),
            iv_curve(r.supply_clamp),
            iv_curve(r.ground_clamp),
            switching_curve(r.rising),
            switching_curve(r.falling)};
}

}  // namespace

const Shape<CurvesRecord>& curves_shape() {
    static const auto shape = [] {
        Shape<CurvesRecord> s("output curves",
                              "Curves of an output; a corner that is not given is the typical one");
        s.required("typical", &CurvesRecord::typical, "at typical supply and temperature",
                   R"({ "supply": "3.3 V" })", record(corner_shape()));
        s.optional("slow", &CurvesRecord::slow, "the weak, slow corner", "", record(corner_shape()));
        s.optional("fast", &CurvesRecord::fast, "the strong, fast corner", "", record(corner_shape()));
        add_origin(s);
        return s;
    }();
    return shape;
}

OutputCurves output_curves(const CurvesRecord& record, const Provenance& outer) {
    return {output_corner(record.slow.value_or(record.typical)), output_corner(record.typical),
            output_corner(record.fast.value_or(record.typical)), inherited(outer, record)};
}

}  // namespace voltsill
