#pragma once
/// Changes to a bench file in place: comments, order and blank lines stay as the user wrote them,
/// because only the bytes of the change are touched (records/edit.h).
///
///     auto text = set_value({bytes, "station.toml"}, {"rails", "usb", "volts"}, toml_text("5 V ± 5 %"));
///     if (text) text = choose_interface({*text, "station.toml"}, "tank echo", "divider");
///
/// A file that is no TOML is not changed: its problems come back. So does a change that would make it
/// so (a value that is none, a name that is there already). What the file means is left to
/// `read_bench`. Values are given as TOML.
#include <expected>
#include <string>
#include <string_view>
#include <vector>

#include "bench/bench.h"
#include "records/edit.h"

namespace voltsill {

struct BenchText {
    std::string_view bytes;
    std::string file;  ///< for problems
};
/// The new text, or why there is none. Codes beside those of parse_toml: unknown-name,
/// duplicate-name, not-a-table, not-a-value.
using Rewritten = std::expected<std::string, Problems>;

/// Gives the entry at `path` a value; entries and tables that are missing are made. The second
/// step below "links" is the name of a link. A part or rail in short form gets its long form.
Rewritten set_value(const BenchText& text, const std::vector<std::string>& path, const std::string& toml);
/// Takes the entry at `path` away with the comment on its line; nothing to do if it is not there. Of
/// {"links", NAME} the whole link.
Rewritten remove_value(const BenchText& text, const std::vector<std::string>& path);

Rewritten add_rail(const BenchText& text, const std::string& name, const std::vector<NewEntry>& entries);
Rewritten add_part(const BenchText& text, const std::string& name, const std::vector<NewEntry>& entries);
/// The name of the link is the entry "name".
Rewritten add_link(const BenchText& text, const std::vector<NewEntry>& entries);

/// The interface circuit that the user wants for a link; empty: none, a plan chooses.
Rewritten choose_interface(const BenchText& text, std::string_view link, const std::string& circuit);

/// Gives a rail, part or link another name, and to every place that names it: supplies, ends of links and
/// wires, makers of rails. Codes: unknown-name, duplicate-name.
enum class NamedThing { rail, part, link };
Rewritten rename(const BenchText& text, NamedThing kind, const std::string& from, const std::string& to);

/// Makes [wiring] say what `wiring` says. Parts that stay the same are not touched; the list of wires
/// is written anew, with the comments in it, if it differs.
Rewritten set_wiring(const BenchText& text, const GivenWiring& wiring);

}  // namespace voltsill
