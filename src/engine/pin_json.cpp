/// A pin as a document: what it states and nothing else.

#include "engine/json_pieces.h"

namespace voltsill {
namespace {

/// ratio * V(supply) + offset.
Json level_json(const Level& level) { return {{"ratio", level.ratio}, {"offset", json_of(level.offset)}}; }

Json threshold_json(const ThresholdRow& row) {
    Json out = {
        {"supply", json_of(row.supply)}, {"low", level_json(row.low)}, {"high", level_json(row.high)}};
    if (row.rising) out["rising"] = json_of(*row.rising);
    if (row.falling) out["falling"] = json_of(*row.falling);
    append_provenance(out, row.origin);
    return out;
}

Json transition_json(const TransitionRow& row) {
    Json out = {{"supply", json_of(row.supply)}};
    if (row.per_volt) out["per_volt"] = json_of(*row.per_volt);
    if (row.total) out["total"] = json_of(*row.total);
    append_provenance(out, row.origin);
    return out;
}

Json drive_json(const DriveRow& row) {
    Json out = {{"supply", json_of(row.supply)}, {"at", json_of(row.at)}, {"level", level_json(row.level)}};
    append_provenance(out, row.origin);
    return out;
}

Json pull_json(const Pull& pull) {
    return {{"to", pull.up ? "supply" : "ground"},
            {"ohms", json_of(pull.ohms)},
            {"removable", pull.removable},
            {"at_reset", pull.at_reset}};
}

Json load_json(const LoadInput& load) {
    return {{"to", load.to_supply ? "supply" : "ground"},
            {"forward", json_of(load.forward)},
            {"ohms", json_of(load.ohms)},
            {"on_above", json_of(load.on_above)},
            {"off_below", json_of(load.off_below)},
            {"consequence", load.consequence},
            {"inductive", load.inductive}};
}

/// Adds what a pin states and passes over what it does not.
struct Stated {
    Json& out;

    void operator()(const char* key, const std::optional<Level>& level) {
        if (level) out[key] = level_json(*level);
    }
    template <Printable Q>
    void operator()(const char* key, const Figure<Q>& figure) {
        if (figure.known()) out[key] = json_of(figure);
    }
    template <Printable Q>
    void operator()(const char* key, const std::optional<Q>& value) {
        if (value) out[key] = json_of(*value);
    }
    template <Printable Q>
    void operator()(const char* key, const std::optional<Span<Q>>& span) {
        if (span) out[key] = json_of(*span);
    }
    void operator()(const char* key, const std::string& text) {
        if (!text.empty()) out[key] = text;
    }
    template <class Row>
    void operator()(const char* key, const std::vector<Row>& rows, Json (*make)(const Row&)) {
        for (const Row& row : rows) out[key].push_back(make(row));
    }
};

}  // namespace

Json pin_json(const PartType& type, const Pin& pin) {
    Json out = {{"name", pin.name},
                {"role", to_word(pin.role)},
                {"supply", pin.supply < 0 ? Json(nullptr) : Json(type.supplies[pin.supply].name)},
                {"schmitt", pin.schmitt},
                {"clamp_to_supply", pin.clamp_to_supply},
                {"clamp_to_ground", pin.clamp_to_ground},
                {"must_be_tied", pin.must_be_tied}};
    Stated stated{out};
    stated("max", pin.max);
    stated("min", pin.min);
    stated("max_unpowered", pin.max_unpowered);
    stated("range_max", pin.range_max);
    stated("range_min", pin.range_min);
    if (pin.limits_origin.certainty != Certainty::unknown)
        append_provenance(out["limits_origin"], pin.limits_origin);
    if (pin.range_max || pin.range_min) append_provenance(out["range_origin"], pin.range_origin);
    stated("thresholds", pin.thresholds, threshold_json);
    stated("transition", pin.transition, transition_json);
    stated("capacitance", pin.capacitance);
    stated("leakage", pin.leakage);
    stated("input_low", pin.input_low);
    stated("input_high", pin.input_high);
    stated("pulls", pin.pulls, pull_json);
    stated("clamp_forward", pin.clamp_forward);
    stated("clamp_max", pin.clamp_max);
    stated("injection_allowed", pin.injection_allowed);
    stated("high", pin.high, drive_json);
    stated("low", pin.low, drive_json);
    stated("drive_max", pin.drive_max);
    stated("delay_max", pin.delay_max);
    if (pin.delay_max) append_provenance(out["delay_origin"], pin.delay_origin);
    stated("rise_time", pin.rise_time);
    stated("fall_time", pin.fall_time);
    stated("static_low", pin.static_low);
    if (pin.static_low) append_provenance(out["static_low_origin"], pin.static_low_origin);
    stated("analog_range", pin.analog_range);
    stated("full_scale", pin.full_scale);
    stated("output_ohms", pin.output_ohms);
    stated("source_ohms_max", pin.source_ohms_max);
    if (pin.load) out["load"] = load_json(*pin.load);
    stated("flyback", pin.flyback);
    stated("reset_state", pin.reset_state);
    stated("note", pin.note);
    return out;
}

}  // namespace voltsill
