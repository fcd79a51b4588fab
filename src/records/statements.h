#pragma once
/// The statements of a TOML text with the place of every key part and value.
///
/// A lexical scan after the ABNF of TOML 1.0.0 (toml.io): headers, key-value pairs, arrays,
/// inline tables and strings. It does not judge what scalars mean and is exact only for texts that
/// are TOML; in others it finds where a broken statement ends, so that the rest can be read.
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "records/source.h"

namespace voltsill {

struct KeyPart {
    std::string name;  ///< decoded
    Spot spot;         ///< as written, quotes included
};
using KeyPath = std::vector<KeyPart>;

struct WrittenPair;

struct WrittenValue {
    enum class Kind { scalar, array, braces } kind = Kind::scalar;
    Spot spot;
    std::vector<WrittenValue> items;
    std::vector<WrittenPair> pairs;
};

struct WrittenPair {
    KeyPath key;
    WrittenValue value;
};

struct Statement {
    enum class Kind { pair, header, element_header, broken } kind = Kind::broken;
    KeyPath key;
    WrittenValue value;  ///< of a pair
    std::size_t begin = 0;
    std::size_t end = 0;  ///< of the value or header; of a broken statement the end of its last line
    /// Of a broken statement: a bracket or quote that is never closed.
    std::optional<Spot> unclosed;

    bool is_header() const { return kind == Kind::header || kind == Kind::element_header; }
};

struct Scan {
    std::vector<Statement> statements;
    /// The first value or key nested deeper than allowed.
    std::optional<Spot> too_deep;
    int values = 0;  ///< and headers, counted up to one above the limit, then the scan stops
};

/// `text` is the source's text or a copy of it with some bytes blanked.
Scan scan_statements(const Source& source, std::string_view text, int deepest, int most_values);

}  // namespace voltsill
