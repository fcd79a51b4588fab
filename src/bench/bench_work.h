#pragma once
/// From the records of a bench file to a `Bench`: every name is looked up, every rule between
/// entries is checked, and what is wrong is reported and left out.
///
/// The steps (read.cpp calls them in this order) build on one another: rails by name, parts on
/// rails, rails made by parts, links between pins, and at last the wires of a build.
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "bench/bench_records.h"

namespace voltsill {

/// Names of one kind of thing, in the order of the file, with the nearest of them.
using NameList = std::vector<std::string>;

struct BenchWork {
    const BenchFile& file;
    Reader& reader;
    Bench& bench;
    /// Parts by name, those of [wiring] included once they are read. A part whose type is unknown
    /// is there without type, so that only its type is reported.
    std::map<std::string, const BenchPart*, std::less<>> parts;
    std::map<std::string, const Rail*, std::less<>> rails;
    /// Types that the bench and its part files describe, those included that could not be made.
    std::set<std::string, std::less<>> described;

    void warn(const Spot& spot, std::string code, std::string message, std::string expected = {});
    NameList rail_names() const;
    NameList part_names() const;
};

/// A pin that a text names.
struct PinFound {
    const BenchPart* part = nullptr;
    int pin = -1;
    const Text* text = nullptr;

    const Pin& get() const { return part->type->pins[static_cast<std::size_t>(pin)]; }
    PinRef ref(const Reader& reader) const { return {part->name, get().name, reader.place(text->at->spot)}; }
    bool same(const PinFound& o) const { return part == o.part && pin == o.pin; }
};

/// Line, column and width of a place; its bytes are not known.
Spot spot_of(const Place& place);
/// The value of a key, or the record's own place.
Spot spot_of(const FieldPlaces& keys, std::string_view key, const Place& record);

/// "part.PIN", or "part.NUMBER" of its package. Reports what is wrong; none after that, and
/// none without a report for a part whose type is not known.
std::optional<PinFound> find_pin(BenchWork& work, const Text& text);
/// Empty, with control characters, or (of parts) with a point: reported.
bool good_name(BenchWork& work, std::string_view name, const Spot& spot, std::string_view what);
/// "one of A, B, C", or fewer.
std::string one_of(const NameList& names);

// rails.cpp
void take_rails(BenchWork& work);
void take_rail_sources(BenchWork& work);
// bench_parts.cpp
BenchPart take_part(BenchWork& work, const Named<PartRecord>& named);
void take_parts(BenchWork& work);
// links.cpp
void take_links(BenchWork& work);
// supplied.cpp
void check_supplies(BenchWork& work);
void check_use(BenchWork& work);
// stock.cpp
void take_stock(BenchWork& work);
// board.cpp
/// A board as described, or null after a report.
std::shared_ptr<const BoardKind> make_board(const Named<BoardRecord>& named, Reader& reader);
void take_boards(BenchWork& work);
// wires.cpp
void take_wiring(BenchWork& work);
// includes.cpp
/// The built-in catalogue with the files of `include` and the types of the bench on top.
struct BenchTypes {
    std::shared_ptr<const Catalogue> catalogue;
    std::set<std::string, std::less<>> described;
    Problems problems;     ///< of the part files, and of the places that name them
    bool missing = false;  ///< a part file was not read: any type, trait or function may be in it
};
BenchTypes bench_types(const BenchFile& file, const std::string& name, const Includer& include, Reader& reader);
/// Names that a part file which was not read may have brought: one mistake is told, not its consequences.
void drop_what_is_missing(Problems& problems);

}  // namespace voltsill
