#pragma once
/// Figures that can be read but are hardly meant: a slip of a prefix makes 0.35 MA of 0.35 mA.
///
/// They stay as written; a warning says what is likely at this place and, where changing the prefix is enough,
/// what may have been meant. Bounds are wide: all that stands on a solderless board, and some more (common
/// practice, no source).
#include "records/field_types.h"

namespace voltsill {

/// Sizes that are likely, in SI units.
struct Likely {
    double least = 0, most = 0;
    bool negative = false;  ///< may lie below zero
    bool zero = true;       ///< may be zero
};

/// Warns when `lo` or `hi` of the figure is not likely.
void doubt(const Value& value, Dimension dimension, double lo, double hi, const Likely& bounds, Reader& reader);

template <class T>
struct Doubted;
template <Printable Q>
struct Doubted<Span<Q>> {
    static void by(const Value& value, const Span<Q>& v, const Likely& bounds, Reader& reader) {
        doubt(value, DimensionOf<Q>::value, v.lo.si(), v.hi.si(), bounds, reader);
    }
};
template <Printable Q>
struct Doubted<Q> {
    static void by(const Value& value, const Q& v, const Likely& bounds, Reader& reader) {
        doubt(value, DimensionOf<Q>::value, v.si(), v.si(), bounds, reader);
    }
};
template <>
struct Doubted<double> {
    static void by(const Value& value, double v, const Likely& bounds, Reader& reader) {
        doubt(value, Dimension::ratio, v, v, bounds, reader);
    }
};

template <>
struct Doubted<Span<double>> {
    static void by(const Value& value, const Span<double>& v, const Likely& bounds, Reader& reader) {
        doubt(value, Dimension::ratio, v.lo, v.hi, bounds, reader);
    }
};

template <class T>
Type<T> likely(Likely bounds, Type<T> type = TypeOf<T>::get()) {
    return {type.noun,
            [read = type.read, bounds](const Value& value, T& out, Reader& reader) {
                if (!read(value, out, reader)) return false;
                Doubted<T>::by(value, out, bounds, reader);
                return true;
            },
            type.schema};
}

}  // namespace voltsill
