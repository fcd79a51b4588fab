/// How long the phases of a course take, from what learners do:
///
///     spent(phase) = sum over acts that belong to it of min(time since the act before, longest pause)
///     minutes(phase) = median of spent over those who have passed the gate that ends it
///
/// An act is a tick, a reading, a hint, a build, a gate that is passed. Of a class the minutes are one log of the time
/// plan (teaching/time_plan.h): they correct the plan of the next.
#include <algorithm>

#include "server/hall.h"
#include "server/hall_json.h"

namespace voltsill::server {
namespace {

/// s: who does nothing for longer has done something else (common practice, no source).
constexpr Seconds longest_pause = 600;

}  // namespace

const char* phase_of_gate(int gate) {
    constexpr const char* of_gate[] = {"power off", "first power", "levels", "function"};
    return of_gate[std::clamp(gate, 1, store::gates) - 1];
}

Json spent_json(const std::map<std::string, Seconds>& spent) {
    Json out = Json::array();
    for (const store::SpentPhase& phase : store::spent_phases)
        if (const auto at = spent.find(phase.id); at != spent.end())
            out.push_back(
                {{"phase", phase.id}, {"gate", phase.gate}, {"minutes", static_cast<double>(at->second) / 60}});
    return out;
}

void Hall::spend(Learner& learner, const char* phase, Seconds at) {
    const Seconds since = std::clamp<Seconds>(at - learner.last, 0, longest_pause);
    learner.last = std::max(learner.last, at);
    if (since == 0) return;
    learner.spent[phase] += since;
    store_.add_spent({learner.is.id, phase, since});
}

std::optional<store::PhaseMinutes> Hall::minutes_of(const store::SpentPhase& phase) const {
    std::vector<Seconds> spent;
    for (const auto& [id, learner] : learners_)
        if (const auto at = learner.spent.find(phase.id);
            learner.passed[phase.gate - 1] > 0 && at != learner.spent.end())
            spent.push_back(at->second);
    return store::phase_minutes(phase.id, std::move(spent));
}

/// Of earlier classes, then of this one.
std::vector<LoggedMinutes> Hall::logged() const {
    constexpr double least = 0.1;  // min; what a log may say
    std::vector<LoggedMinutes> out = earlier_;
    for (const store::SpentPhase& phase : store::spent_phases)
        if (const auto minutes = minutes_of(phase)) out.push_back({phase.id, minutes->minutes});
    std::erase_if(out, [](const LoggedMinutes& log) { return log.minutes < least; });
    return out;
}

std::string Hall::time_log() const {
    const std::lock_guard lock(mutex_);
    return time_log_text(logged());
}

Json Hall::minutes_json() const {
    Json out = Json::array();
    for (const TimePhase& phase : corrected(lesson_.sheets.sheets.time, logged()).phases) {
        const auto known = std::ranges::find(store::spent_phases, phase.id, &store::SpentPhase::id);
        const auto here = known == std::ranges::end(store::spent_phases) ? std::nullopt : minutes_of(*known);
        out.push_back({{"phase", phase.id},
                       {"words", phase.words},
                       {"planned", phase.prior()},
                       {"learners", here ? here->learners : 0},
                       {"minutes", here ? Json(here->minutes) : Json(nullptr)},
                       {"logs", phase.logs},
                       {"next", phase.minutes()}});
    }
    return out;
}

}  // namespace voltsill::server
