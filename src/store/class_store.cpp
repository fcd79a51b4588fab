#include "store/class_store.h"

#include "store/migrations.h"

namespace voltsill::store {
namespace {

Value number_or_null(const std::optional<double>& value) {
    return value ? Value(*value) : Value(std::monostate{});
}

std::int64_t whole(bool truth) { return truth ? 1 : 0; }

StoredClass class_in(const Row& row) {
    return {.id = row.integer(0),
            .bench = row.text(1),
            .version = row.text(2),
            .title = row.text(3),
            .code = row.text(4),
            .code_until = row.integer(5),
            .begun = row.integer(6),
            .keep_until = row.integer(7),
            .hints = static_cast<int>(row.integer(8)),
            .marks = row.integer(9) != 0};
}

StoredLearner learner_in(const Row& row) {
    return {.id = row.integer(0),
            .class_id = row.integer(1),
            .nickname = row.text(2),
            .name_key = row.text(3),
            .device = row.text(4),
            .joined = row.integer(5),
            .removed = row.integer(6) != 0,
            .help = row.integer(7) != 0,
            .help_about = row.text(8)};
}

}  // namespace

std::expected<ClassStore, std::string> ClassStore::open(const std::string& path) {
    auto database = Database::open(path);
    if (!database) return std::unexpected(std::move(database.error()));
    if (const std::string trouble = migrate(*database); !trouble.empty()) return std::unexpected(trouble);
    return ClassStore(std::move(*database));
}

std::string ClassStore::passphrase() {
    const auto rows = database_.rows("SELECT hash FROM passphrase");
    return rows.empty() ? std::string() : rows[0].text(0);
}

void ClassStore::set_passphrase(const std::string& hash) {
    database_.run("INSERT INTO passphrase VALUES (1, ?) ON CONFLICT DO UPDATE SET hash = excluded.hash", {hash});
    database_.run("DELETE FROM known_device");
}

std::vector<std::string> ClassStore::known_devices() {
    std::vector<std::string> out;
    for (const Row& row : database_.rows("SELECT hash FROM known_device ORDER BY at DESC")) out.push_back(row.text(0));
    return out;
}

void ClassStore::add_known_device(const std::string& hash, Seconds at) {
    database_.run("INSERT INTO known_device VALUES (?, ?) ON CONFLICT DO UPDATE SET at = excluded.at", {hash, at});
    database_.run("DELETE FROM known_device WHERE hash NOT IN"
                  " (SELECT hash FROM known_device ORDER BY at DESC, hash LIMIT ?)", {std::int64_t{most_known}});
}

std::optional<StoredClass> ClassStore::class_of(const std::string& version, Seconds now) {
    const auto rows = database_.rows(
        "SELECT id, bench, version, title, code, code_until, begun, keep_until, hints, marks FROM class"
        " WHERE version = ? AND keep_until > ? ORDER BY id DESC LIMIT 1", {version, now});
    if (rows.empty()) return std::nullopt;
    return class_in(rows[0]);
}

std::int64_t ClassStore::add_class(const StoredClass& c) {
    database_.run("INSERT INTO class (bench, version, title, code, code_until, begun, keep_until)"
                  " VALUES (?, ?, ?, ?, ?, ?, ?)",
                  {c.bench, c.version, c.title, c.code, c.code_until, c.begun, c.keep_until});
    return database_.last_id();
}

void ClassStore::set_code(std::int64_t class_id, const std::string& code, Seconds until) {
    database_.run("UPDATE class SET code = ?, code_until = ? WHERE id = ?", {code, until, class_id});
}

void ClassStore::set_shown(std::int64_t class_id, int hints, bool marks) {
    database_.run("UPDATE class SET hints = ?, marks = ? WHERE id = ?", {std::int64_t{hints}, whole(marks), class_id});
}

/// Both a class and one learner are asked for by two numbers: the class, or 0; the learner, or 0.
static ClassRecords selected(Database& database, std::int64_t class_id, std::int64_t learner) {
    ClassRecords out;
    const std::initializer_list<Value> who = {class_id, learner};
    for (const Row& row : database.rows(
             "SELECT id, class, nickname, name_key, device, joined, removed, help, help_about FROM learner"
             " WHERE class = ?1 OR id = ?2 ORDER BY id", who))
        out.learners.push_back(learner_in(row));
    for (const Row& row : database.rows(
             "SELECT learner, step, at FROM tick WHERE learner IN"
             " (SELECT id FROM learner WHERE class = ?1 OR id = ?2) ORDER BY learner, step", who))
        out.ticks.push_back({row.integer(0), static_cast<int>(row.integer(1)), row.integer(2)});
    for (const Row& row : database.rows(
             "SELECT learner, item, entered, value, correct, at, value IS NULL FROM reading WHERE learner IN"
             " (SELECT id FROM learner WHERE class = ?1 OR id = ?2) ORDER BY id", who))
        out.readings.push_back({row.integer(0), row.text(1), row.text(2),
                                row.integer(6) ? std::nullopt : std::optional(row.real(3)), row.integer(4) != 0,
                                row.integer(5)});
    for (const Row& row : database.rows(
             "SELECT learner, item, depth, at FROM hint WHERE learner IN"
             " (SELECT id FROM learner WHERE class = ?1 OR id = ?2) ORDER BY learner, item, depth", who))
        out.hints.push_back({row.integer(0), row.text(1), static_cast<int>(row.integer(2)), row.integer(3)});
    for (const Row& row : database.rows(
             "SELECT learner, gate, at FROM pass WHERE learner IN"
             " (SELECT id FROM learner WHERE class = ?1 OR id = ?2) ORDER BY learner, gate", who))
        out.passes.push_back({row.integer(0), static_cast<int>(row.integer(1)), row.integer(2)});
    for (const Row& row : database.rows(
             "SELECT learner, wires, harmful, points, out_of, answer, at FROM submission WHERE learner IN"
             " (SELECT id FROM learner WHERE class = ?1 OR id = ?2) ORDER BY id", who))
        out.submissions.push_back({row.integer(0), row.text(1), row.integer(2) != 0, row.real(3), row.real(4),
                                   row.text(5), row.integer(6)});
    for (const Row& row : database.rows(
             "SELECT learner, phase, seconds FROM spent WHERE learner IN"
             " (SELECT id FROM learner WHERE class = ?1 OR id = ?2) ORDER BY learner, phase", who))
        out.spent.push_back({row.integer(0), row.text(1), row.integer(2)});
    return out;
}

ClassRecords ClassStore::records(std::int64_t class_id) { return selected(database_, class_id, 0); }
ClassRecords ClassStore::records_of(std::int64_t learner) { return selected(database_, 0, learner); }

std::int64_t ClassStore::add_learner(const StoredLearner& l) {
    database_.run("INSERT INTO learner (class, nickname, name_key, device, joined, removed, help, help_about)"
                  " VALUES (?, ?, ?, ?, ?, 0, 0, '')",
                  {l.class_id, l.nickname, l.name_key, l.device, l.joined});
    return database_.last_id();
}

void ClassStore::set_device(std::int64_t learner, const std::string& device, bool removed) {
    database_.run("UPDATE learner SET device = ?, removed = ? WHERE id = ?", {device, whole(removed), learner});
}

void ClassStore::set_help(std::int64_t learner, bool wanted, const std::string& about) {
    database_.run("UPDATE learner SET help = ?, help_about = ? WHERE id = ?", {whole(wanted), about, learner});
}

void ClassStore::set_tick(const StoredTick& t, bool done) {
    const std::int64_t step = t.step;
    if (done) database_.run("INSERT OR IGNORE INTO tick VALUES (?, ?, ?)", {t.learner, step, t.at});
    else database_.run("DELETE FROM tick WHERE learner = ? AND step = ?", {t.learner, step});
}

void ClassStore::add_reading(const StoredReading& r) {
    database_.run("INSERT INTO reading (learner, item, entered, value, correct, at) VALUES (?, ?, ?, ?, ?, ?)",
                  {r.learner, r.item, r.entered, number_or_null(r.value), whole(r.correct), r.at});
}

void ClassStore::add_hint(const StoredHint& h) {
    database_.run("INSERT OR IGNORE INTO hint VALUES (?, ?, ?, ?)",
                  {h.learner, h.item, static_cast<std::int64_t>(h.depth), h.at});
}

void ClassStore::add_pass(const StoredPass& p) {
    database_.run("INSERT OR IGNORE INTO pass VALUES (?, ?, ?)", {p.learner, static_cast<std::int64_t>(p.gate), p.at});
}

void ClassStore::take_passes_from(std::int64_t learner, int gate) {
    database_.run("DELETE FROM pass WHERE learner = ? AND gate >= ?", {learner, static_cast<std::int64_t>(gate)});
}

void ClassStore::add_submission(const StoredSubmission& s) {
    database_.run("INSERT INTO submission (learner, wires, harmful, points, out_of, answer, at)"
                  " VALUES (?, ?, ?, ?, ?, ?, ?)",
                  {s.learner, s.wires, whole(s.harmful), s.points, s.out_of, s.answer, s.at});
}

void ClassStore::add_spent(const StoredSpent& s) {
    database_.run("INSERT INTO spent VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET seconds = seconds + excluded.seconds",
                  {s.learner, s.phase, s.seconds});
}

void ClassStore::clear_learner(std::int64_t learner) {
    for (const char* statement :
         {"DELETE FROM tick WHERE learner = ?", "DELETE FROM reading WHERE learner = ?",
          "DELETE FROM hint WHERE learner = ?", "DELETE FROM pass WHERE learner = ?",
          "DELETE FROM submission WHERE learner = ?", "DELETE FROM spent WHERE learner = ?",
          "UPDATE learner SET help = 0, help_about = '' WHERE id = ?"})
        database_.run(statement, {learner});
}

void ClassStore::delete_learner(std::int64_t learner) {
    database_.run("DELETE FROM learner WHERE id = ?", {learner});
}

}  // namespace voltsill::store
