#pragma once
/// Described records: one description of a table drives reading, refusal of unknown keys,
/// help texts and the JSON Schema (draft 2020-12).
///
///     const Shape<RailEntry>& rail_shape() {
///         static const auto shape =
///             Shape<RailEntry>("rail", "A supply of the bench")
///                 .place(&RailEntry::place)
///                 .required("volts", &RailEntry::volts, "voltage with its tolerance", "\"3.3 V ± 3 %\"")
///                 .optional("limit", &RailEntry::limit, "largest current", "\"300 mA\"")
///                 .optional("kind", &RailEntry::kind, "what it is", "\"bench\"", choice<Kind>({...}));
///         return shape;
///     }
///     Reader reader(parsed);
///     const RailEntry rail = read(rail_shape(), entry.value, reader);
///
/// Examples are TOML values and are shown when a key is missing. A shape nests as a field of
/// type `record(rail_shape())`, `list(record(...))`, `named(record(...))`.
#include <functional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "records/field_types.h"

namespace voltsill {

/// Where each key that is present stands, in the order of the file.
struct FieldPlaces {
    struct One {
        std::string key;
        Spot key_spot, value_spot;
    };
    std::vector<One> all;

    const One* find(std::string_view key) const {
        for (const One& one : all)
            if (one.key == key) return &one;
        return nullptr;
    }
};

class SchemaSheet {
  public:
    /// A reference to the definition `name`; `build` gives it the first time.
    std::string refer(const std::string& name, const std::function<std::string()>& build);
    const std::vector<std::pair<std::string, std::string>>& definitions() const { return definitions_; }

  private:
    std::vector<std::pair<std::string, std::string>> definitions_;
};

/// The part of a shape that does not depend on the record's type.
class ShapeBase {
  public:
    struct Field {
        std::string key, about, example;
        bool required = false;
        std::string noun;
        std::function<bool(const Value&, void*, Reader&)> read;
        std::function<std::string(SchemaSheet&)> schema;
    };

    ShapeBase(std::string name, std::string about) : name_(std::move(name)), about_(std::move(about)) {}
    const std::string& name() const { return name_; }
    const std::string& about() const { return about_; }
    const std::vector<Field>& fields() const { return fields_; }

    /// False if anything was wrong. Every field that can be read is read.
    bool read_into(void* record, const Value& value, Reader& reader) const;
    std::string schema(SchemaSheet& sheet) const;

  protected:
    std::string name_, about_;
    std::vector<Field> fields_;
    std::function<void(const Value&, void*, Reader&)> after_;
    std::function<Place&(void*)> place_;
    std::function<FieldPlaces&(void*)> places_;
};

template <class T>
class Shape : public ShapeBase {
  public:
    using ShapeBase::ShapeBase;

    template <class M>
    Shape& required(std::string key, M T::*member, std::string about, std::string example,
                    std::type_identity_t<Type<M>> type = TypeOf<M>::get()) {
        return add(std::move(key), member, std::move(about), std::move(example), std::move(type), true);
    }
    template <class M>
    Shape& optional(std::string key, M T::*member, std::string about, std::string example = {},
                    std::type_identity_t<Type<M>> type = TypeOf<M>::get()) {
        return add(std::move(key), member, std::move(about), std::move(example), std::move(type), false);
    }
    template <class M>
    Shape& optional(std::string key, std::optional<M> T::*member, std::string about, std::string example,
                    std::type_identity_t<Type<M>> type) {
        return add(std::move(key), member, std::move(about), std::move(example), maybe(std::move(type)),
                   false);
    }

    /// Receives the place of the record: its header, its opening brace or its shorthand text.
    Shape& place(Place T::*member) {
        place_ = [member](void* record) -> Place& { return static_cast<T*>(record)->*member; };
        return *this;
    }
    /// Receives the places of all keys that are present.
    Shape& places(FieldPlaces T::*member) {
        places_ = [member](void* record) -> FieldPlaces& { return static_cast<T*>(record)->*member; };
        return *this;
    }
    /// Called when all fields have been read, for rules between them; after the rules given before.
    Shape& check(std::function<void(const Value&, T&, Reader&)> rule) {
        after_ = [before = std::move(after_), rule](const Value& value, void* record, Reader& reader) {
            if (before) before(value, record, reader);
            rule(value, *static_cast<T*>(record), reader);
        };
        return *this;
    }

  private:
    template <class M>
    Shape& add(std::string key, M T::*member, std::string about, std::string example, Type<M> type,
               bool needed) {
        fields_.push_back(
            {std::move(key), std::move(about), std::move(example), needed, std::move(type.noun),
             [member, read = std::move(type.read)](const Value& value, void* record, Reader& reader) {
                 return read(value, static_cast<T*>(record)->*member, reader);
             },
             std::move(type.schema)});
        return *this;
    }
};

/// Reads what can be read; problems go to the reader.
template <class T>
T read(const Shape<T>& shape, const Value& value, Reader& reader) {
    T record{};
    shape.read_into(&record, value, reader);
    return record;
}

/// A record as the type of a field. `shape` must live as long as the type.
template <class T>
Type<T> record(const Shape<T>& shape) {
    return {
        "a table (" + shape.name() + ")",
        [&shape](const Value& value, T& out, Reader& reader) { return shape.read_into(&out, value, reader); },
        [&shape](SchemaSheet& sheet) {
            return sheet.refer(shape.name(), [&] { return shape.schema(sheet); });
        }};
}

/// JSON Schema of a file whose root is a record of this shape. Two spaces of indent.
std::string json_schema(const ShapeBase& shape);

}  // namespace voltsill
