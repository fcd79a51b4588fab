#include "server/hall.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <utility>

#include "server/guard.h"
#include "server/hall_json.h"
#include "server/secrets.h"

namespace voltsill::server {
namespace {

constexpr Seconds hour = 3600;
constexpr std::size_t held_for_learner = 256u << 10, held_for_instructor = 8u << 20;

}  // namespace

Seconds now_seconds() {
    return std::chrono::duration_cast<std::chrono::seconds>(std::chrono::system_clock::now().time_since_epoch())
        .count();
}

/// RFC 6265, 5.4: "name=value; name=value".
std::string cookie_of(const Head& head, std::string_view name) {
    const auto cookies = head.header("cookie");
    for (std::size_t at = 0; cookies && at < cookies->size();) {
        const std::size_t end = std::min(cookies->find(';', at), cookies->size());
        std::string_view pair = cookies->substr(at, end - at);
        pair.remove_prefix(std::min(pair.size(), pair.find_first_not_of(' ')));
        if (pair.size() > name.size() && pair.starts_with(name) && pair[name.size()] == '=')
            return std::string(pair.substr(name.size() + 1));
        at = end + 1;
    }
    return {};
}

int Learner::gate() const {
    for (int gate = 1; gate <= store::gates; ++gate)
        if (passed[gate - 1] == 0) return gate;
    return store::gates + 1;
}

std::expected<std::unique_ptr<Hall>, std::string> Hall::open(HallOptions options, Lesson lesson) {
    auto store = store::ClassStore::open(options.store);
    if (!store) return std::unexpected(std::move(store.error()));
    std::unique_ptr<Hall> hall(new Hall(std::move(options), std::move(lesson), std::move(*store)));
    if (std::string trouble = hall->begin_class(); !trouble.empty()) return std::unexpected(std::move(trouble));
    return hall;
}

Hall::Hall(HallOptions options, Lesson lesson, store::ClassStore store)
    : options_(std::move(options)),
      lesson_(std::move(lesson)),
      marking_(*lesson_.sheets.bench, lesson_.sheets.sheets.placed),
      lesson_json_(std::make_shared<const std::string>(lesson_to_json(lesson_))),
      store_(std::move(store)),
      peers_(options_.limits.peer),
      learner_calls_(options_.limits.learner),
      joins_(options_.limits.joins),
      wrong_codes_(options_.limits.wrong_codes),
      all_wrong_codes_(options_.limits.all_wrong_codes, 1),
      wrong_words_(options_.limits.wrong_passphrases),
      all_wrong_words_(options_.limits.all_wrong_passphrases, 1),
      known_words_(options_.limits.wrong_passphrases),
      builds_(options_.limits.builds),
      hints_(options_.limits.hints),
      exports_(options_.limits.exports),
      desk_(std::make_unique<Desk>([this] { begin_batch(); }, [this] { return end_batch(); })),
      diagnosis_(std::make_unique<HallDiagnosis>(lesson_, [this] { tell_diagnosis(); })) {}

/// The passphrase, the class and who is in it.
std::string Hall::begin_class() {
    passphrase_hash_ = store_.passphrase();
    const std::string given = std::exchange(options_.passphrase, {});
    const bool is_new = !given.empty() && !is_passphrase(passphrase_hash_, given);
    if (is_new) passphrase_hash_ = passphrase_hash(given);
    if (is_new && passphrase_hash_.empty()) return "there is not enough memory to keep a passphrase safe (64 MiB)";
    store_.begin();
    if (is_new) store_.set_passphrase(passphrase_hash_);
    known_devices_ = store_.known_devices();
    const Seconds now = now_seconds();
    store_.expire(now, 0);
    load_class();
    if (class_.id == 0) begin_empty_class(random_join_code(), now + options_.code_hours * hour);
    if (!store_.commit()) return options_.store + " could not be written";
    if (passphrase_hash_.empty()) return "no passphrase has been set for the instructor";
    load();
    if (options_.diagnosis) diagnosis_->begin();
    keeper_ = std::thread([this] { look_after(); });
    return {};
}

Hall::~Hall() { close(); }

void Hall::close() {
    {
        const std::lock_guard lock(keeper_mutex_);
        closing_ = true;
        keeper_ends_.notify_all();
    }
    if (keeper_.joinable()) keeper_.join();
    diagnosis_->stop();
    desk_->close();
}

void Hall::set_url(std::string url) {
    const std::lock_guard lock(mutex_);
    options_.url = std::move(url);
}

void Hall::begin_empty_class(const std::string& code, Seconds code_until) {
    const Seconds now = now_seconds();
    class_ = {.bench = lesson_.file, .version = lesson_.version(), .title = lesson_.sheets.bench->title,
              .code = code, .code_until = code_until, .begun = now, .keep_until = now + options_.keep_days * 24 * hour};
    class_.id = store_.add_class(class_);
}

/// The class that is kept of this bench, if one is, and minutes of those that are over.
void Hall::load_class() {
    const std::lock_guard lock(mutex_);
    earlier_.clear();
    for (const store::History& over : store_.history())
        for (const store::PhaseMinutes& m : over.minutes)
            if (over.version == lesson_.version()) earlier_.push_back({m.phase, m.minutes});
    if (auto known = store_.class_of(lesson_.version(), now_seconds())) class_ = std::move(*known);
}

/// Memory as the store has it; streams that are open stay.
void Hall::load() {
    const store::ClassRecords records = store_.records(class_.id);
    std::map<std::int64_t, Learner> fresh;
    for (const store::StoredLearner& l : records.learners) fresh[l.id].is = l;
    const auto seen = [&](std::int64_t id, Seconds at) { fresh[id].last = std::max(fresh[id].last, at); };
    for (const store::StoredLearner& l : records.learners) seen(l.id, l.joined);
    for (const auto& t : records.ticks) fresh[t.learner].ticks.insert(t.step), seen(t.learner, t.at);
    for (const auto& s : records.spent) fresh[s.learner].spent[s.phase] = s.seconds;
    for (const auto& r : records.readings) {
        Learner& learner = fresh[r.learner];
        CheckState& state = learner.checks[r.item];
        state = {state.tries + 1, state.hints, r.correct, r.entered, r.value};
        ++learner.readings;
        seen(r.learner, r.at);
    }
    for (const auto& h : records.hints) fresh[h.learner].checks[h.item].hints = h.depth, seen(h.learner, h.at);
    for (const auto& p : records.passes) fresh[p.learner].passed[p.gate - 1] = p.at, seen(p.learner, p.at);
    for (const auto& s : records.submissions) {
        Learner& learner = fresh[s.learner];
        ++learner.submissions;
        learner.harmful = s.harmful;
        learner.looked_at = learner.passed[0] > 0 && std::max(learner.passed[0], learner.passed[1]) >= s.at;
        seen(s.learner, s.at);
        learner.build = Json::parse(s.answer, nullptr, false);
    }
    const std::lock_guard lock(mutex_);
    for (auto& [id, learner] : learners_)
        if (const auto at = fresh.find(id); at != fresh.end()) at->second.streams = std::move(learner.streams);
    learners_ = std::move(fresh);
    by_device_.clear();
    for (const auto& [id, learner] : learners_)
        if (!learner.is.device.empty()) by_device_[learner.is.device] = id;
}

Identity Hall::identify(const Head& head) const {
    Identity who{.role = Role::nobody, .in_class = true};
    const Seconds now = now_seconds();
    const std::string instructor = cookie_of(head, instructor_cookie), device = cookie_of(head, device_cookie);
    const std::lock_guard lock(mutex_);
    if (!instructor.empty()) {
        const auto session = sessions_.find(hash_of(instructor));
        if (session != sessions_.end() && session->second > now)
            return {.role = Role::instructor, .in_class = true, .token = token_of(instructor)};
    }
    if (!device.empty()) {
        const auto known = by_device_.find(hash_of(device));
        if (known != by_device_.end())
            return {.role = Role::learner, .in_class = true, .learner = known->second, .token = token_of(device)};
    }
    return who;
}

std::optional<Answer> Hall::objection_to_rate(const std::string& peer, const Identity& who) {
    const auto now = Buckets::Clock::now();
    const std::lock_guard lock(mutex_);
    const bool may = peers_.take(peer, now) &&
                     (who.role != Role::learner || learner_calls_.take(std::to_string(who.learner), now));
    return may ? std::nullopt : std::optional(too_often(1));
}

Learner* Hall::find(std::int64_t learner) {
    const auto at = learners_.find(learner);
    return at == learners_.end() ? nullptr : &at->second;
}
const Learner* Hall::find(std::int64_t learner) const {
    const auto at = learners_.find(learner);
    return at == learners_.end() ? nullptr : &at->second;
}

void Hall::changed(std::int64_t learner) { changed_.insert(learner); }

void Hall::begin_batch() { store_.begin(); }

bool Hall::end_batch() {
    const bool kept = store_.commit();
    if (!kept) {
        load_class();
        load();
        const std::lock_guard lock(mutex_);
        gone_.clear();  // nobody is; streams that were to end are opened again by those who read them
        for (const auto& [stream, why] : std::exchange(ending_, {})) stream->end();
        for (const auto& [id, learner] : learners_) changed(id);
        room_changed_ = true;
    }
    publish();
    if (std::exchange(deleted_, false) && kept) {
        store_.checkpoint();
        (void)backup();  // the copy forgets as well
    }
    return kept;
}

void Hall::publish() {
    const std::lock_guard lock(mutex_);
    const auto tell_room = [&](const char* event, const std::string& data) {
        for (const auto& stream : room_streams_) stream->send(event, data);
    };
    for (const std::int64_t id : std::exchange(gone_, {})) tell_room("left", Json{{"id", id}}.dump());
    for (const std::int64_t id : std::exchange(changed_, {})) {
        const Learner* learner = find(id);
        if (!learner) continue;
        const std::string me = me_json(*learner).dump();
        for (const auto& stream : learner->streams) stream->send("me", me);
        tell_room("learner", row_json(*learner).dump());
    }
    if (std::exchange(room_changed_, false)) tell_room("room", room_json().dump());
    for (const auto& [stream, why] : std::exchange(ending_, {})) {
        stream->send("gone", Json{{"why", why}}.dump());
        stream->end();
    }
}

/// How far the diagnosis is, to the instructors.
void Hall::tell_diagnosis() {
    desk_->add({[this] {
                    const std::lock_guard lock(mutex_);
                    room_changed_ = true;
                    return Answer{};
                },
                [](const Answer&) {}});
    if (options_.say && diagnosis_->is_made()) options_.say("hints come from the diagnosis now");
}

void Hall::end_streams(Learner& learner, const char* why) {
    for (auto& stream : learner.streams) ending_.emplace_back(std::move(stream), why);
    learner.streams.clear();
}

bool Hall::listen(std::int64_t id, std::shared_ptr<EventStream> stream) {
    const std::lock_guard lock(mutex_);
    Learner* learner = find(id);
    if (!learner || closing_) return false;
    stream->hold_at_most(held_for_learner);
    std::erase_if(learner->streams, [](const auto& open) { return open->left(); });
    if (learner->streams.size() >= options_.limits.streams) {
        learner->streams.front()->end();
        learner->streams.erase(learner->streams.begin());
    }
    stream->send("me", me_json(*learner).dump());
    learner->streams.push_back(std::move(stream));
    const std::string row = row_json(*learner).dump();
    for (const auto& room : room_streams_) room->send("learner", row);
    return true;
}

bool Hall::listen_to_room(std::shared_ptr<EventStream> stream) {
    const std::lock_guard lock(mutex_);
    if (closing_) return false;
    stream->hold_at_most(held_for_instructor);
    if (room_streams_.size() >= options_.limits.instructor_streams) {
        room_streams_.front()->end();
        room_streams_.erase(room_streams_.begin());
    }
    stream->send("room", room_json().dump());
    room_streams_.push_back(std::move(stream));
    return true;
}

/// Streams that nobody reads any more; whose learners are told of to the instructors.
void Hall::drop_left() {
    {
        const std::lock_guard lock(mutex_);
        const auto has_left = [](const auto& stream) { return stream->left(); };
        std::erase_if(room_streams_, has_left);
        for (auto& [id, learner] : learners_) {
            if (std::erase_if(learner.streams, has_left) > 0 && learner.streams.empty()) {
                const std::string row = row_json(learner).dump();
                for (const auto& room : room_streams_) room->send("learner", row);
            }
        }
    }
}

/// Once a second: who has left, silent streams, days that are over, the copy.
void Hall::look_after() {
    std::unique_lock lock(keeper_mutex_);
    for (long long second = 1; !closing_; ++second) {
        lock.unlock();
        drop_left();
        if (second % 15 == 0) {
            const std::lock_guard streams(mutex_);
            for (const auto& stream : room_streams_) stream->comment();
            for (const auto& [id, learner] : learners_)
                for (const auto& stream : learner.streams) stream->comment();
        }
        if (second % 600 == 0)
            desk_->add({[this] {
                            deleted_ = store_.expire(now_seconds(), class_.id) > 0 || deleted_;
                            return Answer{};
                        },
                        [](const Answer&) {}});
        if (second % (60LL * options_.backup_minutes) == 0) (void)backup();
        lock.lock();
        keeper_ends_.wait_for(lock, std::chrono::seconds(1), [&] { return closing_; });
    }
}

std::string Hall::backup() const {
    const std::lock_guard lock(backup_mutex_);
    return store_.backup(options_.store + ".backup");
}

}  // namespace voltsill::server
