#pragma once
/// How a value of some C++ type is written in a file: a noun, a reader and a JSON Schema.
///
/// `TypeOf<T>::get()` is the type used for a member of type T unless another is named.
/// A room brings its own types by specialising it:
///
///     template <> struct TypeOf<Level> {
///         static Type<Level> get() {
///             return from_text<Level>("a level such as \"0.7 supply\"", "", &parse_level);
///         }
///     };
///
/// Readers return false after reporting a problem, and leave a usable value behind.
#include <concepts>
#include <cstdint>
#include <expected>
#include <functional>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "quantity/parse.h"
#include "records/reader.h"

namespace voltsill {

/// Named shapes of a schema on their way into "$defs"; see shape.h.
class SchemaSheet;

template <class T>
struct Type {
    std::string noun;  ///< "text", "a voltage such as \"3.3 V\""
    std::function<bool(const Value&, T&, Reader&)> read;
    std::function<std::string(SchemaSheet&)> schema;  ///< JSON text of one schema object
};

template <class T>
struct TypeOf;

// JSON Schema texts (draft 2020-12) of simple types and of compounds of others.
std::string text_schema(std::string_view pattern = {});
std::string number_schema(bool whole, double lowest, double highest);
std::string choice_schema(const std::vector<std::string>& names);
std::string list_schema(const std::string& items);
std::string map_schema(const std::string& values);
std::string either_schema(const std::vector<std::string>& schemas);
/// Accepts every text that parse_span accepts for the dimension, and few others.
std::string quantity_pattern(Dimension dimension);

bool read_text(const Value& value, std::string_view noun, std::string& out, Reader& reader);
bool read_flag(const Value& value, bool& out, Reader& reader);
bool read_whole(const Value& value, std::int64_t lowest, std::int64_t highest, std::int64_t& out,
                Reader& reader);
bool read_number(const Value& value, double lowest, double highest, double& out, Reader& reader);
/// The index of the text among `names`; none after a problem.
std::optional<std::size_t> read_choice(const Value& value, const std::vector<std::string>& names,
                                       Reader& reader);

/// Any text that `parse` understands: std::expected<T, ParseTrouble>(std::string_view). An
/// empty `pattern` admits every text in the schema.
template <class T>
Type<T> from_text(std::string noun, std::string pattern,
                  std::function<std::expected<T, ParseTrouble>(std::string_view)> parse) {
    return {noun,
            [noun, parse](const Value& value, T& out, Reader& reader) {
                std::string text;
                if (!read_text(value, noun, text, reader)) return false;
                auto result = parse(text);
                if (!result) {
                    reader.trouble(value, result.error());
                    return false;
                }
                out = std::move(*result);
                return true;
            },
            [pattern](SchemaSheet&) { return text_schema(pattern); }};
}

template <>
struct TypeOf<std::string> {
    static Type<std::string> get();
};
template <>
struct TypeOf<bool> {
    static Type<bool> get();
};

template <std::integral I = int>
Type<I> whole_number(I lowest = std::numeric_limits<I>::min(), I highest = std::numeric_limits<I>::max()) {
    return {"a whole number",
            [=](const Value& value, I& out, Reader& reader) {
                std::int64_t number = 0;
                if (!read_whole(value, lowest, highest, number, reader)) return false;
                out = static_cast<I>(number);
                return true;
            },
            [=](SchemaSheet&) { return number_schema(true, double(lowest), double(highest)); }};
}
template <>
struct TypeOf<int> {
    static Type<int> get() { return whole_number<int>(); }
};

/// Both limits are allowed. Infinite limits: any finite number.
Type<double> number(double lowest = -std::numeric_limits<double>::infinity(),
                    double highest = std::numeric_limits<double>::infinity());
template <>
struct TypeOf<double> {
    static Type<double> get() { return number(); }
};

template <class E>
Type<E> choice(std::vector<std::pair<std::string, E>> table) {
    std::vector<std::string> names;
    for (const auto& [name, value] : table) names.push_back(name);
    return {"one of a few words",
            [table, names](const Value& value, E& out, Reader& reader) {
                const auto index = read_choice(value, names, reader);
                if (index) out = table[*index].second;
                return index.has_value();
            },
            [names](SchemaSheet&) { return choice_schema(names); }};
}

template <Printable Q>
Type<Span<Q>> span_type() {
    const Dimension dimension = DimensionOf<Q>::value;
    const DimensionInfo& d = info(dimension);
    return from_text<Span<Q>>(std::string(d.noun) + " such as \"" + std::string(d.example) + '"',
                              quantity_pattern(dimension),
                              [](std::string_view text) { return parse<Q>(text); });
}
template <Printable Q>
struct TypeOf<Span<Q>> {
    static Type<Span<Q>> get() { return span_type<Q>(); }
};

/// One value, without tolerance or range.
template <Printable Q>
struct TypeOf<Q> {
    static Type<Q> get() {
        Type<Span<Q>> span = span_type<Q>();
        return {span.noun,
                [read = span.read](const Value& value, Q& out, Reader& reader) {
                    Span<Q> range;
                    if (!read(value, range, reader)) return false;
                    out = range.nominal;
                    if (range.lo == range.hi) return true;
                    reader.error(value.spot, "not-one-value",
                                 "a range or tolerance where one value is needed");
                    return false;
                },
                span.schema};
    }
};

/// One ratio as a fraction: "3 %" or "0.03".
Type<double> ratio();

/// What `type` reads, in an optional.
template <class T>
Type<std::optional<T>> maybe(Type<T> type) {
    return {type.noun,
            [read = type.read](const Value& value, std::optional<T>& out, Reader& reader) {
                T inner{};
                const bool good = read(value, inner, reader);
                out = std::move(inner);
                return good;
            },
            type.schema};
}
template <class T>
struct TypeOf<std::optional<T>> {
    static Type<std::optional<T>> get() { return maybe(TypeOf<T>::get()); }
};

/// Unreadable elements are reported and kept as far as they could be read.
template <class T>
Type<std::vector<T>> list(Type<T> type = TypeOf<T>::get()) {
    return {"a list",
            [read = type.read, noun = "a list (each item: " + type.noun + ")"](
                const Value& value, std::vector<T>& out, Reader& reader) {
                if (!value.is(ValueKind::array)) {
                    reader.wrong_type(value, noun);
                    return false;
                }
                bool good = true;
                for (const Value& item : value.items) {
                    T element{};
                    good = read(item, element, reader) && good;
                    out.push_back(std::move(element));
                }
                return good;
            },
            [schema = type.schema](SchemaSheet& sheet) { return list_schema(schema(sheet)); }};
}
template <class T>
struct TypeOf<std::vector<T>> {
    static Type<std::vector<T>> get() { return list<T>(); }
};

/// A list, or a single element without brackets.
template <class T>
Type<std::vector<T>> one_or_more(Type<T> type = TypeOf<T>::get()) {
    Type<std::vector<T>> many = list(type);
    return {type.noun + ", or a list of such",
            [one = type.read, many = many.read](const Value& value, std::vector<T>& out, Reader& reader) {
                if (value.is(ValueKind::array)) return many(value, out, reader);
                T element{};
                const bool good = one(value, element, reader);
                out.push_back(std::move(element));
                return good;
            },
            [one = type.schema, many = many.schema](SchemaSheet& sheet) {
                return either_schema({one(sheet), many(sheet)});
            }};
}

/// An element of a table whose keys are names of the user's choice.
template <class T>
struct Named {
    std::string name;
    Place place;  ///< of the name
    T value{};
};

/// A table from names to values, in the order of the file.
template <class T>
Type<std::vector<Named<T>>> named(Type<T> type = TypeOf<T>::get()) {
    return {"a table of names",
            [read = type.read](const Value& value, std::vector<Named<T>>& out, Reader& reader) {
                if (!value.is(ValueKind::table)) {
                    reader.wrong_type(value, "a table of names");
                    return false;
                }
                bool good = true;
                for (const Entry& entry : value.entries) {
                    Named<T> element{entry.name, reader.place(entry.key), T{}};
                    good = read(entry.value, element.value, reader) && good;
                    out.push_back(std::move(element));
                }
                return good;
            },
            [schema = type.schema](SchemaSheet& sheet) { return map_schema(schema(sheet)); }};
}
template <class T>
struct TypeOf<std::vector<Named<T>>> {
    static Type<std::vector<Named<T>>> get() { return named<T>(); }
};

/// A shorthand text, or else what `full` reads.
template <class T>
Type<T> or_text(Type<T> full, Type<T> shorthand) {
    return {shorthand.noun + ", or " + full.noun,
            [full = full.read, shorthand = shorthand.read](const Value& value, T& out, Reader& reader) {
                return value.is(ValueKind::string) ? shorthand(value, out, reader) : full(value, out, reader);
            },
            [full = full.schema, shorthand = shorthand.schema](SchemaSheet& sheet) {
                return either_schema({shorthand(sheet), full(sheet)});
            }};
}

}  // namespace voltsill
