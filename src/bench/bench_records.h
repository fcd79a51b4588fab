#pragma once
/// A bench file as written, before names are looked up: one record per table.
///
/// Texts that name something else keep their place in the file, so that the letters that are
/// wrong can be pointed at. Values that could not be read are absent: nothing follows from them.
#include <optional>
#include <string>
#include <vector>

#include "bench/bench.h"
#include "parts/part_records.h"
#include "records/shape.h"

namespace voltsill {

/// Text and where it stands; `at` lives as long as the parsed file.
struct Text {
    std::string text;
    const Value* at = nullptr;
    bool empty() const { return text.empty(); }
};
template <>
struct TypeOf<Text> {
    static Type<Text> get();
};

/// First and last row of a piece of a strip, with its place.
struct RowSpan {
    int first = 0, last = 0;
    const Value* at = nullptr;
};
template <>
struct TypeOf<RowSpan> {
    static Type<RowSpan> get();
};

struct RailRecord : OriginRecord {
    FieldPlaces keys;
    std::optional<Span<Volts>> volts;
    std::optional<Amps> limit;
    std::optional<Text> from;
    std::string switch_group;
    bool sinks = false;
};

struct PartRecord {
    FieldPlaces keys;
    std::optional<Text> type, supply, value;
    std::vector<Named<Text>> supplies;
    bool ground = true, as_is = false;
    std::vector<Text> pulls_removed;
    std::string note;
};

struct LinkRecord {
    Place place;
    FieldPlaces keys;
    std::optional<Text> name;
    std::optional<LinkKind> kind;
    std::vector<Text> from, to;
    std::optional<Hertz> rate;
    std::string bus, group, interface, note;
    bool invert = false;
    std::optional<std::string> safe_level;
};

struct StockRecord {
    std::optional<int> count;
    std::optional<Span<Ohms>> span;
    const Value* at = nullptr;
};

struct WishesRecord {
    FieldPlaces keys;
    std::optional<Volts> margin;
    Wishes weights;
    std::optional<Farads> wire_capacitance, probe_capacitance;
    std::optional<Henries> wire_inductance;
};

struct WireRecord {
    Text from, to;
    const Value* at = nullptr;
};

struct WiringRecord {
    Place place;
    std::vector<Named<PartRecord>> parts;
    std::vector<WireRecord> wires;
};

struct StripRecord {
    Place place;
    int side = 0;
    std::string mark;
    std::vector<RowSpan> pieces;
};

struct BoardRecord {
    Place place;
    FieldPlaces keys;
    std::string title;
    int rows = 0;
    std::string left = "a b c d e", right = "f g h i j";
    std::vector<Named<StripRecord>> strips;
    int strip_groups = 5;
};

struct BoardsRecord {
    std::vector<Text> use;
    std::vector<Named<BoardRecord>> kinds;
};

/// A file that describes boards and nothing else.
struct BoardFile {
    std::string about;
    std::vector<Named<BoardRecord>> kinds;
};

struct BenchFile {
    FieldPlaces keys;
    std::string title, about;
    std::optional<Span<Celsius>> ambient;
    std::vector<Text> include;
    std::vector<Named<RailRecord>> rails;
    std::vector<Named<PartRecord>> parts;
    std::vector<LinkRecord> links;
    std::vector<Named<StockRecord>> stock;
    std::vector<Named<TypeRecord>> types;
    WishesRecord wishes;
    BoardsRecord boards;
    std::optional<WiringRecord> wiring;
};

/// The name of a link as read_bench gives it: its own, or that of its first pins.
std::string written_link_name(const Value& link);

const Shape<BenchFile>& bench_file_shape();
const Shape<BoardsRecord>& boards_shape();
const Shape<BoardFile>& board_file_shape();

}  // namespace voltsill
