/// A trace as a document: conditions, points with their waves, measures.
#include <cmath>

#include "engine/json_pieces.h"
#include "judging/traced.h"

namespace voltsill {
namespace {

/// To ten microvolts: far below what the solver promises, and short to write.
Json samples_json(const std::vector<double>& volts_of) {
    Json out = Json::array();
    for (double v : volts_of) out.push_back(std::round(v * 1e5) / 1e5);
    return out;
}

Json wave_json(const Wave& wave) {
    if (wave.seconds.empty()) return nullptr;
    return {{"seconds", wave.seconds}, {"volts", samples_json(wave.volts)}};
}

Json envelope_json(const std::optional<Envelope>& e) {
    if (!e) return nullptr;
    return {{"seconds", e->seconds},
            {"lo", samples_json(e->lo)},
            {"median", samples_json(e->median)},
            {"hi", samples_json(e->hi)}};
}

const char* role_word(PointRole role) {
    switch (role) {
        case PointRole::driver:
            return "driver";
        case PointRole::passed:
            return "passed";
        case PointRole::receiver:
            break;
    }
    return "receiver";
}

Json point_json(const TracePoint& p) {
    return {{"point", p.label},
            {"role", role_word(p.role)},
            {"inverted", p.inverted},
            {"supply", volts_json(p.supply > 0 ? std::optional(p.supply) : std::nullopt)},
            {"vil_max", volts_json(p.vil)},
            {"vih_min", volts_json(p.vih)},
            {"threshold_falling", volts_json(p.falls)},
            {"threshold_rising", volts_json(p.rises)},
            {"limit_min", volts_json(p.limit_min)},
            {"limit_max", volts_json(p.limit_max)},
            {"nominal", wave_json(p.nominal)},
            {"worst", wave_json(p.worst)},
            {"envelope", envelope_json(p.envelope)}};
}

Json limit_json(const Measured& m) {
    if (!m.limit) return nullptr;
    Json out = quantity_json(dimension_of(m.kind), m.limit);
    append_provenance(out, m.limit_origin);
    out["is"] = m.limit_is_maximum ? "maximum" : "minimum";
    return out;
}

Json measured_json(const Measured& m) {
    const auto quantity = [&](const std::optional<double>& v) {
        return quantity_json(dimension_of(m.kind), v);
    };
    Json influences = Json::array();
    for (const Influence& i : m.influences)
        influences.push_back({{"parameter", i.parameter}, {"share", i.share}, {"raises", i.raises}});
    const auto verdict = verdict_of(m);
    return {{"measure", to_word(m.kind)},
            {"at", name_or_null(m.point)},
            {"nominal", quantity(m.nominal)},
            {"lowest", quantity(m.lo)},
            {"median", quantity(m.median)},
            {"highest", quantity(m.hi)},
            {"why_not", m.why},
            {"limit", limit_json(m)},
            {"verdict", verdict ? Json(to_word(*verdict)) : Json(nullptr)},
            {"kept", m.kept},
            {"counted", m.counted},
            {"yield_lo", m.yield_lo},
            {"yield_hi", m.yield_hi},
            {"influences", std::move(influences)}};
}

}  // namespace

Json trace_json(const LinkTrace& t) {
    Json points = Json::array(), measures = Json::array();
    for (const TracePoint& p : t.points) points.push_back(point_json(p));
    for (const Measured& m : t.measures) measures.push_back(measured_json(m));
    return {{"link", t.link},
            {"verdict", to_word(verdict_of(t))},
            {"rate", quantity_json(Dimension::frequency, t.rate)},
            {"bits_a_cycle", t.bits_a_cycle},
            {"rate_assumed", t.rate_assumed},
            {"duration", quantity_json(Dimension::time, t.duration)},
            {"pattern", t.pattern},
            {"analog", t.analog},
            {"seed", t.seed},
            {"samples", t.samples},
            {"asked", t.asked},
            {"failed", t.failed},
            {"cancelled", t.cancelled},
            {"worst_sample", t.worst_sample ? Json(*t.worst_sample) : Json(nullptr)},
            {"worst_by", t.worst_by},
            {"trouble", t.trouble},
            {"leans_on", t.leans_on},
            {"points", std::move(points)},
            {"measures", std::move(measures)}};
}

}  // namespace voltsill
