#pragma once
// A small described record with every kind of field, for the tests of this room.
#include "records/shape.h"

namespace sample {

using namespace voltsill;

enum class Kind { logic, load };

struct Rail {
    Place place;
    FieldPlaces places;
    Span<Volts> volts;
    std::optional<Amps> limit;
    bool sinks = false;
    int count = 1;
    double weight = 1.0;
    Kind kind = Kind::logic;
    std::vector<std::string> pins;
};

inline const Shape<Rail>& rail_shape() {
    static const auto shape =
        Shape<Rail>("rail", "A supply of the bench")
            .place(&Rail::place)
            .places(&Rail::places)
            .required("volts", &Rail::volts, "voltage with its tolerance", "\"3.3 V ± 3 %\"")
            .optional("limit", &Rail::limit, "largest current", "\"300 mA\"")
            .optional("sinks", &Rail::sinks, "takes current back", "false")
            .optional("count", &Rail::count, "how many", "1", whole_number(1, 8))
            .optional("weight", &Rail::weight, "how much it matters", "1.0", number(0.0, 10.0))
            .optional("kind", &Rail::kind, "what it is", "\"logic\"",
                      choice<Kind>({{"logic", Kind::logic}, {"load", Kind::load}}))
            .optional("pins", &Rail::pins, "where it goes", "\"A1\"", one_or_more<std::string>());
    return shape;
}

inline Type<Rail> rail_type() {
    return or_text(record(rail_shape()), [] {
        Type<Span<Volts>> volts = TypeOf<Span<Volts>>::get();
        return Type<Rail>{volts.noun,
                          [read = volts.read](const Value& value, Rail& rail, Reader& reader) {
                              rail.place = reader.place(value.spot);
                              return read(value, rail.volts, reader);
                          },
                          volts.schema};
    }());
}

/// A record as the type of a field, through the function that gives its shape (records that
/// hold themselves).
template <class T>
Type<T> record_of(const Shape<T>& (*shape)()) {
    return {"a table",
            [shape](const Value& value, T& out, Reader& reader) { return shape().read_into(&out, value, reader); },
            [shape](SchemaSheet& sheet) { return sheet.refer(shape().name(), [&] { return shape().schema(sheet); }); }};
}

/// A tree, to hold itself.
struct Box {
    std::string title;
    std::vector<Named<Box>> inner;
};
inline const Shape<Box>& box_shape() {
    static const auto shape =
        Shape<Box>("box", "A box of boxes")
            .optional("title", &Box::title, "what is on it")
            .optional("inner", &Box::inner, "what is in it", "", named(record_of(box_shape)));
    return shape;
}

struct Bench {
    std::string title;
    std::vector<Named<Rail>> rails;
    std::vector<Rail> spare;
    Box box;
};
inline const Shape<Bench>& bench_shape() {
    static const auto shape =
        Shape<Bench>("bench", "A bench")
            .required("title", &Bench::title, "its name", "\"Rain-garden station\"")
            .optional("rails", &Bench::rails, "its supplies", "", named(rail_type()))
            .optional("spare", &Bench::spare, "supplies in the drawer", "", list(record(rail_shape())))
            .optional("box", &Bench::box, "a box", "", record_of(box_shape));
    return shape;
}

struct Reading {
    Bench bench;
    Problems problems;
};
inline Reading read_text(std::string_view text) {
    const ParsedText parsed = parse_toml(text, "bench.toml");
    Reader reader(parsed);
    Bench bench = read(bench_shape(), parsed.root, reader);
    return {std::move(bench), reader.take()};
}

}  // namespace sample
