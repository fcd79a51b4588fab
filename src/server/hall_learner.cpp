/// What learners do. All of it but `me` is called by the desk.
#include <fmt/format.h>
#include <utf8proc.h>

#include <algorithm>
#include <cstdlib>

#include "drawing/text.h"
#include "server/guard.h"
#include "server/hall.h"
#include "server/hall_json.h"
#include "server/secrets.h"

namespace voltsill::server {
namespace {

constexpr std::size_t longest_nickname = 24;  // characters as people count them
constexpr std::size_t longest_once = 64;      // bytes

/// One sentence for whatever is wrong, so that nobody learns which codes or nicknames there are.
Answer not_admitted() {
    return refusal(403, "not-admitted", "nobody can join with this code and nickname",
                   "the code as it is shown in the room, and a nickname that nobody else has");
}

Answer unknown_check() { return refusal(404, "no-such-check", "there is no such check in this lesson"); }

/// As it is compared: small letters, signs that do not show and blanks left out (Unicode Standard, NFKC_Casefold).
std::string name_key(const std::string& nickname) {
    utf8proc_uint8_t* folded = utf8proc_NFKC_Casefold(reinterpret_cast<const utf8proc_uint8_t*>(nickname.c_str()));
    std::string out = folded ? reinterpret_cast<const char*>(folded) : "";
    std::free(folded);
    std::erase(out, ' ');
    return out;
}

std::string trimmed_name(const std::string& typed) {
    std::string out = clean(typed);
    out.erase(0, std::min(out.size(), out.find_first_not_of(' ')));
    out.erase(out.find_last_not_of(' ') + 1);
    return out;
}

bool may_be_nickname(const std::string& name) {
    return !name_key(name).empty() && name.find("\xef\xbf\xbd") == std::string::npos &&
           name.size() <= 4 * longest_nickname && clusters(name).size() <= longest_nickname;
}

}  // namespace

std::expected<Hall::Joined, Answer> Hall::join(const std::string& peer, const std::string& code,
                                               const std::string& nickname) {
    const std::string name = trimmed_name(nickname), key = name_key(name), secret = random_words();
    if (!may_be_nickname(name))
        return std::unexpected(refusal(400, "wrong-nickname", "this nickname is empty, too long, or of other signs",
                                       fmt::format("1 to {} letters", longest_nickname)));
    const auto now = Buckets::Clock::now();
    const Seconds at = now_seconds();
    const std::lock_guard lock(mutex_);
    if (!wrong_codes_.has(peer, now) || !all_wrong_codes_.has("", now)) return std::unexpected(too_often(30));
    // Every way to be refused takes the same steps.
    const bool right_code = same_secret(hash_of(plain_code(code)), hash_of(plain_code(class_.code)));
    const bool open = !class_.code.empty() && at < class_.code_until;
    const auto known =
        std::ranges::find_if(learners_, [&](const auto& entry) { return entry.second.is.name_key == key; });
    const bool known_name = known != learners_.end();
    const bool taken = known_name && (known->second.is.removed || !known->second.is.device.empty());
    const bool full = !known_name && learners_.size() >= options_.limits.learners;
    if (!right_code || !open || taken || full) {
        wrong_codes_.take(peer, now);
        all_wrong_codes_.take("", now);
        return std::unexpected(not_admitted());
    }
    if (!joins_.take(peer, now)) return std::unexpected(too_often(5));
    store::StoredLearner learner{.class_id = class_.id, .nickname = name, .name_key = key, .device = hash_of(secret),
                                 .joined = at};
    if (known_name) {  // let in again by the instructor
        learner = known->second.is;
        learner.device = hash_of(secret);
        store_.set_device(learner.id, learner.device, false);
    } else {
        learner.id = store_.add_learner(learner);
    }
    Learner& seat = learners_[learner.id];
    seat.is = learner;
    seat.last = at;
    by_device_[learner.device] = learner.id;
    changed(learner.id);
    return Joined{secret, me_json(seat)};
}

Json Hall::me(std::int64_t id) const {
    const std::lock_guard lock(mutex_);
    const Learner* learner = find(id);
    return learner ? me_json(*learner) : Json(nullptr);
}

Told Hall::tick(std::int64_t id, int step, bool done) {
    if (step < 0 || step >= lesson_.steps)
        return std::unexpected(refusal(404, "no-such-step", "there is no such step in this lesson"));
    const std::lock_guard lock(mutex_);
    Learner* learner = find(id);
    if (!learner) return std::unexpected(not_admitted());
    const Seconds at = now_seconds();
    store_.set_tick({id, step, at}, done);
    if (done) learner->ticks.insert(step);
    else learner->ticks.erase(step);
    spend(*learner, lesson_.is_wire(step) ? "wires" : "parts", at);
    changed(id);
    return me_json(*learner);
}

bool Hall::all_right(const Learner& learner, int gate) const {
    return std::ranges::all_of(lesson_.checks, [&](const LessonCheck& check) {
        const auto state = learner.checks.find(check.id);
        return check.gate != gate || (state != learner.checks.end() && state->second.correct);
    });
}

void Hall::pass(Learner& learner, int gate) {
    learner.passed[gate - 1] = now_seconds();
    learner.early = false;
    store_.add_pass({learner.is.id, gate, learner.passed[gate - 1]});
}

void Hall::send_back(Learner& learner, int gate) {
    for (int g = gate; g <= store::gates; ++g) learner.passed[g - 1] = 0;
    learner.looked_at = false;
    store_.take_passes_from(learner.is.id, gate);
}

/// Gates 3 and 4 need nobody's leave.
void Hall::pass_by_readings(Learner& learner) {
    for (int gate = learner.gate(); gate > 2 && gate <= store::gates && all_right(learner, gate); gate = learner.gate())
        pass(learner, gate);
}

bool Learner::is_new(const std::string& name) {
    constexpr std::size_t most_known = 64;
    if (name.empty()) return true;
    if (std::ranges::find(once, name) != once.end()) return false;
    if (once.size() >= most_known) once.erase(once.begin());
    once.push_back(name);
    return true;
}

Told Hall::enter(std::int64_t id, const std::string& check_id, const std::string& typed, const std::string& once) {
    const LessonCheck* check = lesson_.check(check_id);
    if (!check) return std::unexpected(unknown_check());
    const Entry entry = judge_entry(*check, typed);
    if (!entry.trouble.empty()) return std::unexpected(refusal(422, "no-reading", entry.trouble));
    const std::lock_guard lock(mutex_);
    Learner* learner = find(id);
    if (!learner) return std::unexpected(not_admitted());
    if (check->gate > learner->gate()) {
        learner->early = learner->early || learner->gate() == 1;
        changed(id);
        return std::unexpected(refusal(
            409, "gate-first", fmt::format("gate {}, {}, comes first", learner->gate(), gate_title(learner->gate())),
            "switch off, and ask the instructor to look at gate 1 and 2"));
    }
    if (const std::string danger = danger_of(*learner); check->gate > 1 && !danger.empty())
        return std::unexpected(refusal(409, "power-off", danger, "gate 1 passed again, by the instructor"));
    if (learner->readings >= static_cast<int>(options_.limits.readings))
        return std::unexpected(refusal(409, "too-many", "more readings than are kept of one learner"));
    if (once.size() > longest_once)
        return std::unexpected(refusal(400, "wrong-member", "\"once\" is too long",
                                       fmt::format("at most {} bytes", longest_once)));
    if (!learner->is_new(once))
        return Json{{"right", learner->checks[check_id].correct}, {"learner", me_json(*learner)}};
    const store::StoredReading reading{id, check_id, clean(typed), entry.value, entry.correct, now_seconds()};
    store_.add_reading(reading);
    CheckState& state = learner->checks[check_id];
    state = {state.tries + 1, state.hints, entry.correct, reading.entered, entry.value};
    ++learner->readings;
    spend(*learner, phase_of_gate(check->gate), reading.at);
    if (check->is_exceeded_by(entry.value)) send_back(*learner, 1);
    else pass_by_readings(*learner);
    changed(id);
    return Json{{"right", entry.correct}, {"learner", me_json(*learner)}};
}

std::optional<Answer> Hall::objection_to_hint(const Learner& learner, const std::string& check, int depth) const {
    const auto known = learner.checks.find(check);
    if (known == learner.checks.end() || known->second.tries == 0 || known->second.correct)
        return refusal(409, "read-first", "a hint is for a reading that is not right", "enter a reading first");
    if (depth > class_.hints) return refusal(409, "hint-closed", "the instructor has closed this hint");
    if (depth > known->second.hints + 1)
        return refusal(409, "hint-first", fmt::format("hint {} comes first", known->second.hints + 1));
    return std::nullopt;
}

std::expected<HintAsked, Answer> Hall::asked_hint(std::int64_t id, const std::string& check_id, int depth) {
    HintAsked asked{.check = lesson_.check(check_id), .depth = depth};
    if (!asked.check) return std::unexpected(unknown_check());
    const std::lock_guard lock(mutex_);
    const Learner* learner = find(id);
    if (!learner) return std::unexpected(not_admitted());
    if (auto objection = objection_to_hint(*learner, check_id, depth)) return std::unexpected(std::move(*objection));
    if (!hints_.take(std::to_string(id), Buckets::Clock::now())) return std::unexpected(too_often(2));
    for (const LessonCheck& check : lesson_.checks)
        if (const auto at = learner->checks.find(check.id); at != learner->checks.end() && at->second.tries > 0)
            asked.entered.push_back({&check, at->second.value, at->second.correct});
    asked.power = learner->gate() > 2;
    asked.danger = learner->harmful ? harmful_build : danger_of(*learner);
    return asked;
}

Told Hall::give_hint(std::int64_t id, const std::string& check_id, int depth, const Hint& hint) {
    const std::lock_guard lock(mutex_);
    Learner* learner = find(id);
    if (!learner) return std::unexpected(not_admitted());
    if (auto objection = objection_to_hint(*learner, check_id, depth)) return std::unexpected(std::move(*objection));
    CheckState& state = learner->checks[check_id];
    if (depth > state.hints) {
        state.hints = depth;
        const Seconds at = now_seconds();
        store_.add_hint({id, check_id, depth, at});
        spend(*learner, phase_of_gate(lesson_.check(check_id)->gate), at);
        changed(id);
    }
    return Json{{"check", check_id},
                {"depth", depth},
                {"hint", hint.words},
                {"keep_off", name_or_null(hint.keep_off)},
                {"from_sheet", name_or_null(hint.from_sheet)}};
}

Told Hall::ask_for_help(std::int64_t id, bool wanted, const std::string& about) {
    const std::lock_guard lock(mutex_);
    Learner* learner = find(id);
    if (!learner) return std::unexpected(not_admitted());
    learner->is.help = wanted;
    learner->is.help_about = wanted ? clean(about) : "";
    learner->help_since = wanted ? now_seconds() : 0;
    store_.set_help(id, wanted, learner->is.help_about);
    changed(id);
    return me_json(*learner);
}

Json Hall::me_json(const Learner& learner) const {
    Json passed = Json::array(), checks = Json::object();
    for (const Seconds at : learner.passed) passed.push_back(at > 0 ? Json(at) : Json(nullptr));
    for (const auto& [id, state] : learner.checks)
        checks[id] = {
            {"entered", state.entered}, {"right", state.correct}, {"tries", state.tries}, {"hints", state.hints}};
    const int gate = learner.gate();
    return {{"format", "voltsill-learner-1"},
            {"nickname", learner.is.nickname},
            {"gate", gate},
            {"passed", std::move(passed)},
            {"waiting", gate <= 2 && all_right(learner, gate)},
            {"ticked", Json(learner.ticks)},
            {"checks", std::move(checks)},
            {"help", learner.is.help ? Json(learner.is.help_about) : Json(nullptr)},
            {"danger", name_or_null(danger_of(learner))},
            {"build", build_for_learner(learner.build, class_.marks)},
            {"hints_open", class_.hints},
            {"marks_open", class_.marks}};
}

}  // namespace voltsill::server
