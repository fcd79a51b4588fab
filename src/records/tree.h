#pragma once
/// A TOML file (TOML 1.0.0) as a tree that knows where everything stands.
///
/// Entries keep the order of the source, and keys and values their bytes in it, so that a
/// problem can point at them and an edit (records/edit.h) can change them without touching
/// the rest. Grammar and values are toml++'s; positions are our own.
///
///     const ParsedText parsed = parse_toml(bytes, "station.toml");
///     if (const Entry* rails = parsed.root.find("rails"))
///         for (const Entry& rail : rails->value.entries) use(rail.name, rail.value);
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "records/source.h"

namespace voltsill {

enum class ValueKind : std::uint8_t { table, array, string, integer, real, boolean, datetime };
/// "a table", "text", "a whole number" ...
std::string_view to_words(ValueKind kind);

/// How a table came to be; decides where a new entry of it is written.
enum class TableForm : std::uint8_t {
    none,     ///< not a table
    root,     ///< the file
    section,  ///< [name]
    element,  ///< [[name]]
    braces,   ///< { ... }
    dotted,   ///< name.key = ...
    implied,  ///< by [name.other] alone
};

struct Entry;

struct Value {
    ValueKind kind = ValueKind::table;
    TableForm form = TableForm::none;
    /// Something in this table could not be read: an absent key may have been meant.
    bool damaged = false;
    bool boolean = false;
    bool in_braces = false;  ///< a table whose entries are separated by commas
    std::int64_t integer = 0;
    double real = 0.0;           ///< also set for an integer
    std::string text;            ///< of a string; of a date or time as written
    std::vector<Entry> entries;  ///< of a table, in source order
    std::vector<Value> items;    ///< of an array
    Spot spot;                   ///< the value; of a section its header; of a dotted or implied table its key
    std::size_t body_end = 0;    ///< of a section, an element or the file: end of its last statement

    const Entry* find(std::string_view key) const;
    bool is(ValueKind k) const { return kind == k; }
};

struct Entry {
    std::string name;
    Spot key;               ///< this part of the key alone
    std::size_t begin = 0;  ///< where the dotted key or header begins that first named this entry
    Value value;
};

struct ParsedText {
    std::shared_ptr<const Source> source;
    Value root;  ///< what could be read, even when there are problems
    Problems problems;
};

inline constexpr std::size_t largest_text = std::size_t{4} << 20;  ///< bytes
inline constexpr int deepest_nesting = 32;                         ///< of values, and parts of one key
inline constexpr int most_values = 250'000;
inline constexpr int most_syntax_errors = 20;

/// Codes: too-large, not-text, nested-too-deep, too-many-values, syntax, missing-quotes,
/// duplicate-key, too-many-problems. After a syntax error the statement is left out and reading goes on.
ParsedText parse_toml(std::string_view bytes, std::string file);

/// The byte of the source that byte `at` of the decoded string came from (escapes and the
/// trimming of multi-line strings taken into account); `at` == length gives the closing quote.
std::size_t source_offset(const Source& source, const Value& string, std::size_t at);

}  // namespace voltsill
