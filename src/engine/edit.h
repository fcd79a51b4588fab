#pragma once
/// Changes to a bench file as values, for skins that edit: one list of edits in, the new text out. Comments,
/// order and blank lines stay (bench/rewrite.h). What the new text means is for `check` to say; an edit that
/// cannot be made leaves the text as it was and says why.
///
///     EditResult r = edit_bench(bytes, "station.toml", include, R"([{"do":"choose","link":"tank echo",
///                                                                    "circuit":"divider"}])");
///
/// | do          | beside it                        |                                                        |
/// |-------------|----------------------------------|--------------------------------------------------------|
/// | set         | path, value                      | the second step below "links" is the name of a link    |
/// | remove      | path                             | an entry, or a whole rail, part or link                |
/// | add-rail    | name, entries                    |                                                        |
/// | add-part    | name, entries                    |                                                        |
/// | add-link    | entries                          | its name is the entry "name"                           |
/// | choose      | link, circuit (null: the plan's) | its `interface`: a circuit, a part may follow          |
/// | rename      | kind (rail, part, link), from, to| and every place that names it                          |
/// | take-plan   |                                  | writes the plan as [wiring]                            |
/// | drop-wiring |                                  | takes [wiring] out                                     |
///
/// Values are JSON (RFC 8259) and become TOML 1.0.0: text, numbers, true and false, lists, tables in braces.
#include <optional>
#include <string>
#include <string_view>

#include "bench/bench.h"

namespace voltsill {

struct EditResult {
    std::optional<std::string> text;  ///< nothing: no edit was made
    Problems problems;                ///< codes of bench/rewrite.h, "bad-edit", and those of the bench for take-plan
};

EditResult edit_bench(std::string_view bytes, const std::string& file, const Includer& include,
                      std::string_view edits_json);

std::string to_json(const EditResult& result);  ///< "voltsill-edit-1"

}  // namespace voltsill
