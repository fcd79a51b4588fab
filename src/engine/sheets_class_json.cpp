#include "engine/sheets_class_json.h"

namespace voltsill {
namespace {

Json option_json(const QuestionOption& o, bool answers) {
    return {{"letter", o.letter},
            {"text", o.text},
            {"right", answers ? Json(o.right) : Json(nullptr)},
            {"because", answers ? Json(o.why) : Json(nullptr)}};
}

Json answer_json(const TestQuestion& q) {
    Json out = {{"letter", name_or_null(right_letter(q))},
                {"value", nullptr},
                {"tolerance", nullptr},
                {"worked", q.arithmetic},
                {"sources", q.sources},
                {"distance", q.distance}};
    if (q.numeric) {
        out["value"] = quantity_json(q.numeric->dimension, q.numeric->value);
        out["tolerance"] = q.numeric->tolerance;
    }
    return out;
}

Json question_json(const TestQuestion& q, bool answers) {
    Json options = Json::array();
    for (const QuestionOption& o : q.options) options.push_back(option_json(o, answers));
    return {{"family", q.family},
            {"link", q.link},
            {"point", q.point},
            {"given", q.given},
            {"text", q.text},
            {"options", std::move(options)},
            {"unit", q.numeric ? Json(q.numeric->unit) : Json(nullptr)},
            {"answer", answers ? answer_json(q) : Json(nullptr)}};
}

Json list_json(const std::vector<TestQuestion>& questions, bool answers) {
    Json out = Json::array();
    for (const TestQuestion& q : questions) out.push_back(question_json(q, answers));
    return out;
}

Json count_json(const std::optional<int>& count) { return count ? Json(*count) : Json(nullptr); }

}  // namespace

Json questions_json(const QuestionSet& set, bool answers) {
    Json learners = Json::array(), missing = Json::array();
    for (const LearnerQuestions& learner : set.learners)
        learners.push_back({{"learner", learner.learner}, {"questions", list_json(learner.questions, answers)}});
    for (const MissingFamily& m : set.missing) missing.push_back({{"family", m.family}, {"why", m.why}});
    return {{"seed", set.seed},
            {"learners", std::move(learners)},
            {"self_test", list_json(set.self_test, answers)},
            {"missing", std::move(missing)}};
}

Json time_json(const TimePlan& plan) {
    Json out = Json::array();
    for (const TimePhase& p : plan.phases)
        out.push_back({{"phase", p.id},
                       {"what", p.words},
                       {"items", p.items},
                       {"planned", p.prior()},
                       {"logs", p.logs},
                       {"factor", p.factor},
                       {"minutes", p.minutes()}});
    return out;
}

Json stock_json(const StockReport& report) {
    Json needs = Json::array(), substitutes = Json::array();
    for (const PartNeed& n : report.needs)
        needs.push_back({{"type", n.type},
                         {"per_seat", n.per_seat},
                         {"needed", n.needed},
                         {"stock", count_json(n.stock)},
                         {"lacking", n.lacking()}});
    for (const Substitute& s : report.substitutes)
        substitutes.push_back({{"wanted", s.wanted},
                               {"instead", s.instead},
                               {"works", s.works},
                               {"verdict", to_word(s.verdict)},
                               {"because", s.because},
                               {"stock", count_json(s.stock)}});
    return {{"counted", report.counted}, {"needs", std::move(needs)}, {"substitutes", std::move(substitutes)}};
}

}  // namespace voltsill
