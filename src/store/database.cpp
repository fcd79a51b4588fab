#include "store/database.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sqlite3.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <utility>

namespace voltsill::store {
namespace {

constexpr const char* settings[] = {
    "PRAGMA journal_mode=WAL",  "PRAGMA synchronous=FULL", "PRAGMA foreign_keys=ON",
    "PRAGMA secure_delete=ON",  "PRAGMA trusted_schema=OFF", "PRAGMA busy_timeout=5000",
};

Value value_at(sqlite3_stmt* statement, int column) {
    switch (sqlite3_column_type(statement, column)) {
        case SQLITE_INTEGER:
            return static_cast<std::int64_t>(sqlite3_column_int64(statement, column));
        case SQLITE_FLOAT:
            return sqlite3_column_double(statement, column);
        case SQLITE_TEXT:
        case SQLITE_BLOB: {
            const void* bytes = sqlite3_column_blob(statement, column);
            const auto size = static_cast<std::size_t>(sqlite3_column_bytes(statement, column));
            return size > 0 ? std::string(static_cast<const char*>(bytes), size) : std::string();
        }
        default:
            return std::monostate{};
    }
}

/// The bytes of a file, and the name it has got, are on the disk.
bool bring_to_disk(const std::string& path) {
    for (const std::string& name : {path, std::filesystem::absolute(path).parent_path().string()}) {
        const int opened = ::open(name.c_str(), O_RDONLY | O_CLOEXEC);
        const bool done = opened >= 0 && fsync(opened) == 0;
        if (opened >= 0) close(opened);
        if (!done) return false;
    }
    return true;
}

/// A file of its owner alone, there before SQLite opens it: log and index take their rights from it.
bool make_private(const std::string& path) {
    const int made = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (made < 0) return false;
    close(made);
    return true;
}

}  // namespace

std::int64_t Row::integer(std::size_t column) const {
    const auto* value = std::get_if<std::int64_t>(&values_[column]);
    return value ? *value : 0;
}
double Row::real(std::size_t column) const {
    if (const auto* whole = std::get_if<std::int64_t>(&values_[column])) return static_cast<double>(*whole);
    const auto* value = std::get_if<double>(&values_[column]);
    return value ? *value : 0;
}
std::string Row::text(std::size_t column) const {
    const auto* value = std::get_if<std::string>(&values_[column]);
    return value ? *value : std::string();
}

std::expected<Database, std::string> Database::open(const std::string& path) {
    if (!make_private(path)) return std::unexpected(fmt::format("{}: {}", path, std::strerror(errno)));
    Database database(path);
    const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_FULLMUTEX | SQLITE_OPEN_NOFOLLOW | SQLITE_OPEN_EXRESCODE;
    const std::string whole = std::filesystem::weakly_canonical(path).string();
    if (sqlite3_open_v2(whole.c_str(), &database.handle_, flags, nullptr) != SQLITE_OK)
        return std::unexpected(fmt::format("{}: {}", path, sqlite3_errmsg(database.handle_)));
    sqlite3_limit(database.handle_, SQLITE_LIMIT_ATTACHED, 0);
    for (const char* setting : settings) database.rows(setting);
    if (!database.trouble_.empty()) return std::unexpected(fmt::format("{}: {}", path, database.trouble_));
    return database;
}

Database::Database(Database&& other) noexcept
    : path_(std::move(other.path_)),
      trouble_(std::move(other.trouble_)),
      handle_(std::exchange(other.handle_, nullptr)),
      statements_(std::exchange(other.statements_, {})) {}

Database::~Database() {
    for (const auto& [text, statement] : statements_) sqlite3_finalize(statement);
    sqlite3_close(handle_);
}

void Database::note(const char* doing) {
    if (trouble_.empty()) trouble_ = fmt::format("{} ({})", sqlite3_errmsg(handle_), doing);
}

sqlite3_stmt* Database::prepared(const char* statement) {
    const auto known = statements_.find(std::string_view(statement));
    if (known != statements_.end()) return known->second;
    sqlite3_stmt* made = nullptr;
    if (sqlite3_prepare_v3(handle_, statement, -1, SQLITE_PREPARE_PERSISTENT, &made, nullptr) != SQLITE_OK) {
        note(statement);
        return nullptr;
    }
    statements_.emplace(statement, made);
    return made;
}

sqlite3_stmt* Database::bound(const char* statement, std::initializer_list<Value> values) {
    if (!trouble_.empty()) return nullptr;
    sqlite3_stmt* made = prepared(statement);
    if (!made) return nullptr;
    int at = 0, worst = SQLITE_OK;
    for (const Value& value : values) {
        ++at;
        int result = SQLITE_OK;
        if (const auto* whole = std::get_if<std::int64_t>(&value)) result = sqlite3_bind_int64(made, at, *whole);
        else if (const auto* real = std::get_if<double>(&value)) result = sqlite3_bind_double(made, at, *real);
        else if (const auto* text = std::get_if<std::string>(&value))
            result = sqlite3_bind_text(made, at, text->data(), static_cast<int>(text->size()), SQLITE_TRANSIENT);
        else result = sqlite3_bind_null(made, at);
        if (result != SQLITE_OK) worst = result;
    }
    if (worst == SQLITE_OK && at == sqlite3_bind_parameter_count(made)) return made;
    note(statement);
    sqlite3_reset(made);
    return nullptr;
}

std::vector<Row> Database::rows(const char* statement, std::initializer_list<Value> values) {
    std::vector<Row> out;
    sqlite3_stmt* made = bound(statement, values);
    if (!made) return out;
    int result;
    while ((result = sqlite3_step(made)) == SQLITE_ROW) {
        std::vector<Value> row;
        for (int column = 0; column < sqlite3_column_count(made); ++column) row.push_back(value_at(made, column));
        out.emplace_back(std::move(row));
    }
    if (result != SQLITE_DONE) note(statement);
    sqlite3_reset(made);
    sqlite3_clear_bindings(made);
    return out;
}

bool Database::run(const char* statement, std::initializer_list<Value> values) {
    rows(statement, values);
    return trouble_.empty();
}

std::int64_t Database::last_id() const { return sqlite3_last_insert_rowid(handle_); }

bool Database::begin() { return run("BEGIN IMMEDIATE"); }

bool Database::commit() {
    if (run("COMMIT")) return true;
    rollback();
    return false;
}

void Database::rollback() {
    if (!sqlite3_get_autocommit(handle_)) sqlite3_exec(handle_, "ROLLBACK", nullptr, nullptr, nullptr);
    trouble_.clear();
}

std::string Database::backup(const std::string& to) const {
    const std::string beside = to + ".part";
    std::filesystem::remove(beside);
    if (!make_private(beside)) return fmt::format("{}: {}", to, std::strerror(errno));
    // A connection of its own reads one state of the log, from the first page to the last.
    sqlite3 *from = nullptr, *copy = nullptr;
    int result = sqlite3_open_v2(path_.c_str(), &from, SQLITE_OPEN_READONLY, nullptr);
    if (result == SQLITE_OK) result = sqlite3_open_v2(beside.c_str(), &copy, SQLITE_OPEN_READWRITE, nullptr);
    if (result == SQLITE_OK) {
        sqlite3_busy_timeout(from, 5000);
        sqlite3_backup* backup = sqlite3_backup_init(copy, "main", from, "main");
        result = backup ? sqlite3_backup_step(backup, -1) : sqlite3_errcode(copy);
        sqlite3_backup_finish(backup);
    }
    sqlite3_close(copy);
    sqlite3_close(from);
    if (result != SQLITE_DONE) return fmt::format("{}: {}", to, sqlite3_errstr(result));
    if (!bring_to_disk(beside) || std::rename(beside.c_str(), to.c_str()) != 0 || !bring_to_disk(to))
        return fmt::format("{}: {}", to, std::strerror(errno));
    return {};
}

void Database::checkpoint() { rows("PRAGMA wal_checkpoint(TRUNCATE)"); }

}  // namespace voltsill::store
