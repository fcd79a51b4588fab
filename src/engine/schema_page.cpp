#include "engine/schema_words.h"

namespace voltsill::schema_words {

void append_page_documents(Json& documents) {
    const Json svg = text("An SVG element"), svg_or_none = or_null(svg);
    documents["edit"] = document("voltsill-edit-1", "A bench file after edits", {{"text", name_or_null()}});
    const Json packages = list(object("Of one package", {{"part", text()}, {"words", text()}, {"svg", svg}}));
    documents["drawings"] = document(
        "voltsill-drawings-1", "The drawings of a bench",
        {{"wiring_from", one_of({"given", "plan"})},
         {"rail_map", svg},
         {"links", list(object("Of one link", {{"link", text()},
                                               {"before", svg_or_none},
                                               {"after", svg_or_none},
                                               {"circuit", svg_or_none}}))},
         {"packages", packages}});
    documents["build"] = document("voltsill-build-1", "What the sheets say, and the boards",
                                  {{"sheets", ref("sheets")},
                                   {"boards", list(svg)},
                                   {"key", svg_or_none},
                                   {"packages", packages}});
    documents["sheet_pages"] = document(
        "voltsill-sheet-pages-1", "Sheets as pages",
        {{"documents", list(object("A sheet", {{"name", text()}, {"title", text()}, {"html", text()}}))},
         {"script", text("The exercises, for a shell")}});
    documents["trace_step"] =
        object("Links over time with so many samples", {{"format", {{"const", "voltsill-trace-step-1"}}},
                                                        {"samples", whole(0)},
                                                        {"final", truth()},
                                                        {"trace", ref("trace")},
                                                        {"svg", {{"type", "object"},
                                                                 {"description", "Waves, by the name of the link"},
                                                                 {"patternProperties", {{".*", svg}}}}}});
}

}  // namespace voltsill::schema_words
