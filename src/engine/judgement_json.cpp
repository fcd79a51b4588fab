/// A judgement as a document: every finding once, and the links that point at them.

#include "engine/json_pieces.h"
#include "engine/places.h"

namespace voltsill {
namespace {

Json evidence_json(const std::optional<Evidence>& evidence, Dimension dimension) {
    if (!evidence) return nullptr;
    Json out = quantity_json(dimension, evidence->value);
    append_provenance(out, evidence->origin);
    out["what"] = evidence->what;
    return out;
}

Json level_json(const LevelBand& band) {
    return {{"point", band.point},
            {"level", band.high ? "high" : "low"},
            {"volts", span_json(Dimension::voltage, {band.lo, band.nominal, band.hi})},
            {"threshold", volts_json(band.threshold)},
            {"limit_max", volts_json(band.limit_max)},
            {"limit_min", volts_json(band.limit_min)},
            {"certainty", certainty_word(band.certainty)},
            {"floats", band.floats}};
}

Json link_judgement_json(const LinkJudgement& link) {
    Json levels = Json::array();
    for (const LevelBand& band : link.levels) levels.push_back(level_json(band));
    return {{"link", link.link},
            {"verdict", to_word(link.verdict)},
            {"findings", link.findings},
            {"levels", std::move(levels)},
            {"high_margin", quantity_json(Dimension::voltage, link.high_margin)},
            {"low_margin", quantity_json(Dimension::voltage, link.low_margin)},
            {"inverted", link.inverted}};
}

}  // namespace

Json finding_json(const Finding& f, const Bench& bench) {
    return {{"code", f.code},
            {"verdict", to_word(f.verdict)},
            {"link", name_or_null(f.link)},
            {"part", name_or_null(f.part)},
            {"pin", name_or_null(f.pin)},
            {"net", name_or_null(f.net)},
            {"value", evidence_json(f.value, f.dimension)},
            {"limit", evidence_json(f.limit, f.dimension)},
            // A finding that measured nothing ("no path") has no margin either.
            {"margin", f.value ? quantity_json(f.dimension, f.margin) : Json(nullptr)},
            {"state", f.state},
            {"corner", f.corner},
            {"bound_exact", f.bound_exact},
            {"sentence", f.sentence},
            {"arithmetic", f.arithmetic},
            {"advice", f.advice},
            {"place", place_json(place_of(f, bench))}};
}

Json judgement_json(const Judgement& judgement, const Bench& bench) {
    Json findings = Json::array(), links = Json::array();
    for (const Finding& f : judgement.findings) findings.push_back(finding_json(f, bench));
    for (const LinkJudgement& link : judgement.links) links.push_back(link_judgement_json(link));
    return {{"verdict", to_word(judgement.verdict)},
            {"findings", std::move(findings)},
            {"links", std::move(links)},
            {"shared", judgement.shared},
            {"states_solved", judgement.states_solved},
            {"trouble", judgement.trouble}};
}

}  // namespace voltsill
