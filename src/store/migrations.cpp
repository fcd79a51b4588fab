#include "store/migrations.h"

#include <fmt/format.h>

#include <span>

namespace voltsill::store {
namespace {

/// Times are seconds since 1970 (UTC). What belongs to a learner goes with the learner.
constexpr const char* first_version[] = {
    "CREATE TABLE passphrase (id INTEGER PRIMARY KEY CHECK (id = 1), hash TEXT NOT NULL) STRICT",
    "CREATE TABLE class (id INTEGER PRIMARY KEY, bench TEXT NOT NULL, version TEXT NOT NULL, title TEXT NOT NULL,"
    " code TEXT NOT NULL, code_until INTEGER NOT NULL, begun INTEGER NOT NULL, keep_until INTEGER NOT NULL,"
    " hints INTEGER NOT NULL DEFAULT 3, marks INTEGER NOT NULL DEFAULT 0) STRICT",
    "CREATE TABLE learner (id INTEGER PRIMARY KEY AUTOINCREMENT,"
    " class INTEGER NOT NULL REFERENCES class ON DELETE CASCADE, nickname TEXT NOT NULL, name_key TEXT NOT NULL,"
    " device TEXT NOT NULL, joined INTEGER NOT NULL, removed INTEGER NOT NULL, help INTEGER NOT NULL,"
    " help_about TEXT NOT NULL, UNIQUE (class, name_key)) STRICT",
    "CREATE TABLE tick (learner INTEGER NOT NULL REFERENCES learner ON DELETE CASCADE, step INTEGER NOT NULL,"
    " at INTEGER NOT NULL, PRIMARY KEY (learner, step)) STRICT, WITHOUT ROWID",
    "CREATE TABLE reading (id INTEGER PRIMARY KEY, learner INTEGER NOT NULL REFERENCES learner ON DELETE CASCADE,"
    " item TEXT NOT NULL, entered TEXT NOT NULL, value REAL, correct INTEGER NOT NULL, at INTEGER NOT NULL) STRICT",
    "CREATE INDEX reading_of ON reading (learner)",
    "CREATE TABLE hint (learner INTEGER NOT NULL REFERENCES learner ON DELETE CASCADE, item TEXT NOT NULL,"
    " depth INTEGER NOT NULL, at INTEGER NOT NULL, PRIMARY KEY (learner, item, depth)) STRICT, WITHOUT ROWID",
    "CREATE TABLE pass (learner INTEGER NOT NULL REFERENCES learner ON DELETE CASCADE, gate INTEGER NOT NULL,"
    " at INTEGER NOT NULL, PRIMARY KEY (learner, gate)) STRICT, WITHOUT ROWID",
    "CREATE TABLE submission (id INTEGER PRIMARY KEY, learner INTEGER NOT NULL REFERENCES learner ON DELETE CASCADE,"
    " wires TEXT NOT NULL, harmful INTEGER NOT NULL, points REAL NOT NULL, out_of REAL NOT NULL,"
    " answer TEXT NOT NULL, at INTEGER NOT NULL) STRICT",
    "CREATE INDEX submission_of ON submission (learner)",
    "CREATE TABLE history (id INTEGER PRIMARY KEY, bench TEXT NOT NULL, version TEXT NOT NULL, title TEXT NOT NULL,"
    " day INTEGER NOT NULL, learners INTEGER NOT NULL, gate1 INTEGER NOT NULL, gate2 INTEGER NOT NULL,"
    " gate3 INTEGER NOT NULL, gate4 INTEGER NOT NULL, submissions INTEGER NOT NULL, harmful INTEGER NOT NULL) STRICT",
    "CREATE TABLE history_item (history INTEGER NOT NULL REFERENCES history ON DELETE CASCADE, item TEXT NOT NULL,"
    " entered INTEGER NOT NULL, correct INTEGER NOT NULL, hints INTEGER NOT NULL,"
    " PRIMARY KEY (history, item)) STRICT, WITHOUT ROWID",
};

/// Time that was spent, and devices at which the instructor has signed in.
constexpr const char* second_version[] = {
    "CREATE TABLE spent (learner INTEGER NOT NULL REFERENCES learner ON DELETE CASCADE, phase TEXT NOT NULL,"
    " seconds INTEGER NOT NULL, PRIMARY KEY (learner, phase)) STRICT, WITHOUT ROWID",
    "CREATE TABLE history_minutes (history INTEGER NOT NULL REFERENCES history ON DELETE CASCADE,"
    " phase TEXT NOT NULL, learners INTEGER NOT NULL, minutes REAL NOT NULL,"
    " PRIMARY KEY (history, phase)) STRICT, WITHOUT ROWID",
    "CREATE TABLE known_device (hash TEXT PRIMARY KEY, at INTEGER NOT NULL) STRICT, WITHOUT ROWID",
};

constexpr std::span<const char* const> steps[] = {first_version, second_version};

constexpr const char* set_version[] = {"PRAGMA user_version=0", "PRAGMA user_version=1", "PRAGMA user_version=2"};
static_assert(std::size(set_version) == std::size(steps) + 1);

}  // namespace

int last_version() { return static_cast<int>(std::size(steps)); }

std::string migrate(Database& database) {
    const auto version_now = [&] {
        const std::vector<Row> stated = database.rows("PRAGMA user_version");
        return stated.empty() ? -1 : static_cast<int>(stated[0].integer(0));
    };
    if (version_now() == last_version()) return {};  // others may go on writing
    database.begin();
    const int version = version_now();
    std::string trouble;
    if (version == 0 && !database.rows("SELECT 1 FROM sqlite_schema").empty())
        trouble = fmt::format("{} is a database of another program", database.path());
    else if (version > last_version())
        trouble = fmt::format("{} was written by a later version of this program", database.path());
    for (int k = version; k >= 0 && k < last_version(); ++k)
        for (const char* statement : steps[k]) database.run(statement);
    database.run(set_version[last_version()]);
    if (trouble.empty()) trouble = database.trouble();
    if (!trouble.empty()) {
        database.rollback();
        return trouble;
    }
    return database.commit() ? std::string() : database.path() + " could not be written";
}

}  // namespace voltsill::store
