/// "voltsill-diagnose-1": what explains the readings, what does not, and what to read next.
#include <algorithm>

#include "engine/diagnose.h"
#include "engine/json_pieces.h"

namespace voltsill {
namespace {

Json fault_json(const Fault& fault) {
    return {{"id", fault.id},
            {"kind", to_key(fault.kind)},
            {"words", fault.words},
            {"remedy", fault.remedy},
            {"weight", fault.weight},
            {"seen_by_eye", fault.seen_by_eye},
            {"wires", fault.wires}};
}

Json member_json(const SuspectMember& member) {
    return {{"words", member.words},
            {"remedy", member.remedy},
            {"share", member.share},
            {"faults", json_list(member.faults, fault_json)}};
}

Json suspects_json(const DiagnoseResult& r) {
    Json out = Json::array();
    for (std::size_t k = 0; k < r.diagnosis.suspects.size(); ++k) {
        const Suspect& s = r.diagnosis.suspects[k];
        out.push_back({{"share", s.share},
                       {"as_planned", is_as_planned(s)},
                       {"may_harm", s.may_harm},
                       {"words", s.words},
                       {"common", name_or_null(s.common)},
                       {"remedy", s.remedy},
                       {"members", json_list(r.members[k], member_json)}});
    }
    return out;
}

Json next_json(const DiagnoseResult& r) {
    Json out = Json::array();
    for (std::size_t k = 0; k < r.diagnosis.next.size(); ++k) {
        const NextReading& n = r.diagnosis.next[k];
        const AskedReading& asked = r.asked[k];
        out.push_back({{"means", to_key(asked.means)},
                       {"words", n.words},
                       {"how", n.how},
                       {"why", n.why},
                       {"bits", n.bits},
                       {"effort", n.effort},
                       {"line", {{"before", asked.line.before}, {"after", asked.line.after}}},
                       {"answers", asked.answers},
                       {"sights", n.sights}});
    }
    return out;
}

Json given_json(const DiagnoseResult& r) {
    const std::vector<int>& unexplained = r.diagnosis.unexplained;
    Json out = Json::array();
    for (std::size_t k = 0; k < r.given.readings.size(); ++k) {
        const GivenReading& g = r.given.readings[k];
        out.push_back({{"words", g.words},
                       {"place", place_json(g.place)},
                       {"unexplained", std::ranges::find(unexplained, static_cast<int>(k)) != unexplained.end()}});
    }
    return out;
}

Json ruled_out_json(const RuledOut& ruled) {
    return {{"reading", ruled.reading >= 0 ? Json(ruled.reading) : Json(nullptr)},
            {"count", ruled.hypotheses.size()},
            {"sentence", ruled.sentence}};
}

Json contradiction_json(const Contradiction& c) { return {{"readings", c.readings}, {"sentence", c.sentence}}; }

Json askable_json(const Askable& a) {
    const auto point = [](const Askable::Point& p) -> Json {
        return {{"label", p.label}, {"place", name_or_null(p.place)}};
    };
    const auto kind = [](const Askable::Kind& k) -> Json {
        return {{"key", to_key(k.kind)},
                {"words", to_word(k.kind)},
                {"weight", k.weight},
                {"usual", usual_weight(k.kind)},
                {"faults", k.faults}};
    };
    return {{"points", json_list(a.points, point)},
            {"posts", json_list(a.posts, point)},
            {"wires", a.wires},
            {"parts", a.parts},
            {"links", a.links},
            {"rails", a.rails},
            {"drivers", a.drivers},
            {"kinds", json_list(a.kinds, kind)}};
}

Json damage_json(const Damage& damage) {
    const auto test = [](const DiodeTest& t) -> Json {
        return {{"red", t.red},
                {"black", t.black},
                {"open", t.open},
                {"lo", t.open ? Json(nullptr) : Json(t.lo)},
                {"hi", t.open ? Json(nullptr) : Json(t.hi)},
                {"expected", t.expected},
                {"dead", t.dead}};
    };
    const auto part = [&](const SuspectPart& p) -> Json {
        return {{"words", p.words},
                {"over", p.over > 0 ? Json(p.over) : Json(nullptr)},
                {"why", p.why},
                {"discard", p.discard},
                {"advice", p.advice},
                {"tests", json_list(p.tests, test)}};
    };
    return {{"sentence", damage.sentence}, {"cautions", damage.cautions}, {"parts", json_list(damage.parts, part)}};
}

}  // namespace

std::string to_json(const DiagnoseResult& r) {
    Problems problems = r.problems;
    for (const Problems* more : {&r.reading_problems, &r.misused})
        problems.insert(problems.end(), more->begin(), more->end());
    Json out = document_head("voltsill-diagnose-1", r.accepted(), problems);
    if (!r.accepted()) return written(out);
    const Diagnosis& d = r.diagnosis;
    out["version"] = r.version;
    out["wiring_from"] = r.planned ? "plan" : "given";
    out["bench"] = bench_json(*r.bench);
    out["not_placed"] = name_or_null(r.not_placed);
    out["faults"] = r.faults;
    out["pairs"] = r.pairs;
    out["pairs_left_out"] = r.pairs_left_out;
    out["readings"] = given_json(r);
    out["readings_file"] = r.readings_file;
    out["sentence"] = d.sentence;
    out["found"] = d.found;
    out["open_bits"] = d.bits;
    out["something_else"] = d.something_else;
    out["suspects"] = suspects_json(r);
    out["ruled_out"] = json_list(d.ruled_out, ruled_out_json);
    out["contradictions"] = json_list(d.contradictions, contradiction_json);
    out["next"] = next_json(r);
    out["power_may_harm"] = d.power_may_harm;
    out["keep_off"] = name_or_null(d.keep_off);
    out["hints"] = {{"question", d.hints.question}, {"reading", d.hints.reading}, {"cause", d.hints.cause},
                    {"keep_off", name_or_null(d.hints.keep_off)}};
    out["damage"] = r.damage ? damage_json(*r.damage) : Json(nullptr);
    out["askable"] = askable_json(r.askable);
    return written(out);
}

}  // namespace voltsill
