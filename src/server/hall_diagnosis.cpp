#include "server/hall_diagnosis.h"

#include <fmt/format.h>
#include <sys/resource.h>

#include <algorithm>
#include <cmath>

#include "faults/suspect_members.h"

namespace voltsill::server {
namespace {

/// Diagnoses that are remembered.
constexpr std::size_t most_said = 256;

std::string key_of(const std::vector<Reading>& readings, bool power) {
    std::string key = power ? "on" : "off";
    for (const Reading& r : readings) key += fmt::format(" {}:{}:{}", r.question, static_cast<int>(r.kind), r.value);
    return key;
}

/// "U1.20 (VCC, 12e), U1.1 (DIR, 3c)" as the sheet has it: "U1.20", "U1.1".
std::vector<std::string> names_in(const std::string& words) {
    std::vector<std::string> out(1);
    int depth = 0;
    for (const char c : words) {
        depth += (c == '(') - (c == ')');
        if (depth == 0 && c == ',') out.emplace_back();
        else if (depth == 0 && c != ')' && c != ' ') out.back() += c;
    }
    return out;
}

/// What a learner's meter can do. Nobody in a class has a scope.
std::vector<Means> means_at_hand(bool power) {
    if (power) return {Means::eye, Means::ohmmeter, Means::voltmeter};
    return {Means::eye, Means::ohmmeter};
}

}  // namespace

HallDiagnosis::HallDiagnosis(const Lesson& lesson, std::function<void()> told)
    : lesson_(lesson), told_(std::move(told)) {}

HallDiagnosis::~HallDiagnosis() { stop(); }

void HallDiagnosis::begin() {
    begun_ = true;
    maker_ = std::thread([this] { make(); });
}

void HallDiagnosis::stop() {
    stopping_ = true;
    if (maker_.joinable()) maker_.join();
}

std::optional<double> HallDiagnosis::waiting_for() const {
    return begun_ && !stopping_ && !ready_ ? std::optional(percent_ / 100.0) : std::nullopt;
}

/// On a thread of low priority, so that learners are answered first.
void HallDiagnosis::make() {
    setpriority(PRIO_PROCESS, 0, 10);  // on Linux of this thread alone
    const Bench& bench = *lesson_.sheets.bench;
    const PlacedWiring& placed = lesson_.sheets.sheets.placed;
    DictionaryOptions how;
    how.progress = [this](int done, int all) {
        if (ready_) return true;
        const int percent = all > 0 ? 95 * done / all : 0;
        const bool tell = percent / 10 > percent_ / 10;
        percent_ = percent;
        if (tell) told_();
        return !stopping_;
    };
    dictionary_ = std::make_unique<Dictionary>(bench, placed, faults_of(bench, placed), std::move(how));
    if (stopping_ || dictionary_->cancelled()) return;
    find_questions();
    // Whatever a hint will need is computed now: every check's answers, and what may be asked next.
    for (const auto& [check, questions] : questions_)
        for (const int question : questions) {
            if (stopping_) return;
            (void)dictionary_->others(question);
        }
    if (!stopping_) (void)diagnosed({}, true);
    if (stopping_) return;
    percent_ = 100;
    ready_ = true;
    told_();
}

void HallDiagnosis::find_questions() {
    Questions& q = dictionary_->questions();
    const Sheets& sheets = lesson_.sheets.sheets;
    const int ground = q.point("ground");
    const auto put = [&](const LessonCheck& check, int question) { questions_[check.id].push_back(question); };
    for (const LessonCheck& check : lesson_.checks) {
        if (check.ohm >= 0) {
            const OhmCheck& ohm = sheets.ohms[static_cast<std::size_t>(check.ohm)];
            const int to = q.point(ohm.to), from = q.point(ohm.from);
            const std::vector<std::string> names = names_in(ohm.from);
            if (ohm.kind == OhmCheck::Kind::rail && from >= 0 && to >= 0) put(check, q.ohms(from, to));
            if (ohm.kind == OhmCheck::Kind::part) {
                const int part = q.build().wiring.part(names.front());
                const int one = q.point_of_pin(part, 0), other = q.point_of_pin(part, 1);
                if (one >= 0 && other >= 0) put(check, q.ohms(one, other));
            }
            if (ohm.kind == OhmCheck::Kind::joined && to >= 0)
                for (const std::string& name : names)
                    if (const int pin = q.point(name); pin >= 0) put(check, q.ohms(pin, to));
        } else if (check.reading >= 0 && check.kind == CheckKind::volts) {
            const LinkReading& r = sheets.levels[static_cast<std::size_t>(check.reading)];
            const int at = q.point(r.reading.point), driver = q.point(r.driver);
            if (at < 0 || driver < 0 || q.points()[driver].kind != ProbePoint::Kind::pin) continue;
            const WiredPart& part = q.build().wiring.parts[q.points()[driver].part];
            const Pin& pin = part.type->pins[q.points()[driver].pin];
            if (!can_be_told(pin)) continue;
            // A driver that lets go is told high: it has no other way to say it.
            put(check, q.volts(at, q.state({.told = {{part.name, pin.name, r.set != '0'}}})));
        } else if (check.kind == CheckKind::volts && !check.rail.empty()) {
            if (const int at = q.point("rail " + check.rail); at >= 0 && ground >= 0)
                put(check, q.volts(at, Questions::at_rest));
        }
    }
    for (std::size_t k = 0; k < q.bench().links.size(); ++k)
        works_[q.bench().links[k].name] = q.behaviour(Behaviour::link_works, static_cast<int>(k));
    for (const LessonCheck& check : lesson_.checks)
        if (check.kind == CheckKind::level && works_.contains(check.link)) put(check, works_.at(check.link));
}

/// A check that asks of several pins at once says of all of them that they are joined, but not which one is not.
std::vector<Reading> HallDiagnosis::readings_of(const std::vector<EnteredReading>& entered) const {
    std::vector<Reading> out;
    std::map<int, bool> works;  // by question: of a link all receivers have to agree
    for (const EnteredReading& e : entered) {
        const auto known = questions_.find(e.check->id);
        if (known == questions_.end()) continue;
        if (e.check->kind == CheckKind::level) {
            const bool so_far = works.try_emplace(known->second.front(), true).first->second;
            works[known->second.front()] = so_far && e.correct;
            continue;
        }
        if (known->second.size() > 1 && !e.correct) continue;
        // Of a rail the sheet asks for a least resistance only: what is above it tells nothing.
        if (e.correct && e.check->ohm >= 0 && !std::isfinite(e.check->hi)) continue;
        for (const int question : known->second) {
            Reading r{.question = question, .value = e.value.value_or(0)};
            if (!e.value) r.kind = e.check->kind == CheckKind::ohms ? Reading::Kind::open : Reading::Kind::drifts;
            out.push_back(r);
        }
    }
    for (const auto& [question, yes] : works) {
        bool all = yes;  // one that works has been looked at in every state
        for (const LessonCheck& check : lesson_.checks)
            if (check.kind == CheckKind::level && questions_.contains(check.id) &&
                questions_.at(check.id).front() == question)
                all = all && std::ranges::any_of(entered, [&](const EnteredReading& e) { return e.check == &check; });
        if (all || !yes) out.push_back({.question = question, .kind = yes ? Reading::Kind::yes : Reading::Kind::no});
    }
    return out;
}

HallDiagnosis::Said HallDiagnosis::diagnosed(const std::vector<Reading>& readings, bool power) {
    const std::string key = key_of(readings, power);
    if (const auto at = said_.find(key); at != said_.end()) return at->second;
    DiagnosisOptions how;
    how.means = means_at_hand(power);
    how.next = 1;
    Diagnosis d = diagnose(*dictionary_, readings, how);
    Said out{.hints = std::move(d.hints), .known = d.something_else < 0.5};
    if (!d.contradictions.empty()) out.contradiction = d.contradictions.front().sentence;
    out.planned =
        !d.suspects.empty() && is_as_planned(d.suspects.front()) && d.suspects.front().share > d.something_else;
    if (said_.size() >= most_said) said_.clear();
    return said_[key] = std::move(out);
}

Hint HallDiagnosis::hint(const HintAsked& asked, std::chrono::milliseconds patience) {
    const auto from_sheet = [&](std::string why, const std::string& keep_off = {}) {
        const auto mine = std::ranges::find(asked.entered, asked.check, &EnteredReading::check);
        const auto value = mine == asked.entered.end() ? std::optional<double>() : mine->value;
        const std::string off = keep_off.empty() ? asked.danger : keep_off;
        return Hint{hint_for(lesson_, *asked.check, value, asked.depth, off.empty() && asked.power), off,
                    std::move(why)};
    };
    if (!begun_ || stopping_) return from_sheet("this class is held without a diagnosis");
    if (!ready_) return from_sheet(fmt::format("the diagnosis of this bench is not ready yet ({} %)", percent_.load()));
    const std::unique_lock held(use_, patience);
    if (!held) return from_sheet("others are being answered; ask again for the diagnosis");
    const std::vector<Reading> readings = readings_of(asked.entered);
    const auto known = questions_.find(asked.check->id);
    const bool asked_about = known != questions_.end() && std::ranges::any_of(readings, [&](const Reading& r) {
        return std::ranges::find(known->second, r.question) != known->second.end();
    });
    const Said said = diagnosed(readings, asked.power && asked.danger.empty());
    if (!asked_about) return from_sheet("the diagnosis has no question for this reading", said.hints.keep_off);
    if (!said.known) return from_sheet("no single fault explains all of these readings", said.hints.keep_off);
    Hint out{.keep_off = said.hints.keep_off.empty() ? asked.danger : said.hints.keep_off};
    if (asked.depth == 1) out.words = said.hints.question;
    if (asked.depth == 2) out.words = said.contradiction.empty() ? said.hints.reading : said.contradiction;
    if (asked.depth == 3)
        out.words = said.planned ? "A build as planned can read like this: take the reading again, and look at what is "
                                   "switched on and where the leads are."
                                 : said.hints.cause;
    if (out.words.empty()) return from_sheet("no reading that may be taken now tells more", out.keep_off);
    return out;
}

}  // namespace voltsill::server
