/// What the instructor sees and does.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "server/guard.h"
#include "server/hall.h"
#include "server/hall_json.h"
#include "server/secrets.h"

namespace voltsill::server {
namespace {

Answer no_learner() { return refusal(404, "no-such-learner", "there is no such learner in this class"); }

Answer not_now(std::string why, std::string expected = {}) {
    return refusal(409, "not-now", std::move(why), std::move(expected));
}

/// Ω: less where nothing should conduct puts a supply of some volts at its limit (common practice, no source).
constexpr double a_short = 100;

constexpr const char* here_warning =
    "Only this machine reaches this address, so no phone can join. For phones, start again with --bind and the address "
    "that this machine has in their network.";
constexpr const char* open_warning =
    "No certificate was given: whoever is on this network can read what is sent, the passphrase as well, and act in "
    "its name. Use a network of the class's own, or start with --cert and --key.";

}  // namespace

/// Why this learner must not switch on; empty: nothing is known against it.
std::string Hall::danger_of(const Learner& learner) const {
    if (learner.harmful && !learner.looked_at) return harmful_build;
    if (learner.passed[0] > 0) return {};
    if (learner.early) return "A reading under power was tried before gate 1. Switch off.";
    for (const LessonCheck& check : lesson_.checks) {  // more than a pin stands, or what must stand apart does not
        const auto state = learner.checks.find(check.id);
        if (state != learner.checks.end() && check.is_exceeded_by(state->second.value))
            return fmt::format("{} read {}, and {} stands {} at most: power off, and look for the reason.", check.what,
                               state->second.entered, check.stands_at, print(Volts{check.stands}));
        const bool apart = check.kind == CheckKind::ohms && !std::isfinite(check.hi);
        if (apart && state != learner.checks.end() && state->second.value && *state->second.value < a_short)
            return fmt::format("{} reads {}: do not power it before the reason is found.", check.what,
                               state->second.entered);
    }
    return {};
}

/// Text of the first step that is not ticked; empty: all are.
std::string Hall::next_step(const Learner& learner) const {
    for (const LessonPhase& phase : lesson_.phases)
        for (const LessonStep& step : phase.steps)
            if (!learner.ticks.contains(step.id)) return step.text;
    return {};
}

Json Hall::row_json(const Learner& learner) const {
    int correct = 0, wrong = 0, hints = 0;
    for (const auto& [id, state] : learner.checks) {
        correct += state.correct;
        wrong += state.tries > 0 && !state.correct;
        hints += state.hints;
    }
    const int gate = learner.gate();
    const Json help = {{"about", learner.is.help_about}, {"since", learner.help_since}};
    const bool marked = learner.build.is_object();
    return {{"id", learner.is.id},
            {"nickname", learner.is.nickname},
            {"here", !learner.streams.empty()},
            {"removed", learner.is.removed},
            {"gate", gate},
            {"waiting", gate <= 2 && all_right(learner, gate)},
            {"ticked", learner.ticks.size()},
            {"next", name_or_null(next_step(learner))},
            {"right", correct},
            {"wrong", wrong},
            {"tries", learner.readings},
            {"hints", hints},
            {"help", learner.is.help ? help : Json(nullptr)},
            {"danger", name_or_null(danger_of(learner))},
            {"builds", learner.submissions},
            {"points", marked ? learner.build.value("points", Json(nullptr)) : Json(nullptr)},
            {"of", marked ? learner.build.value("of", Json(nullptr)) : Json(nullptr)},
            {"joined", learner.is.joined},
            {"last", learner.last}};
}

Json Hall::room_json() const {
    Json rows = Json::array();
    for (const auto& [id, learner] : learners_) rows.push_back(row_json(learner));
    const bool open = !class_.code.empty() && now_seconds() < class_.code_until;
    const std::optional<double> diagnosis = diagnosis_->waiting_for();
    return {{"format", "voltsill-room-1"},
            {"title", class_.title},
            {"bench", class_.bench},
            {"version", class_.version},
            {"begun", class_.begun},
            {"kept_until", class_.keep_until},
            {"code", open ? Json(class_.code) : Json(nullptr)},
            {"code_until", open ? Json(class_.code_until) : Json(nullptr)},
            {"address", options_.url + "class"},
            {"warning", options_.here_alone ? Json(here_warning)
                        : options_.secure   ? Json(nullptr)
                                            : Json(open_warning)},
            {"here_alone", options_.here_alone},
            {"steps", lesson_.steps},
            {"checks", lesson_.checks.size()},
            {"diagnosis", diagnosis ? Json(*diagnosis) : Json(nullptr)},
            {"hints_open", class_.hints},
            {"marks_open", class_.marks},
            {"learners", std::move(rows)}};
}

Json Hall::room() const {
    const std::lock_guard lock(mutex_);
    return room_json();
}

/// The code stands behind "#": a browser does not send that, so it is in nobody's log.
std::string Hall::join_url() const {
    const std::lock_guard lock(mutex_);
    return options_.url + "class#" + class_.code;
}

Told Hall::learner_in_full(std::int64_t id) const {
    const std::lock_guard lock(mutex_);
    const Learner* learner = find(id);
    if (!learner) return std::unexpected(no_learner());
    Json checks = Json::array();
    for (const LessonCheck& check : lesson_.checks) {
        Json row = check_json(check, true);
        const auto known = learner->checks.find(check.id);
        const CheckState state = known == learner->checks.end() ? CheckState{} : known->second;
        row["entered"] = name_or_null(state.entered);
        row["right"] = state.tries > 0 ? Json(state.correct) : Json(nullptr);
        row["tries"] = state.tries;
        row["hints"] = state.hints;
        checks.push_back(std::move(row));
    }
    return Json{{"format", "voltsill-learner-in-full-1"},
                {"row", row_json(*learner)},
                {"learner", me_json(*learner)},
                {"build", build_for_learner(learner->build, true)},
                {"minutes", spent_json(learner->spent)},
                {"checks", std::move(checks)}};
}

Told Hall::act(std::int64_t id, const std::string& what, int gate) {
    const std::lock_guard lock(mutex_);
    Learner* learner = find(id);
    if (!learner) return std::unexpected(no_learner());
    if (what == "pass") {
        if (gate > 2) return std::unexpected(not_now("gates 3 and 4 are passed by readings"));
        if (gate != learner->gate())
            return std::unexpected(not_now(fmt::format("this learner is at gate {}", learner->gate())));
        pass(*learner, gate);
        learner->looked_at = true;
        spend(*learner, phase_of_gate(gate), now_seconds());
        pass_by_readings(*learner);
    } else if (what == "back") {
        send_back(*learner, gate);
    } else if (what == "helped") {
        learner->is.help = false;
        learner->is.help_about.clear();
        store_.set_help(id, false, "");
    } else if (what == "reset") {
        Learner fresh{.is = learner->is, .streams = std::move(learner->streams)};
        fresh.is.help = false;
        fresh.is.help_about.clear();
        fresh.last = now_seconds();
        *learner = std::move(fresh);
        store_.clear_learner(id);
        deleted_ = true;
    } else {  // "remove": the device is shut out, the seat kept; "readmit": another device may take the seat
        by_device_.erase(learner->is.device);
        learner->is.device.clear();
        learner->is.removed = what == "remove";
        store_.set_device(id, "", learner->is.removed);
        end_streams(*learner, "device");
    }
    changed(id);
    return row_json(*learner);
}

void Hall::delete_learner(std::int64_t id) {
    const std::lock_guard lock(mutex_);
    Learner* learner = find(id);
    if (!learner) return;
    end_streams(*learner, "deleted");
    by_device_.erase(learner->is.device);
    learners_.erase(id);
    store_.delete_learner(id);
    deleted_ = true;
    gone_.insert(id);
}

Json Hall::new_code(bool open, int hours) {
    const std::lock_guard lock(mutex_);
    class_.code = open ? random_join_code() : "";
    class_.code_until = open ? now_seconds() + hours * 3600LL : 0;
    store_.set_code(class_.id, class_.code, class_.code_until);
    room_changed_ = true;
    return room_json();
}

Json Hall::show(int hints, bool marks) {
    const std::lock_guard lock(mutex_);
    class_.hints = hints;
    class_.marks = marks;
    store_.set_shown(class_.id, hints, marks);
    for (const auto& [id, learner] : learners_) changed(id);
    room_changed_ = true;
    return room_json();
}

Told Hall::end_class(std::size_t learners) {
    {
        const std::lock_guard lock(mutex_);
        if (learners != learners_.size())
            return std::unexpected(not_now(fmt::format("there are {} learners in the class now", learners_.size()),
                                           "the same after a look at who is there"));
        for (auto& [id, learner] : learners_) {
            end_streams(learner, "class-ended");
            gone_.insert(id);
        }
        learners_.clear();
        by_device_.clear();
        const int hints = class_.hints;
        const bool marks = class_.marks;
        store_.end_class(class_);
        begin_empty_class("", 0);
        class_.hints = hints;
        class_.marks = marks;
        store_.set_shown(class_.id, hints, marks);
        deleted_ = room_changed_ = true;
    }
    load_class();  // its minutes count among those of earlier classes
    return room();
}

std::optional<Answer> Hall::objection_to_export(std::int64_t id) {
    const std::lock_guard lock(mutex_);
    return exports_.take(std::to_string(id), Buckets::Clock::now()) ? std::nullopt : std::optional(too_often(20));
}

Told Hall::exported(std::int64_t id, bool with_names) {
    const std::lock_guard lock(mutex_);
    if (id != 0 && !find(id)) return std::unexpected(no_learner());
    store::ClassRecords records = id != 0 ? store_.records_of(id) : store_.records(class_.id);
    return Json{{"format", "voltsill-class-export-1"},
                {"title", class_.title},
                {"version", class_.version},
                {"day", class_.begun - class_.begun % (24 * 3600)},
                {"learners", records_json(records, with_names)}};
}

Json Hall::history() {
    const std::lock_guard lock(mutex_);
    return {{"format", "voltsill-class-history-1"},
            {"now", history_json(store_.counts(class_))},
            {"classes", json_list(store_.history(), history_json)}};
}

}  // namespace voltsill::server
