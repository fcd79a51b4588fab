/// Builds that learners hand in: marked by the engine, judged for harm, kept.
#include <fmt/format.h>

#include <algorithm>

#include "server/ask.h"
#include "server/class_calls.h"
#include "server/hall.h"
#include "server/hall_json.h"
#include "teaching/marking.h"

namespace voltsill::server {
namespace {

/// A list that is wrong in every line is told in its first lines.
constexpr std::size_t most_told = 40;

template <class Items, class Make>
Json first_of(const Items& items, Make make) {
    Json out = Json::array();
    for (const auto& item : items) {
        if (out.size() == most_told) break;
        out.push_back(make(item));
    }
    return out;
}

Json mistake_json(const Mistake& m) {
    return {{"kind", to_key(m.kind)}, {"words", m.words},       {"remedy", m.remedy}, {"harm", to_word(m.harm)},
            {"sentence", m.sentence}, {"links", Json(m.links)}, {"wires", Json(m.wires)},
            {"gate", m.gate}};
}

Json criterion_json(const CriterionMark& c) {
    return {{"id", c.id}, {"words", c.words}, {"points", c.points},
            {"of", c.of}, {"open", c.open},   {"reasons", Json(c.reasons)}};
}

Json build_json(const MarkedBuild& build) {
    return {{"accepted", build.readable},
            {"problems",
             problems_json({build.problems.begin(), build.problems.begin() + static_cast<std::ptrdiff_t>(std::min(
                                                                                 most_told, build.problems.size()))})},
            {"wires", build.wires},
            {"as_planned", build.as_planned},
            {"harm", to_word(build.harm)},
            {"stop", name_or_null(build.stop)},
            {"mistakes", first_of(build.mistakes, mistake_json)},
            {"links", Json(build.failing)},
            {"criteria", json_list(build.criteria, criterion_json)},
            {"points", build.points},
            {"of", build.of},
            {"open", build.open}};
}

}  // namespace

std::optional<Answer> Hall::objection_to_build(std::int64_t id) {
    const std::lock_guard lock(mutex_);
    const Learner* learner = find(id);
    if (learner && learner->submissions >= static_cast<int>(options_.limits.submissions))
        return refusal(409, "too-many", "more builds than are kept of one learner");
    return builds_.take(std::to_string(id), Buckets::Clock::now()) ? std::nullopt : std::optional(too_often(10));
}

MarkedBuild Hall::mark(const std::string& wires) const { return mark_build(marking_, wires, "build.csv"); }

Told Hall::submit(std::int64_t id, const std::string& wires, const MarkedBuild& build) {
    const std::lock_guard lock(mutex_);
    Learner* learner = find(id);
    if (!learner) return std::unexpected(refusal(401, "not-signed-in", "this seat has been taken away"));
    learner->build = build_json(build);
    learner->harmful = build.harm == Verdict::harmful || !build.stop.empty();
    learner->looked_at = false;
    spend(*learner, "wires", now_seconds());
    ++learner->submissions;
    store_.add_submission(
        {id, wires, learner->harmful, build.points, build.of, written(learner->build), learner->last});
    changed(id);
    return me_json(*learner);
}

/// A build with ends that are none is not handed in: its wires would count as missing.
static std::optional<Answer> not_read(const MarkedBuild& build) {
    const auto wrong = std::ranges::count(build.problems, Severity::error, &Problem::severity);
    if (wrong == 0) return std::nullopt;
    const Problem& first = *std::ranges::find(build.problems, Severity::error, &Problem::severity);
    return refusal(
        422, "no-build",
        fmt::format("{}{}{}", first.message, first.nearest.empty() ? "" : ", did you mean " + first.nearest + "?",
                    wrong == 1 ? "" : fmt::format(" ({} more like this)", wrong - 1)),
        first.expected);
}

/// Marked by a worker, since a build that is wrong everywhere takes its time; then written by the desk.
Answer submit_build(Call& call) {
    auto ask = Ask::read(call.request.body);
    if (!ask) return std::move(ask.error());
    const std::string wires = ask->text("wires");
    if (auto objection = ask->objection()) return std::move(*objection);
    Hall& hall = *call.site.hall;
    if (auto objection = hall.objection_to_build(call.who.learner)) return std::move(*objection);
    const MarkedBuild build = hall.mark(wires);
    if (auto objection = not_read(build)) return std::move(*objection);
    return recorded_by_desk(hall, [&] { return hall.submit(call.who.learner, wires, build); });
}

}  // namespace voltsill::server
