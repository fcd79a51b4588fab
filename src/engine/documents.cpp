/// The documents: a head with the format and what was wrong with the input, then the result.

#include "documents/charts.h"
#include "documents/reports.h"
#include "drawing/svg.h"
#include "engine/json_pieces.h"

namespace voltsill {
namespace {

Json candidate_json(const Candidate& c) {
    return {{"circuit", c.circuit},
            {"title", c.title},
            {"part", name_or_null(c.part)},
            {"verdict", to_word(c.verdict)},
            {"high_margin", quantity_json(Dimension::voltage, c.high_margin)},
            {"low_margin", quantity_json(Dimension::voltage, c.low_margin)},
            {"score", c.score},
            {"parts", c.parts},
            {"price", c.price},
            {"in_stock", c.in_stock},
            {"inverted", c.inverted},
            {"wired", c.wired},
            {"choosable", c.choosable},
            {"why_not", c.why_not},
            {"how_sized", c.how_sized},
            {"cautions", c.cautions}};
}

Json link_plans_json(const std::vector<LinkPlan>& links) {
    Json out = Json::array();
    for (const LinkPlan& link : links) {
        Json rejected = Json::array();
        for (const Candidate& candidate : link.rejected) rejected.push_back(candidate_json(candidate));
        out.push_back({{"link", link.link},
                       {"chosen", link.chosen ? candidate_json(*link.chosen) : Json(nullptr)},
                       {"rejected", std::move(rejected)}});
    }
    return out;
}

Json trace_result_json(const TraceResult& result) {
    Problems problems = result.problems;
    problems.insert(problems.end(), result.misused.begin(), result.misused.end());
    Json out = document_head("voltsill-trace-1", result.bench.has_value(), problems);
    if (result.bench) {
        Json traces = Json::array();
        for (const LinkTrace& trace : result.traces) traces.push_back(trace_json(trace));
        out["wiring_from"] = result.planned ? "plan" : "given";
        out["bench"] = bench_json(*result.bench);
        out["wiring"] = wiring_json(result.wiring);
        out["traces"] = std::move(traces);
    }
    return out;
}

}  // namespace

std::string to_json(const CheckResult& result) {
    Json out = document_head("voltsill-check-1", result.bench.has_value(), result.problems);
    if (result.bench) {
        out["wiring_from"] = result.given_wiring ? "given" : "direct";
        out["bench"] = bench_json(*result.bench);
        out["wiring"] = wiring_json(result.wiring);
        out["judgement"] = judgement_json(result.judgement, *result.bench);
    }
    return written(out);
}

std::string to_json(const PlanResult& result) {
    Json out = document_head("voltsill-plan-1", result.bench.has_value(), result.problems);
    if (result.bench) {
        const Plan& plan = result.plan;
        out["bench"] = bench_json(*result.bench);
        out["links"] = link_plans_json(plan.links);
        out["wiring"] = wiring_json(plan.wiring);
        out["judgement"] = judgement_json(plan.judgement, *result.bench);
        out["before"] = judgement_json(plan.before, *result.bench);
        out["notes"] = plan.notes;
    }
    return written(out);
}

std::string to_json(const ReadingsResult& result) {
    Json out = document_head("voltsill-readings-1", result.bench.has_value(), result.problems);
    if (result.bench) {
        Json readings = Json::array();
        for (const StateReading& r : result.readings)
            readings.push_back({{"point", r.point},
                                {"net", r.net},
                                {"state", r.state},
                                {"volts", span_json(Dimension::voltage, {r.lo, r.nominal, r.hi})},
                                {"level", std::string(1, r.level)}});
        out["wiring_from"] = result.planned ? "plan" : "given";
        out["bench"] = bench_json(*result.bench);
        out["wiring"] = wiring_json(result.wiring);
        out["readings"] = std::move(readings);
    }
    return written(out);
}

std::string to_json(const TraceResult& result) { return written(trace_result_json(result)); }

std::string trace_step_to_json(const TraceResult& result, int samples, bool last) {
    constexpr int first_wave = 1'000'000;  // names of elements, far from those of pictures.cpp on the same page
    Json svg = Json::object();
    int number = first_wave;
    for (const LinkTrace& t : result.traces)
        svg[t.link] = drawing::svg_element(doc::wave_chart_drawing(wave_chart(t)), number++);
    Json out = {{"format", "voltsill-trace-step-1"}, {"samples", samples}, {"final", last}};
    out["trace"] = trace_result_json(result);
    out["svg"] = std::move(svg);
    return written(out);
}

std::string to_json(const PartType& type) {
    Json out = {{"format", "voltsill-part-1"}};
    out["part"] = part_json(type);
    return written(out);
}

std::string to_json(const PinTrait& trait) {
    Json out = {{"format", "voltsill-pin-trait-1"}};
    out["trait"] = pin_trait_json(trait);
    return written(out);
}

std::string parts_to_json(const std::vector<const PartType*>& types, const std::vector<PinTrait>& traits,
                          const std::vector<std::string>& near) {
    Json out = {{"format", "voltsill-parts-1"}};
    out["parts"] = json_list(types, [](const PartType* type) { return part_json(*type); });
    out["traits"] = json_list(traits, pin_trait_json);
    out["near"] = near;
    return written(out);
}

std::string to_json(const Problems& problems) {
    return written(document_head("voltsill-problems-1", !has_error(problems), problems));
}

}  // namespace voltsill
