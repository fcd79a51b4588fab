#pragma once
/// What the hall of a class keeps: who is there under which nickname, what they ticked, read, asked and handed in.
///
///     auto store = ClassStore::open("class.sqlite");
///     store->begin();
///     store->add_reading({.learner = 7, .item = "level-3", .entered = "3.28 V", .value = 3.28, .correct = true,
///                         .at = now});
///     if (store->commit()) acknowledge();       // it is on the disk
///
/// Of a person only the nickname is kept. Secrets are kept as hashes. When the days of a class are over, what
/// belongs to its learners goes, and counts without names stay (`History`). Times are seconds since 1970.
#include <expected>
#include <optional>
#include <string>
#include <vector>

#include "store/database.h"

namespace voltsill::store {

using Seconds = std::int64_t;
inline constexpr int gates = 4;

struct StoredClass {
    std::int64_t id = 0;
    std::string bench, version, title;  ///< name of the file, version of its bytes, title of the bench
    std::string code;                   ///< to join by; empty: nobody may join
    Seconds code_until = 0, begun = 0, keep_until = 0;
    int hints = 3;       ///< the deepest a learner may ask for, 0..3
    bool marks = false;  ///< learners see mistakes and marks of their builds
};

struct StoredLearner {
    std::int64_t id = 0, class_id = 0;
    std::string nickname, name_key;  ///< as written; as compared
    std::string device;              ///< hash of the device's secret; empty: none
    Seconds joined = 0;
    bool removed = false, help = false;
    std::string help_about;
};

struct StoredTick {
    std::int64_t learner = 0;
    int step = 0;
    Seconds at = 0;
};
struct StoredReading {
    std::int64_t learner = 0;
    std::string item, entered;
    std::optional<double> value;  ///< SI; nothing: a word such as "open"
    bool correct = false;
    Seconds at = 0;
};
struct StoredHint {
    std::int64_t learner = 0;
    std::string item;
    int depth = 1;
    Seconds at = 0;
};
struct StoredPass {
    std::int64_t learner = 0;
    int gate = 1;
    Seconds at = 0;
};
struct StoredSubmission {
    std::int64_t learner = 0;
    std::string wires;
    bool harmful = false;
    double points = 0, out_of = 0;
    std::string answer;  ///< JSON, as the learner got it
    Seconds at = 0;
};

/// Phases of a course whose time the hall can tell, as a time plan names them, and the gate that ends each.
struct SpentPhase {
    const char* id;
    int gate;
};
inline constexpr SpentPhase spent_phases[] = {{"parts", 1},       {"wires", 1},  {"power off", 1},
                                              {"first power", 2}, {"levels", 3}, {"function", 4}};
struct StoredSpent {
    std::int64_t learner = 0;
    std::string phase;
    Seconds seconds = 0;
};
/// Of a class: the median over those who have passed the phase's gate.
struct PhaseMinutes {
    std::string phase;
    int learners = 0;
    double minutes = 0;
};
/// Nothing when nobody has.
std::optional<PhaseMinutes> phase_minutes(const std::string& phase, std::vector<Seconds> spent);

/// Everything of one class, or of one learner of it, oldest first.
struct ClassRecords {
    std::vector<StoredLearner> learners;
    std::vector<StoredTick> ticks;
    std::vector<StoredReading> readings;
    std::vector<StoredHint> hints;
    std::vector<StoredPass> passes;
    std::vector<StoredSubmission> submissions;
    std::vector<StoredSpent> spent;
};

/// A class that is over, in counts.
struct History {
    std::string bench, version, title;
    Seconds day = 0;  ///< midnight (UTC) of the day it began
    int learners = 0, passed[gates] = {}, submissions = 0, harmful = 0;
    struct Item {
        std::string item;
        int entered = 0, correct = 0, hints = 0;
    };
    std::vector<Item> items;
    std::vector<PhaseMinutes> minutes;
};

class ClassStore {
  public:
    static std::expected<ClassStore, std::string> open(const std::string& path);

    bool begin() { return database_.begin(); }
    bool commit() { return database_.commit(); }
    void rollback() { database_.rollback(); }
    std::string backup(const std::string& to) const { return database_.backup(to); }
    /// After something was deleted: out of the log as well.
    void checkpoint() { database_.checkpoint(); }

    std::string passphrase();  ///< its hash; empty: none has been set
    /// Another one: devices that were known by the one before no longer are.
    void set_passphrase(const std::string& hash);
    /// Hashes of secrets that devices got when the instructor signed in there; of the latest `most_known`.
    std::vector<std::string> known_devices();
    void add_known_device(const std::string& hash, Seconds at);
    static constexpr int most_known = 16;

    /// The youngest class of this version of the bench that is still kept.
    std::optional<StoredClass> class_of(const std::string& version, Seconds now);
    std::int64_t add_class(const StoredClass& made);
    void set_code(std::int64_t class_id, const std::string& code, Seconds until);
    void set_shown(std::int64_t class_id, int hints, bool marks);
    ClassRecords records(std::int64_t class_id);
    ClassRecords records_of(std::int64_t learner);

    std::int64_t add_learner(const StoredLearner& learner);
    void set_device(std::int64_t learner, const std::string& device, bool removed);
    void set_help(std::int64_t learner, bool wanted, const std::string& about);
    void set_tick(const StoredTick& tick, bool done);
    void add_reading(const StoredReading& reading);
    void add_hint(const StoredHint& hint);
    void add_pass(const StoredPass& pass);
    void take_passes_from(std::int64_t learner, int gate);  ///< this one and those after it
    void add_submission(const StoredSubmission& submission);
    void add_spent(const StoredSpent& more);
    /// Everything but who it is.
    void clear_learner(std::int64_t learner);
    void delete_learner(std::int64_t learner);

    /// Counts without names stay, where there was anybody; the class and all of its learners go.
    void end_class(const StoredClass& over);
    /// Classes whose days are over become history, but for the one that is being held (0: none is). How many.
    int expire(Seconds now, std::int64_t held);
    /// Of a class as it stands.
    History counts(const StoredClass& of);
    /// The last ones first, at most 200.
    std::vector<History> history();

  private:
    explicit ClassStore(Database database) : database_(std::move(database)) {}
    void keep(const History& counts);
    std::vector<History::Item> counted_items(std::int64_t class_id);
    std::vector<PhaseMinutes> minutes_of(std::int64_t class_id);
    Database database_;
};

}  // namespace voltsill::store
