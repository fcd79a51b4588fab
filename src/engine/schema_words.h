#pragma once
/// The few words of JSON Schema that the result schema is written in.
#include <initializer_list>
#include <string>
#include <vector>

#include "engine/json_pieces.h"

namespace voltsill::schema_words {

struct Field {
    std::string name;
    Json schema;
    bool required = true;
};
using Fields = std::vector<Field>;
Fields joined(Fields first, const Fields& second);

Json object(const char* about, const Fields& fields);
/// Documents with a bench: all of `fields` when accepted, none of them when not.
Json document(const char* format, const char* about, const Fields& fields);
Json list(Json items, const char* about = "");
Json text(const char* about = "");
Json truth(const char* about = "");
Json number(const char* about = "");  ///< or null
Json whole(int lowest);
Json whole_or_null();
Json name_or_null();
Json one_of(std::initializer_list<const char*> words);
/// A piece under "$defs".
Json ref(const std::string& piece);
Json nullable(const std::string& piece);
Json or_null(Json schema);

/// What a part type consists of (schema_part.cpp).
void append_part_pieces(Json& pieces);
/// What an IBIS document consists of (schema_ibis.cpp).
void append_ibis_pieces(Json& pieces);
/// What a capture consists of (schema_capture.cpp).
void append_capture_pieces(Json& pieces);
/// What a trace of a link consists of (schema_trace.cpp).
void append_trace_pieces(Json& pieces);
/// What sheets consist of, and the document of them (schema_sheets.cpp).
void append_sheets_pieces(Json& pieces);
/// What they say of a class (schema_class.cpp).
void append_class_pieces(Json& pieces);
Fields sheets_fields();
/// Marked classes and builds: pieces and documents (schema_marking.cpp).
void append_marking(Json& documents);
/// Documents that only pages ask for (schema_page.cpp).
void append_page_documents(Json& documents);
/// The document of a diagnosis (schema_diagnose.cpp).
void append_diagnose_documents(Json& documents);

}  // namespace voltsill::schema_words
