/// "voltsill-capture-1": what was measured, and what was expected, channel by channel.
#include "engine/capture.h"
#include "engine/json_pieces.h"

namespace voltsill {
namespace {

Json seconds(std::optional<double> v) { return quantity_json(Dimension::time, v); }

/// Lowest, mean and highest of what was counted; null when nothing was.
Json tally_json(const Tally& t) {
    return {{"count", t.count},
            {"seconds", t.count ? span_json(Dimension::time, {t.lo, t.mean(), t.hi}) : Json(nullptr)}};
}

Json stay_json(const Stay& s) {
    return {{"count", s.count},
            {"total", seconds(s.seconds)},
            {"longest", seconds(s.longest)},
            {"returned", s.returned}};
}

Json pulses_json(const PulseMeasures& p) {
    return {{"rising", p.rising},
            {"falling", p.falling},
            {"frequency", quantity_json(Dimension::frequency, p.frequency)},
            {"duty", quantity_json(Dimension::ratio, p.duty)},
            {"period", tally_json(p.period)},
            {"high_width", tally_json(p.high)},
            {"low_width", tally_json(p.low)},
            {"glitches", p.glitches},
            {"glitch_limit", seconds(p.glitch_limit)}};
}

Json voltage_json(const VoltageMeasures& v) {
    const auto level = [&](bool high) {
        return v.levels ? volts_json(high ? v.levels->high : v.levels->low) : Json(nullptr);
    };
    return {{"samples", v.samples},
            {"missing", v.missing},
            {"two_states", v.two_states},
            {"high", level(true)},
            {"low", level(false)},
            {"highest", v.levels ? volts_json(v.highest) : Json(nullptr)},
            {"lowest", v.levels ? volts_json(v.lowest) : Json(nullptr)},
            {"overshoot", volts_json(v.overshoot)},
            {"undershoot", volts_json(v.undershoot)},
            {"rise_time", tally_json(v.rise)},
            {"fall_time", tally_json(v.fall)},
            {"runts", v.runts},
            {"between_thresholds", stay_json(v.between)},
            {"over_maximum", stay_json(v.over)},
            {"under_minimum", stay_json(v.under)},
            {"edges_by_first_levels", v.levels_moved}};
}

Json logic_json(const LogicMeasures& l) {
    return {{"changes", l.changes},         {"zero", seconds(l.seconds[0])},
            {"one", seconds(l.seconds[1])}, {"x", seconds(l.seconds[2])},
            {"z", seconds(l.seconds[3])},   {"unknown_spells", l.unknown_spells}};
}

Json channel_json(const ChannelCapture& c) {
    return {{"name", c.channel.name},
            {"aliases", c.channel.aliases},
            {"unit", name_or_null(c.channel.unit)},
            {"digital", c.digital},
            {"duration", seconds(c.seconds())},
            {"pulses", pulses_json(c.pulses())},
            {"voltage", c.voltage() ? voltage_json(*c.voltage()) : Json(nullptr)},
            {"logic", c.logic() ? logic_json(*c.logic()) : Json(nullptr)}};
}

Json mapped_json(const MappedChannel& m, const Capture& capture, const Bench& bench) {
    const auto span = [](const std::optional<Span<double>>& s) {
        return s ? span_json(Dimension::voltage, *s) : Json(nullptr);
    };
    Json findings = Json::array();
    for (const Finding& f : m.findings) findings.push_back(finding_json(f, bench));
    return {{"channel", capture.channels[static_cast<std::size_t>(m.channel)].channel.name},
            {"link", name_or_null(m.expected.link)},
            {"point", m.expected.point},
            {"verdict", to_word(m.verdict)},
            {"predicted_high", span(m.expected.high)},
            {"predicted_low", span(m.expected.low)},
            {"vih", volts_json(m.expected.limits.vih)},
            {"vil", volts_json(m.expected.limits.vil)},
            {"limit_max", volts_json(m.expected.limits.limit_max)},
            {"limit_min", volts_json(m.expected.limits.limit_min)},
            {"certainty", certainty_word(m.expected.certainty)},
            {"findings", std::move(findings)}};
}

}  // namespace

std::string to_json(const CaptureResult& result) {
    Json out = {{"format", "voltsill-capture-1"},
                {"accepted", result.bench.has_value()},
                {"problems", problems_json(result.problems)}};
    if (result.bench) {
        Json channels = Json::array(), mapped = Json::array();
        for (const ChannelCapture& c : result.capture.channels) channels.push_back(channel_json(c));
        for (const MappedChannel& m : result.mapped)
            mapped.push_back(mapped_json(m, result.capture, *result.bench));
        out["file"] = result.capture.file;
        out["file_format"] = result.capture.format;
        out["bytes"] = result.capture.bytes;
        out["partial"] = result.capture.partial;
        out["cancelled"] = result.capture.cancelled;
        out["wiring_from"] = result.planned ? "plan" : "given";
        out["verdict"] = to_word(result.verdict);
        out["channels"] = std::move(channels);
        out["mapped"] = std::move(mapped);
    }
    return written(out);
}

}  // namespace voltsill
