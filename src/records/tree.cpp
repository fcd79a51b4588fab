#include "records/tree.h"

#include <algorithm>

#include "records/string_literal.h"

namespace voltsill {

std::string_view to_words(ValueKind kind) {
    switch (kind) {
        case ValueKind::table:
            return "a table";
        case ValueKind::array:
            return "a list";
        case ValueKind::string:
            return "text";
        case ValueKind::integer:
            return "a whole number";
        case ValueKind::real:
            return "a number";
        case ValueKind::boolean:
            return "a truth value";
        case ValueKind::datetime:
            return "a date or time";
    }
    return "";
}

const Entry* Value::find(std::string_view key) const {
    const auto found = std::ranges::find(entries, key, &Entry::name);
    return found == entries.end() ? nullptr : &*found;
}

std::size_t source_offset(const Source& source, const Value& string, std::size_t at) {
    StringLiteral literal(source.at(string.spot));
    std::string decoded;
    std::size_t piece = literal.at();
    while (literal.next(decoded) && decoded.size() <= at) piece = literal.at();
    return string.spot.begin + piece;
}

}  // namespace voltsill
