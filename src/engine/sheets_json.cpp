/// Sheets as a document: the values that the sheets put in words.
#include "engine/json_pieces.h"
#include "engine/sheets_class_json.h"

namespace voltsill {
namespace {

Json volts(double lo, double nominal, double hi) { return span_json(Dimension::voltage, {lo, nominal, hi}); }

Json wires_json(const Sheets& sheets) {
    Json out = Json::array();
    for (const BuildWire& w : sheets.wires)
        out.push_back({{"number", w.number},
                       {"from", w.from},
                       {"to", w.to},
                       {"net", w.net},
                       {"use", to_word(w.use)},
                       {"colour", name_or_null(w.colour)},
                       {"length", w.metres > 0 ? Json(w.metres) : Json(nullptr)},
                       {"reason", w.reason}});
    return out;
}

Json phases_json(const Sheets& sheets) {
    Json out = Json::array();
    for (const BuildPhase& phase : sheets.phases) {
        Json steps = Json::array();
        for (const BuildStep& s : phase.steps)
            steps.push_back({{"wire", s.wire > 0 ? Json(s.wire) : Json(nullptr)},
                             {"part", s.part >= 0 ? Json(sheets.wiring().parts[s.part].name) : Json(nullptr)},
                             {"text", s.text},
                             {"more", s.more}});
        out.push_back({{"title", phase.title},
                       {"link", name_or_null(phase.link)},
                       {"steps", std::move(steps)},
                       {"check", name_or_null(phase.gate)}});
    }
    return out;
}

const char* kind_word(OhmCheck::Kind kind) {
    switch (kind) {
        case OhmCheck::Kind::rail:
            return "apart";
        case OhmCheck::Kind::joined:
            return "joined";
        default:
            return "part";
    }
}

Json ohms_json(const Sheets& sheets) {
    Json out = Json::array();
    for (const OhmCheck& c : sheets.ohms)
        out.push_back(
            {{"kind", kind_word(c.kind)},
             {"from", c.from},
             {"to", c.to},
             {"ohms", span_json(Dimension::resistance, {c.window.lo, c.window.nominal, c.window.hi})},
             {"open", c.window.open()},
             {"wrong", c.wrong}});
    return out;
}

Json levels_json(const Sheets& sheets) {
    Json out = Json::array();
    for (const LinkReading& r : sheets.levels)
        out.push_back({{"link", r.link},
                       {"driver", r.driver},
                       {"set", std::string(1, r.set)},
                       {"point", r.reading.point},
                       {"receiver", r.receiver},
                       {"net", r.reading.net},
                       {"state", r.reading.state},
                       {"volts", volts(r.reading.lo, r.reading.nominal, r.reading.hi)},
                       {"level", std::string(1, r.reading.level)},
                       {"threshold", quantity_json(Dimension::voltage, r.threshold)}});
    return out;
}

Json order_json(const PowerOrder& order) {
    Json steps = Json::array();
    for (const PowerStep& s : order.steps)
        steps.push_back({{"rails", s.rails},
                         {"then", name_or_null(s.waiting)},
                         {"verdict", s.judged ? Json(to_word(s.verdict)) : Json(nullptr)},
                         {"sentence", s.sentence}});
    return {{"verdict", to_word(order.verdict)},
            {"steps", std::move(steps)},
            {"not_in_this_order", name_or_null(order.worst_order)},
            {"because", order.worst_sentence}};
}

Json currents_json(const Sheets& sheets) {
    const auto amps = [](double lo, double nominal, double hi) {
        return span_json(Dimension::current, {lo, nominal, hi});
    };
    Json out = Json::array();
    for (const RailCurrent& c : sheets.currents) {
        Json shares = Json::array();
        for (const CurrentShare& s : c.shares)
            shares.push_back({{"what", s.what}, {"amps", amps(s.lo, s.nominal, s.hi)}});
        out.push_back({{"rail", c.rail},
                       {"source", c.source},
                       {"amps", amps(c.lo, c.nominal, c.hi)},
                       {"shares", std::move(shares)},
                       {"not_counted", c.silent}});
    }
    return out;
}

Json kit_json(const Sheets& sheets) {
    Json out = Json::array();
    for (const KitEntry& k : sheets.kit)
        out.push_back({{"what", k.what},
                       {"per_seat", k.per_seat},
                       {"seats", k.seats},
                       {"spares", k.spares},
                       {"total", k.total()},
                       {"names", k.names}});
    return out;
}

Json exercises_json(const Sheets& sheets) {
    Json out = Json::array();
    for (const Exercise& e : sheets.exercises) {
        Json expected = Json::array();
        for (const ExpectedLevel& x : e.expected)
            expected.push_back({{"set", std::string(1, x.set)},
                                {"point", x.point},
                                {"lo", x.lo},
                                {"hi", x.hi},
                                {"level", std::string(1, x.level)}});
        out.push_back({{"link", e.link},
                       {"controller_drives", e.drives},
                       {"digital", e.digital},
                       {"pin", e.pin},
                       {"driver", e.driver},
                       {"rate", json_of(e.rate)},
                       {"expected", std::move(expected)}});
    }
    return out;
}

Json slips_json(const Sheets& sheets) {
    Json worst = Json::array(), rows = Json::array();
    for (const SlipHarm& harm : sheets.slips.worst)
        worst.push_back({{"slip", words(sheets.wiring(), sheets.placed.placement, harm.slip)},
                         {"kind", to_word(harm.slip.kind)},
                         {"verdict", to_word(harm.verdict)},
                         {"part", name_or_null(harm.part)},
                         {"pin", name_or_null(harm.pin)},
                         {"sentence", harm.sentence}});
    for (const RowToCheck& row : sheets.slips.rows)
        rows.push_back({{"where", row.words}, {"harmful", row.harmful}, {"unknown", row.unknown}});
    return {{"possible", sheets.slips.slips},
            {"harmful", sheets.slips.harmful},
            {"unknown", sheets.slips.unknown},
            {"worst", std::move(worst)},
            {"rows", std::move(rows)}};
}

const char* unit_of(Prediction::Kind kind) {
    return kind == Prediction::Kind::volts ? "V" : kind == Prediction::Kind::ohms ? "Ω" : "s";
}

Json prediction_json(const std::string& words, const Prediction& p) {
    const bool number = p.known && !p.floats && p.kind != Prediction::Kind::chance;
    return {{"words", words},
            {"unit", number ? Json(unit_of(p.kind)) : Json(nullptr)},
            {"lo", number ? Json(p.lo) : Json(nullptr)},
            {"hi", number ? Json(p.hi) : Json(nullptr)}};
}

Json faults_json(const FaultChart& chart) {
    const auto cause = [](const ChartCause& c) -> Json { return {{"words", c.words}, {"share", c.share}}; };
    const auto reading = [&](const ChartReading& r) -> Json {
        const auto answer = [&](const ChartAnswer& a) -> Json {
            return {{"reads", prediction_json(a.words, a.reads)},
                    {"causes", json_list(a.causes, cause)},
                    {"more", a.more}};
        };
        return {{"means", to_key(r.means)},
                {"how", r.how},
                {"as_planned", prediction_json(r.words, r.planned)},
                {"otherwise", json_list(r.answers, answer)}};
    };
    const auto row = [&](const ChartRow& r) -> Json {
        return {{"symptom", r.symptom},
                {"keep_off", name_or_null(r.keep_off)},
                {"causes", json_list(r.causes, cause)},
                {"readings", json_list(r.readings, reading)}};
    };
    return {{"faults", chart.faults}, {"rows", json_list(chart.rows, row)}};
}

Json planted_json(const PlantedSet& set) {
    const auto step = [](const PlantedStep& s) -> Json {
        return {{"reading", s.question}, {"reads", s.reads}, {"as_planned", s.planned}};
    };
    const auto planted = [&](const PlantedFault& p) -> Json {
        return {{"id", p.fault.id},
                {"kind", to_key(p.fault.kind)},
                {"words", p.fault.words},
                {"plant", p.plant},
                {"symptom", p.symptom},
                {"remedy", p.remedy},
                {"grade", to_word(p.grade)},
                {"steps", json_list(p.steps, step)}};
    };
    return {{"sentence", set.sentence}, {"faults", json_list(set.faults, planted)}, {"of_seat", set.of_seat}};
}

Json changes_json(const ChangeList& list) {
    Json changes = Json::array();
    for (const Change& c : list.changes)
        changes.push_back({{"kind", c.kind == Change::Kind::added     ? "added"
                                    : c.kind == Change::Kind::removed ? "removed"
                                                                      : "changed"},
                           {"what", c.what},
                           {"name", c.name},
                           {"was", name_or_null(c.was)},
                           {"is", name_or_null(c.is)}});
    return {{"since", list.old_version},
            {"changes", std::move(changes)},
            {"sheets", list.sheets},
            {"new_steps", list.steps}};
}

}  // namespace

Problems all_problems(const SheetsResult& result) {
    Problems problems = result.problems;
    for (const Problems* more : {&result.since_problems, &result.misused})
        problems.insert(problems.end(), more->begin(), more->end());
    return problems;
}

Json sheets_json(const SheetsResult& result) {
    Json out = document_head("voltsill-sheets-1", result.bench.has_value(), all_problems(result));
    if (!result.bench) return out;
    const Sheets& sheets = result.sheets;
    out["version"] = sheets.version;
    out["wiring_from"] = sheets.planned ? "plan" : "given";
    out["bench"] = bench_json(*result.bench);
    out["wiring"] = wiring_json(sheets.wiring());
    out["judgement"] = judgement_json(sheets.judgement, *result.bench);
    Json boards = Json::array();
    for (const auto& board : sheets.placed.placement.boards) boards.push_back(board->name);
    out["boards"] = std::move(boards);
    out["not_placed"] = name_or_null(sheets.placed.trouble);
    out["unwired"] = sheets.unwired;
    out["wires"] = wires_json(sheets);
    out["phases"] = phases_json(sheets);
    out["resistances"] = ohms_json(sheets);
    out["levels"] = levels_json(sheets);
    out["power_order"] = order_json(sheets.order);
    out["currents"] = currents_json(sheets);
    out["slips"] = slips_json(sheets);
    out["fault_chart"] = sheets.faults ? faults_json(*sheets.faults) : Json(nullptr);
    out["planted"] = sheets.planted ? planted_json(*sheets.planted) : Json(nullptr);
    out["kit"] = kit_json(sheets);
    out["exercises"] = exercises_json(sheets);
    out["questions"] = questions_json(sheets.questions, sheets.with_answers);
    out["time"] = time_json(sheets.time);
    out["stock"] = stock_json(sheets.stock);
    out["since"] = result.changes ? changes_json(*result.changes) : Json(nullptr);
    return out;
}

std::string to_json(const SheetsResult& result) { return written(sheets_json(result)); }

}  // namespace voltsill
