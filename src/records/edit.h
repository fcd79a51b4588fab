#pragma once
/// Changes to a TOML file in place: comments, order, blank lines and line ends stay as the
/// user wrote them, because only the bytes of the change are touched.
///
///     const ParsedText parsed = parse_toml(bytes, file);
///     const Entry* title = parsed.root.find("title");
///     std::string after = apply(*parsed.source, {replace_value(title->value, toml_text("Station"))});
///
/// Positions are those of the parsed source; several edits of one source may be applied
/// together if they do not overlap. New entries must not exist yet, and the source must have
/// been parsed without problems. Values are given as TOML.
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "records/tree.h"

namespace voltsill {

/// Bytes [begin, end) become `text`.
struct TextEdit {
    std::size_t begin = 0, end = 0;
    std::string text;

    bool operator==(const TextEdit&) const = default;
};

struct NewEntry {
    std::string name;
    std::string toml;  ///< its value
};

/// A string as TOML, with escapes where it needs them.
std::string toml_text(std::string_view text);
/// A key as TOML, in quotes if it needs them.
std::string toml_key(std::string_view name);

/// The value of an entry or an item of an array; not a section, element, dotted or implied table.
TextEdit replace_value(const Value& value, std::string toml);

/// On the line after an entry of `table` (after its comma between braces). Behind an entry that
/// is made of sections it goes to the end of the table's own entries.
TextEdit insert_after(const Source& source, const Value& table, const Entry& after, const NewEntry& entry);

/// At the end of a table's own entries, in the form the table is written in. For an implied
/// table a header is made.
TextEdit append_entry(const Source& source, const Value& table, const NewEntry& entry);

/// A section [a.b], or an element [[a.b]] of an array of tables: behind the last section below the
/// same first name, or else at the end of the file.
TextEdit add_section(const Source& source, const Value& root, const std::vector<std::string>& path,
                     bool element, const std::vector<NewEntry>& entries);

/// An entry with the comment on its line; of a section all its lines and those of sections in it.
std::vector<TextEdit> remove_entry(const Source& source, const Value& table, const Entry& entry);
/// One section, or element of an array of tables, with the sections in it.
std::vector<TextEdit> remove_section(const Source& source, const Value& section);

/// One item of an array between brackets, with its comma.
std::vector<TextEdit> remove_item(const Source& source, const Value& item);

/// The text after the edits; of two at the same byte the first given comes first.
std::string apply(const Source& source, std::vector<TextEdit> edits);

}  // namespace voltsill
