#pragma once
/// A file of SQLite that keeps what it has acknowledged.
///
/// Write-ahead log with synchronous=FULL: a commit returns when the log is on the disk, so that a kill or a
/// power cut at any instant leaves all commits before it and nothing of the one in progress (sqlite.org,
/// "Write-Ahead Logging" and "PRAGMA synchronous"). Deleted rows are overwritten (secure_delete). Values
/// travel as parameters only: no text of anybody's becomes part of a statement.
///
/// A statement that fails makes everything after it fail as well, until `rollback`: one look at `commit`
/// tells whether all was kept.
#include <cstdint>
#include <expected>
#include <initializer_list>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

struct sqlite3;
struct sqlite3_stmt;

namespace voltsill::store {

using Value = std::variant<std::monostate, std::int64_t, double, std::string>;

/// A row of an answer; what is null or of another kind reads as 0 or "".
class Row {
  public:
    explicit Row(std::vector<Value> values) : values_(std::move(values)) {}
    std::int64_t integer(std::size_t column) const;
    double real(std::size_t column) const;
    std::string text(std::size_t column) const;
    std::size_t size() const { return values_.size(); }

  private:
    std::vector<Value> values_;
};

class Database {
  public:
    /// Makes the file when there is none, readable by its owner alone. Or one sentence about why not.
    static std::expected<Database, std::string> open(const std::string& path);
    Database(Database&& other) noexcept;
    Database& operator=(Database&&) = delete;
    ~Database();

    /// One statement, with "?" for each value. False once anything has failed.
    bool run(const char* statement, std::initializer_list<Value> values = {});
    std::vector<Row> rows(const char* statement, std::initializer_list<Value> values = {});
    std::int64_t last_id() const;

    bool begin();
    /// True: what was written since `begin` is on the disk. False: nothing of it is.
    bool commit();
    void rollback();
    /// What failed since the last `rollback`; empty: nothing.
    const std::string& trouble() const { return trouble_; }

    /// A copy of what is committed now into the file `to`, whole or not at all, while others go on writing
    /// (sqlite.org, "Using the SQLite Online Backup API"). One sentence when it could not be made.
    std::string backup(const std::string& to) const;
    /// Moves the log into the file and empties it, so that what was deleted is gone from both.
    void checkpoint();
    const std::string& path() const { return path_; }

  private:
    explicit Database(std::string path) : path_(std::move(path)) {}
    sqlite3_stmt* prepared(const char* statement);
    sqlite3_stmt* bound(const char* statement, std::initializer_list<Value> values);
    void note(const char* doing);

    std::string path_, trouble_;
    sqlite3* handle_ = nullptr;
    std::map<std::string, sqlite3_stmt*, std::less<>> statements_;
};

}  // namespace voltsill::store
