#pragma once
/// The hall of a class: who is in it, where each of them is, and what is kept of it.
///
///     device --join by code--> learner --ticks, readings, builds--> desk --> store (disk) --> acknowledged
///                                                                    |
///                                       streams of learner and instructors <-- what changed
///
/// What is asked often stands in memory; every change goes through the desk (desk.h), first into the store, and is
/// told to the streams when it is on the disk. Should a commit fail, memory is read from the store again.
///
/// Functions marked "desk" are called by the desk alone, between its begin and its end.
#include <map>
#include <memory>
#include <set>
#include <vector>

#include "engine/json_pieces.h"
#include "server/desk.h"
#include "server/event_stream.h"
#include "server/hall_diagnosis.h"
#include "server/hall_lesson.h"
#include "server/hall_options.h"
#include "server/roles.h"
#include "store/class_store.h"
#include "teaching/marking.h"
#include "teaching/time_log.h"

namespace voltsill::server {

using store::Seconds;

/// What is known of a check of a learner, from all that was entered.
struct CheckState {
    int tries = 0, hints = 0;
    bool correct = false;  ///< the last entry
    std::string entered;
    std::optional<double> value;
};

struct Learner {
    store::StoredLearner is;
    std::set<int> ticks;
    std::map<std::string, CheckState> checks;
    Seconds passed[store::gates] = {};  ///< 0: not yet
    Seconds help_since = 0, last = 0;   ///< last: of anything done
    std::map<std::string, Seconds> spent;  ///< by phase of the time plan
    int readings = 0, submissions = 0;
    Json build;              ///< answer to the last one; null: none
    bool harmful = false;    ///< the last build would harm
    bool looked_at = false;  ///< the instructor has let a gate pass since the last build
    bool early = false;      ///< a reading under power was tried before gate 1
    std::vector<std::string> once;  ///< names of what came last, so that what is sent again counts once

    /// Whether this name is new; it is known from now on. Names are kept in memory alone, the last ones.
    bool is_new(const std::string& name);
    std::vector<std::shared_ptr<EventStream>> streams;

    /// The first that is not passed; 5: all are.
    int gate() const;
};

using Told = std::expected<Json, Answer>;

class Hall {
  public:
    static std::expected<std::unique_ptr<Hall>, std::string> open(HallOptions options, Lesson lesson);
    ~Hall();
    void set_url(std::string url);

    Desk& desk() { return *desk_; }
    const Lesson& lesson() const { return lesson_; }
    std::shared_ptr<const std::string> lesson_json() const { return lesson_json_; }
    bool secure() const { return options_.secure; }

    /// Any thread. By the secrets in the cookies of a request; a class is held, so nobody is the maker.
    Identity identify(const Head& head) const;
    /// 429 for who asks too often.
    std::optional<Answer> objection_to_rate(const std::string& peer, const Identity& who);

    // Learners. Desk, but for what only reads.
    struct Joined {
        std::string secret;
        Json learner;
    };
    std::expected<Joined, Answer> join(const std::string& peer, const std::string& code, const std::string& nickname);
    Json me(std::int64_t learner) const;  ///< any thread
    Told tick(std::int64_t learner, int step, bool done);
    Told enter(std::int64_t learner, const std::string& check, const std::string& typed, const std::string& once = {});
    /// Any thread, and it may take `hint_patience`: what a hint is given for, then the hint; `give_hint` notes it.
    std::expected<HintAsked, Answer> asked_hint(std::int64_t learner, const std::string& check, int depth);
    Hint hint(const HintAsked& asked) { return diagnosis_->hint(asked); }
    Told give_hint(std::int64_t learner, const std::string& check, int depth, const Hint& hint);
    Told ask_for_help(std::int64_t learner, bool wanted, const std::string& about);
    std::optional<Answer> objection_to_build(std::int64_t learner);   ///< any thread
    std::optional<Answer> objection_to_export(std::int64_t learner);  ///< any thread
    MarkedBuild mark(const std::string& wires) const;                 ///< any thread
    Told submit(std::int64_t learner, const std::string& wires, const MarkedBuild& build);
    /// Any thread. False: too many are open.
    bool listen(std::int64_t learner, std::shared_ptr<EventStream> stream);

    // The instructor. `sign_in` takes some tenths of a second: by a worker, not by the desk. `device`: the secret in
    // the cookie of a device where the instructor may have signed in before.
    std::expected<std::string, Answer> sign_in(const Head& head, const std::string& device,
                                               const std::string& passphrase);
    bool knows(const std::string& device) const;            ///< any thread
    void remember_device(const std::string& device);        ///< desk
    void sign_out(const std::string& secret);
    Json room() const;  ///< any thread
    Told learner_in_full(std::int64_t learner) const;
    Told act(std::int64_t learner, const std::string& what, int gate);
    Json new_code(bool open, int hours);
    Json show(int hints, bool marks);  ///< to all learners
    /// Of as many learners as the instructor was shown: everything of theirs goes, counts without names stay, nobody
    /// can join, and an empty class begins.
    Told end_class(std::size_t learners);
    Json summary() const;              ///< any thread
    std::string time_log() const;      ///< any thread: minutes of this class and those before, a file of `--log`
    std::string join_url() const;
    Told exported(std::int64_t learner, bool with_names);  ///< 0: the whole class
    Json history();
    std::string backup() const;  ///< any thread; a sentence when it failed
    bool listen_to_room(std::shared_ptr<EventStream> stream);

    void delete_learner(std::int64_t learner);
    /// Everybody's streams end; what waits is still written.
    void close();

  private:
    Hall(HallOptions options, Lesson lesson, store::ClassStore store);
    std::string begin_class();
    void begin_empty_class(const std::string& code, Seconds code_until);
    void load_class();
    void load();
    void begin_batch();
    bool end_batch();
    void publish();
    void look_after();
    void drop_left();

    Learner* find(std::int64_t learner);
    const Learner* find(std::int64_t learner) const;
    void changed(std::int64_t learner);
    void pass(Learner& learner, int gate);
    void pass_by_readings(Learner& learner);
    void send_back(Learner& learner, int gate);  ///< this gate and those after it are to be passed again
    bool all_right(const Learner& learner, int gate) const;
    std::optional<Answer> objection_to_hint(const Learner& learner, const std::string& check, int depth) const;
    void tell_diagnosis();
    void spend(Learner& learner, const char* phase, Seconds at);
    std::vector<LoggedMinutes> logged() const;
    std::optional<store::PhaseMinutes> minutes_of(const store::SpentPhase& phase) const;
    Json minutes_json() const;
    std::string danger_of(const Learner& learner) const;
    std::string next_step(const Learner& learner) const;
    Json me_json(const Learner& learner) const;
    Json row_json(const Learner& learner) const;
    Json room_json() const;
    void end_streams(Learner& learner, const char* why);  ///< "deleted", "device", "class-ended"

    HallOptions options_;
    Lesson lesson_;
    PreparedMarking marking_;
    std::shared_ptr<const std::string> lesson_json_;
    store::ClassStore store_;
    store::StoredClass class_;
    std::string passphrase_hash_;
    std::vector<LoggedMinutes> earlier_;  ///< of classes on this version of the bench that are over

    mutable std::mutex backup_mutex_;
    mutable std::mutex mutex_;  ///< of all below
    std::map<std::int64_t, Learner> learners_;
    std::map<std::string, std::int64_t> by_device_;           ///< by hash
    std::map<std::string, Seconds> sessions_;                 ///< of instructors, by hash: until when
    std::vector<std::string> known_devices_;                  ///< by hash, the latest first
    std::vector<std::shared_ptr<EventStream>> room_streams_;
    std::set<std::int64_t> changed_, gone_;
    std::vector<std::pair<std::shared_ptr<EventStream>, const char*>> ending_;  ///< and why
    bool room_changed_ = false, deleted_ = false;
    Buckets peers_, learner_calls_, joins_, wrong_codes_, all_wrong_codes_, wrong_words_, all_wrong_words_;
    Buckets known_words_, builds_, hints_, exports_;

    std::mutex keeper_mutex_;
    std::condition_variable keeper_ends_;
    bool closing_ = false;
    std::thread keeper_;
    std::unique_ptr<Desk> desk_;
    std::unique_ptr<HallDiagnosis> diagnosis_;
};

inline constexpr int instructor_hours = 12, most_sessions = 16;
Seconds now_seconds();
/// Of a build that was handed in.
inline constexpr const char* harmful_build =
    "The build that was handed in would harm a part when powered. Keep the power off.";
std::string cookie_of(const Head& head, std::string_view name);
inline constexpr std::string_view device_cookie = "voltsill-device", instructor_cookie = "voltsill-instructor",
                                  known_cookie = "voltsill-known";

}  // namespace voltsill::server
