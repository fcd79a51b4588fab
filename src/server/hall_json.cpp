#include "server/hall_json.h"

#include <algorithm>
#include <random>

#include "engine/pictures.h"

namespace voltsill::server {
namespace {

Json wire_json(const BuildWire& wire) {
    return {{"number", wire.number}, {"from", wire.from}, {"to", wire.to}, {"colour", wire.colour}};
}

Json step_json(const Lesson& lesson, const LessonStep& step) {
    return {{"id", step.id},
            {"text", step.text},
            {"more", step.more},
            {"wire", step.wire == 0 ? Json(nullptr) : wire_json(lesson.wire(step.wire))}};
}

Json gate_json(const Lesson& lesson, int gate) {
    Json checks = Json::array();
    for (const LessonCheck& check : lesson.checks)
        if (check.gate == gate) checks.push_back(check_json(check, false));
    return {{"gate", gate},
            {"title", gate_title(gate)},
            {"passed_by", gate <= 2 ? "instructor" : "readings"},
            {"checks", std::move(checks)}};
}

}  // namespace

Json check_json(const LessonCheck& check, bool answers) {
    Json out = {{"id", check.id},
                {"gate", check.gate},
                {"kind", word_of(check.kind)},
                {"unit", unit_of(check.kind)},
                {"meter", meter_error_words(check.kind)},
                {"what", check.what},
                {"link", name_or_null(check.link)}};
    if (answers) {
        out["expected"] = check.expected;
        out["wrong"] = check.wrong;
    }
    return out;
}

std::string lesson_to_json(const Lesson& lesson) {
    Json phases = json_list(lesson.phases, [&](const LessonPhase& phase) {
        return Json{{"title", phase.title},
                    {"about", phase.about},
                    {"link", name_or_null(phase.link)},
                    {"check", name_or_null(phase.check)},
                    {"steps", json_list(phase.steps, [&](const LessonStep& step) { return step_json(lesson, step); })}};
    });
    Json all_gates = Json::array();
    for (int gate = 1; gate <= store::gates; ++gate) all_gates.push_back(gate_json(lesson, gate));
    const Json build = Json::parse(build_to_json(lesson.sheets));
    return written({{"format", "voltsill-lesson-1"},
                    {"title", lesson.sheets.bench->title},
                    {"version", lesson.version()},
                    {"steps", lesson.steps},
                    {"phases", std::move(phases)},
                    {"gates", std::move(all_gates)},
                    {"ends", lesson.ends},
                    {"boards", build.at("boards")},
                    {"key", build.at("key")}});
}

Json build_for_learner(const Json& build, bool marks) {
    if (!build.is_object()) return nullptr;
    Json out = build;
    out["released"] = marks;
    if (marks) return out;
    for (const char* list : {"mistakes", "links", "criteria"}) out[list] = Json::array();
    for (const char* figure : {"points", "of", "open", "harm", "as_planned"}) out[figure] = nullptr;
    return out;
}

Json history_json(const store::History& h) {
    return {
        {"bench", h.bench},
        {"version", h.version},
        {"title", h.title},
        {"day", h.day},
        {"learners", h.learners},
        {"passed", json_list(h.passed, [](int count) { return Json(count); })},
        {"submissions", h.submissions},
        {"harmful", h.harmful},
        {"minutes", json_list(h.minutes,
                              [](const auto& m) {
                                  return Json{{"phase", m.phase}, {"learners", m.learners}, {"minutes", m.minutes}};
                              })},
        {"checks", json_list(h.items, [](const auto& item) {
             return Json{{"id", item.item}, {"entered", item.entered}, {"right", item.correct}, {"hints", item.hints}};
         })}};
}

Json records_json(const store::ClassRecords& records, bool with_names) {
    std::map<std::int64_t, std::size_t> at;
    std::map<std::int64_t, store::Seconds> since;
    Json learners = Json::array();
    for (const store::StoredLearner& l : records.learners) {
        at[l.id] = learners.size();
        since[l.id] = with_names ? 0 : l.joined;
        learners.push_back({{"nickname", with_names ? Json(l.nickname) : Json(nullptr)},
                            {"joined", with_names ? Json(l.joined) : Json(nullptr)},
                            {"ticks", Json::array()}, {"readings", Json::array()}, {"hints", Json::array()},
                            {"passed", Json::array()}, {"builds", Json::array()}, {"minutes", Json::array()}});
    }
    const auto list = [&](std::int64_t learner, const char* name) -> Json& { return learners[at.at(learner)][name]; };
    for (const auto& t : records.ticks)
        list(t.learner, "ticks").push_back({{"step", t.step}, {"at", t.at - since[t.learner]}});
    for (const auto& r : records.readings)
        list(r.learner, "readings").push_back({{"check", r.item}, {"entered", r.entered}, {"right", r.correct},
                                               {"at", r.at - since[r.learner]}});
    for (const auto& h : records.hints)
        list(h.learner, "hints").push_back({{"check", h.item}, {"depth", h.depth}, {"at", h.at - since[h.learner]}});
    for (const auto& p : records.passes)
        list(p.learner, "passed").push_back({{"gate", p.gate}, {"at", p.at - since[p.learner]}});
    for (const auto& s : records.submissions)
        list(s.learner, "builds")
            .push_back({{"wires", with_names ? Json(s.wires) : Json(nullptr)},
                        {"harmful", s.harmful},
                        {"points", s.points},
                        {"of", s.out_of},
                        {"at", s.at - since[s.learner]}});
    for (const auto& s : records.spent)
        list(s.learner, "minutes").push_back({{"phase", s.phase}, {"minutes", static_cast<double>(s.seconds) / 60}});
    // Nor does the order say who: it would be that of joining.
    if (!with_names) std::ranges::shuffle(learners.get_ref<Json::array_t&>(), std::random_device{});
    return learners;
}

Answer too_often(int seconds) {
    Answer answer = refusal(429, "too-often", "this is asked for too often", "the same a little later");
    answer.headers.emplace_back("Retry-After", std::to_string(seconds));
    return answer;
}

}  // namespace voltsill::server
