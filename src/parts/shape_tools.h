#pragma once
/// Small helpers of the shapes of part files.
#include "parts/part_records.h"
#include "parts/words.h"
#include "records/likely.h"

namespace voltsill {

/// A member of a base as a member of the record that inherits it.
template <class T, class Base, class M>
constexpr M T::*member_of(M Base::*member) {
    return member;
}

template <class To, class From>
void assign(To& to, const std::optional<From>& from) {
    if (from) to = *from;
}

/// Supplies of the parts that are told of here; what a bench may have is bounded by its own reader.
inline constexpr Likely supply_volts_likely{.least = 0.3, .most = 100};

/// "100..300", "50..600 %": a number without unit or a share.
Type<Span<double>> ratio_range();
/// I-V tables and switching curves of an output.
const Shape<CurvesRecord>& curves_shape();
OutputCurves output_curves(const CurvesRecord& record, const Provenance& outer);
/// "supply" or "ground".
Type<bool> toward_supply();

/// A record; whatever is no table is told how it would be written, by `form`.
template <class T>
Type<T> record_written(const Shape<T>& shape, std::function<std::string(const Value&)> form) {
    Type<T> type = record(shape);
    type.read = [read = std::move(type.read), form = std::move(form)](const Value& value, T& out, Reader& reader) {
        if (value.is(ValueKind::table)) return read(value, out, reader);
        if constexpr (requires { out.unread; }) out.unread = true;
        reader.wrong_type(value, form(value));
        return false;
    };
    return type;
}

/// Where the value of a key stands, or the table itself.
inline const Spot& spot_of(const Value& table, std::string_view key) {
    const Entry* entry = table.find(key);
    return entry ? entry->value.spot : table.spot;
}

}  // namespace voltsill
