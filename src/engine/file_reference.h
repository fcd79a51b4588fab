#pragma once
/// The keys of a file as tables to read, made from its JSON Schema, which the reader itself gives:
/// a key is described here if and only if the reader takes it (docs/bench-reference.md).
#include <string_view>

#include "documents/document.h"

namespace voltsill {

/// `schema` is a result of bench_schema(), part_file_schema() or readings_schema(): one table for
/// the file, then one for each kind of record in it, in the order in which they are met.
doc::Document file_reference(std::string_view schema);

}  // namespace voltsill
